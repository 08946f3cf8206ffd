// The technician's day. News is kept on the device until it is handed in.

const book = JSON.parse(one("#book").textContent);
const vanOf = (id) => book.vans.find((v) => v.stock_id === id) || { stock_id: id, reg: "", name: "", card: "" };
const jobKey = (j) => j.stock_id + "/" + j.job;
const titleOfJob = (code) => (book.labour.find((l) => l.word === code) || { title: code }).title;
const called = { open: "", started: "Started", "awaiting-parts": "Waits for a part", done: "Done", dropped: "Not needed" };

let job = null; // the job on the screen

// nameOf is what a van is called in the yard: its mark first.
function nameOf(id) {
  const v = vanOf(id);
  return [v.reg, v.name, v.reg ? `(${id})` : id].filter(Boolean).join(" ");
}

// lastWord is what was said here of a job, or else what the plan knew.
function lastWord(j) {
  const said = newsIDs(entry).flatMap((id) => newsAt(entry, id).tables["progress.csv"] || []).filter((r) => r.stock_id === j.stock_id && r.job === j.job);
  return said.length ? said[said.length - 1] : { state: j.state, hours_spent: j.spent };
}

// ---- Steps ----------------------------------------------------------------

// route shows what the address names: nothing for the jobs, STOCK/JOB for one of
// them, as the square of a job card has it.
function route() {
  const [a, b] = decodeURIComponent(location.hash.slice(1)).split("/");
  const step = a === "news" || a === "found" ? a : b !== undefined ? "job" : "jobs";
  const draw = { jobs: showJobs, job: () => showJob(a, b), found: () => showFound(b || "") }[step];
  if (draw) draw();
  showStep(step);
}

let dayShown = ""; // the day in the heading

function showJobs() {
  const first = book.jobs.length ? book.jobs[0].day : "";
  const day = book.jobs.some((j) => j.day === today()) ? today() : first;
  dayShown = day;
  one("#h-jobs").textContent = day && day !== today() ? "Jobs of " + plainDay(day) : "Today’s jobs";
  one("#as-of").textContent = plainDay(book.asOf);
  const now = book.jobs.filter((j) => j.day <= day), later = book.jobs.filter((j) => j.day > day);
  one("#today").replaceChildren(...(now.length ? now.map(jobCard) : [element("p", {}, "Nothing is planned.")]));
  one("#later").replaceChildren(...later.map(jobCard));
  one("#later-box").hidden = later.length === 0;
}

// jobCard draws one job; of another day than the page's it says which.
function jobCard(j) {
  const node = cloned("t-job"), word = lastWord(j);
  node.id = "job-" + jobKey(j);
  one("h2", node).textContent = j.title + (j.places ? ": " + j.places : "");
  one(".when", node).textContent = [j.day === dayShown ? "" : plainDay(j.day), j.from, `${j.hours} h`, j.bay].filter(Boolean).join(", ");
  one(".what", node).append(vanLink(j.stock_id));
  one(".state", node).textContent = [called[word.state], word.hours_spent ? `${word.hours_spent} h in all` : ""].filter(Boolean).join(", ");
  const acts = [["started", "Start"], ["done", "Done"], ["awaiting-parts", "Part"], ["dropped", "Not needed"]];
  one(".modes", node).append(...acts.map(([state, words]) => element("button", { type: "button", value: state, onclick: () => {
    if (state === "started") {
      keepProgress(j, { state, hours_spent: word.hours_spent || "", note: "" });
      showJobs();
      showCount();
    } else {
      go(jobKey(j));
      opening = state;
    }
  } }, words)));
  return node;
}

function vanLink(id) {
  const { card } = vanOf(id);
  return card ? element("a", { href: card }, nameOf(id)) : element("span", {}, nameOf(id));
}

// ---- One job --------------------------------------------------------------

let opening = ""; // the state that a button of the list asked for

function showJob(stockID, code) {
  job = book.jobs.find((j) => j.stock_id === stockID && j.job === code) ||
    { stock_id: stockID, job: code, title: titleOfJob(code), places: "", hours: "", spent: "", state: "open", parts: [], caution: "", again: [] };
  const another = !stockID || !code, word = lastWord(job);
  one("#h-job").textContent = another ? "Another job" : job.title + (job.places ? ": " + job.places : "");
  one("#job-about").replaceChildren(...(another ? [] : [vanLink(stockID), job.hours ? `, ${job.hours} h by the plan` : ""]));
  put(one("#job-caution"), job.caution);
  put(one("#job-parts"), job.parts && job.parts.length ? "Parts: " + job.parts.join(", ") : "");
  one("#pick-job").hidden = !another;
  if (another) fillPickers(stockID);
  for (const radio of each("[name=state]")) radio.checked = false;
  one("#hours").value = word.hours_spent || job.hours || "";
  one("#note").value = "";
  showProblem(one("#hours"), "", one("#e-hours"));
  one("#again").replaceChildren(...(job.again || []).map(againField));
  one("#waits").replaceChildren(...(job.parts || []).map((p) => element("button", { type: "button", onclick: () => { one("#note").value = "Waits for " + p; keepDraft(); } }, p)));
  restoreDraft(one("#step-job"));
  if (opening) one(`[name=state][value=${opening}]`).checked = true;
  opening = "";
  showState();
}

