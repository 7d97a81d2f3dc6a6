// How large targets are to a finger, on every kind of page: in CSS pixels as WCAG 2.2 has it, and in millimetres on
// discs of watches. What is measured is the boxes that a browser lays out, as far as they lie within the view.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openTab } from "./lib/browser.mjs";
import { LEAST_TARGET } from "./lib/checks.mjs";
import { pagesOf, kindOf } from "./lib/kinds.mjs";
import { measurePage } from "./lib/measure.mjs";
import { startService } from "./lib/service.mjs";
import { ENHANCED_PX, millimetres, side, tooSmall } from "./lib/targets.mjs";

/** Widths of watch browsers, in CSS pixels. */
const SIDES = [192, 225, 320];

/** Diameters of discs in millimetres; 31.75 is common practice, no source. */
const DIAMETERS = [28, 30.5, 31.75, 35];

/**
 * The side of a key that is hit as fast as a larger one, in millimetres (Park and Han 2010, Int. J. Ind. Erg. 40:68). It is
 * the share of 0.23 of a disc of 30.5 mm and more; on one of 28 mm that share is 6.44 mm.
 */
const KEY_MM = 7;

/** Layout rounds to 1/64 of a pixel, and measures are told to a hundredth. */
const ROUNDING = 0.02;

const SCREENS = ["round-11", "round-6-wide", "round-10-light"];

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

for (const screen of SCREENS) {
  describe(`targets of ${screen}`, () => {
    /** Boxes by page and width. */
    const measured = [];

    before(async () => {
      const pages = await pagesOf(chromium.browser, service.address, screen);
      const tab = await openTab(chromium.browser, { home: service.address });
      for (const path of pages) {
        await tab.page.goto(new URL(path, service.address).href, { waitUntil: "load" });
        for (const pixels of SIDES) {
          await tab.resize({ width: pixels, height: pixels });
          const { sections } = await tab.page.evaluate(measurePage);
          measured.push({ path, pixels, discs: sections.map(({ targets }) => targets) });
        }
      }
      await tab.close();
    });

    test("are found on every kind of page", () => {
      const bare = measured.filter(({ discs }) => discs.flat().length === 0);
      assert.deepEqual(bare.map(({ path }) => path), []);
      assert.ok(new Set(measured.map(({ path }) => kindOf(path))).size >= 12);
    });

    test(`are ${ENHANCED_PX} px and more in both directions, with none too near another`, () => {
      for (const { path, pixels, discs } of measured) {
        for (const targets of discs) {
          assert.deepEqual(tooSmall(targets.map(({ box }) => box)), [], `${path} at ${pixels}`);
          for (const { box, name } of targets) {
            assert.ok(side(box) >= ENHANCED_PX - ROUNDING, `${path} at ${pixels}: "${name}" is ${side(box)} px`);
          }
        }
      }
    });

    test("are as large as a key on every disc of which that is their share", () => {
      const smallest = new Map(DIAMETERS.map((diameter) => [diameter, Infinity]));
      for (const { path, pixels, discs } of measured) {
        for (const { box, name } of discs.flat()) {
          for (const diameter of DIAMETERS) {
            const mm = millimetres(side(box), { diameter, pixels });
            const least = Math.min(KEY_MM, LEAST_TARGET * diameter);
            assert.ok(mm >= least - ROUNDING, `${path} at ${pixels}: "${name}" is ${mm} mm of a disc of ${diameter} mm`);
            smallest.set(diameter, Math.min(smallest.get(diameter), mm));
          }
        }
      }
      const told = [...smallest].map(([diameter, mm]) => `${mm.toFixed(2)} mm of ${diameter} mm`);
      console.log(`${screen}: smallest sides ${told.join(", ")}`);
    });
  });
}

// Sizes and spacing worked by hand from the definitions of WCAG 2.2, 2.5.8.
test("sizes and spacing are judged as worked examples have it", () => {
  const on = (pixels) => ({ diameter: 30.5, pixels });
  const rounded = [millimetres(24, on(192)), millimetres(44, on(192)), millimetres(44, on(225)), millimetres(24, on(240))];
  assert.deepEqual(rounded.map((mm) => mm.toFixed(2)), ["3.81", "6.99", "5.96", "3.05"]);
  const square = (size, left, top = 0) => ({ left, right: left + size, top, bottom: top + size });
  assert.equal(tooSmall([square(20, 0), square(20, 24)]).length, 0);
  assert.equal(tooSmall([square(20, 0), square(20, 23)]).length, 2);
  // The middle of the small one lies 12 and 11 px from the edge of the large one.
  assert.equal(tooSmall([square(20, 0, 5), square(30, 22)]).length, 0);
  assert.equal(tooSmall([square(20, 0, 5), square(30, 21)]).length, 1);
  assert.equal(tooSmall([square(24, 0), square(24, 24)]).length, 0);
});
