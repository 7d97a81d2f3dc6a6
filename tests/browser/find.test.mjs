// Finding an article by a word that is typed: from the index by taps, the field as a finger and a keyboard meet it,
// and the same word once more without typing.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { launch, openTab } from "./lib/browser.mjs";
import { LEAST_TARGET } from "./lib/checks.mjs";
import { LEAST_CONTRAST, contrast, readColour } from "./lib/contrast.mjs";
import { startService } from "./lib/service.mjs";
import { SCREENS, WIDE_SCREENS } from "./lib/walk.mjs";

/** Diameters of watches in CSS pixels. */
const DIAMETERS = [192, 225, 320];

/** The size of text in a field below which browsers of watches and telephones zoom (common practice, no source). */
const LEAST_TEXT = 16;

/** How long a page may take before the test gives up, in milliseconds. */
const PATIENCE_MS = 10_000;

let service;
let chromium;
let tab;

before(async () => {
  service = await startService();
  chromium = await launch();
  tab = await openTab(chromium.browser, { home: service.address });
});

after(async () => {
  await chromium?.close();
  await service?.stop();
});

test("the field is in the upper half, as high as a finger is wide, and never zoomed", async () => {
  const { page } = tab;
  for (const screen of [...SCREENS, ...WIDE_SCREENS]) {
    await page.goto(new URL(`/${screen}/find?q=ferr%C3%AE`, service.address).href, { waitUntil: "load" });
    await page.goto(new URL(`/${screen}/find`, service.address).href, { waitUntil: "load" });
    for (const diameter of DIAMETERS) {
      await tab.resize({ width: diameter, height: diameter });
      const field = await page.$eval("input", (input) => {
        const { top, bottom, left, right } = input.getBoundingClientRect();
        const { fontSize, color } = getComputedStyle(input);
        const named = input.labels[0]?.textContent;
        return { top, bottom, left, right, text: parseFloat(fontSize), color, named };
      });
      const at = `${screen} at ${diameter}: ${JSON.stringify(field)}`;
      assert.equal(field.named, "Find words", at);
      assert.ok(field.text >= LEAST_TEXT, at);
      assert.ok(field.bottom <= diameter / 2, at);
      assert.ok(field.bottom - field.top >= LEAST_TARGET * diameter, at);
      // The corners of its box, though they are rounded, are on the glass.
      const high = diameter / 2 - field.top;
      const wide = (field.right - field.left) / 2;
      assert.ok(Math.hypot(high, wide) <= diameter / 2, at);
      assert.ok(contrast(readColour(field.color), [0, 0, 0]) >= LEAST_CONTRAST, at);
    }
  }
});

test("a word is typed once, and found again by one tap", async () => {
  const { page } = tab;
  await tab.resize({ width: 225, height: 225 });
  await page.goto(new URL("/round-10/", service.address).href, { waitUntil: "load" });
  await follow("a[href$='/find']");
  await page.focus("input");
  await page.keyboard.type("Thogersen");
  await Promise.all([loaded(), page.keyboard.press("Enter")]);
  assert.match(page.url(), /\/find\?q=Thogersen$/);
  const title = await page.$eval("section a.r span", (span) => span.innerText.replace(/\s+/gu, " "));
  assert.equal(title, "Ansgar Thøgersen, Sailmaker");
  const found = await page.$eval("section a.r", (row) => row.pathname);
  await follow("a[href$='/find']");
  await follow("a[href$='/find?q=Thogersen']");
  assert.equal(await page.$eval("section a.r", (row) => row.pathname), found);
  // The button does what the keyboard's key does.
  await follow("a[href$='/find']");
  await page.type("input", "nobody’s zeppelin");
  await Promise.all([loaded(), page.click("input + button")]);
  assert.equal(await page.$eval("[role=status]", (said) => said.innerText), "Nothing found");
  assert.equal(await page.$eval("input", (input) => input.value), "nobody’s zeppelin");
  await Promise.all([loaded(), page.click("form[method=post] button")]);
  assert.match(page.url(), /\/find$/);
  assert.equal(await page.$("a[href*='q=']"), null, "what was looked for is forgotten");
  assert.deepEqual(tab.takeTroubles(), []);
});

function loaded() {
  return tab.page.waitForNavigation({ waitUntil: "load", timeout: PATIENCE_MS });
}

async function follow(selector) {
  await Promise.all([loaded(), tab.page.click(selector)]);
}
