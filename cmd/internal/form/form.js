// The condition form. What was entered lives in `state`, which is kept in the
// browser after every change; the page is drawn from it. Nothing is sent.
"use strict";

const book = JSON.parse(document.getElementById("book").textContent);
const points = new Map(book.zones.flatMap((z) => z.points.map((p) => [p.code, p])));
const one = (selector, root = document) => root.querySelector(selector);
const each = (selector, root = document) => [...root.querySelectorAll(selector)];

// ---- What was entered -----------------------------------------------------

const KEY = "vanwright-condition-form";
const VERSION = 1;
let state = load() || fresh();
let waiting = 0;

function fresh() {
  return {
    version: VERSION,
    fields: { taken_on: today() }, // cells of vans.csv, and who looked when
    ownNumber: false, // the stock number was typed, not taken from the registration
    equipment: [],
    wheels: { twin: false, spare: false },
    readings: {}, // "checkpoint|position": {value, verdict, note}
    absent: {}, // checkpoint: true where this van has no such thing
    extra: [], // damp positions that the book does not list
    papers: [],
  };
}

function load() {
  try {
    const kept = JSON.parse(localStorage.getItem(KEY));
    if (kept && kept.version === VERSION) return Object.assign(fresh(), kept);
  } catch { /* nothing kept, or nothing to be read: begin anew */ }
  return null;
}

// save keeps the state soon, and at once when the page is left.
function save() {
  clearTimeout(waiting);
  waiting = setTimeout(keep, 200);
}

function keep() {
  clearTimeout(waiting);
  const said = one("#kept");
  try {
    localStorage.setItem(KEY, JSON.stringify(state));
    say(said, "kept on phone");
  } catch {
    say(said, "Not kept: this browser stores nothing, so finish before you close it");
  }
}

addEventListener("pagehide", keep);
document.addEventListener("visibilitychange", () => { if (document.hidden) keep(); });

function today() {
  const d = new Date();
  return isoDay(d.getFullYear(), d.getMonth(), d.getDate());
}

// isoDay writes a day, with months counted from 0, as 2026-03-09.
function isoDay(year, month, day) {
  return new Date(Date.UTC(year, month, day)).toISOString().slice(0, 10);
}

// ---- What applies to this van ---------------------------------------------

const has = (word) => state.equipment.includes(word) || state.fields.body === word;
const fits = (fitted) => !fitted || fitted.length === 0 || fitted.some(has);
const applies = (p) => fits(p.fitted);
const asked = (p) => applies(p) && !state.absent[p.code];
const isDamp = (p) => p.code === "damp" && p.positions.length > 0;
const isTwinPoint = (p) => p.positions.some((c) => c.word.endsWith("-inner"));

// placesOf lists where a point is read on this van: twin wheels only where it
// has them, the space above the cab only on a body that has one.
function placesOf(p) {
  const twins = isTwinPoint(p);
  const all = p.positions.filter(({ word }) => {
    if (word.startsWith("overcab")) return state.fields.body === "overcab" || !state.fields.body;
    if (word === "spare") return state.wheels.spare;
    if (!twins) return true;
    if (/-(inner|outer)$/.test(word)) return state.wheels.twin;
    return !(state.wheels.twin && /-rear$/.test(word));
  });
  if (!isDamp(p)) return all;
  const listed = new Set(all.map((c) => c.word));
  return all.concat(state.extra.filter((w) => !listed.has(w)).map((w) => ({ word: w, title: titleOf(w) })));
}

const titleOf = (word) => (word[0].toUpperCase() + word.slice(1)).replaceAll("-", " ");
const keyOf = (p, place) => p.code + "|" + place;
const readingAt = (p, place) => state.readings[keyOf(p, place)] || { value: "", verdict: "", note: "" };
const isRead = (r) => r.value.trim() !== "" || (r.verdict !== "" && r.verdict !== "untested");

// enter changes what is known at one place and forgets a reading that says
// nothing any more.
function enter(p, place, change) {
  const r = { ...readingAt(p, place), ...change };
  if (r.value === "" && r.verdict === "" && r.note === "") delete state.readings[keyOf(p, place)];
  else state.readings[keyOf(p, place)] = r;
  save();
}

// unread lists the places of a point that nobody read; a point without places
// gives itself. Damp counts by the side of the body: nobody reads every place.
function unread(p) {
  if (p.code === "keys-count" && state.fields.keys) return [];
  const places = placesOf(p);
  if (places.length === 0) return isRead(readingAt(p, "")) ? [] : [p.title];
  if (!isDamp(p)) return places.filter((c) => !isRead(readingAt(p, c.word))).map((c) => c.title);
  const sides = new Map();
  for (const { word } of places) {
    const side = word.split("-")[0];
    sides.set(side, sides.get(side) || isRead(readingAt(p, word)));
  }
  return [...sides].filter(([, read]) => !read).map(([side]) => titleOf(side));
}

function progressOf(zone) {
  const here = zone.points.filter(asked);
  const done = here.filter((p) => unread(p).length === 0);
  const begun = here.filter((p) => !done.includes(p) && placesOf(p).some((c) => isRead(readingAt(p, c.word))));
  return { all: here.length, done: done.length, begun: begun.length };
}

// ---- Values and limits ----------------------------------------------------

