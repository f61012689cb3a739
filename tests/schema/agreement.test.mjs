// The schema and the reader judge alike wherever a schema can judge. What the schema rejects, the
// reader must reject; what only the reader rejects must be of a kind that no schema can know.
//
// LASHBAND_SOURCE is the checkout, LASHBAND_VERDICTS the program of verdicts.cpp. Files that inputs
// name are found from tests/data/valid.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { existsSync, readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import test from "node:test";
import Ajv2020 from "ajv/dist/2020.js";
import stripJsonComments from "strip-json-comments";

const source = process.env.LASHBAND_SOURCE;
const data = path.join(source, "tests", "data");
const schema = JSON.parse(
  readFileSync(path.join(source, "lib", "src", "io", "schema", "input.schema.json"), "utf8"),
);

// Strict about the schema itself: unknown keywords and unknown formats are errors. The strict rules
// on style are off: `if` and `anyOf` look at parts of a value whose type is stated elsewhere.
const ajv = new Ajv2020({ strict: true, strictTypes: false, strictRequired: false });
const validate = ajv.compile(schema);

/** What the reader says of each input: "accept" or "reject <first problem>". */
function readerVerdicts(inputs) {
  const result = spawnSync(process.env.LASHBAND_VERDICTS, [path.join(data, "valid")], {
    input: inputs.join("\n") + "\n",
    encoding: "utf8",
    maxBuffer: 1 << 28,
  });
  assert.equal(result.status, 0, result.stderr);
  const lines = result.stdout.split("\n").slice(0, -1);
  assert.equal(lines.length, inputs.length);
  return lines;
}

function parsed(text) {
  return JSON.parse(stripJsonComments(text.replace(/^\ufeff/, "")));
}

/** Whether a text passes as JSON with comments, and then by the schema. */
function schemaAccepts(text) {
  let value;
  try {
    value = parsed(text);
  } catch {
    return false;
  }
  return validate(value);
}

const jsonFiles = (folder) =>
  readdirSync(folder)
    .filter((name) => name.endsWith(".json"))
    .sort()
    .map((name) => path.join(folder, name));

const validFile = (name) => parsed(readFileSync(path.join(data, "valid", name), "utf8"));
const maximal = validFile("maximal.json");
const minimal = validFile("minimal.json");

test("the schema is a valid schema of 2020-12", () => {
  assert.equal(schema.$schema, "https://json-schema.org/draft/2020-12/schema");
  assert.ok(ajv.validateSchema(schema), ajv.errorsText(ajv.errors));
});

test("every object in the schema is closed, and every key is described", () => {
  const run = "/$defs/history/oneOf/1/properties";
  const open = new Set(["/properties/dampers/items",
    "/$defs/condition/properties/zones", "/$defs/condition/properties/mesh_force",
    "/$defs/condition/properties/speed/anyOf/1",
    ...["start", "boundaries", "shaft_speed", "shaft_power", "heat", "throttles"]
      .map((key) => `${run}/${key}`)]);
  const found = new Set();
  const described = (part) =>
    "description" in part || "description" in (schema.$defs[part.$ref?.slice("#/$defs/".length)] ?? {});
  const visit = (part, pointer) => {
    if (part === null || typeof part !== "object") {
      return;
    }
    if (part.type === "object" && part.additionalProperties !== false) {
      found.add(pointer);
    }
    if (part.type === "object" && !/\/(?:sources|confidence)$/.test(pointer)) {
      for (const [key, value] of Object.entries(part.properties ?? {})) {
        assert.ok(described(value) || "const" in value, `${pointer}/properties/${key}`);
      }
    }
    for (const [key, value] of Object.entries(part)) {
      if (key !== "examples") {
        visit(value, `${pointer}/${key}`);
      }
    }
  };
  visit(schema, "");
  assert.deepEqual([...found].sort(), [...open].sort());
});

test("the examples within the schema obey it", () => {
  let count = 0;
  const visit = (part) => {
    if (part === null || typeof part !== "object") {
      return;
    }
    if (Array.isArray(part.examples)) {
      const { examples, ...rest } = part;
      const check = ajv.compile({ ...rest, $defs: schema.$defs });
      for (const example of examples) {
        ++count;
        assert.ok(check(example), `${JSON.stringify(example)}: ${ajv.errorsText(check.errors)}`);
      }
    }
    Object.values(part).forEach(visit);
  };
  visit(schema);
  assert.ok(count > 20);
});

