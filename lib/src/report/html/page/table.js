// Reads the numbers of a chart back from the HTML table that shows them, so that the page holds each
// number once and a chart cannot disagree with its table.

const numberIn = (text, place) => {
  const number = text.trim() === "" ? NaN : Number(text);
  if (!Number.isFinite(number)) {
    throw new Error(`${place} is not a number: "${text}"`);
  }
  return number;
};

/** The heads of a table: key, unit, and how a stored value becomes the one that is shown. */
export const columnsOf = (table) =>
  [...table.tHead.rows[0].cells].map((head) => ({
    field: head.dataset.field,
    unit: head.dataset.unit ?? "",
    scale: numberIn(head.dataset.scale ?? "1", "data-scale"),
    offset: numberIn(head.dataset.offset ?? "0", "data-offset"),
  }));

/**
 * The rows of a table as arrays of cells in the order of its columns. A cell has a `number`, as
 * stored and with the digits of `text`, or a `text` alone, which is empty for an empty cell.
 */
export const rowsOf = (table) => {
  const width = table.tHead.rows[0].cells.length;
  return [...table.tBodies]
    .flatMap((body) => [...body.rows])
    .map((row) => {
      if (row.cells.length !== width) {
        throw new Error(`a row has ${row.cells.length} cells, the table has ${width} columns`);
      }
      return [...row.cells].map((cell) => {
        const data = cell.querySelector("data");
        return data === null
          ? { text: cell.textContent }
          : { text: data.value, number: numberIn(data.value, "a value") };
      });
    });
};

/** One object a row for Vega: numbers in the unit shown, texts, and no field for an empty cell. */
export const valuesOf = (table) => {
  const columns = columnsOf(table);
  return rowsOf(table).map((cells) => {
    const value = {};
    cells.forEach(({ number, text }, i) => {
      const { field, scale, offset } = columns[i];
      if (number !== undefined) {
        value[field] = number * scale + offset;
      } else if (text !== "") {
        value[field] = text;
      }
    });
    return value;
  });
};
