// Reports as the program writes them, of every example and of a hostile design, opened as a reader
// opens them: from the disk, in a browser.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { HtmlValidate } from "html-validate";

import { accessibilityFaults, launch, open } from "./browser.mjs";
import { misplacedTexts, smallTexts } from "./text_boxes.mjs";

const source = process.env.LASHBAND_SOURCE;
const program = process.env.LASHBAND_EXECUTABLE;
// Kept, so that people can look at what was tested.
const folder = process.env.LASHBAND_REPORTS;

// The least size of print, 9 pt: common practice, no source.
const leastPrint = 12; // px
// The width of A4 between margins of 15 mm, at 96 px in an inch.
const paperWidth = Math.round(((210 - 2 * 15) / 25.4) * 96);

rmSync(folder, { recursive: true, force: true });
mkdirSync(folder, { recursive: true });

const reportOf = (input, name, ...more) => {
  const output = join(folder, `${name}.html`);
  execFileSync(program, ["report", input, "-o", output, "--no-verdict", "--quiet", ...more]);
  return output;
};
const inputOf = (example) => join(source, "examples", example, "train.json");
const examples = readdirSync(join(source, "examples"), { withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .map((entry) => entry.name);
assert.ok(examples.length > 0, "no examples found");
// And one with histories of both kinds: a record, and a network that goes through cycles.
const reported = [
  ...examples.map((example) => [example, inputOf(example)]),
  ["warm_up", join(source, "tests", "data", "valid", "warm_up.json")],
];

let browser;
before(async () => {
  browser = await launch();
});
after(() => browser.close());

const allDrawn = async (page) => {
  const states = await page.$$eval(".drawing", (divs) =>
    divs.map((div) => [div.dataset.spec, div.dataset.state, div.querySelectorAll("svg").length]),
  );
  assert.ok(states.length > 0, "the page has no charts");
  assert.deepEqual(
    states.filter(([, state, drawings]) => state !== "drawn" || drawings !== 1),
    [],
  );
};

// RFC 4180, read strictly.
const parsedCsv = (text) => {
  assert.ok(text.endsWith("\r\n"));
  const rows = [[]];
  const field = /(?:"((?:[^"]|"")*)"|([^",\r\n]*))(,|\r\n)/gy;
  for (let match; (match = field.exec(text)); ) {
    rows.at(-1).push(match[1]?.replaceAll('""', '"') ?? match[2]);
    if (match[3] !== ",") {
      rows.push([]);
    }
    if (field.lastIndex === text.length) {
      break;
    }
  }
  assert.equal(field.lastIndex, text.length, "not CSV to its end");
  return rows.slice(0, -1);
};

// What a table holds, read in another way than the page's script does.
const tableInPage = (page, id) =>
  page.$eval(`[id="${id}"]`, (details) => {
    const heads = [...details.querySelectorAll("thead th")].map((head) =>
      head.hasAttribute("data-unit")
        ? `${head.getAttribute("data-field")} [${head.getAttribute("data-unit")}]`
        : head.getAttribute("data-field"),
    );
    const rows = [...details.querySelectorAll("tbody tr")].map((row) =>
      [...row.children].map((cell) => cell.querySelector("data")?.getAttribute("value") ?? cell.textContent),
    );
    return [heads, ...rows];
  });

const checkDownloads = async (page) => {
  const ids = await page.$$eval("details.data", (all) => all.map((details) => details.id));
  assert.ok(ids.length > 0, "the page has no tables of numbers");
  for (const id of ids) {
    const details = page.locator(`[id="${id}"]`);
    assert.equal(await details.getAttribute("open"), null);
    await details.locator("summary").click();
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      details.locator("button.csv").click(),
    ]);
    assert.equal(download.suggestedFilename(), await details.getAttribute("data-file"));
    const text = readFileSync(await download.path(), "utf8");
    assert.deepEqual(parsedCsv(text), await tableInPage(page, id));
    await details.locator("summary").click();
  }
};

// The numbers of a table as it shows them, with the digits stored: value times scale plus offset.
const numbersInTable = (page, id) =>
  page.$eval(`[id="${id}"]`, (details) => {
    const heads = [...details.querySelectorAll("thead th")];
    const number = (head, name, otherwise) => Number(head.getAttribute(name) ?? otherwise);
    return [...details.querySelectorAll("tbody tr")].flatMap((row) =>
      [...row.children].flatMap((cell, i) => {
        const data = cell.querySelector("data");
        return data === null
          ? []
          : [Number(data.value) * number(heads[i], "data-scale", 1) + number(heads[i], "data-offset", 0)];
      }),
    );
  });

