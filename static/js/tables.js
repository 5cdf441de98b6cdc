// <table data-sortable>: its heads become buttons that sort the rows. A head with data-sort="no" stays plain.
// A cell sorts by data-value when it has one, else by its text; numbers as numbers, nothing last.
// Give data-value wherever the text begins with a sign or is a date: "−7°" sorts by data-value="-7.1".
// Rows stay within their own <tbody>; rows of class "grp" stay on top of it, rows of class "opened" under their row.

const collator = new Intl.Collator("en", { numeric: true, sensitivity: "base" });

function keyOf(row, column) {
  const cell = row.cells[column];
  const text = (cell?.dataset.value ?? cell?.textContent ?? "").trim();
  if (text === "") return null;
  const number = Number(text.replace(/\u2212/g, "-").replace(/,(?=\d{3})/g, ""));
  return Number.isNaN(number) ? text : number;
}

function compare(a, b) {
  if (typeof a === "number" && typeof b === "number") return a - b;
  return collator.compare(String(a), String(b));
}

function sortBody(body, column, direction) {
  const keyed = [];
  for (const row of body.rows) {
    if (row.classList.contains("grp")) continue;
    if (row.classList.contains("opened") && keyed.length > 0) keyed.at(-1).rows.push(row);
    else keyed.push({ rows: [row], key: keyOf(row, column) });
  }
  keyed.sort((a, b) => {
    if (a.key === null || b.key === null) return (a.key === null) - (b.key === null);
    return direction * compare(a.key, b.key);
  });
  for (const { rows } of keyed) body.append(...rows);
}

function sortTable(table, head) {
  const direction = head.getAttribute("aria-sort") === "ascending" ? -1 : 1;
  for (const other of table.tHead.querySelectorAll("th[aria-sort]")) other.setAttribute("aria-sort", "none");
  head.setAttribute("aria-sort", direction === 1 ? "ascending" : "descending");
  for (const body of table.tBodies) sortBody(body, head.cellIndex, direction);
}

function prepare(table) {
  if (table.dataset.sortable === "ready" || !table.tHead) return;
  table.dataset.sortable = "ready";
  for (const head of table.tHead.rows[table.tHead.rows.length - 1].cells) {
    if (head.dataset.sort === "no" || head.textContent.trim() === "" || head.querySelector("a, button, svg")) continue;
    const button = document.createElement("button");
    button.type = "button";
    button.append(...head.childNodes);
    head.append(button);
    if (!head.hasAttribute("aria-sort")) head.setAttribute("aria-sort", "none");
    button.addEventListener("click", () => sortTable(table, head));
  }
}

function prepareAll(root) {
  for (const table of root.querySelectorAll("table[data-sortable]")) prepare(table);
}

prepareAll(document);
document.addEventListener("htmx:load", (event) => prepareAll(event.detail.elt.parentElement ?? document));
