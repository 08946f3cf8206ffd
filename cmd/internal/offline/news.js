// Pages that gather news one item at a time: each item has a title, rows by table
// and photos. All that was not handed on yet goes into one slip.

let entry = new Entry("news/none"); // the page's record

// openNews opens the record in which a page keeps its news.
async function openNews(kind, id) {
  entry = (await entries(kind)).find((e) => e.id === id) || new Entry(id);
  for (const old of newsIDs(entry)) if (newsAt(entry, old).sent && newsAt(entry, old).at < Date.now() - NEWS_KEPT) entry.set("news:" + old, null);
}

// showStep shows one section of the page; its button in the bar, if it has one, is
// marked.
function showStep(step) {
  for (const s of each("main > section")) s.hidden = s.id !== "step-" + step;
  shownAt = location.hash;
  for (const b of each("nav button")) b.setAttribute("aria-current", b.id === "nav-" + step ? "page" : "false");
  if (step === "news") showNews(entry, one("#news"));
  showCount();
  scrollTo(0, 0);
  one("#step-" + step).focus({ preventScroll: true });
}

const go = (to) => { location.hash = to; };

function showCount() {
  const n = unsent(entry).length;
  say(one("#count"), n ? `${n} not handed in yet` : "");
  one("#nav-news").textContent = n ? `Hand in (${n})` : "Hand in";
}

// bindNews makes the bar, the list of news and the ways to the yard work. `about`
// and `by` name the slip and its sender; `changed` redraws what another tab has
// changed.
function bindNews(about, by, changed) {
  one("#nav-news").onclick = () => go("news");
  one("main").addEventListener("input", keepDraft);
  one(".skip").onclick = (e) => { e.preventDefault(); one("main > section:not([hidden])").focus(); };
  bindSlip(() => newsSlip(entry, about, by()));
  document.addEventListener("news", () => { showNews(entry, one("#news")); showCount(); });
  onOtherTab(async (id) => {
    if (id !== entry.id || !(await refresh(entry))) return;
    showCount();
    if (!one("#step-news").hidden) showNews(entry, one("#news"));
    changed();
  });
  addEventListener("hashchange", route);
  route();
  one("#ready").remove();
}

// ---- Drafts ---------------------------------------------------------------

// What stands in the inputs of a step is kept as well, by the step's address, until
// the entry is kept or left: a page that is loaded anew in the middle of an entry, or
// a phone whose battery goes flat, has it. A page with drafts has draftMore, which
// gives what else the step knows, and restoreMore, which takes it back.
const typedIn = (section) => each("input:not([type=file]), select, textarea", section);
let shownAt = null; // the address of the step on the screen
const isTick = (input) => input.type === "radio" || input.type === "checkbox";

function keepDraft() {
  const section = one("main > section:not([hidden])");
  if (shownAt !== location.hash || section.dataset.draft === undefined) return; // not while a step is being filled
  const values = typedIn(section).map((input) => (isTick(input) ? input.checked : input.value));
  entry.set("draft:" + location.hash, { values, more: draftMore() });
}

function restoreDraft(section) {
  const draft = entry.get("draft:" + location.hash);
  if (!draft) return;
  restoreMore(draft.more);
  typedIn(section).forEach((input, i) => {
    if (i < draft.values.length) input[isTick(input) ? "checked" : "value"] = draft.values[i];
  });
}

function dropDraft() {
  if (entry.get("draft:" + location.hash)) entry.set("draft:" + location.hash, null);
}

// ---- News -----------------------------------------------------------------

const newsIDs = (entry) => entry.under("news").sort();
const newsAt = (entry, id) => entry.get("news:" + id);
const unsent = (entry) => newsIDs(entry).filter((id) => !newsAt(entry, id).sent);
const NEWS_KEPT = 7 * 24 * 60 * 60 * 1000; // how long news that was handed on is shown, ms

function addNews(entry, title, tables, photos = []) {
  const id = Date.now().toString(36).padStart(9, "0") + newID().slice(0, 6);
  entry.set("news:" + id, { title, tables, photos, at: Date.now(), sent: "" });
}

// joinRows puts an item's rows behind those before it. Of one van two rows of
// vans.csv become one, the later word in each cell.
function joinRows(tables, more) {
  for (const [name, rows] of Object.entries(more)) {
    const all = (tables[name] = tables[name] || []);
    for (const row of rows) {
      const same = name === "vans.csv" && all.find((r) => r.stock_id === row.stock_id);
      if (same) Object.assign(same, Object.fromEntries(Object.entries(row).filter(([, v]) => v !== "")));
      else all.push({ ...row });
    }
  }
}

// newsSlip packs what was not handed on; null where there is nothing.
async function newsSlip(entry, about, by) {
  const ids = unsent(entry), tables = {}, files = [], rows = [];
  if (ids.length === 0) return null;
  for (const id of ids) {
    const item = newsAt(entry, id);
    joinRows(tables, item.tables);
    for (const photo of item.photos) {
      const bytes = await photoOf(photo.id);
      if (!bytes) continue;
      const { id: _, ...row } = photo, file = `photos/${String(rows.length + 1).padStart(2, "0")}.jpg`;
      rows.push({ ...row, file });
      files.push({ file, bytes });
    }
  }
  tables["photos.csv"] = rows;
  const slip = slipFor(entry, about, JSON.stringify([tables, ids]));
  await entry.keep();
  return {
    file: packed(slip, by, tables, files),
    done: () => {
      for (const id of ids) entry.set("news:" + id, { ...newsAt(entry, id), sent: slip.id });
      document.dispatchEvent(new Event("news"));
    },
  };
}

// showNews lists the news, the latest first; what was not handed on can be taken
// back.
function showNews(entry, box) {
  const items = newsIDs(entry).reverse().map((id) => {
    const item = newsAt(entry, id);
    const li = element("li", {}, element("span", {}, item.title), " ", element("small", {}, item.sent ? "handed in" : "not handed in yet"));
    if (!item.sent) {
      li.append(element("button", { type: "button", ariaLabel: "Take back: " + item.title, onclick: () => {
        entry.set("news:" + id, null);
        document.dispatchEvent(new Event("news"));
      } }, "Take back"));
    }
    return li;
  });
  box.replaceChildren(...(items.length ? items : [element("li", {}, "Nothing yet.")]));
  for (const b of each("#slip button")) b.disabled = unsent(entry).length === 0;
}
