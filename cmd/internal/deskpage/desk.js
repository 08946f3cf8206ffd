// The desk: what happened in the office, as rows of the yard's tables.

const book = JSON.parse(one("#book").textContent);
let chosen = null; // the van of the action on the screen; null: none yet

const vanOf = (id) => book.vans.find((v) => v.stock_id === id) || { stock_id: id, reg: "", name: "" };
const nameOf = (v) => [v.reg, v.name, `(${v.stock_id})`].filter(Boolean).join(" ");
const pounds = (text) => "£" + (+text).toLocaleString("en-GB", { maximumFractionDigits: 2 });

// rowsOf are the rows that an action brings: f its fields by column, v its van.
const rowsOf = {
  bought: (f, v) => ({ "vans.csv": [{ ...v.cells, stock_id: v.stock_id, status: "owned", ...f }] }),
  stage: (f, v) => ({ "vans.csv": [{ stock_id: v.stock_id, ...f }] }),
  listed: (f, v) => ({ "vans.csv": [{ stock_id: v.stock_id, ...f }] }),
  priced: (f, v) => ({ "vans.csv": [{ stock_id: v.stock_id, ...f }] }),
  reserved: (f, v) => ({ "vans.csv": [{ stock_id: v.stock_id, ...f }] }),
  promised: (f, v) => ({ "vans.csv": [{ stock_id: v.stock_id, ...f }] }),
  paper: (f, v) => ({ "documents.csv": [{ stock_id: v.stock_id, held: "yes", ...f }] }),
  ordered: (f, v) => ({ "orders.csv": [{ stock_id: v.stock_id, ...f }] }),
  arrived: (f) => {
    const { title, ...order } = orderOf(f.order);
    return { "orders.csv": [{ ...order, arrived_on: f.arrived_on }] };
  },
  cost: (f, v) => ({ "costs.csv": [{ stock_id: v.stock_id, ...f }] }),
  sold: (f, v) => ({ "vans.csv": [{ stock_id: v.stock_id, status: "sold", ...f }] }),
  deal: (f, v) => ({ "vans.csv": [
    { stock_id: v.stock_id, status: "sold", sold_on: f.on, sold_price: f.sold_price, sold_to: f.customer, sale_invoice: f.sale_invoice },
    { stock_id: f.taking, status: "owned", source: "part-exchange", acquired: f.on, cost: f.allowance, bought_from: f.customer },
  ] }),
  delivered: (f, v) => ({ "vans.csv": [{ stock_id: v.stock_id, ...f }] }),
};

// saidOf is what an entry is called in the list of news.
const saidOf = {
  stage: (f, v) => `${nameOf(v)}, ${f.status}`,
  arrived: (f) => orderOf(f.order).title,
  deal: (f, v) => `${nameOf(v)} for ${pounds(f.sold_price)}, ${nameOf(vanOf(f.taking))} in at ${pounds(f.allowance)}`,
};

// openOrders are those of the reports and those entered here.
function openOrders() {
  const entered = newsIDs(entry).flatMap((id) => newsAt(entry, id).tables["orders.csv"] || []);
  const titled = entered.filter((o) => !o.arrived_on).map((o) => ({ ...o, title: partOf(o.part).title }));
  const arrived = (o) => entered.some((e) => e.arrived_on && e.part === o.part && (e.stock_id || "") === (o.stock_id || "") && e.ordered_on === o.ordered_on);
  const known = new Set(book.orders.map(orderKey));
  return book.orders.concat(titled.filter((o) => !known.has(orderKey(o)))).filter((o) => !arrived(o));
}

const partOf = (code) => book.parts.find((p) => p.code === code) || { code, title: code, cost: "", supplier: "", days: 0 };

// ---- Steps ----------------------------------------------------------------

function route() {
  const code = location.hash.slice(1), step = one("#step-" + (code || "start")) ? code || "start" : "start";
  if (step !== "start" && step !== "news") openAction(step);
  showStep(step);
}

function openAction(code) {
  const section = one("#step-" + code);
  chosen = null;
  for (const input of each("[data-kind]", section)) {
    fillChoices(input);
    input.value = input.type === "date" && input.dataset.past === "yes" && input.ariaRequired === "true" ? today() : "";
    showProblem(input, "", one("#e-" + input.name));
  }
  if (code === "ordered") one("#f-ordered-quantity").value = "1";
  if (code === "deal") forgetDeal();
  for (const input of each("[data-new]", section)) input.value = "";
  const vans = one(".vans", section);
  if (!vans) { restoreDraft(section); return; }
  one(".pick", vans).value = "";
  showChosen(vans);
  showFound(vans);
  restoreDraft(section);
}

const draftMore = () => ({ van: chosen });

function restoreMore({ van }) {
  const box = one(`#step-${location.hash.slice(1)} .vans`);
  if (van && box) choose(box, van);
}

const orderKey = (o) => [o.part, o.stock_id || "", o.ordered_on].join("|");
const orderOf = (key) => openOrders().find((o) => orderKey(o) === key);

