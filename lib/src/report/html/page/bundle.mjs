// Joins the page's script and the packages it uses into one file, to stand in a <script> element:
//
//   node bundle.mjs MODULES OUTPUT
//
// MODULES is a node_modules folder in which the packages of package-lock.json are installed. The
// licence texts of all that is joined stand at the head of OUTPUT, as those licences ask.
import { readFileSync, readdirSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { basename, dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

const [modules, output] = process.argv.slice(2).map((path) => resolve(path));
const here = dirname(fileURLToPath(import.meta.url));
const { build } = createRequire(join(modules, "from_here.js"))("esbuild");

const result = await build({
  absWorkingDir: here,
  entryPoints: ["main.js"],
  nodePaths: [modules],
  alias: { vega: "./vega_parts.js" },
  bundle: true,
  minify: true,
  format: "iife",
  platform: "browser",
  // Office browsers lag by years.
  target: "es2020",
  charset: "ascii",
  legalComments: "none", // in full below
  metafile: true,
  write: false,
  logLevel: "warning",
});

// Packages that come with others joined into them already, which esbuild cannot see.
const joinedInto = { "d3-delaunay": ["delaunator", "robust-predicates"] };

// The folders of the packages of which something is in the bundle.
const folders = new Set();
const [{ inputs }] = Object.values(result.metafile.outputs);
for (const [input, { bytesInOutput }] of Object.entries(inputs)) {
  const folder = /.*node_modules\/(?:@[^/]+\/)?[^/]+/.exec(input)?.[0];
  if (folder && bytesInOutput > 0) {
    const inside = joinedInto[basename(folder)] ?? [];
    [folder, ...inside.map((name) => join(modules, name))].forEach((one) =>
      folders.add(resolve(here, one)),
    );
  }
}

// A folder from before the lock changed would give another page than the one that was tested.
const locked = JSON.parse(readFileSync(join(here, "package-lock.json"), "utf8")).packages;
for (const folder of folders) {
  const { name, version } = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
  const wanted = locked[`node_modules/${name}`]?.version;
  if (version !== wanted) {
    throw new Error(`${folder} holds ${name} ${version} in place of ${wanted}: fetch the packages again`);
  }
}

// One text may cover many packages.
const packagesOfText = new Map();
for (const folder of [...folders].sort()) {
  const { name, version, license } = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
  const files = readdirSync(folder).filter((file) => /^(licen[cs]e|copying|notice)/i.test(file));
  if (files.length === 0) {
    throw new Error(`${name} ${version} (${license}) comes without a licence text`);
  }
  for (const file of files.sort()) {
    const text = readFileSync(join(folder, file), "utf8").replaceAll("\r\n", "\n").trim();
    packagesOfText.set(text, [...(packagesOfText.get(text) ?? []), `${name} ${version}`]);
  }
}
const licences = [...packagesOfText].map(([text, names]) => `${names.join(", ")}:\n\n${text}`);
const banner = `This script contains the packages named here, under these terms.\n\n${licences.join("\n\n----\n\n")}`;
if (banner.includes("*/")) {
  throw new Error("a licence text would end the comment that holds it");
}

const script = `/*!\n${banner}\n*/\n${result.outputFiles[0].text}`;
// Any of these would end the script element early, or change how its end is found.
const harmful = /<!--|<\/?script/i.exec(script);
if (harmful) {
  const around = script.slice(Math.max(0, harmful.index - 40), harmful.index + 40);
  throw new Error(`"${harmful[0]}" cannot stand in a script element: ${around}`);
}
writeFileSync(output, script);