const marksOf = (drawing) => drawing.locator(".role-mark path, .role-mark line, .role-mark rect");

// The numbers in the box at the pointer over the first marks of a drawing, until some are shown.
const numbersAtPointer = async (page, drawing) => {
  for (const mark of (await marksOf(drawing).all()).slice(0, 12)) {
    const box = await mark.boundingBox();
    if (box === null) {
      continue;
    }
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    const numbers = (await page.locator(".hover:not([hidden]) dd").allTextContents())
      .map((text) => text.replace("\u2212", "-")) // the minus sign of typesetting
      .filter((text) => /^-?[0-9.]+$/.test(text));
    if (numbers.length > 0) {
      return numbers;
    }
  }
  return [];
};

const placesOfTexts = (drawing) =>
  drawing.locator("text").evaluateAll((texts) =>
    texts.map((text) => {
      const { x, y } = text.getBoundingClientRect();
      return [text.textContent, Math.round(x), Math.round(y)];
    }),
  );

// Each chart that has such a box shows numbers in it that its table has, and stands still meanwhile.
const checkHover = async (page) => {
  let charts = 0;
  for (const drawing of await page.locator(".drawing").all()) {
    const chart = await drawing.getAttribute("data-spec");
    const spec = await page.locator(`[id="${chart}"]`).textContent();
    if (!spec.includes('"tooltip"')) {
      continue;
    }
    charts += 1;
    const known = await numbersInTable(page, await drawing.getAttribute("data-table"));
    await drawing.scrollIntoViewIfNeeded();
    const texts = await placesOfTexts(drawing);
    const shown = await numbersAtPointer(page, drawing);
    assert.deepEqual(await placesOfTexts(drawing), texts, `${chart} moves under the pointer`);
    assert.ok(shown.length > 0, `${chart} shows no number at the pointer`);
    for (const text of shown) {
      const decimals = text.split(".")[1]?.length ?? 0;
      // Half a unit of the last place shown, and a little for the binary numbers behind it.
      const near = 0.5 * 10 ** -decimals * 1.0001;
      assert.ok(
        known.some((value) => Math.abs(value - Number(text)) <= near),
        `${chart}: ${text} is not in the table`,
      );
    }
  }
  assert.ok(charts > 0, "no chart has a box at the pointer");
  await page.mouse.move(0, 0);
};

const checkPrint = async (page, name) => {
  await page.emulateMedia({ media: "print" });
  await page.setViewportSize({ width: paperWidth, height: 1000 });
  const small = await page.evaluate(smallTexts, leastPrint);
  const misplaced = await page.evaluate(misplacedTexts);
  await page.emulateMedia({ media: null });
  const pdf = join(folder, `${name}.pdf`);
  await page.pdf({ path: pdf, preferCSSPageSize: true });
  execFileSync("pdftoppm", ["-r", "80", "-png", pdf, join(folder, `${name}-page`)]);
  assert.deepEqual({ small, misplaced }, { small: [], misplaced: [] });
};

