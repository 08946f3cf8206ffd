// ---- Papers ---------------------------------------------------------------

const kindTitle = (kind) => (book.kinds.find((k) => k.word === kind) || { title: titleOf(kind) }).title;
const paperOf = (id) => van.get("paper:" + id);
const paperIDs = () => van.under("paper").sort();

function showPapers() {
  one("#papers").replaceChildren(...paperIDs().map(paperCard));
}

function paperCard(id) {
  const node = cloned("t-paper"), paper = paperOf(id);
  node.id = "paper-" + id;
  one("legend", node).textContent = kindTitle(paper.kind);
  for (const input of each("[data-cell]", node)) bindPaper(node, id, input);
  showPaper(node, id);
  one(".year", node).onclick = () => {
    changePaper(id, { expires: dayBefore(addMonths(paperOf(id).dated, 12)) });
    one("[data-cell=expires]", node).value = paperOf(id).expires;
    showPaper(node, id);
  };
  one(".clear", node).onclick = () => ask(`Remove the document “${kindTitle(paper.kind)}”?`, "Remove it", () => {
    van.set("paper:" + id, null);
    showPapers();
    one("#h-paperwork").parentElement.focus();
  });
  return node;
}

const dayBefore = (day) => {
  const [y, m, d] = day.split("-").map(Number);
  return isoDay(y, m - 1, d - 1);
};

const changePaper = (id, change) => van.set("paper:" + id, { ...paperOf(id), ...change });

function bindPaper(node, id, input) {
  const name = input.dataset.cell, paper = paperOf(id);
  if (input.type === "radio") {
    input.name = "held-" + id;
    input.checked = paper.held === input.value;
  } else if (input.type === "checkbox") {
    input.checked = paper.covers.includes(input.value);
  } else {
    input.value = paper[name] || "";
  }
  const check = () => {
    const bad = one(".bad", input.closest("div"));
    if (bad && input.type !== "radio" && input.type !== "checkbox") showProblem(input, paperProblem(paperOf(id), name), bad);
  };
  input.addEventListener("input", () => {
    if (input.type === "checkbox") changePaper(id, { covers: each("[data-cell=covers]:checked", node).map((b) => b.value) });
    else changePaper(id, { [name]: input.value });
    showPaper(node, id);
    if (input.type !== "date") check();
  });
  input.addEventListener("change", check);
}

// showPaper shows what follows from the cells: how much it covers, and the day a
// year's paper runs out.
function showPaper(node, id) {
  const paper = paperOf(id);
  one(".covered", node).textContent = paper.covers.length ? `: ${paper.covers.length} ticked` : "";
  const dated = paper.dated && !dayProblem(paper.dated, true) && !paper.expires;
  put(one(".year", node), dated ? `Runs a year: to ${plainDay(dayBefore(addMonths(paper.dated, 12)))}` : "");
}

function paperProblem(paper, name) {
  const value = (paper[name] || "").trim();
  if (name === "held") return value ? "" : "Say whether it is held, promised or missing.";
  if (value === "") return "";
  if (name === "dated") return dayProblem(value, true);
  if (name === "expires") return dayProblem(value, false) || (paper.dated && value < paper.dated ? "Not before its date." : "");
  if (name === "mileage") return readWhole(value, 0, 999999).problem ? "A whole number of miles." : "";
  return name === "note" ? noteProblem(value) : "";
}

function addPaper(kind, held) {
  const id = Date.now().toString(36) + newID().slice(0, 4);
  van.set("paper:" + id, { kind, dated: "", mileage: "", evidence: "", covers: [], held, expires: "", note: "" });
  showPapers();
  const card = one("#paper-" + id);
  card.scrollIntoView({ block: "start" });
  one("input", card).focus({ preventScroll: true });
}
