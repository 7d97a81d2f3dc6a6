// The way through the demo by taps alone: from the index to an article, through its discs to the
// last, to the next article, and from its last disc back to the index.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { launch, openTab } from "./lib/browser.mjs";
import { startService } from "./lib/service.mjs";

const VIEW = { width: 225, height: 225 };

/** How long a scroll or a page may take before the test gives up, in milliseconds. */
const PATIENCE_MS = 10_000;

let service;
let chromium;
let tab;

before(async () => {
  service = await startService();
  chromium = await launch();
  tab = await openTab(chromium.browser, { home: service.address });
  await tab.page.setViewport({ ...VIEW, deviceScaleFactor: 1, hasTouch: true });
});

after(async () => {
  await chromium?.close();
  await service?.stop();
});

test("every disc leads on by a tap, and every article to the next and to the index", async () => {
  const { page } = tab;
  await page.goto(new URL("/round-10/", service.address).href, { waitUntil: "load" });
  const index = new URL(page.url()).pathname;
  assert.match(index, /^\/[a-z]+-\d+(-wide)?\/$/, "the index is where it was");

  const first = await walkTo((link, at) => new RegExp(`^${at}[^/]+$`).test(link), index);
  await tapAndLoad(first);
  const article = new URL(page.url()).pathname;
  assert.match(article, new RegExp(`^${index}[^/]+$`), "the index leads to an article");

  const onward = await walkTo((link) => link.startsWith(`${index}after/`));
  await tapAndLoad(onward);
  const next = new URL(page.url()).pathname;
  assert.match(next, new RegExp(`^${index}[^/]+$`), "an article leads to the next");
  assert.notEqual(next, article);

  const home = await walkTo((link) => link === index);
  await tapAndLoad(home);
  assert.equal(new URL(page.url()).pathname, index, "an article leads back to the index");
  assert.deepEqual(tab.takeTroubles(), []);
});

test("a group is a tap away, is marked as seen by one, and brought back by another", async () => {
  const { page } = tab;
  await page.goto(new URL("/round-10/", service.address).href, { waitUntil: "load" });
  const index = new URL(page.url()).pathname;
  const group = await walkTo((link) => link.startsWith(`${index}group/`));
  await tapAndLoad(group);
  const list = new URL(page.url()).pathname;
  const unread = () => page.$$eval("a.r span", (titles) =>
    titles.filter((title) => !title.parentElement.matches(".v")).length);
  const before = await unread();
  await tapAndLoad(await walkToButton("Mark as seen"));
  assert.match(new URL(page.url()).pathname, new RegExp(`^${index}seen/\\d+$`));
  const marked = page.url();
  await page.goto(new URL(list, marked).href, { waitUntil: "load" });
  assert.ok((await unread()) < before, "what was marked is dimmed");
  await page.goto(marked, { waitUntil: "load" });
  await tapAndLoad(await walkToButton("Undo"));
  assert.equal(new URL(page.url()).pathname, list, "it leads back to the group");
  assert.equal(await unread(), before);
  assert.deepEqual(tab.takeTroubles(), []);
});

/** Goes on disc by disc until the shown one has a button of that name; its handle. */
async function walkToButton(name) {
  const discs = await tab.page.$$("main > section");
  for (let disc = 0; disc < discs.length; disc += 1) {
    for (const button of await discs[disc].$$("button")) {
      if ((await button.evaluate((element) => element.innerText)).startsWith(name)) {
        return button;
      }
    }
    if (disc + 1 < discs.length) {
      await goOn(discs[disc], disc + 1);
    }
  }
  return assert.fail(`no disc of ${tab.page.url()} has the button ${name}`);
}

/** Goes on disc by disc until the shown one has a link that `wanted` accepts; its handle. */
async function walkTo(wanted, at) {
  const discs = await tab.page.$$("main > section");
  for (let disc = 0; disc < discs.length; disc += 1) {
    for (const link of await discs[disc].$$("a[href]")) {
      const path = await link.evaluate((anchor) => new URL(anchor.href).pathname + anchor.hash);
      if (wanted(path, at)) {
        return link;
      }
    }
    if (disc + 1 < discs.length) {
      await goOn(discs[disc], disc + 1);
    }
  }
  assert.fail(`no disc of ${tab.page.url()} has the link that was sought`);
}

/** Taps the link that leads on from a shown disc, and waits for the next one to stand exactly. */
async function goOn(disc, next) {
  const on = await disc.$("a[href^='#']");
  assert.ok(on, `disc ${next} of ${tab.page.url()} has no link that leads on`);
  await tap(on);
  const expected = next * VIEW.height;
  await tab.page
    .waitForFunction((top) => scrollY === top, { timeout: PATIENCE_MS }, expected)
    .catch(async () => {
      const shown = await tab.page.evaluate(() => scrollY);
      assert.fail(`disc ${next + 1} stands at ${expected} px, but ${shown} px is shown`);
    });
  // Two frames later it must still stand there: snapping may not draw it away again.
  const rested = await tab.page.evaluate(
    () =>
      new Promise((resolve) =>
        requestAnimationFrame(() => requestAnimationFrame(() => resolve(scrollY))),
      ),
  );
  assert.equal(rested, expected, "the disc does not rest where it was brought");
}

async function tapAndLoad(link) {
  await Promise.all([
    tab.page.waitForNavigation({ waitUntil: "load", timeout: PATIENCE_MS }),
    tap(link),
  ]);
}

/** Touches the middle of a target that is shown, as a finger would: nothing is scrolled for it. */
async function tap(target) {
  const place = await target.evaluate((element) => {
    const box = element.getBoundingClientRect();
    const x = (box.left + box.right) / 2;
    const y = (box.top + box.bottom) / 2;
    const hit = document.elementFromPoint(x, y);
    return { x, y, reached: hit !== null && (hit === element || element.contains(hit)) };
  });
  assert.ok(place.reached, `the middle of a target is covered or not shown: ${place.x}, ${place.y}`);
  await tab.page.touchscreen.tap(place.x, place.y);
}
