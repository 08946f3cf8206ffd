// Each heading with a button sorts the rows of its table by that column; a
// second press turns the order round. Rows without a figure stay last.
for (const button of document.querySelectorAll("th button")) {
  button.addEventListener("click", () => {
    const heading = button.closest("th"), table = heading.closest("table");
    const column = [...heading.parentNode.children].indexOf(heading);
    const down = heading.getAttribute("aria-sort") === "ascending";
    for (const th of table.querySelectorAll("th[aria-sort]")) th.removeAttribute("aria-sort");
    heading.setAttribute("aria-sort", down ? "descending" : "ascending");
    const key = (row) => {
      const cell = row.children[column];
      return "key" in cell.dataset ? (cell.dataset.key === "" ? null : Number(cell.dataset.key)) : cell.textContent;
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
