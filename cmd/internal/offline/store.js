// What was entered lives in records on this device. A record is a flat map of
// cells, each with the time of its last change: two tabs that change one record
// join what they know, cell by cell, in place of overwriting each other.

let db = null; // the browser's database; null where it stores nothing
const photoBytes = new Map(); // pictures of this visit, for browsers that store nothing

function openStore() {
  return new Promise((done) => {
    try {
      const opening = indexedDB.open("vanwright", 1);
      opening.onupgradeneeded = () => {
        opening.result.createObjectStore("records", { keyPath: "id" });
        opening.result.createObjectStore("photos", { keyPath: "id" });
      };
      opening.onsuccess = () => { db = opening.result; done(); };
      opening.onerror = opening.onblocked = () => done();
    } catch { done(); }
  });
}

// inStore runs one transaction and gives what `work` asked for. What was written
// is on the disk when it is done: a phone's battery may go flat at any time.
function inStore(name, mode, work) {
  return new Promise((done, failed) => {
    const transaction = db.transaction(name, mode, { durability: "strict" });
    let asked;
    transaction.oncomplete = () => done(asked && asked.result);
    transaction.onerror = transaction.onabort = () => failed(transaction.error);
    asked = work(transaction.objectStore(name), transaction);
  });
}

// joined gives the later of each cell; of two of one time the greater text, so
// that all tabs choose alike.
function joined(a, b) {
  const out = { ...a };
  for (const [key, cell] of Object.entries(b)) {
    const mine = out[key];
    if (!mine || cell.t > mine.t || (cell.t === mine.t && JSON.stringify(cell.v) > JSON.stringify(mine.v))) out[key] = cell;
  }
  return out;
}

// newID is letters and digits that no other phone will draw.
function newID() {
  return [...crypto.getRandomValues(new Uint8Array(8))].map((b) => b.toString(16).padStart(2, "0")).join("");
}

// A change is on the disk some milliseconds after it was made. Until then it
// stands in a journal that outlives a reload of the page at any moment.
const JOURNAL = "vanwright-late/";
const tab = newID();
const journalOf = (id) => JOURNAL + tab + "/" + id;

function journal(id, cells) {
  try {
    if (Object.keys(cells).length) localStorage.setItem(journalOf(id), JSON.stringify(cells));
    else localStorage.removeItem(journalOf(id));
  } catch { /* the change is lost if the page goes within milliseconds */ }
}

// journals gives what pages that were left had no time to put on the disk, by
// record, and forgets it once `after` has kept it.
async function journals(after) {
  let keys = [];
  try { keys = Object.keys(localStorage).filter((k) => k.startsWith(JOURNAL)); } catch { return; }
  for (const key of keys) {
    await after(key.slice(key.indexOf("/", JOURNAL.length) + 1), JSON.parse(localStorage.getItem(key) || "{}"));
    localStorage.removeItem(key);
  }
}

const wording = { kept: "kept on this device", not: "Not kept: this browser stores nothing, so finish before you close it" };

class Entry {
  // An entry that is not kept lives as long as its page.
  constructor(id, cells = {}, kept = true) {
    this.id = id;
    this.kept = kept;
    this.cells = cells;
    this.late = {}; // cells that are not on the disk yet
    this.writing = null;
    this.gone = false;
  }

  get(key) { return this.cells[key] ? this.cells[key].v : null; }

  // set changes a cell; null takes it away.
  set(key, v) {
    const old = this.cells[key];
    this.cells[key] = this.late[key] = { t: Math.max(Date.now(), old ? old.t + 1 : 0), v };
    if (!this.kept) return;
    journal(this.id, this.late);
    this.keep();
  }

  // under lists the cells whose keys begin with a word and a colon, by the rest
  // of the key.
  under(word) {
    const start = word + ":";
    return Object.keys(this.cells).filter((k) => k.startsWith(start) && this.cells[k].v !== null).map((k) => k.slice(start.length));
  }

  // keep writes the record soon; it never overwrites what another tab has kept.
  keep() {
    this.writing = this.writing || this.write();
    return this.writing;
  }

  async write() {
    while (Object.keys(this.late).length && !this.gone) {
      const begun = { ...this.late };
      try {
        if (!db) throw new Error("no store");
        await inStore("records", "readwrite", (records) => {
          const asked = records.get(this.id);
          asked.onsuccess = () => {
            if (asked.result) this.cells = joined(asked.result.cells, this.cells);
            records.put({ id: this.id, cells: this.cells });
          };
        });
        for (const [key, cell] of Object.entries(begun)) if (this.late[key] === cell) delete this.late[key];
        journal(this.id, this.late);
        tellTabs(this.id);
        say(one("#kept"), wording.kept);
      } catch {
        say(one("#kept"), wording.not);
        break;
      }
    }
    this.writing = null;
  }
}

// entries lists the records of a kind, such as van.
async function entries(kind) {
  if (!db) return [];
  await journals((id, cells) => inStore("records", "readwrite", (records) => {
    const asked = records.get(id);
    asked.onsuccess = () => records.put({ id, cells: joined(asked.result ? asked.result.cells : {}, cells) });
  }));
  const all = await inStore("records", "readonly", (records) => records.getAll());
  return all.filter((r) => r.id.startsWith(kind + "/")).map((r) => new Entry(r.id, r.cells));
}

async function removeEntry(entry) {
  entry.gone = true;
  await entry.writing;
  journal(entry.id, {});
  for (const id of entry.under("photo")) await removePhoto(id);
  if (db) await inStore("records", "readwrite", (records) => records.delete(entry.id));
  tellTabs(entry.id);
}

function tellTabs(id) {
  try { localStorage.setItem("vanwright-changed", id + " " + newID()); } catch { /* no other tab shares what is not stored */ }
}

// onOtherTab calls back with the id of a record that another tab has changed.
function onOtherTab(changed) {
  addEventListener("storage", (e) => { if (e.key === "vanwright-changed" && e.newValue) changed(e.newValue.split(" ")[0]); });
}

// refresh joins what another tab has kept; false where that tab removed the record.
async function refresh(entry) {
  const kept = await inStore("records", "readonly", (records) => records.get(entry.id));
  if (!kept) return false;
  entry.cells = joined(entry.cells, kept.cells);
  return true;
}

async function keepPhoto(id, bytes) {
  photoBytes.set(id, bytes);
  if (db) await inStore("photos", "readwrite", (photos) => photos.put({ id, bytes }));
}

async function photoOf(id) {
  if (!photoBytes.has(id) && db) {
    const kept = await inStore("photos", "readonly", (photos) => photos.get(id));
    if (kept) photoBytes.set(id, kept.bytes);
  }
  return photoBytes.get(id);
}

async function removePhoto(id) {
  photoBytes.delete(id);
  if (db) await inStore("photos", "readwrite", (photos) => photos.delete(id));
}

// The person is remembered for all pages of this device.
function person() {
  try { return localStorage.getItem("vanwright-person") || ""; } catch { return ""; }
}

function rememberPerson(name) {
  try { localStorage.setItem("vanwright-person", name.trim()); } catch { /* asked again next time */ }
}
