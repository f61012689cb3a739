// The script of the report. The page is whole without it: every number stands in a table, and the
// tables are open. With it the charts are drawn, the tables are folded away, and each can be saved.
import { addCsvButtons } from "./csv.js";
import { draw } from "./drawing.js";
import { foldTables } from "./folding.js";
import { drawInOrder } from "./order.js";

foldTables();
addCsvButtons();
drawInOrder([...document.querySelectorAll(".drawing[data-spec]")], draw);
