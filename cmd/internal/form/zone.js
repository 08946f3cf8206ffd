// ---- A zone, or a wheel of it ---------------------------------------------

let zoneShown = null; // the step
let cards = []; // the points on the screen
let ticking = false; // ticking several points as sound

function showZone(step) {
  if (!zoneShown || zoneShown.code !== step.code) ticking = false;
  zoneShown = step;
  one("#h-zone").textContent = step.title;
  const cautions = (step.zone.cautions || []).filter((c) => fits(c.fitted));
  one("#zone-cautions").replaceChildren(...cautions.map((c) => element("p", { className: "caution" }, c.text)));
  const headed = new Set(cautions.map((c) => c.text));
  cards = step.points.map((p) => newCard(p, step.wheel, headed));
  one("#points").replaceChildren(...cards.map((c) => c.node));
  showTicking();
  showZoneCount();
  say(one("#zone-said"), "");
}

function showZoneCount() {
  const { points: here, wheel } = zoneShown, left = here.filter((p) => asked(p) && unreadAt(p, wheel).length > 0).length;
  const all = here.filter(asked).length;
  say(one("#zone-count"), `${all - left} of ${all} looked at here`);
}

// afterEntry redraws what an entry changes.
function afterEntry(card) {
  drawCard(card);
  showZoneCount();
  showCount();
}

// newCard draws one point. `at` is the places that an entry goes to: one place,
// several, or [""] for a point that is read once a van. Nothing is chosen to
// begin with, so that no entry lands at a place that was not looked at.
function newCard(p, wheel, headed) {
  const card = { p, node: cloned("t-point"), at: wheel ? [wheel] : placesOf(p).length ? [] : [""], side: "", wheel };
  const { node } = card;
  node.id = p.code;
  one(".title", node).textContent = p.title;
  put(one(".limits", node), p.limits);
  put(one(".caution", node), headed.has(p.caution) ? "" : p.caution);
  put(one(".how", node), p.how);
  one(".value", node).hidden = p.unit === "";
  const input = one(".value input", node);
  fitInput(input, p);
  input.enterKeyHint = isDamp(p) ? "next" : "done";
  input.addEventListener("input", () => enterAll(card, { value: input.value }));
  input.addEventListener("keydown", (e) => { if (e.key === "Enter" && isDamp(p)) nextSpot(card); });
  one(".meant", node).onclick = (e) => { input.value = e.currentTarget.value; enterAll(card, { value: input.value }); };
  for (const radio of each(".verdicts input", node)) {
    radio.name = "v-" + p.code;
    radio.addEventListener("change", () => enterAll(card, { verdict: radio.value }));
  }
  const note = one("textarea", node);
  note.addEventListener("input", () => enterAll(card, { note: note.value }));
  card.drawPhotos = bindPhotos(one(".photos", node), () => van, () => [p.code, card.at[0] || ""]);
  one(".clear", node).onclick = () => {
    enterAll(card, { value: "", verdict: "", note: "" });
    (one(".verdicts input", node)).focus();
  };
  one(".same", node).onclick = () => sameElsewhere(card);
  one(".lack", node).hidden = !p.mayLack;
  const lack = one(".lack input", node);
  lack.checked = isAbsent(p);
  lack.addEventListener("change", () => {
    van.set("absent:" + p.code, lack.checked || null);
    afterEntry(card);
  });
  if (isDamp(p)) drawMap(card);
  drawCard(card);
  one("details", node).addEventListener("toggle", () => card.drawPhotos());
  return card;
}

function enterAll(card, change) {
  for (const place of card.at) enter(card.p, place, change);
  afterEntry(card);
}

function choosePlaces(card, places) {
  card.at = places;
  drawCard(card);
  if (one("details", card.node).open) card.drawPhotos();
}