function fillPickers(stockID) {
  one("#pick-van").replaceChildren(...book.vans.map((v) => element("option", { value: v.stock_id }, nameOf(v.stock_id))));
  if (stockID) one("#pick-van").value = stockID;
  one("#pick-code").replaceChildren(...book.labour.map((l) => element("option", { value: l.word }, l.title)));
}

const pointOf = (code) => book.points.find((p) => p.code === code) || { unit: "" };

function againField(a, i) {
  const input = element("input", { autocomplete: "off", id: "again-" + i }), bad = element("p", { className: "bad", hidden: true }), meant = element("button", { type: "button", hidden: true });
  fitInput(input, pointOf(a.checkpoint));
  bindMeasure(input, bad, meant, () => pointOf(a.checkpoint));
  return element("div", { className: "field" }, element("label", { htmlFor: "again-" + i }, a.title, " ", element("small", {}, `was ${a.was}`)), input, bad, meant);
}

// bindMeasure says under an input what is wrong with its value, and offers what was
// likely meant.
function bindMeasure(input, bad, meant, pointNow) {
  input.oninput = () => {
    const { problem, meant: likely } = readMeasure(pointNow(), input.value, today());
    showProblem(input, problem || "", bad);
    put(meant, likely ? `Did you mean ${likely}?` : "");
    meant.value = likely || "";
  };
  meant.onclick = () => {
    input.value = meant.value;
    input.dispatchEvent(new Event("input", { bubbles: true }));
  };
}

function showState() {
  const state = (one("[name=state]:checked") || {}).value || "";
  one("#hours-box").hidden = state !== "done" && state !== "awaiting-parts";
  one("#again-box").hidden = state !== "done" || !(job.again || []).length;
  one("#waits-box").hidden = state !== "awaiting-parts" || !(job.parts || []).length;
  one("#keep").disabled = state === "";
}

// readHours takes 1.5, 1,5, 1:15, 1h and 1h15, as progress.csv does.
function readHours(raw) {
  const text = raw.trim().replace(",", ".");
  const clock = /^(\d{1,3})(?::|h)(\d\d)?$/.exec(text);
  if (clock) return { hours: +clock[1] + (+(clock[2] || 0)) / 60 };
  if (/^\d{1,3}(\.\d{1,2})?$/.test(text)) return { hours: +text };
  return { problem: "Hours such as 1.5 or 1:15." };
}

function stepHours(by) {
  const { hours } = readHours(one("#hours").value);
  one("#hours").value = String(Math.max(0, Math.round(((hours || 0) + by) * 4) / 4));
  showProblem(one("#hours"), "", one("#e-hours"));
  keepDraft();
}

function keepProgress(j, { state, hours_spent, note }, readings = []) {
  const row = { stock_id: j.stock_id, job: j.job, state, hours_spent, done_on: state === "done" ? today() : "", technician: book.technician, on: today(), note };
  const tables = { "progress.csv": [row] };
  if (readings.length) tables["readings.csv"] = readings;
  const hours = hours_spent ? `, ${hours_spent} h` : "";
  addNews(entry, `${called[state]}${hours}: ${j.title || titleOfJob(j.job)}, ${nameOf(j.stock_id)}`, tables);
}

function keepJob() {
  const state = one("[name=state]:checked").value, timed = !one("#hours-box").hidden;
  const { problem, hours } = timed ? readHours(one("#hours").value) : {};
  showProblem(one("#hours"), problem || "", one("#e-hours"));
  if (problem) { one("#hours").focus(); return; }
  const at = one("#pick-job").hidden ? job : { stock_id: one("#pick-van").value, job: one("#pick-code").value };
  const again = one("#again-box").hidden ? [] : job.again;
  const wrong = again.findIndex((a, i) => readMeasure(pointOf(a.checkpoint), one("#again-" + i).value, today()).problem);
  if (wrong >= 0) { one("#again-" + wrong).focus(); return; }
  const readings = again.flatMap((a, i) => {
    const value = readMeasure(pointOf(a.checkpoint), one("#again-" + i).value, today()).text;
    return value ? [{ stock_id: at.stock_id, taken_on: today(), inspector: book.technician, checkpoint: a.checkpoint, position: a.position, value, unit: a.unit }] : [];
  });
  dropDraft();
  keepProgress(at, { state, hours_spent: timed ? String(Math.round(hours * 100) / 100) : "", note: one("#note").value }, readings);
  go("");
}

// ---- Something found ------------------------------------------------------

let point = null; // the checkpoint chosen
let shots = new Entry("found", {}, false); // holds the photos until the finding is kept