test("valid files and examples are accepted by both", () => {
  const examples = path.join(source, "examples");
  const trains = readdirSync(examples)
    .map((name) => path.join(examples, name, "train.json"))
    .filter(existsSync);
  const files = [...jsonFiles(path.join(data, "valid")), ...trains];
  assert.ok(files.length >= 5);
  const verdicts = readerVerdicts(files.map((file) => "@" + file));
  files.forEach((file, i) => {
    assert.equal(verdicts[i], "accept", file);
    assert.ok(schemaAccepts(readFileSync(file, "utf8")), file + ": " + ajv.errorsText(validate.errors));
  });
});

test("invalid files are rejected by the reader, and by the schema where it can judge", () => {
  const files = jsonFiles(path.join(data, "invalid"));
  assert.ok(files.length >= 40);
  const verdicts = readerVerdicts(files.map((file) => "@" + file));
  files.forEach((file, i) => {
    assert.match(verdicts[i], /^reject /, file);
    const [expectation] = readFileSync(file.replace(/json$/, "expect"), "utf8").split("\n");
    assert.match(expectation, /^schema: (rejects|cannot judge \(.+\))$/, file);
    assert.equal(schemaAccepts(readFileSync(file, "utf8")), expectation !== "schema: rejects", file);
  });
});

// What a schema cannot know, by the words of the reader: names that must exist, values that must fit
// together, and what stands behind the unit of a quantity.
const beyondASchema = [
  /which is no (?:known material|zone|carrier|shaft|gear|mesh|contributor|body or boundary|station) ?/,
  /which is no (?:conductance or stream|heat input) of this file/,
  /which is a (?:body|boundary)[,;]/,
  /read the (?:name|material|pair of|zone|shaft|gear|mesh) ".*" again/,
  /has no temperature here/,
  /the key "hand" is missing/,
  /the key "(?:centre_distance|nominal)" is missing/,
  /the key "at" is missing; needed is the place of (?:the bearing|the middle of the face)/,
  /since a position tolerance acts along their line of centres/,
  /the gears of a mesh need the same/,
  /sit on the same shaft/,
  /read "timed"/,
  /is too small for these gears/,
  /the shares add up to/,
  /both (?:walls|bearings of the shaft) stand at/,
  /allowed (?:is the lower end first|are rising places)/,
  /every density of the table is 0/,
  /allowed is a (?:length|ratio) within the band/,
  /the (?:band begins below 0|strain leaves the range)/,
  // The train.
  /the internal gear ".*" (?:stands first|has \d+ teeth)/,
  /both gears (?:are internal|have the hand)/,
  /the hand "left", the other "right"/,
  /the loop .* cannot turn: /,
  /but the tooth numbers make it/,
  /this shaft stands still/,
  /which a shaft is called/,
  /the shaft that speeds are referred to/,
  /nothing joins the (?:meshes|shafts)/,
  /is in no mesh; allowed is a shaft of the meshes/,
  /held nothing can turn/,
  /read the shaft ".*" twice/,
  /allowed is a length below the pitch_diameter/,
  /allowed is a length (?:above|below) the (?:bore|outside_diameter|inner_raceway)/,
  /allowed is a length of at least .*, which ".*" asks? for/,
  /but the places of the shafts are/,
  /has no (?:elongation|youngs_modulus|poissons_ratio|specific_heat|conductivity); needed/,
  /material '.*': /,
  /outside the range of its material/,
  /which another contributor of this design is called/,
  /: the (?:tip diameter|tooth-thickness allowance|root diameter(?: of a ring gear)?) must be/,
  /the (?:inner|outer) raceway of a bearing must be/,
  // Files of measured values.
  /: (?:there is no such file|this is a folder)/,
  /there is no column/,
  /allowed are up to 100 files/,
  // The network and what it goes through.
  /has no (?:body or boundary in the network|column in)/,
  /the streams take .* and bring/,
  /where the stream comes from/,
  /has no "(?:oil|viscosity|density|specific_heat)"/,
  /on which the mesh .* has no gear/,
  /the history gives no/,
  /whose power follows from a shaft/,
  /allowed is a temperature level above the one before it/,
  /allowed is a time that is not before/,
  /between which the value jumps/,
  /two points at least 1 K apart/,
  /which makes more than 100000 moments/,
  /cannot start at/,
  /which a condition is called/,
  /whose moments are named/,
  // Torsion.
  /read the harmonic \d+ again/,
  /which the one station of the shaft of that name is called/,
  /; allowed are gears on the shaft/,
  /in no station; needed/,
  /no segments lead from the station/,
  /closes a ring/,
  /which is (?:not )?internal; allowed is/,
  /allowed is a diameter (?:above|below) the (?:inner_diameter|root diameter)/,
  /allowed is a length below the outside_diameter/,
  /allowed is a length above the crank_radius and the offset/,
  /allowed is a speed above "from"/,
  /has neither (?:shear_modulus|youngs_modulus)/,
  /has no (?:density|material); needed/,
  /outside its temperature_factor/,
  /of the torsional model cannot be used at/,
  /which tell nothing of orders up to/,
  /no station, segment or gear has an inertia/,
  // Classes beyond the tables of their standards.
  /of (?:DIN 3967|ISO 286|ISO 492|ISO 1328-1|ISO 5753-1|ISO\/TR 10064-2)/,
];

