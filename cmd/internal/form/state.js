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
const isRead = (r) => r.value.trim() !== "" || (r.verdict !== "" && r.verdict !== "untested");

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
  if (places.length === 0) return isRead(readingAt(p, "")) ? [] : [p.title];
  if (!isDamp(p)) return places.filter((c) => !isRead(readingAt(p, c.word))).map((c) => c.title);
  const sides = new Map();
  for (const { word } of places) {
    const side = word.split("-")[0];
    sides.set(side, sides.get(side) || isRead(readingAt(p, word)));
  }
  return [...sides].filter(([, read]) => !read).map(([side]) => titleOf(side));
}

// progressOf counts points that were looked at everywhere.
function progressOf(among) {
  const here = among.filter(asked);
  return { all: here.length, done: here.filter((p) => unread(p).length === 0).length };
}

// ---- Values and limits ----------------------------------------------------

// readValue returns the text that goes into readings.csv, or what is wrong and,
// where a slip of the finger is likely, what was likely meant. It forgives a
// decimal comma and the unit behind the number.
function readValue(p, raw) {
  const text = raw.trim();
  if (text === "") return { text: "" };
  if (p.unit === "date") {
    const problem = dayProblem(text, false) || ageProblem(p, text);
    return problem ? { problem } : { text };
  }
  if (p.unit === "code") {
    const digits = text.replace(/\s/g, "");
    return /^\d{3,4}$/.test(digits) ? { text: digits } : { problem: "The three or four digits of the date code, such as 2319." };
  }
  const parts = /^([-−]?)(\d*)(?:([.,])(\d+))?\s*(.*)$/.exec(text);
  const unitFits = parts && [p.unit, p.sign, ""].includes(parts[5]);
  if (!unitFits || (!parts[2] && !parts[4])) return { problem: "A plain number such as 4.5." };
  if (parts[3] === "," && parts[4].length === 3) return { problem: "Leave the comma out, or write a point for it." };
  const number = (parts[1] ? "-" : "") + (parts[2] || "0") + (parts[4] ? "." + parts[4] : "");
  if (parts[2].length > 12 || (parts[4] || "").length > 12 || +number < p.least || +number > p.most) {
    return { problem: `A number from ${p.least} to ${p.most}.`, meant: likely(p, +number) };
  }
  if (p.whole && !Number.isInteger(+number)) return { problem: "A whole number." };
  return { text: number };
}

// ageProblem refuses a date that cannot stand on a thing seen on the day of the
// visit.
function ageProblem(p, day) {
  const on = field("taken_on") || today();
  if (addMonths(day, 12 * p.least) > on || addMonths(day, 12 * p.most) < on) return `From ${p.least} to ${p.most} years before the visit.`;
  return "";
}

// likely is what a number that cannot be was meant to be: the same digits with
// the point, or without the minus, where they can be, as in 29 for 2.9 mm. It is
// blank where nothing fits. Package data asks in the same order.
function likely(p, number) {
  const fits = (n) => n !== number && n >= p.least && n <= p.most && (!p.whole || Number.isInteger(n));
  const fit = [0.1, 0.01, 10, -1, 0.001, 100, 1000].map((by) => +(number * by).toPrecision(6)).find(fits);
  return fit === undefined ? "" : String(fit);
}

// judge returns the worst verdict whose limit a value has passed, "sound" where
// it has passed none, and nothing where the point has no limits, or
// none that count for this van's equipment.
function judge(p, text) {
  if (!p.steps || p.steps.length === 0 || text === "") return "";
  if ((p.barred || []).some(has)) return "";
  const day = p.unit === "date" ? text : p.unit === "code" ? madeOn(text) : "";
  const on = field("taken_on") || today();
  if (p.unit === "code" && (day === "" || day > on)) return "";
  const passed = ({ at }) => {
    if (day) return addMonths(day, Math.round(12 * at)) <= on;
    if (!p.highBad) return +text < at;
    return p.allowed ? +text > at : +text >= at;
  };
  const step = p.steps.find(passed);
  return step ? step.verdict : "sound";
}

// madeOn reads a tyre's code: the Monday of week WW of 20YY, or of 199Y where it
// has three digits. It is blank where there is no such week.
function madeOn(code) {
  const week = +code.slice(0, 2), year = code.length === 4 ? 2000 + +code.slice(2) : 1990 + +code.slice(2);
  const monday = (y) => 4 - ((new Date(Date.UTC(y, 0, 4)).getUTCDay() + 6) % 7); // of week 1, in January
  const day = isoDay(year, 0, monday(year) + 7 * (week - 1));
  return week < 1 || day >= isoDay(year + 1, 0, monday(year + 1)) ? "" : day;
}
