// ---- Steps of the walk ----------------------------------------------------

let here = "vans"; // the step on the screen

// atWheels are the points of a zone that are read wheel by wheel.
const atWheels = (zone) => zone.points.filter((p) => isTwinPoint(p) && inWalk(p));

// steps lists the walk: the vans on this phone, this van, what is fitted, each
// zone that has something to look at, the papers, the end. Where several points
// are read at wheels, each wheel is a step: one walks from wheel to wheel.
function steps() {
  const list = [{ code: "vans", title: "Vans on this phone" }, { code: "van", title: "The van" }, { code: "fitted", title: "What is fitted" }];
  for (const zone of book.zones) {
    const shown = zone.points.filter(inWalk), wheel = atWheels(zone);
    const several = wheel.length > 1 ? wheel : [];
    const wheels = new Set(several.flatMap((p) => placesOf(p).map((c) => c.word)));
    for (const { word, title } of book.wheels) {
      if (wheels.has(word)) list.push({ code: "wheel-" + word, title, zone, points: several.filter((p) => placesOf(p).some((c) => c.word === word)), wheel: word });
    }
    const rest = shown.filter((p) => !several.includes(p));
    if (rest.length) list.push({ code: "zone-" + zone.code, title: zone.title, zone, points: rest });
  }
  return list.concat({ code: "paperwork", title: "Documents" }, { code: "finish", title: "Finish and send" });
}

// route shows the step that the address names, such as #zone-cab or
// #zone-cab/horn.
function route() {
  const [code, target] = decodeURIComponent(location.hash.slice(1)).split("/");
  const step = steps().find((s) => s.code === code);
  const moved = here !== code;
  here = step || code === "all" ? code : "van";
  const shown = step && step.points ? "zone" : here;
  for (const s of each("main > section")) s.hidden = s.id !== "step-" + shown;
  if (step && step.points) showZone(step);
  const draw = { vans: showVans, van: fillVan, fitted: fillVan, paperwork: showPapers, finish: showFinish, all: showSteps }[here];
  if (draw) draw();
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

const go = (code) => { if (code) location.hash = code; };

function showNav() {
  const list = steps(), at = list.findIndex((s) => s.code === here);
  const sides = { back: list[at - 1], next: at < 0 ? list[1] : list[at + 1] };
  for (const [id, step] of Object.entries(sides)) {
    const button = one("#" + id);
    button.disabled = !step;
    button.dataset.to = step ? step.code : "";
    one(".to", button).textContent = step ? step.title : "";
    button.setAttribute("aria-label", step ? (id === "back" ? "Back to " : "On to ") + step.title : "");
  }
  one("#all").setAttribute("aria-current", here === "all" ? "page" : "false");
}

// showCount keeps the running counts in the head of the page.
function showCount() {
  const { all, done } = progressOf(book.zones.flatMap((z) => z.points));
  one("#who").textContent = nameOf(van);
  one("#bar").max = all || 1;
  one("#bar").value = done;
  say(one("#count"), `${done} of ${all} looked at, ${all - done} untested`);
}

function nameOf(entry) {
  const cells = ["reg", "maker", "model"].map((n) => entry.get("field:" + n) || (n === "reg" ? entry.get("field:stock_id") : ""));
  return cells.filter(Boolean).join(" ") || "A new van";
}

function showSteps() {
  one("#steps").replaceChildren(...steps().map((s) => {
    const button = element("button", { type: "button", value: s.code, onclick: () => go(s.code) }, s.title);
    if (s.points) {
      const left = s.points.filter((p) => asked(p) && unreadAt(p, s.wheel).length > 0).length;
      button.append(" ", element("small", {}, left ? `${left} to look at` : "done"));
    }
    return element("li", {}, button);
  }));
  one("#scope").textContent = full() ? "Back to the short appraisal" : "Take the whole walk";
}

// unreadAt is unread for one wheel of a step, or for the point as a whole.
function unreadAt(p, wheel) {
  if (!wheel) return unread(p);
  return isReadAt(p, wheel) ? [] : [wheel];
}

// ---- Vans on this phone ---------------------------------------------------

const OPEN = "vanwright-van"; // the van of this tab, and of the last one

function remember(id) {
  try {
    sessionStorage.setItem(OPEN, id);
    localStorage.setItem(OPEN, id);
  } catch { /* without a store there is one van, and it is open */ }
}

function remembered() {
  try { return sessionStorage.getItem(OPEN) || localStorage.getItem(OPEN); } catch { return null; }
}

// newVan begins an empty entry, or one of a van that stands in the yard.
function newVan(stock) {
  van = new Entry("van/" + Date.now().toString(36) + newID());
  vans.push(van);
  van.set("field:taken_on", today());
  if (person()) van.set("field:inspector", person());
  if (stock) {
    van.set("field:standing", "stock");
    van.set("known", stock);
    for (const [name, value] of Object.entries(stock)) if (name !== "equipment") van.set("field:" + name, value);
    for (const word of (stock.equipment || "").split(";").filter(Boolean)) van.set("fitted:" + word, true);
  }
  openVan(van, "van");
}

function openVan(entry, step) {
  van = entry;
  zoneShown = null;
  remember(van.id);
  if (location.hash === "#" + step) route();
  else go(step);
}

function showVans() {
  const list = vans.slice().sort((a, b) => (a.id < b.id ? 1 : -1)); // the newest first
  one("#vans").replaceChildren(...list.map((entry) => {
    const slip = entry.get("slip"), n = entry.under("reading").length;
    const state = [counted(n, "reading"), slip && slip.handed ? "handed on " + plainDay(slip.made.slice(0, 10)) : "not handed on"].join(", ");
    const button = element("button", { type: "button", value: entry.id, onclick: () => openVan(entry, "van") }, nameOf(entry), " ", element("small", {}, state));
    button.ariaCurrent = String(entry === van);
    return element("li", {}, button);
  }));
  const known = new Set(vans.filter((v) => !isHanded(v)).map((v) => v.get("field:stock_id")));
  one("#in-yard").hidden = book.stock.length === 0;
  const words = one("#find-van").value.toLowerCase().split(/\s+/).filter(Boolean);
  const found = book.stock.filter((s) => !known.has(s.stock_id) && words.every((w) => [s.stock_id, s.reg, s.maker, s.model].join(" ").toLowerCase().includes(w)));
  one("#yard-vans").replaceChildren(...found.slice(0, 12).map((s) => element("li", {}, element("button", { type: "button", value: s.stock_id, onclick: () => newVan(s) },
    [s.reg || s.stock_id, s.maker, s.model].join(" "), " ", element("small", {}, s.stock_id)))));
}

// removeVan throws one van away, once that was said.
function removeVan() {
  ask(`Throw away what was entered for ${nameOf(van)}? The other vans on this phone stay.`, "Throw it away", async () => {
    const gone = van;
    vans = vans.filter((v) => v !== gone);
    await removeEntry(gone);
    if (vans.length) openVan(vans[vans.length - 1], "vans");
    else newVan(null);
  });
}
