// What all offline pages use to read and change their own document.
"use strict";

const one = (selector, root = document) => root.querySelector(selector);
const each = (selector, root = document) => [...root.querySelectorAll(selector)];
const cloned = (id) => one("#" + id).content.firstElementChild.cloneNode(true);
const counted = (n, word) => `${n} ${word}${n === 1 ? "" : "s"}`;
const titleOf = (word) => (word ? word[0].toUpperCase() + word.slice(1) : "").replaceAll("-", " ");

function element(tag, properties, ...children) {
  const node = Object.assign(document.createElement(tag), properties);
  node.append(...children);
  return node;
}

// say changes a live text only where it differs, so that it is read out once.
function say(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

function put(node, words) {
  node.textContent = words;
  node.hidden = !words;
}

// showProblem puts a problem under its input, or takes it away.
function showProblem(input, problem, under) {
  under.textContent = problem;
  under.hidden = problem === "";
  input.ariaInvalid = problem === "" ? "false" : "true";
}

// ask puts a question that has to be answered before something is thrown away.
function ask(question, yes, then) {
  const dialog = one("#ask");
  one("#ask-text").textContent = question;
  one("#ask-yes").textContent = yes;
  one("#ask-yes").onclick = () => { dialog.close(); then(); };
  one("#ask-no").onclick = () => dialog.close();
  dialog.showModal();
}

// isoDay writes a day, with months counted from 0, as 2026-03-09.
function isoDay(year, month, day) {
  return new Date(Date.UTC(year, month, day)).toISOString().slice(0, 10);
}

function today() {
  const d = new Date();
  return isoDay(d.getFullYear(), d.getMonth(), d.getDate());
}

function addMonths(day, n) {
  const [y, m, d] = day.split("-").map(Number);
  const last = new Date(Date.UTC(y, m + n, 0)).getUTCDate();
  return isoDay(y, m - 1 + n, Math.min(d, last));
}

// plainDay writes 2026-03-09 as people do: 9 Mar 2026.
function plainDay(day) {
  return new Date(day + "T12:00:00Z").toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric", timeZone: "UTC" });
}

// dayProblem says what is wrong with a date; past days are those that have come.
function dayProblem(text, past) {
  if (!/^\d{4}-\d\d-\d\d$/.test(text)) return "A date.";
  const year = +text.slice(0, 4);
  if (year < 1950 || year > 2100) return "A date from 1950 to 2100.";
  return past && text > today() ? "A date that has come." : "";
}

// readMoney returns an amount in pounds as the tables take it, or what is wrong.
function readMoney(raw) {
  const text = raw.replace(/[£\s,]/g, "");
  if (text === "") return { text };
  const good = /^\d{1,9}(\.\d{1,2})?$/.test(text) && +text <= 1e8;
  return good ? { text } : { text, problem: "An amount in pounds such as 12495." };
}

// readWhole returns a whole number within its bounds, or what is wrong.
function readWhole(raw, low, high) {
  const text = raw.replace(/[\s,]/g, "");
  if (text === "") return { text };
  const good = /^\d{1,7}$/.test(text) && +text >= low && +text <= high;
  return good ? { text } : { text, problem: `A whole number from ${low} to ${high}.` };
}
