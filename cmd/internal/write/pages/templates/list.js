// Each heading with a button sorts the rows of its table by that column; a second
// press turns the order round. A date goes by its data-by. Rows without a figure stay last. A box with data-for
// leaves only the rows of the tables in that element that hold what is typed.
for (const button of document.querySelectorAll("th button")) {
  button.addEventListener("click", () => {
    const heading = button.closest("th"), table = heading.closest("table");
    const column = [...heading.parentNode.children].indexOf(heading);
    const down = heading.getAttribute("aria-sort") === "ascending";
    for (const th of table.querySelectorAll("th[aria-sort]")) th.removeAttribute("aria-sort");
    heading.setAttribute("aria-sort", down ? "descending" : "ascending");
    const key = (row) => {
      const cell = row.children[column];
      if (cell.dataset.by !== undefined) return cell.dataset.by || null;
      if (!cell.classList.contains("n")) return cell.textContent;
      const figure = cell.textContent.replace("\u2212", "-").replace(/[^0-9.-]/g, "");
      return figure === "" ? null : Number(figure);
    };
    const compare = (a, b) => {
      const x = key(a), y = key(b);
      if (x === null || y === null) return (x === null) - (y === null);
      const order = typeof x === "number" ? x - y : x.localeCompare(y, "en-GB", {numeric: true});
      return down ? -order : order;
    };
    const body = table.tBodies[0];
    body.append(...[...body.rows].sort(compare));
  });
}
// A link to a folded list opens it.
function unfold() {
  const named = document.getElementById(location.hash.slice(1));
  if (named && named.tagName === "DETAILS") named.open = true;
}
addEventListener("hashchange", unfold);
unfold();
for (const box of document.querySelectorAll("input[data-for]")) {
  box.addEventListener("input", () => {
    const words = box.value.toLowerCase().split(" ").filter(Boolean);
    for (const row of document.querySelectorAll("#" + box.dataset.for + " tbody tr")) {
      const text = row.textContent.toLowerCase();
      row.hidden = !words.every((word) => text.includes(word));
    }
  });
}