/** Every place in a document: the path of keys that leads there. */
function places(value, at = []) {
  const below = value !== null && typeof value === "object"
    ? Object.keys(value).flatMap((key) => places(value[key], [...at, key]))
    : [];
  return [at, ...below];
}

function at(document, place) {
  return place.reduce((value, key) => value[key], document);
}

/** A copy of the document in which `change` was applied to the parent of the place. */
function changed(document, place, change) {
  const copy = structuredClone(document);
  change(at(copy, place.slice(0, -1)), place.at(-1));
  return copy;
}

function variations(document) {
  const result = [];
  const add = (what, place, change) => {
    result.push({ what: `${what} /${place.join("/")}`, document: changed(document, place, change) });
  };
  const others = [null, true, -1, 0.5, 12, "", "text", "5 mm", "20 degC", [], ["5 um", "9 um"], {},
    { unknown: 1 }];
  for (const place of places(document).slice(1)) {
    const inList = Array.isArray(at(document, place.slice(0, -1)));
    if (inList) {
      add("entry left out", place, (parent, key) => parent.splice(key, 1));
      add("entry twice", place, (parent, key) => parent.splice(key, 0, structuredClone(parent[key])));
    } else {
      add("key left out", place, (parent, key) => delete parent[key]);
      add("key misspelled", place, (parent, key) => {
        parent[key + "x"] = parent[key];
        delete parent[key];
      });
      add("unknown key beside", place, (parent) => {
        parent["something else"] = 1;
      });
    }
    for (const other of others) {
      add(`${JSON.stringify(other)} instead of`, place, (parent, key) => {
        parent[key] = other;
      });
    }
  }
  return result;
}

for (const [name, document] of [["maximal", maximal], ["minimal", minimal],
  ["looked-up", validFile("looked_up.json")], ["shapes", validFile("shapes.json")],
  ["warm-up", validFile("warm_up.json")], ["planetary", validFile("planetary.json")],
  ["torsion", validFile("torsion.json")]]) {
  test(`every variation of the ${name} file is judged alike`, () => {
    const all = variations(document);
    assert.ok(all.length > 500);
    const verdicts = readerVerdicts(all.map((variation) => JSON.stringify(variation.document)));
    let rejected = 0;
    all.forEach(({ what, document: variation }, i) => {
      const bySchema = validate(variation);
      if (verdicts[i] === "accept") {
        assert.ok(bySchema, `${what}: only the schema rejects: ${ajv.errorsText(validate.errors)}`);
        return;
      }
      ++rejected;
      // A quantity of another kind has the right form; nothing but a quantity does.
      const wrongKind = /read "(?:5 mm|20 degC|5 um)"|outside_diameter: read/.test(verdicts[i]);
      const known = wrongKind || beyondASchema.some((pattern) => pattern.test(verdicts[i]));
      assert.ok(!bySchema || known, `${what}: only the reader rejects: ${verdicts[i]}`);
    });
    assert.ok(rejected > all.length / 2);
  });
}

/** Those values that both accept in the minimal file; on no value may they differ. */
function assertAlike(values, change) {
  const documents = values.map((value) => {
    const copy = structuredClone(minimal);
    change(copy, value);
    return copy;
  });
  const verdicts = readerVerdicts(documents.map((document) => JSON.stringify(document)));
  const accepted = documents.map((document) => validate(document));
  values.forEach((value, i) => {
    assert.equal(accepted[i], verdicts[i] === "accept", `${JSON.stringify(value)}: ${verdicts[i]}`);
  });
  return values.filter((value, i) => accepted[i]);
}

