// ---- The van and what is fitted -------------------------------------------

// readField returns what goes into vans.csv for a typed cell, or what is wrong.
function readField(input) {
  const text = input.value.trim(), { kind, label } = input.dataset;
  if (text === "") return { text, problem: isNeeded(input) ? `${label} is needed.` : "" };
  switch (kind) {
    case "code":
      return { text, problem: /^[A-Za-z0-9-]{1,20}$/.test(text) ? sameNumber(text) : "1 to 20 letters, digits and hyphens." };
    case "date":
      return { text, problem: dayProblem(text, input.dataset.past === "yes") };
    case "whole": {
      const { text: digits, problem } = readWhole(text, +input.dataset.low, +input.dataset.high);
      return { text: digits, problem: problem || "" };
    }
    case "money": {
      const { text: amount, problem } = readMoney(text);
      const zero = input.name === "guide" && +amount === 0;
      return { text: amount, problem: problem || (zero ? "An amount in pounds such as 12495." : "") };
    }
    case "text":
      return { text, problem: [...text].length > 200 ? "200 characters at most." : "" };
  }
  return { text, problem: "" };
}

// isNeeded: of a van in stock the yard knows the rest.
const isNeeded = (input) => input.ariaRequired === "true" && (!inStock() || ["stock_id", "taken_on"].includes(input.name));

// sameNumber says that another van on this phone or in the yard has the number.
function sameNumber(number) {
  const other = vans.find((v) => v !== van && !isHanded(v) && (v.get("field:stock_id") || "").trim().toUpperCase() === number.toUpperCase());
  if (other) return `${nameOf(other)} on this phone has this number.`;
  const stock = book.stock.find((s) => s.stock_id.toUpperCase() === number.toUpperCase());
  return stock && !inStock() && !van.get("known") ? `${stock.maker} ${stock.model} in the yard has this number: choose “In stock”.` : "";
}

const fieldInputs = () => each("[data-kind]");

// massProblem says that the van weighs more than its plate allows.
function massProblem() {
  const [max, running] = ["max_mass_kg", "running_mass_kg"].map((n) => readField(one("#f-" + n)));
  const both = max.text && running.text && !max.problem && !running.problem;
  return both && +running.text > +max.text ? "More than the maximum mass on the plate." : "";
}

function fieldProblem(input) {
  return readField(input).problem || (input.name === "running_mass_kg" ? massProblem() : "");
}

function bindVan() {
  for (const input of fieldInputs()) {
    const under = one("#e-" + input.name);
    input.addEventListener("input", () => {
      van.set("field:" + input.name, input.value);
      if (input.name === "stock_id") van.set("own-number", input.value !== "");
      if (input.name === "reg") suggestNumber();
      if (input.name === "inspector") rememberPerson(input.value);
      if (!under.hidden) showProblem(input, fieldProblem(input), under);
      suggest(input);
      showCount();
    });
    input.addEventListener("change", () => {
      if (input.value !== "") showProblem(input, fieldProblem(input), under);
    });
    input.addEventListener("focus", () => suggest(input));
  }
  for (const radio of each("[name=body], [name=standing]")) {
    radio.addEventListener("change", () => {
      van.set("field:" + radio.name, radio.value);
      one("#e-body").hidden = true;
      showNav();
      showCount();
    });
  }
  for (const box of each("#step-fitted input")) {
    box.addEventListener("change", () => {
      van.set((box.name === "equipment" ? "fitted:" + box.value : "wheels:" + box.name), box.checked || null);
      showNav();
      showCount();
    });
  }
}

// suggestNumber makes the registration the stock number until one was typed.
function suggestNumber() {
  if (van.get("own-number")) return;
  const number = field("reg").toUpperCase().replace(/[^A-Z0-9-]/g, "").slice(0, 20);
  van.set("field:stock_id", number);
  one("#f-stock_id").value = number;
}

const SUGGESTED = 8; // at most

// suggestions are what the yard knows that fits what was typed: each fills some
// fields. For the maker whole models are offered where few fit, which saves typing
// and the choice of the body.
function suggestions(name, typed) {
  const fits = (word) => word.toLowerCase().startsWith(typed) && word.toLowerCase() !== typed;
  const filled = (m) => ({ maker: m.maker, model: m.model, ...(field("body") ? {} : { body: m.body }) });
  if (name === "model") return book.models.filter((m) => m.maker === field("maker") && fits(m.model)).map((m) => [m.model, filled(m)]);
  if (name !== "maker") return [];
  const whole = book.models.filter((m) => fits(`${m.maker} ${m.model}`)).map((m) => [`${m.maker} ${m.model}`, filled(m)]);
  return whole.length <= SUGGESTED ? whole : [...new Set(book.models.map((m) => m.maker))].filter(fits).map((maker) => [maker, { maker }]);
}

// suggest offers them below the input, to be tapped rather than typed.
function suggest(input) {
  each(".suggestions").forEach((s) => { if (s.previousElementSibling !== input) s.remove(); });
  if (!["maker", "model"].includes(input.name)) return;
  let box = input.nextElementSibling;
  if (!box.classList.contains("suggestions")) {
    box = element("div", { className: "suggestions", role: "group", ariaLabel: "Known to the yard" });
    input.after(box);
  }
  box.replaceChildren(...suggestions(input.name, input.value.trim().toLowerCase()).slice(0, SUGGESTED).map(([words, fields]) => element("button", { type: "button", value: words, onclick: () => {
    for (const [name, value] of Object.entries(fields)) if (value) van.set("field:" + name, value);
    box.remove();
    fillVan();
    one("#e-body").hidden = true;
    showNav();
    showCount();
  } }, words)));
}

// fillVan shows what is kept in the inputs of the first two steps. What is being
// typed stays as it is.
function fillVan() {
  for (const input of fieldInputs()) {
    if (input === document.activeElement) continue;
    input.value = field(input.name);
    showProblem(input, "", one("#e-" + input.name));
  }
  for (const name of ["body", "standing"]) for (const radio of each(`[name=${name}]`)) radio.checked = radio.value === (field(name) || (name === "standing" ? "offered" : ""));
  for (const box of each("[name=equipment]")) box.checked = van.get("fitted:" + box.value) === true;
  for (const name of ["twin", "spare"]) one(`[name=${name}]`).checked = van.get("wheels:" + name) === true;
  drawVanPhotos();
}

let drawVanPhotos = () => {};