for (const [example, input] of reported) {
  test(`report of ${example}`, async (suite) => {
    const file = reportOf(input, example);
    const page = await open(browser, file, { colorScheme: "light" });

    await suite.test("every chart is drawn", () => allDrawn(page));
    await suite.test("no text of a drawing lies on another or is cut", async () => {
      assert.deepEqual(await page.evaluate(misplacedTexts), []);
    });
    await suite.test("the box at the pointer shows numbers of the table, and nothing moves", () => checkHover(page));
    await suite.test("each table is saved as it stands", () => checkDownloads(page));
    await suite.test("accessible, and so are the tables once open", async () => {
      await page.screenshot({ path: join(folder, `${example}-light.png`), fullPage: true });
      const faults = await accessibilityFaults(page);
      await page.$$eval("details.data", (all) => all.forEach((details) => (details.open = true)));
      // All rules again would take three times as long: contrast is slow over thousands of cells.
      faults.push(...(await accessibilityFaults(page, ["cat.tables", "cat.keyboard"])));
      await page.$$eval("details.data", (all) => all.forEach((details) => (details.open = false)));
      assert.deepEqual(faults, []);
    });
    await suite.test("contrast is enough in dark colours", async () => {
      await page.emulateMedia({ colorScheme: "dark" });
      await page.screenshot({ path: join(folder, `${example}-dark.png`), fullPage: true });
      assert.deepEqual(await accessibilityFaults(page, ["color-contrast"]), []);
    });
    await suite.test("nothing scrolls sideways on a narrow screen but the tables", async () => {
      await page.setViewportSize({ width: 400, height: 800 });
      assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth));
    });
    await suite.test("printed", () => checkPrint(page, example));
    await suite.test("no message, no error, no request", () => assert.deepEqual(page.troubles, []));
    await page.context().close();

    await suite.test("without scripts every table is there and open", async () => {
      const plain = await open(browser, file, { javaScriptEnabled: false });
      const tables = plain.locator("details.data table");
      assert.ok((await tables.count()) > 0);
      for (const table of await tables.all()) {
        assert.equal(await table.isVisible(), true);
      }
      assert.equal(await plain.locator("details.data:not([open])").count(), 0);
      assert.deepEqual(plain.troubles, []);
      await plain.context().close();
    });
    await suite.test("valid HTML", async () => {
      const validator = new HtmlValidate({
        extends: ["html-validate:recommended"],
        // How much of a title a search engine shows; this one is as long as the design's.
        rules: { "long-title": "off" },
      });
      const { results } = await validator.validateString(readFileSync(file, "utf8"));
      assert.deepEqual(
        results.flatMap(({ messages }) =>
          messages.map(({ ruleId, message, line, column }) => `${line}:${column} ${ruleId}: ${message}`),
        ),
        [],
      );
    });
  });
}

// The same page in other words: only what depends on them is looked at again.
const changedDesign = () => {
  const design = readFileSync(inputOf("polar_antenna"), "utf8");
  assert.ok(design.includes("75.440 mm"), "the example has another centre distance");
  const changed = join(folder, "changed.json");
  writeFileSync(changed, design.replace("75.440 mm", "75.450 mm"));
  return changed;
};
for (const [name, options] of [
  ["inch", () => ["--units", "inch", "--samples", "20000"]],
  ["compared", () => ["--compare", changedDesign()]],
]) {
  test(`report of polar_antenna, ${name}`, async () => {
    const file = reportOf(inputOf("polar_antenna"), `polar_antenna-${name}`, ...options());
    const page = await open(browser, file, { colorScheme: "light" });
    await allDrawn(page);
    assert.deepEqual(await page.evaluate(misplacedTexts), []);
    await checkHover(page);
    await checkDownloads(page);
    await page.screenshot({ path: join(folder, `polar_antenna-${name}.png`), fullPage: true });
    assert.deepEqual(page.troubles, []);
    await page.context().close();
  });
}

test("texts of a hostile design are shown as texts and do nothing", async () => {
  const design = readFileSync(inputOf("polar_antenna"), "utf8");
  const script = "</script><script>alert(1)</script>";
  const renamed = {
    "Azimuth drive of a polar antenna, two stages (invented)": `${script}<!-- "'&amp; ${"long ".repeat(2000)}`,
    "first stage": `${script}<img src=x onerror=alert(1)>`,
    "motor pinion": `"'><b>\u05d0\u05d1\u05d2 {{1}} $\{2}`, // with letters that run from right to left
    "polar night": "a".repeat(10_000),
    "steel cartridge": "--></style><style>*{display:none}</style>",
  };
  let text = design;
  for (const [plain, hostile] of Object.entries(renamed)) {
    assert.ok(text.includes(JSON.stringify(plain)), `the example has no "${plain}"`);
    text = text.replaceAll(JSON.stringify(plain), JSON.stringify(hostile));
  }
  const input = join(folder, "hostile.json");
  writeFileSync(input, text);
  const page = await open(browser, reportOf(input, "hostile"));
  await allDrawn(page);
  assert.equal(await page.locator("img, b").count(), 0);
  assert.equal(await page.locator("style").count(), 1);
  assert.equal(await page.locator("script:not([type])").count(), 1);
  assert.ok((await page.locator("h1").textContent()).includes(script));
  assert.equal(await page.locator("h1").isVisible(), true);
  await checkDownloads(page);
  await page.screenshot({ path: join(folder, "hostile.png"), fullPage: true });
  assert.deepEqual(page.troubles, []);
  await page.context().close();
});
