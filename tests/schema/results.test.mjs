// What the program prints with --format json is what the schema of results says.
//
// LASHBAND_SOURCE is the checkout, LASHBAND_EXECUTABLE the program, LASHBAND_MADE_RESULTS the program
// that prints results made by hand.
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
const schema = lashband("schema", "results");
const validate = ajv.compile(schema);

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
    if (readFileSync(file, "utf8").includes('"torsion": {')) {
      assertValid(lashband("torsion", file, "--format", "json"), `${name} torsion`);
    }
    const comparison = lashband("carriers", file, "--format", "json");
    assertValid(lashband("frequencies", file, "--format", "json"), `${name} frequencies`);
    assertValid(comparison, `${name} carriers`);
    for (const row of comparison.rows) {
      for (const command of ["backlash", "budget", "train"]) {
        assertValid(
          lashband(command, file, "--carrier", row.carrier, "--format", "json"),
          `${name} ${command} ${row.carrier}`,
        );
      }
    }
  }
});

function madeResults() {
  const result = spawnSync(process.env.LASHBAND_MADE_RESULTS, { encoding: "utf8", maxBuffer: 1 << 28 });
  assert.equal(result.status, 0, result.stderr);
  return JSON.parse(result.stdout);
}

test("results with everything and with nothing are valid", () => {
  const documents = madeResults();
  assert.deepEqual(
    new Set(documents.map((d) => d.analysis)),
    new Set(["backlash", "carriers", "budget", "warmup", "train", "frequencies", "torsion"]),
  );
  documents.forEach((document, i) => assertValid(document, `made result ${i}, ${document.analysis}`));
});

// Every key that a description allows in an object, as "definition.key".
function keysOf(name, description, found) {
  for (const [key, below] of Object.entries(description.properties ?? {})) {
    found.add(`${name}.${key}`);
    keysOf(`${name}.${key}`, below, found);
  }
  if (description.items) {
    keysOf(name, description.items, found);
  }
  return found;
}

// The keys that a document has, under the same names.
function keysIn(name, description, value, found) {
  const { $ref: reference } = description;
  if (reference) {
    const definition = reference.replace("#/$defs/", "");
    return keysIn(definition, schema.$defs[definition], value, found);
  }
  if (Array.isArray(value)) {
    value.forEach((item) => description.items && keysIn(name, description.items, item, found));
  } else if (value !== null && typeof value === "object") {
    for (const [key, item] of Object.entries(value)) {
      const below = description.properties?.[key];
      if (below) {
        found.add(`${name}.${key}`);
      }
      keysIn(`${name}.${key}`, below ?? description.additionalProperties ?? {}, item, found);
    }
  }
  return found;
}

test("the results made by hand have every key that the schema knows", () => {
  const known = new Set();
  for (const [name, description] of Object.entries(schema.$defs)) {
    keysOf(name, description, known);
  }
  const found = new Set();
  for (const document of madeResults()) {
    keysIn(document.analysis, schema.$defs[document.analysis], document, found);
  }
  const missing = [...known].filter((key) => !found.has(key));
  assert.deepEqual(missing, []);
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
    (d) => { d.meshes[0].states[0].probabilities = { bind: 1.5 }; },
    (d) => { d.meshes[0].states[0].j_wt.percentiles = { least: { 50: 0.1 } }; },
    (d) => { d.meshes[0].states[0].j_wt.rss = [0.1]; },
    (d) => { d.sampling = { seed: 1, samples: 0, instruction_set: "AVX2" }; },
    (d) => { d.meshes[0].percentiles_sampled = false; },
    (d) => { d.meshes[0].states[0].time = 140.25; },
    (d) => { d.meshes[0].least.time = { value: 2, unit: "min" }; },
  ];
  for (const spoil of spoilt) {
    const copy = structuredClone(good);
    spoil(copy);
    assert.ok(!validate(copy), String(spoil));
  }
});

test("the schema refuses torsional results that the program does not print", () => {
  const made = madeResults().filter((d) => d.analysis === "torsion");
  const good = made.find((d) => d.requirements.some((row) => !("found" in row)));
  assertValid(good, "a made torsional model");
  const spoilt = [
    (d) => { d.requirements[1].found = null; },
    (d) => { d.requirements[0].basis = "rss"; },
    (d) => { d.requirements[0].what = "least_backlash"; },
    (d) => { d.inertias[0].inertia.unit = "g mm2"; },
    (d) => { d.elements[0].inertias = []; },
    (d) => { d.elements[0].kind = "spring"; },
    (d) => { d.excitations[0].order = 0; },
    (d) => { d.conditions[0].elements[0].mean.unit = "J"; },
    (d) => { d.conditions[0].modes[1].damping_ratio = null; },
    (d) => { d.conditions[0].elastomers[0].temperature_is = "warm"; },
    (d) => { delete d.conditions[0].power.drag; },
    (d) => { d.conditions[0].sweep.meshes[0].rattle_index.values.push(null); },
    (d) => { d.conditions[0].surprise = 1; },
    (d) => { delete d.driver; },
  ];
  for (const spoil of spoilt) {
    const copy = structuredClone(good);
    spoil(copy);
    assert.ok(!validate(copy), String(spoil));
  }
});

test("the schema refuses what the torsional model does not add to the other results", () => {
  const spoilt = {
    backlash: [
      (d) => { delete d.meshes[0].states[0].load.ring; },
      (d) => { d.meshes[0].states[0].load.force.unit = "N m"; },
      (d) => { d.meshes[0].states[0].load.surprise = 1; },
      (d) => { delete d.requirements[0].found; },
    ],
    train: [
      (d) => { d.lost_motion[0].states[0].wind_up.unit = "deg"; },
      (d) => { d.lost_motion[0].states[0].under_torque = null; },
    ],
    carriers: [
      (d) => { delete d.rows[0].torsion.greatest_rattle_index.unloaded; },
      (d) => { d.rows[1].torsion.greatest_rattle_index.value = null; },
      (d) => { delete d.rows[0].torsion.least_resonance_margin.value; },
      (d) => { d.rows[0].torsion.least_resonance_margin.value = -0.1; },
      (d) => { delete d.rows[0].requirements.find((row) => row.what === "least_resonance_margin").found; },
      (d) => { d.rows[0].requirements.find((row) => row.what === "greatest_rattle_index").found = null; },
    ],
  };
  const made = madeResults();
  for (const [analysis, changes] of Object.entries(spoilt)) {
    const good = made.find((d) => d.analysis === analysis);
    assertValid(good, `a made ${analysis}`);
    for (const spoil of changes) {
      const copy = structuredClone(good);
      spoil(copy);
      assert.ok(!validate(copy), String(spoil));
    }
  }
});

test("the files in the examples' folders: one JSON file each, the train", () => {
  for (const name of names) {
    const files = readdirSync(path.join(examples, name));
    assert.deepEqual(files.filter((file) => file.endsWith(".json")), ["train.json"]);
    assert.match(readFileSync(path.join(examples, name, "README.md"), "utf8"), /invented/);
  }
});
