// Each table of numbers as a file for a spreadsheet: CSV after RFC 4180, the values as stored, in the
// units of the CSV that the program itself writes.
import { columnsOf, rowsOf } from "./table.js";

const quoted = (text) => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
const line = (fields) => `${fields.map(quoted).join(",")}\r\n`;

const csvOf = (table) =>
  line(columnsOf(table).map(({ field, unit }) => (unit === "" ? field : `${field} [${unit}]`))) +
  rowsOf(table)
    .map((cells) => line(cells.map(({ text }) => text)))
    .join("");

const save = (text, name) => {
  const address = URL.createObjectURL(new Blob([text], { type: "text/csv;charset=utf-8" }));
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  link.click();
  // Not at once: the browser takes the content after this turn.
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
};

export const addCsvButtons = () => {
  for (const details of document.querySelectorAll("details.data[data-file]")) {
    const summary = details.querySelector("summary");
    const button = document.createElement("button");
    button.type = "button";
    button.className = "csv";
    button.textContent = "CSV";
    button.setAttribute("aria-label", `CSV, ${summary.textContent}`);
    button.addEventListener("click", () =>
      save(csvOf(details.querySelector("table")), details.dataset.file),
    );
    // Behind the summary and not in it, where it could not be reached by keyboard on its own.
    summary.after(button);
  }
};
