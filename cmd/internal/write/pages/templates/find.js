// Searches the lines of the list: each word that was typed must begin a word of the
// line, or stand anywhere in its registration or stock number, whatever the spaces.
const plain = (text) => text.toLowerCase().normalize("NFKD").replace(/[^a-z0-9 ]/g, "");
const vans = document.getElementById("vans").textContent.split("\n").filter(Boolean).map((line) => {
  const [id, reg, name, says, href] = line.split("\t");
  return {id, reg, name, says, href, codes: plain(id + "|" + reg).replaceAll(" ", "") , words: " " + plain([id, reg, name, says].join(" "))};
});
const box = document.getElementById("q"), hits = document.getElementById("hits"), found = document.getElementById("found");
const most = 40;
function search() {
  const typed = plain(box.value).split(" ").filter(Boolean), joined = typed.join("");
  hits.replaceChildren();
  if (!joined) { found.textContent = vans.length.toLocaleString("en-GB") + " vans, sold ones too."; return; }
  const list = vans.filter((v) => v.codes.includes(joined) || typed.every((word) => v.words.includes(" " + word)));
  found.textContent = list.length === 1 ? "1 van" : list.length.toLocaleString("en-GB") + " vans" + (list.length > most ? ", the first " + most + " below" : "");
  for (const v of list.slice(0, most)) {
    const item = document.createElement("li"), name = document.createElement(v.href ? "a" : "b"), rest = document.createElement("span");
    name.textContent = v.id + " " + v.name;
    if (v.href) name.href = v.href;
    rest.textContent = [v.reg, v.says].filter(Boolean).join(", ");
    item.append(name, " ", rest);
    hits.append(item);
  }
}
box.value = new URLSearchParams(location.search).get("q") || "";
box.addEventListener("input", search);
box.form.addEventListener("submit", (event) => { event.preventDefault(); search(); });
search();
