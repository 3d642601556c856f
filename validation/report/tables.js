// Tables: sorted by a button in every heading, copied by a button above.

function startTables() {
  for (const table of document.querySelectorAll("table.data")) {
    table.querySelectorAll("thead th").forEach((heading, column) => makeSortable(table, heading, column));
    makeCopyable(table);
  }
}

function makeSortable(table, heading, column) {
  const button = document.createElement("button");
  button.type = "button";
  button.append(...heading.childNodes);
  heading.replaceChildren(button);
  heading.setAttribute("aria-sort", "none");
  button.addEventListener("click", () => {
    const rising = heading.getAttribute("aria-sort") !== "ascending";
    for (const other of table.querySelectorAll("thead th")) other.setAttribute("aria-sort", "none");
    heading.setAttribute("aria-sort", rising ? "ascending" : "descending");
    sortRows(table, column, rising);
  });
}

// Numbers by size, words by alphabet, cells without a value last either way; equal ones keep their order.
function sortRows(table, column, rising) {
  const body = table.tBodies[0];
  const keyed = [...body.rows].map((row) => ({ row, key: sortKey(row.cells[column]) }));
  keyed.sort(({ key: one }, { key: other }) => {
    if (one === null || other === null) return (one === null) - (other === null);
    const numbers = typeof one === "number" && typeof other === "number";
    const order = numbers ? one - other : String(one).localeCompare(String(other), "en", { numeric: true });
    return rising ? order : -order;
  });
  body.append(...keyed.map(({ row }) => row));
}

function sortKey(cell) {
  const { value } = cell.dataset;
  if (value === undefined) return null;
  return value !== "" && Number.isFinite(Number(value)) ? Number(value) : value;
}

function makeCopyable(table) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "copy";
  button.textContent = "Copy";
  button.setAttribute("aria-label", `Copy table: ${table.caption.textContent}`);
  const told = document.createElement("span");
  told.setAttribute("role", "status");
  button.addEventListener("click", async () => {
    told.textContent = await copyTable(table);
  });
  const tools = document.createElement("span");
  tools.className = "tools";
  tools.append(button, " ", told);
  table.caption.append(" ", tools);
}

// Copies as tab-separated text; where the browser does not allow it, selects the table instead.
async function copyTable(table) {
  const cells = (row) => [...row.cells].map((cell) => cell.textContent.trim().replace(/\s+/g, " ")).join("\t");
  try {
    await navigator.clipboard.writeText([...table.rows].map(cells).join("\n"));
    return "Copied.";
  } catch {
    getSelection().selectAllChildren(table);
    return "Selected; copy it with your keyboard.";
  }
}

startExplorer();
startTables();