function showFound(stockID) {
  point = null;
  shots = new Entry("found", {}, false);
  one("#found-van").replaceChildren(...book.vans.map((v) => element("option", { value: v.stock_id }, nameOf(v.stock_id))));
  const of = stockID || (book.jobs[0] || {}).stock_id;
  if (of) one("#found-van").value = of;
  one("#find-point").value = "";
  one("#found-form").hidden = true;
  findPoints();
  restoreDraft(one("#step-found"));
  showKeepFound();
}

const draftMore = () => ({ point: point && point.code, shots: shots.cells });

function restoreMore({ point: code, shots: cells }) {
  if (!location.hash.startsWith("#found")) return;
  shots.cells = { ...cells };
  if (code) choosePoint(pointOf(code));
}

function findPoints() {
  const words = one("#find-point").value.toLowerCase().split(/\s+/).filter(Boolean);
  const fit = words.length ? book.points.filter((p) => words.every((w) => p.title.toLowerCase().includes(w))).slice(0, 12) : [];
  one("#found-points").replaceChildren(...fit.map((p) => element("li", {}, element("button", { type: "button", value: p.code, onclick: () => choosePoint(p) }, p.title))));
}

function choosePoint(p) {
  point = p;
  one("#found-points").replaceChildren();
  one("#found-form").hidden = false;
  one("#found-title").textContent = p.title;
  const positions = p.positions || [];
  one("#found-places").hidden = positions.length === 0;
  one("#found-position").replaceChildren(...positions.map((c) => element("option", { value: c.word }, c.title)));
  one("#found-measure").hidden = p.unit === "";
  one("#found-unit").textContent = valueLabel(p) + " ";
  fitInput(one("#found-value"), p);
  one("#found-value").value = one("#found-note").value = "";
  one("#found-value").oninput();
  for (const radio of each("[name=verdict]")) radio.checked = false;
  drawShots();
  showKeepFound();
  keepDraft();
}

function showKeepFound() {
  const { text, problem } = point && point.unit ? readMeasure(point, one("#found-value").value, today()) : {};
  one("#keep-found").disabled = Boolean(problem) || (!text && !one("[name=verdict]:checked"));
}

let drawShots = () => {};

function keepFound() {
  const stock_id = one("#found-van").value, position = point.positions && point.positions.length ? one("#found-position").value : "";
  const value = point.unit ? readMeasure(point, one("#found-value").value, today()).text : "", verdict = (one("[name=verdict]:checked") || { value: "" }).value;
  const row = { stock_id, taken_on: today(), inspector: book.technician, checkpoint: point.code, position, value, unit: value && point.unit, verdict, note: one("#found-note").value };
  const photos = shots.under("photo").sort().map((id) => ({ id, stock_id, checkpoint: point.code, position, taken_on: today(), note: "", customer: shots.get("photo:" + id).customer ? "yes" : "" }));
  dropDraft();
  addNews(entry, `Found: ${point.title}${position ? ", " + titleOf(position).toLowerCase() : ""} ${value || verdict}, ${nameOf(stock_id)}`, { "readings.csv": [row] }, photos);
  go("");
}

// ---- The square of a job card ---------------------------------------------

// readSquare opens the job that a photographed square names: the address of this
// page with STOCK/JOB behind it, or STOCK,JOB.
async function readSquare(file) {
  const found = await new BarcodeDetector({ formats: ["qr_code"] }).detect(await createImageBitmap(file));
  const text = found.length ? found[0].rawValue : "";
  const parts = /(?:^|#)([A-Za-z0-9-]+)[,/]([a-z0-9-]+)$/.exec(text);
  say(one("#scan-said"), parts ? "" : "No job card's square was seen.");
  if (parts) go(parts[1] + "/" + parts[2]);
}

// ---- Beginning ------------------------------------------------------------

async function begin() {
  await openStore();
  await openNews("day", "day/" + book.technician);
  for (const b of each(".to-jobs")) b.onclick = () => { if (b.id !== "nav-jobs") dropDraft(); go(""); };
  one("#other").onclick = () => go("/");
  one("#found").onclick = () => go("found");
  one("#less").onclick = () => stepHours(-0.25);
  one("#more").onclick = () => stepHours(0.25);
  for (const radio of each("[name=state]")) radio.addEventListener("change", showState);
  one("#keep").onclick = keepJob;
  one("#find-point").oninput = findPoints;
  bindMeasure(one("#found-value"), one("#e-found-value"), one("#found-meant"), () => point);
  one("#found-value").addEventListener("input", showKeepFound);
  for (const radio of each("[name=verdict]")) radio.addEventListener("change", showKeepFound);
  one("#keep-found").onclick = keepFound;
  one("#found-photos").addEventListener("photos", keepDraft);
  drawShots = bindPhotos(one("#found-photos"), () => shots, () => [point.code, ""]);
  one("#scan-row").hidden = !("BarcodeDetector" in window);
  one("#scan").onchange = (e) => { if (e.target.files.length) readSquare(e.target.files[0]); };
  bindNews(book.technician.toLowerCase().replace(/\s+/g, "-"), () => book.technician, () => { if (!one("#step-jobs").hidden) showJobs(); });
}

begin();
