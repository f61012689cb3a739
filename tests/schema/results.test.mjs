// What the program prints with --format json is what the schema of results says.
//
// LASHBAND_SOURCE is the checkout, LASHBAND_EXECUTABLE the program.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import test from "node:test";
import Ajv2020 from "ajv/dist/2020.js";

const examples = path.join(process.env.LASHBAND_SOURCE, "examples");
const names = readdirSync(examples, { withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .map((entry) => entry.name);

function lashband(...words) {
  const result = spawnSync(process.env.LASHBAND_EXECUTABLE, words, { encoding: "utf8", maxBuffer: 1 << 28 });
  assert.ok(result.status === 0 || result.status === 1, result.stderr);
  return JSON.parse(result.stdout);
}

const ajv = new Ajv2020({ strict: true, strictTypes: false, strictRequired: false });
const validate = ajv.compile(lashband("schema", "results"));

function assertValid(document, what) {
  assert.ok(validate(document), `${what}: ${ajv.errorsText(validate.errors)}`);
}

test("the schema of results is a valid schema of 2020-12", () => {
  assert.ok(ajv.validateSchema(lashband("schema", "results")), ajv.errorsText(ajv.errors));
});

test("every result of every example on every carrier is valid", () => {
  assert.ok(names.length >= 3);
  for (const name of names) {
    const file = path.join(examples, name, "train.json");
    const comparison = lashband("carriers", file, "--format", "json");
    assertValid(comparison, `${name} carriers`);
    for (const row of comparison.rows) {
      assertValid(
        lashband("backlash", file, "--carrier", row.carrier, "--format", "json"),
        `${name} ${row.carrier}`,
      );
    }
  }
});

test("the schema refuses what the program does not print", () => {
  const good = lashband("backlash", path.join(examples, names[0], "train.json"), "--format", "json");
  const spoilt = [
    (d) => { d.meshes[0].states[0].a.unit = "m"; },
    (d) => { delete d.input.digest; },
    (d) => { d.meshes[0].states[0].j_wt.worst_case.push(0); },
    (d) => { d.meshes[0].states[0].c_1 = null; },
    (d) => { d.requirements[0].what = "comfort"; },
    (d) => { d.surprise = true; },
  ];
  for (const spoil of spoilt) {
    const copy = structuredClone(good);
    spoil(copy);
    assert.ok(!validate(copy), String(spoil));
  }
});

test("the files in the examples' folders: one JSON file each, the train", () => {
  for (const name of names) {
    const files = readdirSync(path.join(examples, name));
    assert.deepEqual(files.filter((file) => file.endsWith(".json")), ["train.json"]);
    assert.match(readFileSync(path.join(examples, name, "README.md"), "utf8"), /invented/);
  }
});
