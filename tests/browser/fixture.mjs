// A page after the contract between the program and the page's script, made by hand: what the script
// does is tried without the program.
import { createHash } from "node:crypto";
import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const script = readFileSync(process.env.LASHBAND_PAGE_SCRIPT, "utf8");
const folder = mkdtempSync(join(tmpdir(), "lashband-page-"));

const style = `
:root { color-scheme: light dark; --c-1: #0b62a4; --c-2: #b54708; --ink: #1b1f24; --quiet: #57606a; }
@media screen and (prefers-color-scheme: dark) {
  :root { --c-1: #6db5f2; --c-2: #ff9d57; --ink: #e6e9ec; }
}
@media print { :root { --c-1: #000001; } }
body { color: var(--ink); }
.hover { position: fixed; pointer-events: none; }
.far { height: 6000px; }
`;

const sourceOf = (text) => `'sha256-${createHash("sha256").update(text, "utf8").digest("base64")}'`;

export const escaped = (text) =>
  text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;").replaceAll('"', "&quot;");

const json = (id, value) =>
  `<script type="application/json" id="${id}">${JSON.stringify(value).replaceAll("<", "\\u003c")}</script>`;

export const config = {
  background: "transparent",
  aria: false,
  axis: {
    labelColor: "var(--ink)",
    titleColor: "var(--ink)",
    domainColor: "var(--quiet)",
    tickColor: "var(--quiet)",
    gridColor: "var(--quiet)",
  },
  legend: { labelColor: "var(--ink)", titleColor: "var(--ink)" },
  view: { stroke: "var(--quiet)" },
};

/** A table of three rows: a text column, a number in mm shown in µm, a number that one row lacks. */
export const table = (id, file, names = ["cold", "rest", "hot"]) => `
<details class="data" id="${id}" data-file="${file}" open><summary>Numbers: ${id}</summary>
<div><table><caption>${id}</caption><thead><tr>
<th scope="col" data-field="state">state</th>
<th scope="col" data-field="gap.least" data-unit="mm" data-scale="1000">gap [µm]</th>
<th scope="col" data-field="level" data-unit="degC" data-scale="1.8" data-offset="32">level [°F]</th>
</tr></thead><tbody>
<tr><th scope="row">${escaped(names[0])}</th><td><data value="0.0254">25.4</data></td><td><data value="-40">-40</data></td></tr>
<tr><th scope="row">${escaped(names[1])}</th><td><data value="0.1454">145.4</data></td><td></td></tr>
<tr><th scope="row">${escaped(names[2])}</th><td><data value="-1.5e-05">-0.0</data></td><td><data value="120">248</data></td></tr>
</tbody></table></div></details>`;

export const chart = (name, spec, tableId) => `
<figure class="chart" id="chart-${name}"><figcaption><h4>Chart ${name}</h4></figcaption>
<div class="drawing" role="img" aria-label="Chart ${name}. What to see" data-spec="spec-${name}" data-table="${tableId}"><p>text until drawn</p></div>
${json(`spec-${name}`, spec)}
<a class="to-numbers" href="#${tableId}">numbers</a>
</figure>`;

/** Bars of the gap over the state, coloured by state, with a legend and a tooltip of three rows. */
export const bars = {
  width: 300,
  height: 150,
  mark: { type: "bar", stroke: "var(--quiet)" },
  encoding: {
    x: { field: "state", type: "nominal", sort: null },
    y: { field: "gap\\.least", type: "quantitative", title: "gap" },
    color: {
      field: "state",
      type: "nominal",
      sort: null,
      scale: { range: ["var(--c-1)", "var(--c-2)", "var(--ink)"] },
    },
    tooltip: [
      { field: "state", title: "state" },
      { field: "gap\\.least", type: "quantitative", format: ".2f", title: "gap [µm]" },
      { field: "level", type: "quantitative", format: ".1f", title: "level [°F]" },
    ],
  },
};

/** Writes the page with `body` to a file and gives its path. */
export const page = (name, body) => {
  const policy = `default-src 'none'; base-uri 'none'; form-action 'none'; style-src ${sourceOf(style)}; script-src ${sourceOf(script)}`;
  const file = join(folder, `${name}.html`);
  writeFileSync(
    file,
    `<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="${policy}">
<title>A fixture</title><style>${style}</style></head><body><main><h1>A fixture</h1><h2>Section</h2><h3>Mesh</h3>
${body}
</main>
${json("chart-config", config)}
<script>${script}</script></body></html>
`,
  );
  return file;
};
