// The script of the report's page, on pages made by hand.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";

import { accessibilityFaults, launch, open } from "./browser.mjs";
import { bars, chart, page as write, table } from "./fixture.mjs";
import { misplacedTexts, smallTexts } from "./text_boxes.mjs";

let browser;
before(async () => {
  browser = await launch();
});
after(() => browser.close());

const oneChart = write("one_chart", chart("a", bars, "data-a") + table("data-a", "gaps.csv"));
const marks = "#chart-a .mark-rect.role-mark path";
const colour = (page, selector, property = "fill") =>
  page.$eval(selector, (element, name) => getComputedStyle(element)[name], property);

const texts = (page, selector) =>
  page.$$eval(selector, (elements) => elements.map((element) => element.textContent));

test("a chart is drawn from its table, under the policy of the page and without a request", async () => {
  const page = await open(browser, oneChart);
  const drawing = page.locator("#chart-a .drawing");
  assert.equal(await drawing.getAttribute("data-state"), "drawn");
  assert.equal(await drawing.getAttribute("role"), "img");
  assert.equal(await drawing.getAttribute("aria-label"), "Chart a. What to see");
  assert.equal(await page.locator(marks).count(), 3);
  assert.equal(await page.getByText("text until drawn").count(), 0);
  assert.deepEqual(page.troubles, []);
  assert.deepEqual(await accessibilityFaults(page), []);
  await page.context().close();
});

test("what is inside a drawing is hidden from assistive technology and takes no focus", async () => {
  const page = await open(browser, oneChart);
  assert.equal(await page.locator(".drawing > *").count(), 1);
  assert.equal(await page.locator(".drawing > [aria-hidden=true]").count(), 1);
  assert.equal(await page.locator(".drawing [tabindex], .drawing a").count(), 0);
  await page.context().close();
});

test("colours are those of the style sheet, and change with it without a new drawing", async () => {
  const page = await open(browser, oneChart, { colorScheme: "light" });
  const axisText = "#chart-a .role-axis-label text";
  const legendText = "#chart-a .role-legend-label text";
  const legendSymbol = "#chart-a .role-legend-symbol path";
  const seen = async () => [
    await colour(page, marks),
    await colour(page, axisText),
    await colour(page, legendText),
    await colour(page, legendSymbol),
    await colour(page, "#chart-a .role-axis-grid line", "stroke"),
  ];
  const before = await page.$eval("#chart-a svg", (svg) => svg.outerHTML);
  const [light1, lightInk] = ["rgb(11, 98, 164)", "rgb(27, 31, 36)"];
  const quiet = "rgb(87, 96, 106)";
  assert.deepEqual(await seen(), [light1, lightInk, lightInk, light1, quiet]);
  await page.emulateMedia({ colorScheme: "dark" });
  const [dark1, darkInk] = ["rgb(109, 181, 242)", "rgb(230, 233, 236)"];
  assert.deepEqual(await seen(), [dark1, darkInk, darkInk, dark1, quiet]);
  await page.emulateMedia({ media: "print", colorScheme: "dark" });
  assert.deepEqual(await seen(), ["rgb(0, 0, 1)", lightInk, lightInk, "rgb(0, 0, 1)", quiet]);
  assert.equal(await page.$eval("#chart-a svg", (svg) => svg.outerHTML), before);
  assert.deepEqual(page.troubles, []);
  await page.context().close();
});

test("the box at the pointer holds the numbers of the mark, and none that the row lacks", async () => {
  const page = await open(browser, oneChart);
  const box = page.locator(".hover");
  await page.locator(marks).nth(0).hover();
  assert.deepEqual(await texts(page, ".hover dt"), ["state", "gap [µm]", "level [°F]"]);
  // Vega writes the minus sign of typesetting.
  assert.deepEqual(await texts(page, ".hover dd"), ["cold", "25.40", "\u221240.0"]);
  await page.locator(marks).nth(1).hover();
  assert.deepEqual(await texts(page, ".hover dd"), ["rest", "145.40"]);
  await page.keyboard.press("Escape");
  assert.equal(await box.isVisible(), false);
  await page.locator(marks).nth(0).hover();
  assert.equal(await box.isVisible(), true);
  await page.locator("h1").hover();
  assert.equal(await box.isVisible(), false);
  assert.deepEqual(page.troubles, []);
  await page.context().close();
});

