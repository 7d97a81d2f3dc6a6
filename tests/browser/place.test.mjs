// The place in an article as a wearer finds it again: the script tells each disc that is turned to, in the background
// and without a step of history, and the index leads back to it in one tap, in another browser and at another size too.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openTab } from "./lib/browser.mjs";
import { startService } from "./lib/service.mjs";

const VIEW = { width: 225, height: 225, deviceScaleFactor: 1, hasTouch: true };

/** How long anything may take before the test gives up, in milliseconds. */
const PATIENCE_MS = 10_000;

let service;
let chromium;
let path;

before(async () => {
  service = await startService();
  chromium = await launch();
  const tab = await open();
  path = await longest(tab.page);
  await tab.close();
});

after(async () => {
  await chromium?.close();
  await service?.stop();
});

/** A tab of another browser: it shares nothing with the tabs before it. */
async function open(options = {}) {
  const tab = await openTab(chromium.browser, { home: service.address, ...options });
  await tab.page.setViewport(VIEW);
  return tab;
}

/** The path of the article with the most minutes on the first page of all entries, at ten lines. */
async function longest(page) {
  await page.goto(`${service.address}round-10/page/0`, { waitUntil: "load" });
  return page.evaluate(() => {
    const minutes = (row) => Number(/(\d+) min/.exec(row.textContent)?.[1] ?? 0);
    const rows = [...document.querySelectorAll("a.r")].sort((one, other) => minutes(other) - minutes(one));
    return new URL(rows[0].href).pathname;
  });
}

const shown = (page) => page.evaluate(() => Math.round(scrollY / innerHeight) + 1);

/** Turns to a disc as a flick does, and waits until the service has been told. */
async function flickTo(page, disc) {
  const told = page.waitForResponse((response) => response.url().endsWith("/place"), { timeout: PATIENCE_MS });
  await page.evaluate((top) => scrollTo(0, top), (disc - 1) * VIEW.height);
  assert.equal((await told).status(), 204);
}

/** The address of the first row of the index. */
const firstRow = (page) => page.evaluate(() => document.querySelector("a.r").getAttribute("href"));

describe("the place in an article", () => {
  test("one tap on the index leads to the disc that was left, in another browser", async () => {
    const left = await open();
    await left.page.goto(service.address + path.slice(1), { waitUntil: "load" });
    await flickTo(left.page, 9);
    assert.deepEqual(left.takeTroubles(), []);
    await left.close();

    const found = await open();
    await found.page.goto(`${service.address}round-10/`, { waitUntil: "load" });
    assert.equal(await firstRow(found.page), `${path}/on`);
    const loaded = found.page.waitForNavigation({ waitUntil: "load", timeout: PATIENCE_MS });
    await (await found.page.$("a.r")).tap();
    await loaded;
    assert.equal(new URL(found.page.url()).pathname, path);
    assert.equal(await shown(found.page), 9);
    assert.deepEqual(found.takeTroubles(), []);
    await found.close();
  });

  test("without scripts it leads there too", async () => {
    const tab = await open({ scripts: false });
    await tab.page.goto(`${service.address.slice(0, -1)}${path}/on`, { waitUntil: "load" });
    assert.equal(new URL(tab.page.url()).hash, "#9");
    await tab.close();
  });

  test("at another size it is at most one disc away, there and back", async () => {
    const start = await open();
    await start.page.goto(service.address + path.slice(1), { waitUntil: "load" });
    await flickTo(start.page, 7);
    await start.close();
    for (const screen of ["round-6", "round-11-wide", "round-8", "round-10"]) {
      const tab = await open();
      const elsewhere = path.replace("round-10", screen);
      await tab.page.goto(`${service.address.slice(0, -1)}${elsewhere}/on`, { waitUntil: "load" });
      const there = await shown(tab.page);
      assert.ok(there > 1, `${screen}: disc ${there}`);
      await tab.close();
    }
    const back = await open();
    await back.page.goto(`${service.address.slice(0, -1)}${path}/on`, { waitUntil: "load" });
    assert.equal(await shown(back.page), 7);
    await back.close();
  });

  test("discs are no steps of history, and one step back is the index with its state fresh", async () => {
    const tab = await open();
    const { page } = tab;
    await page.goto(`${service.address}round-10/`, { waitUntil: "load" });
    const row = await page.$(`a.r[href="${path}/on"], a.r[href="${path}"]`);
    const loaded = page.waitForNavigation({ waitUntil: "load", timeout: PATIENCE_MS });
    await row.evaluate((link) => link.click());
    await loaded;
    const steps = await page.evaluate(() => history.length);
    for (let turn = 0; turn < 3; turn += 1) {
      const disc = await shown(page);
      const told = page.waitForResponse((response) => response.url().endsWith("/place"), { timeout: PATIENCE_MS });
      await (await page.$(`section:nth-child(${disc}) > .o`)).tap();
      await told;
      assert.equal(await shown(page), disc + 1);
    }
    assert.equal(await page.evaluate(() => history.length), steps);
    const disc = await shown(page);
    assert.equal(new URL(page.url()).hash, `#${disc}`);
    await page.goBack({ waitUntil: "load" });
    assert.equal(new URL(page.url()).pathname, "/round-10/");
    assert.equal(await firstRow(page), `${path}/on`);
    assert.deepEqual(tab.takeTroubles(), []);
    await tab.close();
  });
});
