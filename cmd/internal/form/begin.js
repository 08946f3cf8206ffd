// ---- Beginning ------------------------------------------------------------

async function begin() {
  await openStore();
  vans = await entries("van");
  bindVan();
  drawVanPhotos = bindPhotos(one("#van-photos"), () => van, () => ["", ""]);
  for (const id of ["back", "next"]) one("#" + id).onclick = (e) => go(e.currentTarget.dataset.to);
  one("#all").onclick = () => go("all");
  one("#scope").onclick = () => { van.set("full", full() ? null : true); route(); };
  one(".skip").onclick = (e) => { e.preventDefault(); one("main > section:not([hidden])").focus(); };
  one("#several").onclick = () => { ticking = !ticking; showTicking(); };
  one("#mark").onclick = markTicked;
  for (const b of each("#adds button")) b.onclick = () => addPaper(b.dataset.paper, b.value);
  for (const b of each(".again")) b.onclick = removeVan;
  for (const b of each(".new-van")) b.onclick = () => newVan(null);
  one("#revisit button").onclick = anotherVisit;
  one("#find-van").oninput = showVans;
  bindSlip(makeSlip);
  onOtherTab(joinTab);
  addEventListener("hashchange", route);
  const last = vans.find((v) => v.id === remembered());
  if (last) { van = last; route(); } else if (vans.length) { van = vans[vans.length - 1]; openVan(van, "vans"); } else newVan(null);
  one("#ready").remove();
}

// joinTab shows what another tab has changed.
async function joinTab(id) {
  if (!id.startsWith("van/")) return;
  const known = vans.find((v) => v.id === id);
  if (!known) {
    vans = vans.concat((await entries("van")).filter((v) => v.id === id));
  } else if (!(await refresh(known))) {
    vans = vans.filter((v) => v !== known);
    known.gone = true;
    if (known === van) {
      if (vans.length) openVan(vans[0], "vans");
      else newVan(null);
      return;
    }
  }
  if (here === "vans") showVans();
  if (known !== van) return;
  if (here === "van" || here === "fitted") fillVan();
  for (const card of zoneShown && here === zoneShown.code ? cards : []) drawCard(card);
  showCount();
}

begin();
