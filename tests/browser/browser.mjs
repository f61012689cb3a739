// One Chromium for all tests of a file. Every page that is opened notes what a reader must never
// meet: messages on the console, errors, and requests for anything but the page itself.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

import { chromium } from "playwright-core";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

export const launch = () =>
  chromium.launch({
    executablePath: process.env.LASHBAND_CHROMIUM,
    args: [
      "--no-sandbox", // it needs rights that root in a container does not have
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });

/**
 * Opens the file in a window of its own, with `options` for it (colorScheme, javaScriptEnabled, ...)
 * and waits until all charts are drawn. `troubles` of the page grows while it is used.
 */
export const open = async (browser, file, options = {}) => {
  const context = await browser.newContext({ viewport: { width: 1000, height: 800 }, ...options });
  const page = await context.newPage();
  const address = pathToFileURL(file).href;
  const troubles = [];
  page.troubles = troubles;
  page.on("console", (message) => troubles.push(`console: ${message.text()}`));
  page.on("pageerror", (error) => troubles.push(`error: ${error.message}`));
  page.on("dialog", async (dialog) => {
    troubles.push(`dialog: ${dialog.message()}`);
    await dialog.dismiss();
  });
  await context.route("**", (route) => {
    const url = route.request().url();
    if (url === address) {
      return route.continue();
    }
    troubles.push(`request: ${url}`);
    return route.abort();
  });
  await page.goto(address);
  if (options.javaScriptEnabled !== false) {
    await page.waitForSelector("html[data-charts=drawn]", { state: "attached" });
  }
  return page;
};

/**
 * What axe-core finds against the page, by all its rules or by the rules or tags
 * given, one line each. The page's own policy stays in force.
 */
export const accessibilityFaults = async (page, rules) => {
  await page.evaluate(axe);
  const { violations } = await page.evaluate(
    // Without the list of all that is right, which takes most of the time.
    (only) => globalThis.axe.run(document, { resultTypes: ["violations"], ...(only && { runOnly: only }) }),
    rules,
  );
  return violations.flatMap(({ id, nodes }) =>
    nodes.map((node) => `${id}: ${node.html.slice(0, 200)} ${node.failureSummary}`),
  );
};