test("the pattern of quantities is the grammar of the reader", () => {
  // All of them are lengths of 2 mm or no quantities at all.
  const good = ["2 mm", "2mm", "+2 mm", "  2   mm  ", "2.0 mm", "2e0 mm", "2E+0mm", ".002 m",
    "0.002m", "20e-4 m", "2000 um", "2000 \u00b5m", "2000 \u03bcm", "0.2 cm", "2 mm2/mm", "2 mm\u00b2/mm",
    "2 mm^2 / mm", "2 mm3/(mm mm)", "2 mm3/( mm*mm )", "2 mm3/mm2", "2 mm\u00b7m/m", "2 mm * m / m",
    "2 N mm/N", "2 J/kN", "2 mm s/s", "0.002 m min/min", "2e-3 m s h/(s h)"];
  const bad = ["2", "mm", "", " ", "2,0 mm", "2. mm", "2 mm.", "--2 mm", "+ 2 mm", "2 3 mm",
    "2 mmm", "2 Mm2/", "2 /mm", "2 mm/m/m", "2 mm/(m", "2 mm)", "(2 mm)", "2 (mm)", "2 mm/m m",
    "2 mm**2", "2 mm1", "2 mm22", "2 mm^-1", "2 mm^", "2 mm \u22c5 m/m", "2 mm\u00d7m/m", "2 mm-m", "2 1 mm",
    "21/mm", "2 mbar", "2 mmin", "2 degC m/degC", "2 kinch", "\u22122 mm", "0x2 mm", "2 e mm", "nan mm",
    "inf mm", "2\tmm", "2\u00a0mm", "2 mm\n", "2 \"", "2 \u00b0", "2 MM", "2 mm2 mm2 /", "2 mm2mm/mm2",
    "2 \u00b5", "2 mm/1", "2 1/1", "2 mm\u00b9", "2 mm\u2070", "2 mm\u207b\u00b9"];
  const accepted = assertAlike([...good, ...bad], (document, text) => {
    document.gears.forEach((gear) => { gear.module = text; });
  });
  assert.deepEqual(accepted, good);
});

test("the pattern of levels is the grammar of the reader", () => {
  const good = ["-40 degC", "-40degC", "233.15 K", "-40 degF", " +20.5 degC ", "2e1 degC"];
  const bad = ["-40", "-40 C", "-40 \u00b0C", "-40 degC2", "-40 degC*1", "-40 degC m", "degC", "-40 mK2",
    "300 kK", "-40 degc", "--40 degC", "-40 degC/1", "-40 K/1", "-40 deg C"];
  const accepted = assertAlike([...good, ...bad], (document, text) => {
    document.soak.from = text;
    document.soak.to = "60 degC";
  });
  assert.deepEqual(accepted, good);
});

test("the pattern of symmetric bands is the grammar of the reader", () => {
  const good = ["\u00b115 um", "+-15 um", "+- 15um", " \u00b1 0.015 mm ", "\u00b11.5e1 um", "\u00b1.5 um"];
  const bad = ["15 um", "\u00b1-15 um", "\u00b1+15 um", "-+15 um", "+ - 15 um", "+-15", "\u00b1", "+/-15 um",
    "\u00b115 um 2"];
  const accepted = assertAlike([...good, ...bad], (document, text) => {
    document.gears[0].thickness_allowance = text;
  });
  assert.deepEqual(accepted, good);
});

test("names are judged alike", () => {
  const good = ["A", "crank A", "Welle \u2744", "a/b~c", "\"quoted\"", "\u{1f6e0}", "a  b", "\u00e9"];
  const bad = ["", " ", " A", "A ", "a\nb", "a\u0000b", "\u001b[31m", "a\u007f", "a\u0085b", "a\u2028b", "\u202ea",
    "a\u2066b", "\ufeffa", "a\u200eb", "a\u061cb"];
  const accepted = assertAlike([...good, ...bad], (document, text) => {
    document.shafts[0].id = text;
    document.gears[0].shaft = text;
  });
  assert.deepEqual(accepted, good);
});

test("names of conditions are judged alike", () => {
  const good = ["cold", "soaked", "soak-like", "Soak", "cold soak"];
  const bad = ["soak", "soak ", "soak 20 degC", "soak x"];
  const accepted = assertAlike([...good, ...bad], (document, text) => {
    document.conditions = [{ id: text, zones: { all: "0 degC" } }];
  });
  assert.deepEqual(accepted, good);
});

test("names of histories are judged alike", () => {
  const good = ["cold", "soaked", "soak-like", "Soak", "cold soak", "cold at 5 s"];
  const bad = ["soak", "soak ", "soak 20 degC", "soak x"];
  const accepted = assertAlike([...good, ...bad], (document, text) => {
    document.thermal_network = { bodies: [{ id: "all of it", capacity: "9 kJ/K", zone: document.zones[0] }] };
    document.histories = [{ id: text, start: { all: "0 degC" }, duration: "1 h" }];
  });
  assert.deepEqual(accepted, good);
});

test("whole numbers are judged alike", () => {
  const values = [2, 3, 20, 20.0, 20.5, 2e1, 10000, 10001, -20, 1e300, true, "20"];
  assertAlike(values, (document, value) => {
    document.gears[1].teeth = value;
    document.gears[0].teeth = 20;
    document.meshes[0].centre_distance.nominal = "100 m";
  });
});
