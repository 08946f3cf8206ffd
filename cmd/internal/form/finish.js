// ---- The slip -------------------------------------------------------------

const stockID = () => field("stock_id").trim();

// vanCells are the cells of vans.csv as they stand here, by column.
function vanCells() {
  const row = { stock_id: stockID(), body: field("body"), equipment: van.under("fitted").sort().join(";") };
  for (const input of fieldInputs()) if (!["taken_on", "inspector"].includes(input.name)) row[input.name] = readField(input).text;
  return row;
}

// vanRows is the row of vans.csv: all cells of a van that is new to the yard, only
// what changed of one of which it knows some cells. The status of such a van is not
// ours to say.
function vanRows(known) {
  const row = vanCells();
  if (!inStock() && !known) return [{ ...row, status: "offered" }];
  const changed = Object.fromEntries(Object.entries(row).filter(([name, value]) => value !== "" && value !== ((known || {})[name] || "")));
  return Object.keys(changed).length ? [{ stock_id: row.stock_id, ...changed }] : [];
}

// readingRows gives what was entered at points and places that this van has, in
// the order of the walk, and what else is kept.
function readingRows() {
  const rows = [], used = new Set();
  for (const p of book.zones.flatMap((z) => z.points).filter(asked)) {
    const places = placesOf(p).map((c) => c.word);
    for (const place of places.length ? places : [""]) {
      const r = readingAt(p, place);
      if (r.value.trim() === "" && r.verdict === "" && r.note.trim() === "") continue;
      used.add(keyOf(p, place));
      const value = readValue(p, r.value).text || "";
      rows.push({
        stock_id: stockID(), taken_on: field("taken_on"), inspector: field("inspector"), checkpoint: p.code, position: place,
        value, unit: value && p.unit, verdict: r.verdict || (value ? "" : "untested"), note: r.note,
      });
    }
  }
  return { rows, leftOut: readings().filter((k) => !used.has(k)) };
}

const paperRows = () => paperIDs().map((id) => {
  const { kind, dated, mileage, evidence, covers, held, expires, note } = paperOf(id);
  return { stock_id: stockID(), kind, dated, mileage: readWhole(mileage, 0, 999999).text, evidence, covers: covers.join(";"), held, expires, note };
});

async function makeSlip() {
  if (problems().length) { showFinish(); return null; } // midnight has passed, or another tab has changed it
  const photos = await photoRows(van, stockID()), readings = readingRows().rows, papers = paperRows(), by = field("inspector") || person();
  const slip = slipFor(van, stockID(), JSON.stringify([vanCells(), inStock(), readings, papers, van.under("photo").sort(), by]), { known: van.get("known") });
  const tables = { "vans.csv": vanRows(slip.known), "readings.csv": readings, "documents.csv": papers, "photos.csv": photos.rows };
  await van.keep();
  return {
    file: packed(slip, by, tables, photos.files),
    done: (arrived) => {
      van.set("slip", { ...slip, handed: true });
      if (arrived) van.set("known", vanCells());
      showHanded();
    },
  };
}

// problems lists what would be rejected, each with where to mend it.
function problems() {
  const out = [];
  if (!field("body") && !inStock()) out.push({ text: "Choose the body.", to: "van/step-van" });
  for (const input of fieldInputs()) {
    const problem = fieldProblem(input);
    if (problem) out.push({ text: isNeeded(input) && !input.value ? problem : `${input.dataset.label}: ${problem}`, to: "van/" + input.id });
  }
  for (const step of steps().filter((s) => s.points)) {
    for (const p of step.points.filter(asked)) {
      const places = step.wheel ? [step.wheel] : placesOf(p).map((c) => c.word);
      for (const place of places.length ? places : [""]) {
        const r = readingAt(p, place), problem = readValue(p, r.value).problem || noteProblem(r.note);
        const where = p.title + (place ? ", " + titleOf(place).toLowerCase() : "");
        if (problem) out.push({ text: `${where}: ${problem}`, to: `${step.code}/${p.code}` });
      }
    }
  }
  for (const id of paperIDs()) {
    for (const c of ["held", "dated", "expires", "mileage", "note"]) {
      const problem = paperProblem(paperOf(id), c);
      if (problem) out.push({ text: `${kindTitle(paperOf(id).kind)}: ${problem}`, to: "paperwork/paper-" + id });
    }
  }
  return out;
}

const linkTo = (to, words) => element("a", { href: "#" + to }, words);

function showFinish() {
  fillVan(); // the problems read its inputs
  const wrong = problems(), { rows, leftOut } = readingRows(), photos = van.under("photo").length;
  one("#problems").replaceChildren();
  if (wrong.length) {
    one("#problems").append(
      element("h2", {}, "To put right first"),
      element("ul", { className: "links" }, ...wrong.map((w) => element("li", {}, linkTo(w.to, w.text)))),
    );
  }
  put(one("#holds"), `${nameOf(van)}: ${counted(rows.length, "reading")}, ${counted(paperIDs().length, "document")}, ${counted(photos, "photo")}.`);
  for (const b of each("#slip button")) b.disabled = wrong.length > 0;
  say(one("#answer"), wrong.length ? `${counted(wrong.length, "thing")} to put right before it can be handed in.` : "");
  showHanded();
  showUntested();
  showLeftOut(leftOut);
}

function showHanded() {
  const slip = van.get("slip");
  put(one("#handed"), slip && slip.handed ? `Handed on ${plainDay(slip.made.slice(0, 10))} at ${slip.made.slice(11, 16)}. What you change now goes in with the next slip; what is read on another day is another visit.` : "");
  one("#revisit").hidden = !isHanded(van);
}

const isHanded = (entry) => Boolean((entry.get("slip") || {}).handed);

// anotherVisit begins a new report of the van on the screen, with what is known of
// the van and nothing of what was found.
function anotherVisit() {
  const before = van;
  newVan(vanCells());
  for (const word of before.under("wheels")) van.set("wheels:" + word, true);
  if (before.get("full")) van.set("full", true);
}

// showUntested lists what was not looked at, step by step, and what the short
// appraisal left out.
function showUntested() {
  const zones = [];
  for (const s of steps().filter((q) => q.points)) {
    const open = s.points.filter(asked).map((p) => ({ p, left: unreadAt(p, s.wheel) })).filter((x) => x.left.length);
    if (open.length === 0) continue;
    const items = open.map(({ p, left }) => {
      const part = !s.wheel && placesOf(p).length && left.length < (isDamp(p) ? 99 : placesOf(p).length) ? ": " + left.join(", ").toLowerCase() : "";
      return element("li", {}, linkTo(`${s.code}/${p.code}`, p.title + part));
    });
    zones.push(element("details", {}, element("summary", {}, `${s.title}: ${open.length}`), element("ul", { className: "links" }, ...items)));
  }
  const beyond = [...points.values()].filter((p) => applies(p) && !inWalk(p)).length;
  if (beyond) zones.push(element("p", {}, `Beyond the short appraisal: ${counted(beyond, "point")}, untested too.`));
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
    element("h2", {}, "Left out of the slip"),
    element("p", {}, "Entered, but this body or equipment has no such point now:"),
    element("ul", {}, ...names.map((n) => element("li", {}, n))),
  ] : []));
}
