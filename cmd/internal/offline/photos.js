// Pictures of a van, each at a point or of the van as a whole. They are drawn
// anew before they are kept: at most 1,600 px on the longer side, as JPEG, which
// leaves behind whatever else the camera wrote, such as the place.

const PHOTOS_MOST = 60; // of one van
const PHOTO_SIDE = 1600; // px
const PHOTO_BYTES = 480000; // so that 60 of them fit into one slip

// shrunk returns the JPEG of a picture, or null where it is none.
async function shrunk(file) {
  let picture;
  try { picture = await createImageBitmap(file); } catch { return null; }
  const scale = Math.min(1, PHOTO_SIDE / Math.max(picture.width, picture.height));
  const canvas = element("canvas", { width: Math.max(1, Math.round(picture.width * scale)), height: Math.max(1, Math.round(picture.height * scale)) });
  const context = canvas.getContext("2d");
  context.fillStyle = "#fff"; // behind what is transparent
  context.fillRect(0, 0, canvas.width, canvas.height);
  context.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  let blob = null;
  for (const quality of [0.8, 0.65, 0.5, 0.35]) {
    blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", quality));
    if (blob && blob.size <= PHOTO_BYTES) break;
  }
  return blob && new Uint8Array(await blob.arrayBuffer());
}

// addPhotos keeps pictures of a place and returns what went wrong, blank where
// nothing did.
async function addPhotos(entry, files, checkpoint, position) {
  let wrong = "";
  for (const file of files) {
    if (entry.under("photo").length >= PHOTOS_MOST) return `${PHOTOS_MOST} photos of one van at most.`;
    const bytes = await shrunk(file);
    if (!bytes) { wrong = `${file.name} is no picture that this browser can read.`; continue; }
    const id = Date.now().toString(36) + newID();
    try { await keepPhoto(id, bytes); } catch { wrong = "Kept only until this page is closed: the device is full."; }
    entry.set("photo:" + id, { checkpoint, position, note: "", customer: false, on: today() });
  }
  return wrong;
}

const photosAt = (entry, checkpoint, position) => entry.under("photo").sort().filter((id) => {
  const p = entry.get("photo:" + id);
  return p.checkpoint === checkpoint && p.position === position;
});

// bindPhotos shows the pictures of a place in a box of the page, with a way to
// add some. `whose` tells the entry, `where` the checkpoint and position.
function bindPhotos(box, whose, where) {
  const input = one("[type=file]", box), bad = one(".bad", box), list = one(".shots", box);
  const draw = async () => {
    const [checkpoint, position] = where(), entry = whose();
    const items = [];
    for (const id of photosAt(entry, checkpoint, position)) items.push(await photoItem(entry, id, draw));
    list.replaceChildren(...items);
  };
  input.onchange = async () => {
    const files = [...input.files];
    put(bad, "");
    put(bad, await addPhotos(whose(), files, ...where()));
    input.value = "";
    draw();
    box.dispatchEvent(new Event("photos", { bubbles: true }));
  };
  return draw;
}

async function photoItem(entry, id, draw) {
  const node = cloned("t-photo"), photo = entry.get("photo:" + id), bytes = await photoOf(id);
  const change = (more) => entry.set("photo:" + id, { ...entry.get("photo:" + id), ...more });
  if (bytes) {
    const picture = one("img", node);
    picture.src = URL.createObjectURL(new Blob([bytes], { type: "image/jpeg" }));
    picture.onload = () => URL.revokeObjectURL(picture.src);
  }
  const customer = one("[type=checkbox]", node);
  customer.checked = photo.customer;
  customer.onchange = () => change({ customer: customer.checked });
  one("button", node).onclick = () => ask("Throw this photo away?", "Throw it away", async () => {
    entry.set("photo:" + id, null);
    await removePhoto(id);
    draw();
  });
  return node;
}

// photoRows are the rows of photos.csv and the files they name.
async function photoRows(entry, stockID) {
  const rows = [], files = [];
  for (const id of entry.under("photo").sort()) {
    const photo = entry.get("photo:" + id), bytes = await photoOf(id);
    if (!bytes) continue;
    const file = `photos/${String(rows.length + 1).padStart(2, "0")}.jpg`;
    rows.push({ stock_id: stockID, checkpoint: photo.checkpoint, position: photo.position, file, taken_on: photo.on, note: photo.note, customer: photo.customer ? "yes" : "" });
    files.push({ file, bytes });
  }
  return { rows, files };
}