// drawCard shows what is known at the places an entry would go to.
function drawCard(card) {
  const { p, node, at } = card, places = placesOf(p);
  const known = at.map((place) => readingAt(p, place));
  const same = (name) => (known.length && known.every((r) => r[name] === known[0][name]) ? known[0][name] : "");
  one(".entry", node).hidden = at.length === 0;
  one(".foot", node).hidden = at.length === 0;
  put(one(".at", node), places.length && !card.wheel ? at.map((w) => titleOf(w)).join(", ") : "");
  one(".what", node).textContent = valueLabel(p);
  const input = one(".value input", node), note = one("textarea", node);
  const value = inInput(p, same("value"));
  if (input.value !== value) input.value = value;
  if (note.value !== same("note")) note.value = same("note");
  const verdict = same("verdict");
  for (const radio of each(".verdicts input", node)) radio.checked = radio.value === verdict;
  const read = readValue(p, same("value")), meant = one(".meant", node);
  showProblem(input, read.problem || "", one(".value .bad", node));
  put(meant, read.meant ? `Did you mean ${read.meant}?` : "");
  meant.value = read.meant || "";
  showProblem(note, noteProblem(note.value), one(".note-bad", node));
  say(one(".says", node), [saidOf(p, read.text || "", verdict), dueOf(p, read.text || "")].filter(Boolean).join(", "));
  one(".clear", node).hidden = !known.some((r) => r.value || r.verdict || r.note);
  const photos = at.length ? photosAt(van, p.code, at[0]).length : 0;
  const more = [note.value ? "noted" : "", photos ? counted(photos, "photo") : ""].filter(Boolean).join(", ");
  one(".foot summary", node).textContent = "How, note, photos" + (more ? ` (${more})` : "");
  node.classList.toggle("gone", isAbsent(p));
  put(one(".known", node), card.wheel ? knownElsewhere(card, places) : "");
  const others = places.filter((c) => !at.includes(c.word) && !isReadAt(p, c.word));
  put(one(".same", node), card.wheel && others.length && isReadAt(p, card.wheel) && isAlike(p) ? `Same at the other ${others.length}` : "");
  if (isDamp(p)) drawSpots(card);
  else if (places.length && !card.wheel) drawPlaces(card, places);
}

// isAlike tells points that may well be the same at all wheels: what is measured
// in steps of its own at each wheel is not.
const isAlike = (p) => ["", "code", "index"].includes(p.unit);

// sameElsewhere enters what was found at this wheel at those not read.
function sameElsewhere(card) {
  const { value, verdict } = readingAt(card.p, card.wheel);
  for (const { word } of placesOf(card.p)) if (!isReadAt(card.p, word)) enter(card.p, word, { value, verdict });
  afterEntry(card);
}

// knownElsewhere says what was entered at other wheels.
function knownElsewhere({ p, at }, places) {
  const known = places.filter((c) => !at.includes(c.word)).map((c) => [c.title, shortOf(p, readingAt(p, c.word))]);
  return known.filter(([, r]) => r).map(([title, r]) => `${title} ${r}`).join(", ");
}

const noteProblem = (note) => ([...note].length > 4000 ? "4000 characters at most." : "");

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
  const value = p.unit === "date" && read.text ? plainMonth(read.text) : read.text;
  return [read.problem ? "?" : value, r.verdict].filter(Boolean).join(" ");
}

// drawPlaces draws a button for each place, and one for all that are left.
function drawPlaces(card, places) {
  const { p, node, at } = card, box = one(".places", node);
  const left = places.filter((c) => !isReadAt(p, c.word)).map((c) => c.word);
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

// ---- Ticking several points as sound --------------------------------------

// showTicking swaps the cards for a list to tick, with a line for each place of
// a point. Only what is ticked becomes sound, and only where nothing was entered.
function showTicking() {
  const button = one("#several");
  button.ariaPressed = String(ticking);
  button.textContent = ticking ? "Back to the points" : "Tick several as sound";
  one("#mark-row").hidden = !ticking;
  for (const card of cards) {
    each(":scope > .tick", card.node).forEach((n) => n.remove());
    card.node.classList.toggle("ticking", ticking);
    if (ticking) card.node.append(...tickRows(card));
  }
  if (ticking) countTicks();
}

function tickRows({ p, wheel }) {
  const places = wheel ? [{ word: wheel, title: "" }] : placesOf(p);
  return (places.length ? places : [{ word: "", title: "" }]).map(({ word, title }) => {
    const known = shortOf(p, readingAt(p, word)), why = known || (isAbsent(p) ? "this van has none" : "");
    const box = element("input", { type: "checkbox", value: word, onchange: countTicks, disabled: why !== "" });
    return element("label", { className: "tick" }, box, element("span", {}, p.title + (title ? `: ${title.toLowerCase()}` : ""), ...(why ? [element("small", {}, why)] : [])));
  });
}

const ticked = () => cards.flatMap((card) => each(":scope > .tick :checked", card.node).map((box) => [card, box.value]));

function countTicks() {
  const n = ticked().length;
  one("#mark").disabled = n === 0;
  one("#mark").textContent = n === 1 ? "Mark the 1 ticked point sound" : `Mark the ${n} ticked points sound`;
}

function markTicked() {
  const marked = ticked();
  for (const [card, place] of marked) enter(card.p, place, { verdict: "sound" });
  ticking = false;
  showTicking();
  for (const card of cards) drawCard(card);
  showZoneCount();
  showCount();
  say(one("#zone-said"), `${marked.length} marked sound`);
  one("#several").focus();
}