test("texts that lie on one another or are cut, and small ones, are found", async () => {
  const text = (x, y, words, size = 16) => `<text x="${x}" y="${y}" font-size="${size}">${words}</text>`;
  const drawing = (name, texts) =>
    `<svg class="${name}" width="200" height="60" viewBox="0 0 200 60">${texts}</svg>`;
  const file = write(
    "texts",
    drawing("good", text(10, 20, "one") + text(10, 50, "two") + text(150, 20, "three")) +
      drawing("crowded", text(10, 30, "long words") + text(40, 30, "on top")) +
      drawing("right", text(180, 30, "beyond the edge")) +
      drawing("below", text(10, 62, "too low")) +
      drawing("hidden", text(10, 30, "a") + `<g opacity="0">${text(10, 30, "b")}</g>`) +
      drawing("small", `<g transform="scale(0.5)">${text(10, 60, "half of 16 px")}</g>`),
  );
  const page = await open(browser, file);
  assert.deepEqual(await page.evaluate(misplacedTexts), [
    'crowded: "long words" lies on "on top"',
    'right: "beyond the edge" reaches out of the drawing',
    'below: "too low" reaches out of the drawing',
  ]);
  assert.deepEqual(await page.evaluate(smallTexts, 12), [" text.: 8.0 px"]);
  await page.context().close();
});

test("the box stays in a window that is narrow", async () => {
  const page = await open(browser, oneChart, { viewport: { width: 330, height: 520 } });
  await page.locator(marks).nth(1).hover();
  const { x, y, width, height } = await page.locator(".hover").boundingBox();
  assert.ok(x >= 0 && x + width <= 330, `${x} and ${width} wide`);
  assert.ok(y >= 0 && y + height <= 520, `${y} and ${height} high`);
  await page.context().close();
});

test("the table is folded, a link to it unfolds it, and so does an address", async () => {
  const page = await open(browser, oneChart);
  const details = page.locator("#data-a");
  assert.equal(await details.getAttribute("open"), null);
  await page.locator(".to-numbers").click();
  assert.notEqual(await details.getAttribute("open"), null);
  await page.context().close();

  const context = await browser.newContext();
  const arrived = await context.newPage();
  await arrived.goto(`file://${oneChart}#data-a`);
  assert.notEqual(await arrived.locator("#data-a").getAttribute("open"), null);
  // An address that names nothing, and is not even well formed, does no harm.
  const lost = await context.newPage();
  await lost.goto(`file://${oneChart}#%zz`);
  await lost.waitForSelector("[data-state=drawn]");
  assert.equal(await lost.locator("#data-a").getAttribute("open"), null);
  await context.close();
});

test("without scripts the table is open", async () => {
  const page = await open(browser, oneChart, { javaScriptEnabled: false });
  assert.equal(await page.locator("#data-a table").isVisible(), true);
  assert.equal(await page.getByText("text until drawn").isVisible(), true);
  await page.context().close();
});

const saved = async (page, id) => {
  await page.locator(`a[href="#${id}"]`).first().click();
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    page.locator(`#${id} button.csv`).click(),
  ]);
  return { name: download.suggestedFilename(), text: readFileSync(await download.path(), "utf8") };
};

test("the table is saved with its stored values, as RFC 4180 says", async () => {
  const file = write(
    "quotes",
    chart("a", bars, "data-a") + table("data-a", "gaps.csv", ['a "quoted", one', "two\nlines", "hot"]),
  );
  const page = await open(browser, file);
  assert.deepEqual(await saved(page, "data-a"), {
    name: "gaps.csv",
    text:
      "state,gap.least [mm],level [degC]\r\n" +
      '"a ""quoted"", one",0.0254,-40\r\n"two\nlines",0.1454,\r\nhot,-1.5e-05,120\r\n',
  });
  assert.deepEqual(page.troubles, []);
  await page.context().close();
});

