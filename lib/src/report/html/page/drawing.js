// One chart: its specification (Vega-Lite) and the rows of its table become an SVG drawing.
import { parse, View, Warn } from "vega";
import { expressionInterpreter } from "vega-interpreter";
import { compile } from "vega-lite";

import { showHover } from "./hover.js";
import { valuesOf } from "./table.js";

const elementOf = (id) => {
  const element = document.getElementById(id);
  if (element === null) {
    throw new Error(`the page has no "${id}"`);
  }
  return element;
};

const jsonOf = (id) => JSON.parse(elementOf(id).textContent);

const tableOf = (id) => {
  const table = elementOf(id).querySelector("table");
  if (table === null) {
    throw new Error(`"${id}" holds no table`);
  }
  return table;
};

// Without a reference to anything outside, nothing needs loading; what asks for it is a mistake.
const refuse = (uri) => Promise.reject(new Error(`a chart may not load ${uri}`));
const noLoader = { load: refuse, sanitize: refuse, http: refuse, file: refuse };

const viewOf = (div) => {
  const spec = jsonOf(div.dataset.spec);
  spec.data = { name: "table", values: valuesOf(tableOf(div.dataset.table)) };
  const vega = compile(spec, { config: jsonOf("chart-config") }).spec;
  // Expressions stay trees that an interpreter walks: the page's policy forbids to make code of text.
  const runtime = parse(vega, null, { ast: true });
  return new View(runtime, {
    expr: expressionInterpreter,
    loader: noLoader,
    logLevel: Warn,
    renderer: "svg",
    tooltip: showHover,
  });
};

/**
 * Draws the chart of `div` in place of what it holds, and notes in data-state how that went. A chart
 * that cannot be drawn says why; the others are not held up by it.
 */
export const draw = (div) => {
  // To the div stand its role and label; all inside is for the eye. It is in the page before it is
  // drawn, as a drawing may ask for the width there is.
  const canvas = document.createElement("div");
  canvas.setAttribute("aria-hidden", "true");
  try {
    const view = viewOf(div);
    div.replaceChildren(canvas);
    view.initialize(canvas).run();
    div.dataset.state = "drawn";
  } catch (error) {
    console.error(error);
    const text = document.createElement("p");
    text.textContent = `This chart could not be drawn: ${error.message}`;
    div.replaceChildren(text);
    // An image's content is not read out, and this must be.
    div.removeAttribute("role");
    div.removeAttribute("aria-label");
    div.dataset.state = "failed";
  }
};
