// Values of checkpoints as they are typed: what goes into readings.csv, or what is
// wrong with it and what was likely meant.

// fitInput makes an input fit for the values of a point. What stands on hoses,
// alarms and filters is a month and a year.
function fitInput(input, p) {
  input.type = p.unit === "date" ? "month" : "text";
  input.placeholder = p.unit === "date" && input.type === "text" ? "04/2021" : "";
  input.inputMode = ["code", "index", "count"].includes(p.unit) ? "numeric" : p.unit === "degC" ? "text" : "decimal";
}

// inInput is a value as its input shows it. A day that was kept before only months
// were asked for is shown by its month.
const inInput = (p, value) => (p.unit === "date" ? value.slice(0, 7) : value);

function valueLabel(p) {
  if (p.unit === "date") return "Month and year";
  if (p.unit === "code") return "Date code";
  if (["count", "index"].includes(p.unit)) return "Number";
  return "Value in " + (p.sign || p.unit);
}

// readMeasure returns the text that goes into readings.csv for a value seen on a
// day, or what is wrong and, where a slip of the finger is likely, what was likely
// meant. It forgives a decimal comma and the unit behind the number.
function readMeasure(p, raw, on) {
  const text = raw.trim();
  if (text === "") return { text: "" };
  if (p.unit === "date") return readDated(p, text, on);
  if (p.unit === "code") return readCode(p, text.replace(/\s/g, ""), on);
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

// likely is what a number that cannot be was meant to be: the same digits with
// the point, or without the minus, where they can be, as in 29 for 2.9 mm. It is
// blank where nothing fits. Package data asks in the same order.
function likely(p, number) {
  const fits = (n) => n !== number && n >= p.least && n <= p.most && (!p.whole || Number.isInteger(n));
  const fit = [0.1, 0.01, 10, -1, 0.001, 100, 1000].map((by) => +(number * by).toPrecision(6)).find(fits);
  return fit === undefined ? "" : String(fit);
}

const MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

// readMonth writes 04/2021 and Apr 2021 as 2021-04; anything else stays as it is.
function readMonth(text) {
  const slashed = /^(\d{1,2})\/(\d{4})$/.exec(text), spaced = /^([a-z]{3,9})\.? (\d{4})$/i.exec(text);
  if (slashed) return `${slashed[2]}-${slashed[1].padStart(2, "0")}`;
  const month = spaced ? MONTHS.indexOf(spaced[1].slice(0, 3).toLowerCase()) + 1 : 0;
  return month ? `${spaced[2]}-${String(month).padStart(2, "0")}` : text;
}

const isMonth = (text) => /^\d{4}-(0[1-9]|1[0-2])$/.test(text);

// lastDay is the day to which a date counts: a month to its end.
function lastDay(text) {
  if (!isMonth(text)) return text;
  const [y, m] = text.split("-").map(Number);
  return isoDay(y, m, 0);
}

const plainMonth = (day) => new Date(day.slice(0, 7) + "-15T12:00:00Z").toLocaleDateString("en-GB", { month: "short", year: "numeric", timeZone: "UTC" });

// readDated takes a month, or a day, that can stand on a thing seen on the day of
// the visit.
function readDated(p, raw, on) {
  const text = readMonth(raw);
  if (!isMonth(text) && dayProblem(text, false)) return { problem: "A month and a year such as 04/2021." };
  const first = isMonth(text) ? text + "-01" : text, low = addMonths(on, -12 * p.most), high = addMonths(on, -12 * p.least);
  if (lastDay(text) < low || first > high) return { problem: `A month from ${plainMonth(low)} to ${plainMonth(high)}.` };
  return { text };
}

// readCode takes the code of a tyre that was made when the van was seen. Week and
// year change places easily, as do two digits, and a nought at the start gets lost.
// Package data asks in the same order.
function readCode(p, digits, on) {
  if (!/^\d{3,4}$/.test(digits)) return { problem: "The three or four digits of the date code, such as 2319." };
  const fits = (code) => {
    const made = madeOn(code);
    return made !== "" && made <= on && addMonths(made, 12 * p.most) >= on;
  };
  if (fits(digits)) return { text: digits };
  const [a, b, c, d] = digits;
  const meant = (d ? [c + d + a + b, b + a + c + d, a + b + d + c] : ["0" + digits]).find(fits) || "";
  return { problem: "No tyre has this code: it is the week and the year, such as 2319.", meant };
}

// madeOn reads a tyre's code: the Monday of week WW of 20YY, or of 199Y where it
// has three digits. It is blank where there is no such week.
function madeOn(code) {
  const week = +code.slice(0, 2), year = code.length === 4 ? 2000 + +code.slice(2) : 1990 + +code.slice(2);
  const monday = (y) => 4 - ((new Date(Date.UTC(y, 0, 4)).getUTCDay() + 6) % 7); // of week 1, in January
  const day = isoDay(year, 0, monday(year) + 7 * (week - 1));
  return week < 1 || day >= isoDay(year + 1, 0, monday(year + 1)) ? "" : day;
}
