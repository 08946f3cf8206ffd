// ---- The damp map ---------------------------------------------------------

// The body is drawn laid flat, as in the reports: the whole of it to find one's
// way, and below it the side chosen, large enough to tap.

const SVG = one("svg").namespaceURI;

function drawn(tag, attributes, ...children) {
  const node = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  node.append(...children);
  return node;
}

const bodyMap = () => (field("body") === "overcab" || !field("body") ? book.map : book.mapWithoutOvercab);

// bandOf names the pattern of a reading: the bands of the appraisal.
function bandOf(p, r) {
  const { text } = readValue(p, r.value);
  if (!text) return r.verdict && r.verdict !== "sound" && r.verdict !== "untested" ? "band-high" : "band-unread";
  return book.bands.find((b) => b.from === null || +text >= b.from).class;
}

const shownAt = (p, word) => {
  const r = readingAt(p, word), read = readValue(p, r.value);
  return read.problem ? "?" : read.text || (r.verdict ? r.verdict : "");
};

function drawMap(card) {
  const box = one(".map", card.node), sides = [...new Set(placesOf(card.p).map((c) => c.word.split("-")[0]))];
  const choose = sides.map((side) => element("button", { type: "button", value: side, className: "to-side", onclick: () => chooseSide(card, side) }, titleOf(side)));
  box.replaceChildren(drawn("svg", { class: "body", "aria-hidden": "true" }), element("div", { className: "places", role: "group", ariaLabel: "Side of the body" }, ...choose), element("div", { className: "side" }));
  drawSide(card);
}

function chooseSide(card, side) {
  card.side = side;
  card.at = [];
  drawSide(card);
  drawCard(card);
  one(`.to-side[value=${side}]`, card.node).focus();
}

// drawBody draws the whole body; a tap on a panel chooses its side.
function drawBody(card) {
  const { p } = card, map = bodyMap(), picture = one(".body", card.node);
  picture.setAttribute("viewBox", `-1 0 ${map.width + 2} ${map.height}`);
  picture.replaceChildren(...map.panels.map((panel) => {
    const g = drawn("g", { class: panel.side === card.side ? "chosen" : "" }, drawn("text", { x: panel.titleX, y: panel.titleY }, panel.title));
    for (const c of panel.cells) {
      g.append(drawn("rect", { class: bandOf(p, readingAt(p, c.position)), x: c.x, y: c.y, width: map.cellW, height: map.cellH }));
      const text = shownAt(p, c.position);
      if (text && text.length < 5) g.append(drawn("text", { class: "mid halo", x: c.x + map.cellW / 2, y: c.y + map.cellH / 2 + 5 }, text));
    }
    g.onclick = () => chooseSide(card, panel.side);
    return g;
  }));
}

// drawSide draws the side chosen, each of its places a button where the whole
// map has it; places that the map does not have follow below.
function drawSide(card) {
  const box = one(".side", card.node), panel = bodyMap().panels.find((q) => q.side === card.side);
  if (!card.side) { box.replaceChildren(); return; }
  const inMap = new Map((panel ? panel.cells : []).map((c) => [c.position, c]));
  const spots = element("div", { className: "spots" }), below = element("div", { className: "places" });
  for (const { word, title } of placesOf(card.p).filter((c) => c.word.startsWith(card.side + "-"))) {
    const b = element("button", { type: "button", value: word, onclick: () => { choosePlaces(card, [word]); one(".value input", card.node).focus(); } });
    b.dataset.name = title;
    const c = inMap.get(word);
    if (c) {
      b.className = "spot";
      b.style.gridArea = `${c.row + 1} / ${c.column + 1}`;
    }
    (c ? spots : below).append(b);
  }
  const hint = element("p", { className: "hint" }, `${titleOf(card.side)}${panel ? ", " + panel.hint : ""}. Tap a place.`);
  box.replaceChildren(hint, spots, below, otherPlace(card));
}

function drawSpots(card) {
  drawBody(card);
  for (const b of each(".to-side", card.node)) {
    b.ariaPressed = String(b.value === card.side);
    const read = placesOf(card.p).filter((c) => c.word.startsWith(b.value + "-") && isReadAt(card.p, c.word)).length;
    b.replaceChildren(titleOf(b.value), ...(read ? [element("small", {}, read + " read")] : []));
  }
  for (const b of each(".side [data-name]", card.node)) {
    const shown = shownAt(card.p, b.value), label = titleOf(b.value.slice(card.side.length + 1));
    b.ariaPressed = String(card.at.includes(b.value));
    b.ariaLabel = `${shown || "not read,"} ${label}: ${b.dataset.name}`;
    b.classList.remove("band-dry", "band-watch", "band-work", "band-high", "band-structural", "band-unread");
    b.classList.add(bandOf(card.p, readingAt(card.p, b.value)));
    b.replaceChildren(element("b", {}, shown || "–"), " ", element("small", {}, label));
  }
}

// nextSpot moves to the next place of the side, so that a row of numbers can be
// typed without touching the picture.
function nextSpot(card) {
  const spots = each(".side [data-name]", card.node), i = spots.findIndex((b) => b.value === card.at[0]);
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
    van.set("spot:" + position, true);
    drawSide(card);
    choosePlaces(card, [position]);
    one(".value input", card.node).focus();
  };
  return box;
}