// readValue returns the text that goes into readings.csv, or what is wrong.
// It forgives a decimal comma and the unit behind the number.
function readValue(p, raw) {
  const text = raw.trim();
  if (text === "") return { text: "" };
  if (p.unit === "date") {
    const problem = dayProblem(text, false);
    return problem ? { problem } : { text };
  }
  if (p.unit === "code") {
    const digits = text.replace(/\s/g, "");
    return /^\d{3,4}$/.test(digits) ? { text: digits } : { problem: "The three or four digits of the date code, such as 2319." };
  }
  const u = book.units[p.unit] || { low: -1e6, high: 1e6 };
  const parts = /^([-−]?)(\d*)(?:([.,])(\d+))?\s*(.*)$/.exec(text);
  const unitFits = parts && [p.unit, u.sign, ""].includes(parts[5]);
  if (!unitFits || (!parts[2] && !parts[4])) return { problem: "A plain number such as 4.5." };
  if (parts[3] === "," && parts[4].length === 3) return { problem: "Leave the comma out, or write a point for it." };
  const number = (parts[1] ? "-" : "") + (parts[2] || "0") + (parts[4] ? "." + parts[4] : "");
  if (parts[2].length > 12 || (parts[4] || "").length > 12 || +number < u.low || +number > u.high) return { problem: `A number from ${u.low} to ${u.high}.` };
  if (u.whole && !Number.isInteger(+number)) return { problem: "A whole number." };
  return { text: number };
}

function dayProblem(text, past) {
  if (!/^\d{4}-\d\d-\d\d$/.test(text)) return "A date.";
  const year = +text.slice(0, 4);
  if (year < 1950 || year > 2100) return "A date from 1950 to 2100.";
  return past && text > today() ? "A date that has come." : "";
}

// judge returns the worst verdict whose limit a value has passed, "sound" where
// it has passed none, and nothing where the point has no limits. The books'
// volts are for lead-acid batteries, so others are left to the appraisal.
function judge(p, text) {
  if (!p.steps || p.steps.length === 0 || text === "") return "";
  if (p.code === "battery-rest-volts" && (has("battery-lithium") || has("battery-agm"))) return "";
  const day = p.unit === "date" ? text : p.unit === "code" ? madeOn(text) : "";
  const on = state.fields.taken_on || today();
  if (p.unit === "code" && (day === "" || day > on)) return "";
  const passed = ({ at }) => {
    if (day) return addMonths(day, Math.round(12 * at)) <= on;
    return p.highBad ? +text >= at : +text < at;
  };
  const step = p.steps.find(passed);
  return step ? step.verdict : "sound";
}

function addMonths(day, n) {
  const [y, m, d] = day.split("-").map(Number);
  const last = new Date(Date.UTC(y, m + n, 0)).getUTCDate();
  return isoDay(y, m - 1 + n, Math.min(d, last));
}

// madeOn reads a tyre's code: the Monday of week WW of 20YY, or of 199Y where it
// has three digits. It is blank where there is no such week.
function madeOn(code) {
  const week = +code.slice(0, 2), year = code.length === 4 ? 2000 + +code.slice(2) : 1990 + +code.slice(2);
  const monday = (y) => 4 - ((new Date(Date.UTC(y, 0, 4)).getUTCDay() + 6) % 7); // of week 1, in January
  const day = isoDay(year, 0, monday(year) + 7 * (week - 1));
  return week < 1 || day >= isoDay(year + 1, 0, monday(year + 1)) ? "" : day;
}

// ---- Steps ----------------------------------------------------------------

let here = "van";

// steps lists the walk: the van, what is fitted, each zone that has something
// to look at, the papers, the files.
function steps() {
  const zones = book.zones.filter((z) => z.points.some(applies));
  return [
    { code: "van", title: "The van" }, { code: "fitted", title: "What is fitted" },
    ...zones.map((z) => ({ code: "zone-" + z.code, title: z.title, zone: z })),
    { code: "paperwork", title: "Papers" }, { code: "finish", title: "Take it to the yard" },
  ];
}

// route shows the step that the address names, such as #zone-tyres or
// #zone-tyres/tyre-tread.
function route() {
  const [code, target] = decodeURIComponent(location.hash.slice(1)).split("/");
  const step = steps().find((s) => s.code === code);
  const moved = here !== code;
  here = step || code === "all" ? code : "van";
  const shown = step && step.zone ? "zone" : here;
  for (const s of each("main > section")) s.hidden = s.id !== "step-" + shown;
  if (step && step.zone) showZone(step.zone);
  if (here === "paperwork") showPapers();
  if (here === "finish") showFinish();
  if (here === "all") showSteps();
  showNav();
  showCount();
  const section = one("#step-" + shown);
  const wanted = target && document.getElementById(target);
  if (wanted) {
    for (let d = wanted.closest("details"); d; d = d.parentElement.closest("details")) d.open = true;
    wanted.scrollIntoView({ block: "center" });
    (one("input, button", wanted) || wanted).focus({ preventScroll: true });
  } else if (moved) {
    scrollTo(0, 0);
    section.focus({ preventScroll: true });
  }
}

function showNav() {
  const list = steps(), at = list.findIndex((s) => s.code === here);
  const sides = { back: list[at - 1], next: at < 0 ? list[0] : list[at + 1] };
  for (const [id, step] of Object.entries(sides)) {
    const button = one("#" + id);
    button.disabled = !step;
    button.dataset.to = step ? step.code : "";
    one(".to", button).textContent = step ? step.title : "";
    button.setAttribute("aria-label", step ? (id === "back" ? "Back to " : "On to ") + step.title : "");
  }
  one("#all").setAttribute("aria-current", here === "all" ? "page" : "false");
}

