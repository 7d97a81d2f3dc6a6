// The first visit: two taps from the address that a wearer types to the index, counted on a new profile, with a browser's bar
// and without, scripts on and off. Then the pages of screens with a strip and on a light ground: no ink outside the disc
// or under the bar, and targets wide enough by what the bar leaves of them, be it that the bar lies over the page or that it
// makes the page lower.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openTab } from "./lib/browser.mjs";
import { startService } from "./lib/service.mjs";
import { STRIP_SCREENS, walkPages } from "./lib/walk.mjs";

/** How long a page may take before the test gives up, in milliseconds. */
const PATIENCE_MS = 10_000;

const SIDES = [192, 225, 320];
const WHOLE = SIDES.map((side) => ({ width: side, height: side }));

/** Views that a bar beside the page makes lower, by 8, 12 and 16 hundredths. */
const LOWER = [
  { width: 192, height: 176 },
  { width: 225, height: 198 },
  { width: 320, height: 269 },
];

/** Kinds of pages that are walked of each screen, without the screen. */
const PAGES = ["", "page/0", "3", "7", "7/links", "7/hand", "find", "find?q=tide", "find?q=zeppelin", "reads"];

let service;
let chromium;

before(async () => {
  service = await startService();
  chromium = await launch();
});

after(async () => {
  await chromium?.close();
  await service?.stop();
});

for (const scripts of [true, false]) {
  for (const [name, view, picture, screen] of [
    ["without a bar", WHOLE[0], "The whole disc", "round-10"],
    ["with a bar above the page", LOWER[1], "A bar above", "round-10-top12"],
    ["with a bar below the page", LOWER[2], "A bar below", "round-10-bottom16"],
    ["with a bar over the page", WHOLE[2], "A bar above", "round-10-top12"],
  ]) {
    test(`two taps lead from the address to the index ${name}, scripts ${scripts ? "on" : "off"}`, async () => {
      const tab = await openTab(chromium.browser, { home: service.address, scripts });
      const { page } = tab;
      await page.setViewport({ ...view, deviceScaleFactor: 1, hasTouch: true });
      await page.goto(service.address, { waitUntil: "load" });
      assert.equal(new URL(page.url()).pathname, "/", "a new browser is asked");
      let taps = 0;
      const tap = async (selector, label) => {
        const targets = await page.$$(selector);
        const shown = [];
        for (const target of targets) {
          const told = await target.evaluate((element) => element.checkVisibility() && element.ariaLabel);
          if (told === label) {
            shown.push(target);
          }
        }
        assert.equal(shown.length, 1, `one target is called ${label}`);
        const place = await shown[0].evaluate((element) => {
          const { left, right, top, bottom } = element.getBoundingClientRect();
          const [x, y] = [(left + right) / 2, (top + bottom) / 2];
          return { x, y, reached: document.elementFromPoint(x, y) === element };
        });
        assert.ok(place.reached, `${label} can be touched without a flick`);
        taps += 1;
        await Promise.all([
          page.waitForNavigation({ waitUntil: "load", timeout: PATIENCE_MS }),
          page.touchscreen.tap(place.x, place.y),
        ]);
      };
      await tap("button", picture);
      assert.equal(new URL(page.url()).pathname, `/${screen}/reads`);
      const lines = await page.$eval("[aria-current]", (element) => element.ariaLabel);
      await tap("button", lines);
      assert.equal(new URL(page.url()).pathname, `/${screen}/`, "the index");
      assert.equal(taps, 2);
      await page.goto(service.address, { waitUntil: "load" });
      assert.equal(new URL(page.url()).pathname, `/${screen}/`, "what was chosen is kept");
      assert.deepEqual(tab.takeTroubles(), []);
      await tab.close();
    });
  }
}

test("the ground is changed by one tap, and what is chosen is shown at once", async () => {
  const tab = await openTab(chromium.browser, { home: service.address });
  const { page } = tab;
  await tab.resize(WHOLE[0]);
  await page.goto(new URL("/round-10/", service.address).href, { waitUntil: "load" });
  const ground = () => page.evaluate(() => ({
    ground: getComputedStyle(document.documentElement).backgroundColor,
    scheme: getComputedStyle(document.documentElement).colorScheme,
    theme: document.querySelector("meta[name=theme-color]").content,
  }));
  const dark = { ground: "rgb(0, 0, 0)", scheme: "dark", theme: "#000" };
  const light = { ground: "rgb(255, 255, 255)", scheme: "light", theme: "#fff" };
  assert.deepEqual(await ground(), dark);
  for (const [value, wanted] of [["round-10-light", light], ["round-10", dark]]) {
    const button = await page.$(`button[value='${value}']:not([aria-current])`);
    await Promise.all([
      page.waitForNavigation({ waitUntil: "load", timeout: PATIENCE_MS }),
      button.evaluate((element) => element.click()),
    ]);
    assert.equal(new URL(page.url()).pathname, `/${value}/`);
    assert.deepEqual(await ground(), wanted);
  }
  await tab.close();
});

/** Views of a screen: as it is under a bar that lies over the page, and as high as a bar beside it leaves it. */
function viewsOf(screen) {
  const hundredths = Number(screen.match(/-(?:top|bottom)(\d+)/)?.[1] ?? 0);
  const beside = SIDES.map((side) => ({ width: side, height: Math.round((side * (100 - hundredths)) / 100) }));
  return hundredths === 0 ? WHOLE : [...WHOLE, ...beside];
}

for (const scripts of [true, false]) {
  describe(`the pages of a first visit and of screens with a bar or a light ground, scripts ${scripts ? "on" : "off"}`, () => {
    let walked;

    before(async () => {
      const screens = [...STRIP_SCREENS, "round-10-light"];
      const pages = screens.flatMap((screen) => PAGES.map((page) => ({ path: `/${screen}/${page}`, views: viewsOf(screen) })));
      pages.push({ path: "/", views: [...WHOLE, ...LOWER] }, { path: "/round-10/reads", views: [...WHOLE, ...LOWER] });
      // Without scripts the same pages are drawn, so that one screen of each edge is enough.
      const some = scripts ? pages : pages.filter(({ path }) => !/^\/round-(6|10-light)/.test(path));
      walked = await walkPages(chromium.browser, service.address, some, { scripts, font: true });
    });

    test("keep all that a page owes its wearer", () => {
      assert.deepEqual(
        walked.failures.map(({ path, view, check, detail }) => `${check}: ${path} at ${view}: ${detail}`),
        [],
      );
      assert.ok(walked.pages.size >= (scripts ? 50 : 20), `${walked.pages.size} pages`);
    });
  });
}

test("ink under a bar is seen to", async () => {
  // A page of the whole disc, judged as if a bar lay over it.
  const { failures } = await walkPages(chromium.browser, service.address, [{ path: "/round-11/7", views: WHOLE.slice(0, 1) }], {
    glass: { share: 0.16, edge: "top", ground: 0 },
  });
  assert.ok(failures.some(({ check }) => check === "ink"), JSON.stringify(failures));
});
