// The condition form. What was entered of each van lives in an entry of its own,
// kept on the phone after every change; the page is drawn from it. Nothing is
// sent before a slip is handed in.

const book = JSON.parse(one("#book").textContent);
const points = new Map(book.zones.flatMap((z) => z.points.map((p) => [p.code, p])));

let vans = []; // all entries on this phone
let van = new Entry("van/none"); // the one on the screen

const field = (name) => van.get("field:" + name) || "";
const inStock = () => field("standing") === "stock";
const readings = () => van.under("reading");
const full = () => van.get("full") === true;

// ---- What applies to this van ---------------------------------------------

const has = (word) => van.get("fitted:" + word) === true || field("body") === word;
const fits = (wanted) => !wanted || wanted.length === 0 || wanted.some(has);
const applies = (p) => fits(p.fitted);
const isAbsent = (p) => van.get("absent:" + p.code) === true;
const asked = (p) => inWalk(p) && !isAbsent(p);
const isDamp = (p) => p.damp && p.positions.length > 0;
const isTwinPoint = (p) => p.positions.some((c) => c.word.endsWith("-inner"));

// inWalk reports whether a point is asked for: those of the short appraisal, and
// the others once the whole walk was chosen or something was entered there.
function inWalk(p) {
  return applies(p) && (p.short || full() || readings().some((k) => k.startsWith(p.code + "|")));
}

// placesOf lists where a point is read on this van: twin wheels only where it
// has them, the space above the cab only on a body that has one.
function placesOf(p) {
  const twins = isTwinPoint(p);
  const all = p.positions.filter(({ word }) => {
    if (word.startsWith("overcab")) return field("body") === "overcab" || !field("body");
    if (word === "spare") return van.get("wheels:spare") === true;
    if (!twins) return true;
    const twin = van.get("wheels:twin") === true;
    if (/-(inner|outer)$/.test(word)) return twin;
    return !(twin && /-rear$/.test(word));
  });
  if (!isDamp(p)) return all;
  const listed = new Set(all.map((c) => c.word));
  return all.concat(van.under("spot").filter((w) => !listed.has(w)).map((w) => ({ word: w, title: titleOf(w) })));
}

const keyOf = (p, place) => p.code + "|" + place;
const readingAt = (p, place) => van.get("reading:" + keyOf(p, place)) || { value: "", verdict: "", note: "" };

// isReadAt reports whether a place was looked at. A value that cannot be says nothing.
function isReadAt(p, place) {
  const { value, verdict } = readingAt(p, place);
  return (value.trim() !== "" && !readValue(p, value).problem) || (verdict !== "" && verdict !== "untested");
}

// enter changes what is known at one place and forgets a reading that says
// nothing any more.
function enter(p, place, change) {
  const r = { ...readingAt(p, place), ...change };
  van.set("reading:" + keyOf(p, place), r.value === "" && r.verdict === "" && r.note === "" ? null : r);
}

// unread lists the places of a point that were not read; a point without places
// gives itself. Damp counts by the side of the body, as no inspector reads every place.
function unread(p) {
  if (p.answer && field(p.answer)) return [];
  const places = placesOf(p);
  if (places.length === 0) return isReadAt(p, "") ? [] : [p.title];
  if (!isDamp(p)) return places.filter((c) => !isReadAt(p, c.word)).map((c) => c.title);
  const sides = new Map();
  for (const { word } of places) {
    const side = word.split("-")[0];
    sides.set(side, sides.get(side) || isReadAt(p, word));
  }
  return [...sides].filter(([, read]) => !read).map(([side]) => titleOf(side));
}

// progressOf counts points that were looked at everywhere.
function progressOf(among) {
  const here = among.filter(asked);
  return { all: here.length, done: here.filter((p) => unread(p).length === 0).length };
}

// ---- Values and limits ----------------------------------------------------

const visited = () => field("taken_on") || today();
const readValue = (p, raw) => readMeasure(p, raw, visited());

// judge returns the worst verdict whose limit a value has passed, "sound" where
// it has passed none, and nothing where the point has no limits, or
// none that count for this van's equipment.
function judge(p, text) {
  if (!p.steps || p.steps.length === 0 || text === "") return "";
  if ((p.barred || []).some(has)) return "";
  const day = p.unit === "date" ? lastDay(text) : p.unit === "code" ? madeOn(text) : "";
  const on = visited();
  if (p.unit === "code" && (day === "" || day > on)) return "";
  const passed = ({ at }) => {
    if (day) return addMonths(day, Math.round(12 * at)) <= on;
    if (!p.highBad) return +text < at;
    return p.allowed ? +text > at : +text >= at;
  };
  const step = p.steps.find(passed);
  return step ? step.verdict : "sound";
}

// dueOf says when a thing with a date on it is to be renewed: at its defect limit,
// or at the only one it has.
function dueOf(p, text) {
  if (p.unit !== "date" || !text || !p.steps || p.steps.length === 0) return "";
  const { at } = p.steps.find((s) => s.verdict === "defect") || p.steps[0];
  return "due " + plainMonth(addMonths(lastDay(text), Math.round(12 * at)));
}