function fillChoices(select) {
  const options = {
    part: () => book.parts.map((p) => [p.code, p.title]),
    order: () => openOrders().map((o) => [orderKey(o), `${o.quantity} × ${o.title}${o.stock_id ? " for " + nameOf(vanOf(o.stock_id)) : ""}, ordered ${plainDay(o.ordered_on)}`]),
    taking: () => book.vans.filter((v) => v.status === "offered").map((v) => [v.stock_id, nameOf(v)]),
  }[select.dataset.kind];
  if (options) select.replaceChildren(element("option", { value: "" }, "Choose"), ...options().map(([value, words]) => element("option", { value }, words)));
}

// ---- Choosing a van -------------------------------------------------------

function showFound(box) {
  const statuses = box.dataset.statuses.split(" "), words = one(".pick", box).value.toLowerCase().split(/\s+/).filter(Boolean);
  const fit = book.vans.filter((v) => statuses.includes(v.status) && words.every((w) => nameOf(v).toLowerCase().includes(w)));
  const shown = chosen ? [] : fit.slice(0, 8);
  one(".found", box).replaceChildren(...shown.map((v) => element("li", {}, element("button", { type: "button", value: v.stock_id, onclick: () => choose(box, v) },
    nameOf(v), " ", element("small", {}, v.asking ? pounds(v.asking) : titleOf(v.status))))));
  if (box.dataset.noVan && !chosen) one(".found", box).prepend(element("li", {}, element("button", { type: "button", value: "", onclick: () => choose(box, { stock_id: "" }) }, box.dataset.noVan)));
}

function choose(box, v) {
  chosen = v;
  forgetDeal();
  showChosen(box);
  showFound(box);
  keepDraft();
}

function showChosen(box) {
  const line = one(".chosen", box);
  one(".pick", box).closest("label").hidden = Boolean(chosen);
  showProblem(one(".pick", box), "", one(".bad", box));
  if (!chosen) { line.replaceChildren(); return; }
  line.replaceChildren(chosen.stock_id ? nameOf(chosen) : box.dataset.noVan, " ", element("button", { type: "button", onclick: () => choose(box, null) }, "Another"));
}

// newVan reads the cells of a van that is not on the list; null where none were
// entered, a problem where one lacks.
function newVan(section) {
  const inputs = each("[data-new]", section), cells = Object.fromEntries(inputs.map((i) => [i.dataset.new, i.value.trim()]));
  if (!inputs.some((i) => i.value.trim())) return null;
  if (!cells.stock_id) cells.stock_id = cells.reg.toUpperCase().replace(/[^A-Z0-9-]/g, "").slice(0, 20);
  cells.mileage = readWhole(cells.mileage, 0, 999999).text;
  const lacks = ["stock_id", "maker", "model", "body", "first_registered", "mileage"].find((c) => !cells[c]);
  if (lacks) return { problem: titleOf(lacks.replace("_", "-")) + " is needed." };
  if (book.vans.some((v) => v.stock_id.toUpperCase() === cells.stock_id.toUpperCase())) return { problem: `The yard has a van ${cells.stock_id} already.` };
  return { stock_id: cells.stock_id, reg: cells.reg, name: `${cells.maker} ${cells.model}`, cells };
}

// ---- Keeping --------------------------------------------------------------

// read gives an action's fields by column, or null with the problems shown.
function read(section) {
  const code = section.dataset.action, f = {};
  let first = null;
  for (const input of each("[data-kind]", section)) {
    const { text, problem } = readInput(input);
    showProblem(input, problem || "", one("#e-" + input.name));
    if (problem && !first) first = input;
    f[input.name.slice(code.length + 1)] = text;
  }
  const box = one(".vans", section);
  if (box) {
    const fresh = chosen ? null : newVan(section), problem = fresh ? fresh.problem || "" : chosen ? "" : "Choose a van.";
    showProblem(one(".pick", box), problem, one(".bad", box));
    if (problem) first = one(".pick", box);
    else if (fresh) f.van = fresh;
  }
  if (first) { first.focus(); return null; }
  return f;
}

function readInput(input) {
  const text = input.value.trim(), { kind, label } = input.dataset;
  if (text === "") return { text, problem: input.ariaRequired === "true" ? `${label.replace("?", "")} is needed.` : "" };
  if (kind === "date") return { text, problem: dayProblem(text, input.dataset.past === "yes") };
  if (kind === "money") return readMoney(text);
  if (kind === "whole") return readWhole(text, +input.dataset.low, +input.dataset.high);
  return { text, problem: [...text].length > 200 ? "200 characters at most." : "" };
}

