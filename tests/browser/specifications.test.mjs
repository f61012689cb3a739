// Charts as the program hands them out: Vega-Lite itself takes each without a complaint, and Vega
// draws it outside any page.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readdirSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { test } from "node:test";

const source = process.env.LASHBAND_SOURCE;
const program = process.env.LASHBAND_EXECUTABLE;
const modules = createRequire(join(process.env.LASHBAND_PAGE_MODULES, "from_here.js"));
const vegaLite = await import(modules.resolve("vega-lite"));
const vega = await import(modules.resolve("vega"));

const chartsOf = (input) => {
  const arguments_ = ["report", input, "--no-verdict", "--format", "vega-lite", "--chart", "all"];
  const text = execFileSync(program, arguments_, { encoding: "utf8", maxBuffer: Infinity });
  return Object.entries(JSON.parse(text));
};

// Whatever the compiler has to say.
const complaintsOf = (compile) => {
  const complaints = [];
  const note = (...words) => {
    complaints.push(words.join(" "));
    return logger;
  };
  const logger = { level: () => logger, warn: note, error: note, info: () => logger, debug: () => logger };
  return [compile(logger), complaints];
};

const inputs = readdirSync(join(source, "examples"), { withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .map(({ name }) => [name, join(source, "examples", name, "train.json")]);
inputs.push(["histories", join(source, "tests", "data", "valid", "warm_up.json")]);
for (const [name, input] of inputs) {
  test(`charts of ${name}`, async () => {
    const charts = chartsOf(input);
    assert.ok(charts.length > 0, "no charts are handed out");
    for (const [id, spec] of charts) {
      assert.equal(spec.$schema, "https://vega.github.io/schema/vega-lite/v6.json");
      const [compiled, complaints] = complaintsOf((logger) => vegaLite.compile(spec, { logger }));
      assert.deepEqual(complaints, [], id);
      const svg = await new vega.View(vega.parse(compiled.spec), { renderer: "none" }).toSVG();
      assert.match(svg, /<path[^>]* d="M/, `${id}: nothing is drawn`);
      assert.ok(svg.includes(spec.title), `${id}: the title is missing`);
    }
  });
}
