// A slip is one piece of news for the yard: a zip with slip.csv, the tables that
// have something to say, and photos. It is handed in to the server that showed
// this page, or shared, or saved.

const SLIP_MOST = 32 << 20; // bytes; the yard takes no more

// cell writes one CSV cell. Control characters, which no table takes, go; all
// else stays as it was typed.
function cell(value) {
  const clean = String(value ?? "").replace(/\r\n?/g, "\n").replace(/[\u0000-\u0008\u000B-\u001F\u007F]/g, "").trim();
  return /[",;\n\t]/.test(clean) ? '"' + clean.replaceAll('"', '""') + '"' : clean;
}

// csv writes rows, each an object by column, with the columns that have something
// to say.
function csv(rows) {
  const filled = [...new Set(rows.flatMap(Object.keys))].filter((c) => rows.some((r) => cell(r[c]) !== ""));
  return [filled, ...rows.map((r) => filled.map((c) => r[c]))].map((r) => r.map(cell).join(",") + "\n").join("");
}

// madeNow is this moment by RFC 3339 with its offset.
function madeNow() {
  const d = new Date(), ahead = -d.getTimezoneOffset(), two = (n) => String(Math.trunc(Math.abs(n))).padStart(2, "0");
  const local = new Date(d.getTime() + ahead * 60000).toISOString().slice(0, 19);
  return local + (ahead < 0 ? "-" : "+") + two(ahead / 60) + ":" + two(ahead % 60);
}

// slipFor gives a record's slip its id and time, and what more goes with a new one.
// The same content keeps them, so that a slip handed in twice is read once; other
// content is a slip of its own.
function slipFor(entry, about, content, more = {}) {
  const of = String(crc32(new TextEncoder().encode(content)));
  const last = entry.get("slip");
  if (last && last.of === of && Date.parse(last.made) <= Date.now()) return last; // else the clock was put back since
  const word = about.replace(/[^A-Za-z0-9-]/g, "").slice(0, 30);
  const slip = { id: `${word ? word + "-" : ""}${newID()}`, made: madeNow(), of, handed: false, ...more };
  entry.set("slip", slip);
  return slip;
}

// packed is the slip as a file: tables as {name: rows}, photos as [{file, bytes}].
function packed(slip, by, tables, photos) {
  const text = new TextEncoder();
  const files = [{ name: "slip.csv", bytes: text.encode(csv([{ slip: slip.id, made: slip.made, by }])) }];
  for (const [name, rows] of Object.entries(tables)) {
    if (rows.length) files.push({ name, bytes: text.encode(csv(rows)) });
  }
  for (const p of photos) files.push({ name: p.file, bytes: p.bytes });
  return new File([zip(files)], slip.id + ".zip", { type: "application/zip" });
}

// What becomes of a slip that left the phone as a file.
const BY_HAND = "In the office put it into the yard's folder “slips” as it is, or hand it in on the desk page that the yard's computer shows.";

const served = location.protocol === "http:" || location.protocol === "https:";
const canShare = (file) => Boolean(navigator.canShare && navigator.canShare({ files: [file] }));

function saveFile(file) {
  const url = URL.createObjectURL(file);
  element("a", { href: url, download: file.name }).click();
  setTimeout(() => URL.revokeObjectURL(url), 60000);
}

// handIn posts a slip and returns what the yard said: {kept, said: [sentences]}.
async function handIn(file) {
  if (file.size > SLIP_MOST) return { kept: false, said: ["The slip is larger than 32 MB: take some photos out."] };
  try {
    const answer = await fetch("/hand-in", { method: "POST", body: file, headers: { "Content-Type": "application/zip" }, credentials: "same-origin" });
    return await answer.json();
  } catch {
    return { kept: false, said: ["The yard's computer was not reached. Nothing is lost: hand in again when you are back in its network, or share the slip."] };
  }
}

// bindSlip makes the buttons of a page's last step work. `make` returns
// {file, done}: done is called once the slip has left this page, with true where the
// yard has it.
function bindSlip(make) {
  const box = one("#slip"), answer = one("#answer");
  const ways = {
    hand: async ({ file, done }) => {
      say(answer, "Handing in…");
      const { kept, said } = await handIn(file);
      answer.replaceChildren(...said.map((s) => element("span", {}, s)));
      if (kept) done(true);
    },
    share: async ({ file, done }) => {
      try {
        await navigator.share({ files: [file], title: file.name });
        say(answer, "Shared. " + BY_HAND);
        done(false);
      } catch (e) {
        if (e.name !== "AbortError") saveFile(file);
      }
    },
    save: async ({ file, done }) => {
      saveFile(file);
      say(answer, `${file.name} is in the downloads. ` + BY_HAND);
      done(false);
    },
  };
  for (const b of each("button", box)) {
    b.onclick = async () => {
      const slip = await make();
      if (slip) await ways[b.value](slip);
    };
  }
  const probe = new File([""], "a.zip", { type: "application/zip" });
  one("[value=hand]", box).hidden = !served;
  one("[value=share]", box).hidden = !canShare(probe);
  one("#way").textContent = served ? "One tap hands it in to the yard's computer, and the answer says what of it counts." : "This page was opened from a file and sends nothing by itself. Share or save the slip. " + BY_HAND;
  const first = served ? "hand" : canShare(probe) ? "share" : "save";
  one(`[value=${first}]`, box).classList.add("main");
}