async function keep(section) {
  const f = read(section);
  if (!f) return;
  const code = section.dataset.action, v = f.van || chosen || { stock_id: "" };
  delete f.van;
  if (code === "deal" && !dealShown) { await showDeal(f, v); return; }
  const said = saidOf[code] ? saidOf[code](f, v) : [v.stock_id ? nameOf(v) : "", f.part ? partOf(f.part).title : "", ...["asking", "sold_price", "cost"].filter((c) => f[c]).map((c) => pounds(f[c]))].filter(Boolean).join(", ");
  dropDraft();
  addNews(entry, `${one("h1", section).textContent}: ${said}`, rowsOf[code](f, v));
  go("");
}

// ---- A part exchange ------------------------------------------------------

// A deal is kept once what it leaves was shown; other terms have to be shown anew.
let dealShown = false;

function forgetDeal() {
  dealShown = false;
  one("#deal").hidden = true;
  one("#step-deal .keep").textContent = "What does it leave?";
}

// showDeal shows what `vanwright deal` says: asked of the server that showed this
// page, or as far as last night's reports know.
async function showDeal(f, v) {
  const lines = served ? await askDeal(f, v) : [];
  if (lines.length === 0) lines.push(...knownOfDeal(f));
  one("#deal").replaceChildren(...drawnDeal(lines));
  one("#deal").hidden = false;
  one("#step-deal .keep").textContent = "Keep the deal";
  dealShown = true;
}

// drawnDeal draws lines as vanwright deal prints them: amounts behind spaces stand
// in columns, four spaces go on with a note, and a line at the margin that has such
// lines below it is a heading.
function drawnDeal(lines) {
  const out = [], indentOf = (l) => (l ? l.search(/\S/) : 0);
  lines.forEach((line, i) => {
    const indent = indentOf(line), cells = line.trim().split(/ {2,}/);
    if (indent === 4 && out.length) {
      out[out.length - 1].append(" " + cells.join(" "));
    } else if (indent === 0) {
      const heads = indentOf(lines[i + 1]) > 0;
      out.push(element("p", { className: heads ? "head" : "" }, cells.join(" ")));
    } else {
      if (indent > 4) cells.unshift(""); // the heads of columns
      out.push(cells.length === 1 ? element("p", {}, cells[0]) : element("p", { className: "row" }, ...cells.map((c) => element("span", {}, c))));
    }
  });
  return out;
}

// askDeal gives the lines of vanwright deal; none where the server is not reached.
async function askDeal(f, v) {
  try {
    const query = new URLSearchParams({ selling: v.stock_id, taking: f.taking, allowance: f.allowance, price: f.sold_price });
    const answer = await fetch("/deal?" + query, { credentials: "same-origin" });
    return (await answer.text()).split("\n").filter((l) => l.trim());
  } catch {
    return [];
  }
}

function knownOfDeal(f) {
  const known = vanOf(f.taking), lines = [];
  if (known.standIn) {
    const over = +f.allowance - +known.standIn;
    lines.push(`Stand-in value by the reports of ${plainDay(book.asOf)}: ${pounds(known.standIn)}.`, over > 0 ? `Over-allowance: ${pounds(over)}.` : "No over-allowance.");
  } else {
    lines.push("The reports give this van no stand-in value.");
  }
  if (known.finance) lines.push(`Finance owed on it: ${pounds(known.finance)}.`);
  lines.push(served ? "The yard's computer was not reached: VAT and what the deal leaves are not in this." : "VAT and what the deal leaves are not in this: they are worked out where this page is opened by the yard's computer, or by vanwright deal.");
  return lines;
}

// ---- Slips of others ------------------------------------------------------

// handInSaved hands in slips that came as files, one after the other, with what the
// yard says of each.
async function handInSaved(files) {
  const box = one("#saved-answer");
  say(box, "Handing in…");
  const lines = [];
  for (const file of files) {
    const { said } = await handIn(file);
    lines.push(element("span", {}, `${file.name}: ${said.join(" ")}`));
  }
  box.replaceChildren(...lines);
}

async function begin() {
  await openStore();
  await openNews("desk", "desk/office");
  one("#by").value = person();
  one("#by").oninput = (e) => rememberPerson(e.target.value);
  for (const b of each(".act")) b.onclick = () => go(b.value);
  for (const b of each(".back")) b.onclick = () => { dropDraft(); go(""); };
  for (const b of each(".keep")) b.onclick = () => keep(b.closest("section"));
  for (const input of each(".pick")) input.oninput = () => showFound(input.closest(".vans"));
  one("#f-ordered-part").addEventListener("change", (e) => {
    const p = partOf(e.target.value);
    one("#f-ordered-unit_cost").value = p.cost;
    one("#f-ordered-supplier").value = p.supplier;
    const [y, m, d] = today().split("-").map(Number);
    one("#f-ordered-due_on").value = isoDay(y, m - 1, d + p.days);
  });
  one("#step-deal").addEventListener("input", forgetDeal);
  one("#saved").hidden = !served;
  one("#saved input").onchange = async (e) => { await handInSaved([...e.target.files]); e.target.value = ""; };
  one("#nav-start").onclick = () => go("");
  bindNews("desk", () => person() || "desk", () => {});
}

begin();