const go = (code) => { if (code) location.hash = code; };

// showCount keeps the running counts in the head of the page.
function showCount() {
  let all = 0, done = 0;
  for (const z of book.zones) {
    const n = progressOf(z);
    all += n.all;
    done += n.done;
  }
  const f = state.fields;
  one("#who").textContent = [f.stock_id, f.maker, f.model].filter(Boolean).join(" ") || "A van";
  one("#bar").max = all || 1;
  one("#bar").value = done;
  say(one("#count"), `${done} of ${all} looked at, ${all - done} untested`);
}

// say changes a live text only where it differs, so that it is read out once.
function say(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

function showSteps() {
  const list = one("#steps");
  list.replaceChildren(...steps().map((s) => {
    const button = element("button", { type: "button", onclick: () => go(s.code) }, s.title);
    if (s.zone) {
      const n = progressOf(s.zone);
      button.append(" ", element("small", {}, `${n.done} of ${n.all}`));
    }
    return element("li", {}, button);
  }));
}

function element(tag, properties, ...children) {
  const node = Object.assign(document.createElement(tag), properties);
  node.append(...children);
  return node;
}

const cloned = (id) => one("#" + id).content.firstElementChild.cloneNode(true);

// ask puts a question that has to be answered before something is thrown away.
function ask(question, yes, then) {
  const dialog = one("#ask");
  one("#ask-text").textContent = question;
  one("#ask-yes").textContent = yes;
  one("#ask-yes").onclick = () => { dialog.close(); then(); };
  one("#ask-no").onclick = () => dialog.close();
  dialog.showModal();
}

// ---- The van and what is fitted ------------------------------------------

// readField returns what goes into vans.csv for a typed cell, or what is wrong.
function readField(input) {
  const text = input.value.trim(), { kind, label } = input.dataset;
  if (text === "") return { text, problem: input.ariaRequired === "true" ? `${label} is needed.` : "" };
  switch (kind) {
    case "code":
      return { text, problem: /^[A-Za-z0-9-]{1,20}$/.test(text) ? "" : "1 to 20 letters, digits and hyphens." };
    case "date":
      return { text, problem: dayProblem(text, input.dataset.past === "yes") };
    case "whole": {
      const digits = text.replace(/[\s,]/g, ""), low = +input.dataset.low, high = +input.dataset.high;
      const good = /^\d{1,7}$/.test(digits) && +digits >= low && +digits <= high;
      return { text: digits, problem: good ? "" : `A whole number from ${low} to ${high}.` };
    }
    case "money": {
      const amount = text.replace(/[£\s,]/g, "");
      const good = /^\d{1,9}(\.\d{1,2})?$/.test(amount) && +amount <= 1e8 && (+amount > 0 || input.name !== "guide");
      return { text: amount, problem: good ? "" : "An amount in pounds such as 12495." };
    }
    case "text":
      return { text, problem: [...text].length > 200 ? "200 characters at most." : "" };
  }
  return { text, problem: "" };
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

// showProblem puts a problem under its input, or takes it away.
function showProblem(input, problem, under) {
  under.textContent = problem;
  under.hidden = problem === "";
  input.ariaInvalid = problem === "" ? "false" : "true";
}

function bindVan() {
  for (const input of fieldInputs()) {
    const under = one("#e-" + input.name);
    input.addEventListener("input", () => {
      state.fields[input.name] = input.value;
      if (input.name === "stock_id") state.ownNumber = input.value !== "";
      if (input.name === "reg") suggestNumber();
      if (!under.hidden) showProblem(input, fieldProblem(input), under);
      save();
      showCount();
    });
    input.addEventListener("change", () => {
      if (input.value !== "") showProblem(input, fieldProblem(input), under);
    });
  }
  for (const radio of each("[name=body]")) {
    radio.addEventListener("change", () => {
      state.fields.body = radio.value;
      one("#e-body").hidden = true;
      save();
      showNav();
      showCount();
    });
  }
  for (const box of each("#step-fitted input")) {
    box.addEventListener("change", () => {
      if (box.name === "equipment") state.equipment = each("[name=equipment]:checked").map((b) => b.value);
      else state.wheels[box.name] = box.checked;
      save();
      showNav();
      showCount();
    });
  }
}

// suggestNumber makes the registration the stock number until one was typed.
function suggestNumber() {
  if (state.ownNumber) return;
  const number = (state.fields.reg || "").toUpperCase().replace(/[^A-Z0-9-]/g, "").slice(0, 20);
  state.fields.stock_id = number;
  one("#f-stock_id").value = number;
}

// fillVan shows what is kept in the inputs of the first two steps.
function fillVan() {
  for (const input of fieldInputs()) {
    input.value = state.fields[input.name] || "";
    showProblem(input, "", one("#e-" + input.name));
  }
  for (const radio of each("[name=body]")) radio.checked = radio.value === state.fields.body;
  for (const box of each("[name=equipment]")) box.checked = state.equipment.includes(box.value);
  for (const name of ["twin", "spare"]) one(`[name=${name}]`).checked = state.wheels[name];
}

// ---- A zone ---------------------------------------------------------------

let zoneShown = null;
let cards = []; // the points on the screen
let ticking = false; // ticking several points as sound

function showZone(zone) {
  if (zoneShown !== zone) ticking = false;
  zoneShown = zone;
  one("#h-zone").textContent = zone.title;
  const cautions = (zone.cautions || []).filter((c) => fits(c.fitted));
  one("#zone-cautions").replaceChildren(...cautions.map((c) => element("p", { className: "caution" }, c.text)));
  const headed = new Set(cautions.map((c) => c.text));
  cards = zone.points.filter(applies).map((p) => newCard(p, headed));
  one("#points").replaceChildren(...cards.map((c) => c.node));
  showStanding();
  showTicking();
  showZoneCount();
  say(one("#zone-said"), "");
}

function showZoneCount() {
  const n = progressOf(zoneShown);
  const begun = n.begun ? `, ${n.begun} more begun` : "";
  say(one("#zone-count"), `${n.done} of ${n.all} looked at here${begun}`);
}

// afterEntry redraws what an entry changes.
function afterEntry(card) {
  drawCard(card);
  showZoneCount();
  showCount();
}

// showStanding offers the wheels once for all points that are read at wheels,
// in place of the same buttons at each of them: one walks from wheel to wheel.
// The last button stands for the wheels that nobody read at a point yet.
function showStanding() {
  const box = one("#standing"), wheel = cards.filter((c) => isTwinPoint(c.p));
  box.hidden = wheel.length < 3;
  if (box.hidden) return;
  const places = new Map(wheel.flatMap((c) => placesOf(c.p)).map((c) => [c.word, c.title]));
  const choose = (word) => (c) => {
    const here = placesOf(c.p).map((x) => x.word);
    choosePlaces(c, here.filter((w) => (word === "*" ? !isRead(readingAt(c.p, w)) : w === word)));
  };
  const buttons = [...places, ["*", "All not yet read"]].map(([word, name]) => element("button", {
    type: "button", value: word, ariaPressed: "false",
    onclick: (e) => {
      wheel.forEach(choose(word));
      for (const b of each("button", box)) b.ariaPressed = String(b === e.currentTarget);
      if (ticking) showTicking();
      say(one("#zone-said"), `Entering for: ${name.toLowerCase()}`);
    },
  }, name));
  box.replaceChildren(element("p", { id: "which-wheel" }, "Which wheel are you at?"), ...buttons);
  for (const c of wheel) {
    c.standing = true;
    one(".places", c.node).replaceChildren();
    drawCard(c);
  }
}

// newCard draws one point. `at` is the places that an entry goes to: one place,
// several, or [""] for a point that is read once a van. Nothing is chosen to
// begin with, so that no entry lands at a wheel nobody stood at.
function newCard(p, headed) {
  const card = { p, node: cloned("t-point"), at: placesOf(p).length ? [] : [""], side: "" };
  const { node } = card;
  node.id = p.code;
  one(".title", node).textContent = p.title;
  put(one(".limits", node), p.limits);
  put(one(".caution", node), headed.has(p.caution) ? "" : p.caution);
  put(one(".how", node), p.how);
  one(".value", node).hidden = p.unit === "";
  const input = one(".value input", node);
  input.type = p.unit === "date" ? "date" : "text";
  input.inputMode = ["code", "index", "count"].includes(p.unit) ? "numeric" : p.unit === "degC" ? "text" : "decimal";
  input.addEventListener("input", () => enterAll(card, { value: input.value }));
  input.addEventListener("keydown", (e) => { if (e.key === "Enter" && isDamp(p)) nextSpot(card); });
  for (const radio of each(".verdicts input", node)) {
    radio.name = "v-" + p.code;
    radio.addEventListener("change", () => enterAll(card, { verdict: radio.value }));
  }
  const note = one("textarea", node);
  note.addEventListener("input", () => enterAll(card, { note: note.value }));
  bindPhotos(node, note);
  one(".clear", node).onclick = () => {
    enterAll(card, { value: "", verdict: "", note: "" });
    (one(".verdicts input", node)).focus();
  };
  one(".lack", node).hidden = !p.mayLack;
  const lack = one(".lack input", node);
  lack.checked = Boolean(state.absent[p.code]);
  lack.addEventListener("change", () => {
    if (lack.checked) state.absent[p.code] = true;
    else delete state.absent[p.code];
    save();
    afterEntry(card);
  });
  if (isDamp(p)) drawMap(card);
  drawCard(card);
  return card;
}

function put(node, words) {
  node.textContent = words;
  node.hidden = !words;
}

function enterAll(card, change) {
  for (const place of card.at) enter(card.p, place, change);
  afterEntry(card);
}

// bindPhotos adds the names of chosen pictures to a note. The pictures stay
// where they are.
function bindPhotos(node, note) {
  const input = one("[type=file]", node);
  input.addEventListener("change", () => {
    const names = [...input.files].map((f) => f.name).join(", ");
    input.value = "";
    if (!names) return;
    note.value += (note.value ? "\n" : "") + "Photos: " + names;
    note.dispatchEvent(new Event("input"));
  });
}

function choosePlaces(card, places) {
  card.at = places;
  drawCard(card);
}

// drawCard shows what is known at the places an entry would go to.
function drawCard(card) {
  const { p, node, at } = card, places = placesOf(p);
  const known = at.map((place) => readingAt(p, place));
  const same = (cell) => (known.length && known.every((r) => r[cell] === known[0][cell]) ? known[0][cell] : "");
  one(".entry", node).hidden = at.length === 0;
  one(".foot", node).hidden = at.length === 0;
  put(one(".at", node), places.length ? at.map((w) => titleOf(w)).join(", ") : "");
  one(".what", node).textContent = valueLabel(p);
  const input = one(".value input", node), note = one("textarea", node);
  if (input.value !== same("value")) input.value = same("value");
  if (note.value !== same("note")) note.value = same("note");
  const verdict = same("verdict");
  for (const radio of each(".verdicts input", node)) radio.checked = radio.value === verdict;
  const read = readValue(p, input.value);
  showProblem(input, read.problem || "", one(".value .bad", node));
  showProblem(note, noteProblem(note.value), one(".note-bad", node));
  say(one(".says", node), saidOf(p, read.text || "", verdict));
  one(".clear", node).hidden = !known.some((r) => r.value || r.verdict || r.note);
  one(".foot summary", node).textContent = note.value ? "How, note, photos (noted)" : "How, note, photos";
  node.classList.toggle("gone", Boolean(state.absent[p.code]));
  put(one(".known", node), card.standing ? knownAt(card, places) : "");
  if (isDamp(p)) drawSpots(card);
  else if (places.length && !card.standing) drawPlaces(card, places);
}

// knownAt says what was entered at other places than those now chosen.
function knownAt({ p, at }, places) {
  const known = places.filter((c) => !at.includes(c.word)).map((c) => [c.title, shortOf(p, readingAt(p, c.word))]);
  const said = known.filter(([, r]) => r).map(([title, r]) => `${title} ${r}`).join(", ");
  return said || (at.length ? "" : "Choose the wheel above.");
}

const noteProblem = (note) => ([...note].length > 4000 ? "4000 characters at most." : "");

function valueLabel(p) {
  const u = book.units[p.unit];
  if (p.unit === "date") return "Date";
  if (p.unit === "code") return "Date code";
  if (["count", "index"].includes(p.unit)) return "Number";
  return "Value in " + ((u && u.sign) || p.unit);
}

// saidOf says what the limits make of a value. The value decides; a verdict
// that is worse than it stands.
function saidOf(p, value, verdict) {
  const order = ["sound", "worn", "defect", "unsafe"], limit = judge(p, value);
  if (limit === "") return "";
  if (order.indexOf(verdict) > order.indexOf(limit)) return `By its limits ${limit}; your ${verdict} stands`;
  return limit === "sound" ? "Within its limits" : `By its limits: ${limit}`;
}

// shortOf is what a place's button shows of its reading.
function shortOf(p, r) {
  const read = readValue(p, r.value);
  return [read.problem ? "?" : read.text, r.verdict].filter(Boolean).join(" ");
}

// drawPlaces draws a button for each place, and one for all that are left.
function drawPlaces(card, places) {
  const { p, node, at } = card, box = one(".places", node);
  const left = places.filter((c) => !isRead(readingAt(p, c.word))).map((c) => c.word);
  const group = left.length ? left : places.map((c) => c.word);
  const focused = box.contains(document.activeElement) ? document.activeElement.value : null;
  const buttons = places.map((c) => placeButton(card, c.word, c.title, shortOf(p, readingAt(p, c.word)), [c.word]));
  if (places.length > 1 && group.length > 1) {
    const all = places.length === 2 ? "Both" : `All ${places.length}`;
    const name = group.length === places.length ? all : `The other ${group.length}`;
    buttons.push(placeButton(card, "*", name, "", group));
  }
  box.replaceChildren(...buttons);
  for (const b of buttons) {
    const goes = b.value === "*" ? group : [b.value];
    b.ariaPressed = String(goes.length === at.length && goes.every((w) => at.includes(w)));
    if (b.value === focused) b.focus();
  }
}

function placeButton(card, value, name, known, goes) {
  const b = element("button", { type: "button", value, onclick: () => choosePlaces(card, goes) }, name);
  if (known) b.append(element("small", {}, known));
  return b;
}

// ---- The damp map ---------------------------------------------------------

// Where the words of a damp point lie on the picture of a side, in columns of
// 1 to 7 and rows of 1 to 3. Sides are seen from outside the van.
const along = { front: 1, door: 2, window: 3, middle: 4, centre: 4, locker: 5, arch: 6, rear: 7 };
const roofAlong = { front: 1, rooflight: 3, middle: 4, aerial: 5, door: 3, washroom: 6, rear: 7 };
const heights = { high: 1, middle: 2, low: 3 };

function spotOf(position) {
  const [side, ...rest] = position.split("-"), height = rest.pop(), place = rest.join("-");
  let column;
  if (side === "nearside") column = along[place];
  else if (side === "offside") column = 8 - along[place];
  else if (side === "rear") column = { nearside: 1, centre: 4, window: 5, offside: 7 }[place];
  else if (side === "front" || side === "overcab") column = { offside: 1, centre: 4, nearside: 7 }[place];
  else column = roofAlong[place];
  const row = side === "roof" || side === "floor" ? 2 : heights[height];
  return { side, place, height, column, row };
}

function shapeOf(side) {
  if (side === "nearside" || side === "offside") return "side-" + (state.fields.body || "low-profile");
  return { front: "end-front", rear: "end-rear", overcab: "nose" }[side] || "plan";
}

// Bodies whose cab is no part of the living space: their pictures begin behind
// the windscreen, where the foremost damp points are.
const cropped = ["panel-van", "rising-roof", "low-profile"];

const seen = {
  nearside: "seen from outside, front to the left", offside: "seen from outside, front to the right",
  front: "seen from before the van", rear: "seen from behind the van", overcab: "seen from before the van",
  roof: "seen from above, front to the left", floor: "seen from above, front to the left",
};

// drawMap draws the choice of sides, and the picture of the side chosen.
function drawMap(card) {
  const box = one(".map", card.node);
  const sides = [...new Set(placesOf(card.p).map((c) => c.word.split("-")[0]))];
  const choose = sides.map((side) => element("button", {
    type: "button", value: side, className: "to-side",
    onclick: () => { card.side = side; card.at = []; drawMap(card); drawCard(card); one(`.to-side[value=${side}]`, box).focus(); },
  }, titleOf(side)));
  const parts = [element("div", { className: "places", role: "group", ariaLabel: "Side of the body" }, ...choose)];
  for (const b of choose) b.ariaPressed = String(b.value === card.side);
  if (card.side) parts.push(element("p", { className: "hint" }, `${titleOf(card.side)}, ${seen[card.side] || ""}. Tap a spot.`), sidePicture(card), otherPlace(card));
  box.replaceChildren(...parts);
}

// sidePicture lays a button over the picture for each damp point; what has no
// place in the picture, or shares one, follows below it.
function sidePicture(card) {
  const picture = cloned("t-side"), spots = one(".spots", picture), taken = new Set();
  const shape = shapeOf(card.side);
  one("use", picture).setAttribute("href", "#" + shape);
  if (cropped.includes(shape.replace("side-", ""))) one("svg", picture).setAttribute("viewBox", "150 0 550 260");
  picture.classList.toggle("mirrored", card.side === "offside");
  const below = element("div", { className: "places" });
  for (const { word, title } of placesOf(card.p)) {
    const s = spotOf(word);
    if (s.side !== card.side) continue;
    const b = element("button", { type: "button", value: word, onclick: () => choosePlaces(card, [word]) });
    b.dataset.name = title;
    const cell = s.column + "/" + s.row;
    if (s.column && s.row && !taken.has(cell)) {
      taken.add(cell);
      b.className = "spot";
      b.style.gridArea = `${s.row} / ${s.column}`;
      spots.append(b);
    } else {
      below.append(b);
    }
  }
  return element("div", {}, picture, below);
}

function drawSpots(card) {
  for (const b of each(".map [data-name]", card.node)) {
    const r = readingAt(card.p, b.value), s = spotOf(b.value), shown = r.value || r.verdict;
    const label = b.classList.contains("spot") ? s.place : titleOf(s.place) + " " + s.height;
    b.ariaPressed = String(card.at.includes(b.value));
    b.ariaLabel = `${shown || "not read,"} ${label}: ${b.dataset.name}`;
    b.replaceChildren(element("b", { className: r.value ? "" : "word" }, shown || "·"), " ", element("small", {}, label));
  }
  for (const b of each(".to-side", card.node)) {
    const read = placesOf(card.p).filter((c) => c.word.startsWith(b.value + "-") && isRead(readingAt(card.p, c.word))).length;
    b.replaceChildren(titleOf(b.value), ...(read ? [element("small", {}, read + " read")] : []));
  }
}

// nextSpot moves to the next damp point of the side, so that a row of numbers
// can be typed without touching the picture.
function nextSpot(card) {
  const spots = each(".map [data-name]", card.node), i = spots.findIndex((b) => b.value === card.at[0]);
  if (i < 0 || i + 1 >= spots.length) return;
  choosePlaces(card, [spots[i + 1].value]);
  one(".value input", card.node).focus();
}

function otherPlace(card) {
  const box = cloned("t-other"), input = one("input", box), bad = one(".bad", box);
  one("button", box).onclick = () => {
    const place = input.value.trim().toLowerCase().replace(/[\s_]+/g, "-");
    const position = `${card.side}-${place}-${one("select", box).value}`;
    const good = /^[a-z0-9]+(-[a-z0-9]+)*$/.test(place) && position.length <= 60;
    showProblem(input, good ? "" : "A word or two of letters and digits.", bad);
    if (!good) return;
    if (!state.extra.includes(position)) state.extra.push(position);
    save();
    drawMap(card);
    choosePlaces(card, [position]);
    one(".value input", card.node).focus();
  };
  return box;
}

// ---- Ticking several points as sound --------------------------------------

// showTicking swaps the cards for a list of points to tick. Only what is ticked
// becomes sound, and only where nothing was entered before.
function showTicking() {
  const button = one("#several");
  button.ariaPressed = String(ticking);
  button.textContent = ticking ? "Back to the points" : "Tick several as sound";
  one("#mark-row").hidden = !ticking;
  for (const card of cards) {
    one(":scope > .tick", card.node)?.remove();
    card.node.classList.toggle("ticking", ticking);
    if (ticking) card.node.append(tickRow(card));
  }
  if (ticking) countTicks();
}

function tickRow(card) {
  const { p } = card;
  const places = card.at.map((w) => (w ? titleOf(w) : "")).filter(Boolean).join(", ");
  const known = card.at.map((w) => shortOf(p, readingAt(p, w))).filter(Boolean).join(", ");
  const box = element("input", { type: "checkbox", onchange: countTicks });
  box.disabled = card.at.length === 0 || known !== "" || Boolean(state.absent[p.code]);
  const why = known || (card.at.length === 0 ? "choose a place first" : state.absent[p.code] ? "this van has none" : places);
  card.box = box;
  return element("label", { className: "tick" }, box, element("span", {}, p.title, ...(why ? [element("small", {}, why)] : [])));
}

const ticked = () => cards.filter((c) => c.box && c.box.checked);

function countTicks() {
  const n = ticked().length;
  one("#mark").disabled = n === 0;
  one("#mark").textContent = n === 1 ? "Mark the 1 ticked point sound" : `Mark the ${n} ticked points sound`;
}

function markTicked() {
  const marked = ticked();
  for (const card of marked) for (const place of card.at) enter(card.p, place, { verdict: "sound" });
  ticking = false;
  showTicking();
  for (const card of marked) drawCard(card);
  showZoneCount();
  showCount();
  say(one("#zone-said"), `${marked.length} marked sound`);
  one("#several").focus();
}

// ---- Papers ---------------------------------------------------------------

const kindTitle = (kind) => one(`#adds [value="${kind}"]`)?.textContent || kind;

function showPapers() {
  one("#papers").replaceChildren(...state.papers.map(paperCard));
}

function paperCard(paper, index) {
  const node = cloned("t-paper");
  node.id = "paper-" + index;
  one("legend", node).textContent = kindTitle(paper.kind);
  for (const input of each("[data-cell]", node)) bindPaper(node, paper, index, input);
  bindPhotos(node, one("textarea", node));
  showCovered(node, paper);
  one(".clear", node).onclick = () => ask(`Remove the paper “${kindTitle(paper.kind)}”?`, "Remove it", () => {
    state.papers.splice(index, 1);
    save();
    showPapers();
    one("#h-paperwork").parentElement.focus();
  });
  return node;
}

function bindPaper(node, paper, index, input) {
  const cell = input.dataset.cell;
  if (input.type === "radio") {
    input.name = "held-" + index;
    input.checked = paper.held === input.value;
  } else if (input.type === "checkbox") {
    input.checked = paper.covers.includes(input.value);
  } else {
    input.value = paper[cell] || "";
  }
  const check = () => {
    const bad = one(".bad", input.closest("div"));
    if (bad && input.type !== "radio" && input.type !== "checkbox") showProblem(input, paperProblem(paper, cell), bad);
  };
  input.addEventListener("input", () => {
    if (input.type === "checkbox") paper.covers = each("[data-cell=covers]:checked", node).map((b) => b.value);
    else paper[cell] = input.value;
    showCovered(node, paper);
    save();
    if (input.type !== "date") check();
  });
  input.addEventListener("change", check);
}

function showCovered(node, paper) {
  one(".covered", node).textContent = paper.covers.length ? `: ${paper.covers.length} ticked` : "";
}

function paperProblem(paper, cell) {
  const value = (paper[cell] || "").trim();
  if (cell === "held") return value ? "" : "Say whether it is held, promised or not there.";
  if (value === "") return "";
  if (cell === "dated") return dayProblem(value, true);
  if (cell === "expires") return dayProblem(value, false) || (paper.dated && value < paper.dated ? "Not before its date." : "");
  if (cell === "mileage") return /^\d{1,6}$/.test(plainDigits(value)) ? "" : "A whole number of miles.";
  return cell === "note" ? noteProblem(value) : "";
}

const plainDigits = (text) => text.replace(/[\s,]/g, "");

function addPaper(kind) {
  state.papers.push({ kind, dated: "", mileage: "", evidence: "", covers: [], held: "", expires: "", note: "" });
  save();
  showPapers();
  const card = one("#papers").lastElementChild;
  card.scrollIntoView({ block: "start" });
  one("input", card).focus({ preventScroll: true });
}

// ---- The three files ------------------------------------------------------

// cell writes one CSV cell. Control characters, which no table takes, go; all
// else stays as it was typed.
function cell(value) {
  const clean = String(value ?? "").replace(/\r\n?/g, "\n").replace(/[\u0000-\u0008\u000B-\u001F\u007F]/g, "").trim();
  return /[",;\n\t]/.test(clean) ? '"' + clean.replaceAll('"', '""') + '"' : clean;
}

const csv = (columns, rows) => [columns, ...rows.map((r) => columns.map((c) => r[c]))].map((r) => r.map(cell).join(",") + "\n").join("");

const stockID = () => (state.fields.stock_id || "").trim();

function vanRow() {
  const row = { body: state.fields.body, status: "offered", equipment: state.equipment.join(";") };
  for (const input of fieldInputs()) row[input.name] = readField(input).text;
  return row;
}

// readingRows gives what was entered at points and places that this van has, in
// the order of the walk, and what else is kept.
function readingRows() {
  const rows = [], used = new Set();
  const { taken_on, inspector } = state.fields;
  for (const z of book.zones) {
    for (const p of z.points.filter(asked)) {
      const places = placesOf(p).map((c) => c.word);
      for (const place of places.length ? places : [""]) {
        const r = state.readings[keyOf(p, place)];
        if (!r || (r.value.trim() === "" && r.verdict === "" && r.note.trim() === "")) continue;
        used.add(keyOf(p, place));
        const value = readValue(p, r.value).text || "";
        rows.push({
          stock_id: stockID(), taken_on, inspector, checkpoint: p.code, position: place,
          value, unit: value && p.unit, verdict: r.verdict || (value ? "" : "untested"), note: r.note,
        });
      }
    }
  }
  return { rows, leftOut: Object.keys(state.readings).filter((k) => !used.has(k)) };
}

const paperRows = () => state.papers.map((paper) => ({
  ...paper, stock_id: stockID(), mileage: plainDigits(paper.mileage), covers: paper.covers.join(";"),
}));

function csvFiles() {
  return {
    "vans.csv": csv(book.vans, [vanRow()]),
    "readings.csv": csv(book.readings, readingRows().rows),
    "documents.csv": csv(book.documents, paperRows()),
  };
}

// problems lists what would be rejected, each with where to mend it.
function problems() {
  const out = [];
  if (!state.fields.body) out.push({ text: "Choose the body.", to: "van/step-van" });
  for (const input of fieldInputs()) {
    const problem = fieldProblem(input);
    if (problem) out.push({ text: input.ariaRequired === "true" && !input.value ? problem : `${input.dataset.label}: ${problem}`, to: "van/" + input.id });
  }
  for (const z of book.zones) {
    for (const p of z.points.filter(asked)) {
      const places = placesOf(p).map((c) => c.word);
      for (const place of places.length ? places : [""]) {
        const r = readingAt(p, place), problem = readValue(p, r.value).problem || noteProblem(r.note);
        const where = p.title + (place ? ", " + titleOf(place).toLowerCase() : "");
        if (problem) out.push({ text: `${where}: ${problem}`, to: `zone-${z.code}/${p.code}` });
      }
    }
  }
  state.papers.forEach((paper, i) => {
    for (const c of ["held", "dated", "expires", "mileage", "note"]) {
      const problem = paperProblem(paper, c);
      if (problem) out.push({ text: `${kindTitle(paper.kind)}: ${problem}`, to: "paperwork/paper-" + i });
    }
  });
  return out;
}

const linkTo = (to, words) => element("a", { href: "#" + to }, words);

function showFinish() {
  const wrong = problems(), files = csvFiles(), { rows, leftOut } = readingRows();
  const counts = { "vans.csv": "1 van", "readings.csv": counted(rows.length, "reading"), "documents.csv": counted(state.papers.length, "paper") };
  one("#problems").replaceChildren();
  if (wrong.length) {
    one("#problems").append(
      element("h2", {}, "To put right first"),
      element("ul", { className: "links" }, ...wrong.map((w) => element("li", {}, linkTo(w.to, w.text)))),
    );
  }
  for (const b of each("[data-file]")) {
    one("small", b).textContent = counts[b.dataset.file];
    b.disabled = wrong.length > 0;
  }
  one("#blocked").textContent = wrong.length ? `${counted(wrong.length, "thing")} to put right before the files can be taken.` : "";
  one("#texts").hidden = wrong.length > 0;
  for (const t of each("[data-text]")) t.value = wrong.length ? "" : files[t.dataset.text];
  showUntested();
  showLeftOut(leftOut);
}

const counted = (n, word) => `${n} ${word}${n === 1 ? "" : "s"}`;

// showUntested lists what nobody looked at, zone by zone.
function showUntested() {
  const zones = [];
  for (const z of book.zones) {
    const open = z.points.filter(asked).map((p) => ({ p, left: unread(p) })).filter((x) => x.left.length);
    if (open.length === 0) continue;
    const items = open.map(({ p, left }) => {
      const part = placesOf(p).length && left.length < (isDamp(p) ? 99 : placesOf(p).length) ? ": " + left.join(", ").toLowerCase() : "";
      return element("li", {}, linkTo(`zone-${z.code}/${p.code}`, p.title + part));
    });
    zones.push(element("details", {}, element("summary", {}, `${z.title}: ${open.length}`), element("ul", { className: "links" }, ...items)));
  }
  one("#untested").replaceChildren(...(zones.length ? zones : [element("p", {}, "Every point that applies was looked at.")]));
}

// showLeftOut names what is kept but not written, so that nothing goes missing
// unsaid: readings of equipment or places that were taken off the van since.
function showLeftOut(keys) {
  const names = keys.map((k) => {
    const [code, place] = k.split("|");
    return (points.get(code)?.title || code) + (place ? ", " + titleOf(place).toLowerCase() : "");
  });
  one("#left-out").replaceChildren(...(names.length ? [
    element("h2", {}, "Left out of the files"),
    element("p", {}, "Entered, but this body or equipment has no such point now:"),
    element("ul", {}, ...names.map((n) => element("li", {}, n))),
  ] : []));
}

function download(name) {
  const url = URL.createObjectURL(new Blob([csvFiles()[name]], { type: "text/csv" }));
  element("a", { href: url, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(url), 60000);
  say(one("#blocked"), `${name} is in the downloads.`);
}

// ---- Beginning ------------------------------------------------------------

function startAgain() {
  ask("Throw away what was entered for this van and start again?", "Throw it away", () => {
    state = fresh();
    keep();
    zoneShown = null;
    fillVan();
    if (here === "van") route();
    go("van");
  });
}

bindVan();
fillVan();
for (const id of ["back", "next"]) one("#" + id).onclick = (e) => go(e.currentTarget.dataset.to);
one("#all").onclick = () => go("all");
one(".skip").onclick = (e) => { e.preventDefault(); one("main > section:not([hidden])").focus(); };
one("#several").onclick = () => { ticking = !ticking; showTicking(); };
one("#mark").onclick = markTicked;
for (const b of each("#adds button")) b.onclick = () => addPaper(b.value);
for (const b of each("[data-file]")) b.onclick = () => download(b.dataset.file);
for (const b of each(".again")) b.onclick = startAgain;
addEventListener("hashchange", route);
keep();
route();