test("a chart that cannot be drawn says why and holds up no other", async () => {
  const broken = table("data-b", "b.csv").replace('<data value="0.1454">', '<data value="0,1454">');
  const file = write(
    "broken",
    chart("b", bars, "data-b") + broken + chart("a", bars, "data-a") + table("data-a", "a.csv"),
  );
  const page = await open(browser, file);
  const failed = page.locator("#chart-b .drawing");
  assert.equal(await failed.getAttribute("data-state"), "failed");
  assert.match(await failed.textContent(), /could not be drawn: a value is not a number: "0,1454"/);
  assert.equal(await failed.getAttribute("role"), null);
  assert.equal(await page.locator("#chart-a .drawing").getAttribute("data-state"), "drawn");
  await page.context().close();
});

test("the script names the packages in it with their licences", () => {
  const [comment] = readFileSync(process.env.LASHBAND_PAGE_SCRIPT, "utf8").split("*/", 1);
  for (const name of ["vega-view", "vega-lite", "vega-interpreter", "d3-scale", "delaunator"]) {
    assert.match(comment, new RegExp(`\\b${name} [0-9]+\\.[0-9]+\\.[0-9]+`));
  }
  assert.match(comment, /Redistributions in binary form must reproduce/); // BSD, of Vega
  assert.match(comment, /Permission to use, copy, modify, and\/or distribute/); // ISC, of D3
});

test("a page without charts is done at once", async () => {
  const page = await open(browser, write("no_charts", table("data-a", "a.csv")));
  assert.deepEqual(page.troubles, []);
  await page.context().close();
});

// Twelve charts, each a screen below the last, on a page whose idle time never comes.
const longPage = write(
  "long",
  Array.from({ length: 12 }, (_, i) => `${chart(`c${i}`, bars, "data-a")}<div class="far"></div>`).join("") +
    table("data-a", "a.csv"),
);
const openBusy = async () => {
  const context = await browser.newContext({ viewport: { width: 1000, height: 800 } });
  await context.addInitScript(() => {
    globalThis.requestIdleCallback = () => 0;
  });
  const page = await context.newPage();
  await page.goto(`file://${longPage}`);
  await page.waitForSelector("#chart-c0 [data-state=drawn]");
  return page;
};
const drawn = (page) =>
  page.$$eval("[data-state=drawn]", (divs) => divs.map((div) => div.dataset.spec));

test("charts in sight are drawn first, others when they come near", async () => {
  const page = await openBusy();
  assert.deepEqual(await drawn(page), ["spec-c0"]);
  await page.locator("#chart-c7").scrollIntoViewIfNeeded();
  await page.waitForSelector("#chart-c7 [data-state=drawn]");
  assert.deepEqual(await drawn(page), ["spec-c0", "spec-c7"]);
  assert.equal(await page.evaluate(() => document.documentElement.dataset.charts), undefined);
  await page.context().close();
});

test("all charts are drawn before the page is printed", async () => {
  const page = await openBusy();
  assert.equal((await drawn(page)).length, 1);
  await page.pdf();
  assert.equal((await drawn(page)).length, 12);
  assert.equal(await page.evaluate(() => document.documentElement.dataset.charts), "drawn");
  await page.context().close();
});

test("texts of a design stay texts in drawing and box", async () => {
  const hostile = [
    '</script><script>alert(1)</script>',
    `<img src=x onerror=alert(1)>"'&amp;\u202Eabc\u200F`,
    `{{constructor}} ${"x".repeat(10_000)}`,
  ];
  const spec = structuredClone(bars);
  spec.title = hostile[0];
  const file = write("hostile", chart("a", spec, "data-a") + table("data-a", "a.csv", hostile));
  const page = await open(browser, file);
  assert.equal(await page.locator("#chart-a .drawing").getAttribute("data-state"), "drawn");
  await page.locator(marks).nth(1).hover({ force: true });
  assert.equal((await texts(page, ".hover dd"))[0], hostile[1]);
  assert.equal(await page.locator("img, .drawing script").count(), 0);
  assert.deepEqual(page.troubles, []);
  await page.context().close();
});
