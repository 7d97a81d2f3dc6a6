// What a screen reader is told: the accessibility tree that Chromium makes of an article's page says the blocks that the
// article is made of, whole words in their order, headings as headings with their levels. And what a keyboard is shown:
// the ring around what has the focus, and the order of it.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch, openTab } from "./lib/browser.mjs";
import { contrast, over, readColour } from "./lib/contrast.mjs";
import { startService } from "./lib/service.mjs";
import { kindOf, pagesOf } from "./lib/kinds.mjs";

const SCREENS = ["round-10", "round-6", "round-6-wide"];
const SIDES = [192, 225, 320];

/** Of WCAG 2.2, success criterion 2.4.13: the least thickness of a focus ring in CSS pixels, and its least contrast. */
const LEAST_RING_PX = 2;
const LEAST_RING_CONTRAST = 3;

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
  describe(`pages of ${screen}`, () => {
    let pages;
    let tab;

    before(async () => {
      pages = await pagesOf(chromium.browser, service.address, screen);
      tab = await openTab(chromium.browser, { home: service.address });
      await tab.resize({ width: 192, height: 192 });
    });

    after(() => tab.close());

    const go = (path) => tab.page.goto(new URL(path, service.address).href, { waitUntil: "load" });

    test("tell paragraphs and headings in whole words, each as it is written, in order", async () => {
      let count = 0;
      for (const path of pages.filter((page) => kindOf(page) === "article")) {
        await go(path);
        const told = (await tree(tab)).filter(({ role }) => role === "paragraph" || role === "heading");
        const written = await tab.page.$$eval("p:not([role]), h1, h2, h3, h4, h5, h6", (all) =>
          // The number of an item is generated, and read out.
          all.map((block) => `${block.dataset.n ?? ""} ${block.textContent}`),
        );
        assert.deepEqual(told.map(({ text }) => words(text)), written.map(words), path);
        count += told.length;
      }
      assert.ok(count > 50, `${count} paragraphs and headings`);
    });

    test("say each text of a page once, and in order", async () => {
      const wrong = [];
      let texts = 0;
      for (const path of pages.filter((page) => ["article", "index", "minutes"].includes(kindOf(page)))) {
        await go(path);
        const told = await tree(tab);
        const written = await tab.page.evaluate(writtenTexts);
        texts += written.length;
        const heard = told.filter(({ role }) => role === "StaticText").map(({ name }) => name).join(" ");
        if (spaced(heard) !== spaced(written.join(" "))) {
          wrong.push(`${path}: ${difference(spaced(heard), spaced(written.join(" ")))}`);
        }
      }
      assert.deepEqual(wrong, []);
      assert.ok(texts > 100, `${texts} texts`);
    });

    test("have headings where headings are written, with their levels", async () => {
      let count = 0;
      for (const path of pages.filter((page) => kindOf(page) === "article")) {
        await go(path);
        const told = (await tree(tab)).filter(({ role }) => role === "heading");
        const written = await tab.page.$$eval("h1, h2, h3, h4, h5, h6", (all) =>
          all.map((heading) => ({ level: Number(heading.localName[1]), name: heading.textContent })),
        );
        const plain = ({ level, name }) => `${level} ${spaced(name)}`;
        assert.deepEqual(told.map(plain), written.map(plain), path);
        count += told.length;
      }
      assert.ok(count > 0, "no heading at all");
    });

    test("show what has the focus by a ring that is thick and bright enough, in the order of reading", async () => {
      const wrong = [];
      for (const path of firstOfEachKind(pages)) {
        for (const side of SIDES) {
          await tab.resize({ width: side, height: side });
          await go(path);
          for (const { ring, outside, disordered, name } of await rings(tab)) {
            const ratio = contrast(over(readColour(ring.colour), [0, 0, 0]), [0, 0, 0]);
            if (ring.style === "none" || ring.width < LEAST_RING_PX || ratio < LEAST_RING_CONTRAST || outside || disordered) {
              wrong.push(`${path} at ${side}: ${name}: ${JSON.stringify({ ring, ratio, outside, disordered })}`);
            }
          }
        }
        await tab.resize({ width: 192, height: 192 });
      }
      assert.deepEqual(wrong, []);
    });
  });
}

test("nothing moves by itself for those who want less motion, nor for others", async () => {
  const tab = await openTab(chromium.browser, { home: service.address });
  for (const value of ["reduce", "no-preference"]) {
    await tab.page.emulateMediaFeatures([{ name: "prefers-reduced-motion", value }]);
    await tab.page.goto(new URL("round-10/1", service.address).href, { waitUntil: "load" });
    const moving = await tab.page.evaluate(() => {
      const still = (style) =>
        style.scrollBehavior === "auto" &&
        style.animationName === "none" &&
        style.transitionDuration.split(",").every((duration) => parseFloat(duration) === 0);
      const all = [document.documentElement, ...document.querySelectorAll("*")];
      const styles = all.flatMap((element) => [null, "::before", "::after"].map((part) => getComputedStyle(element, part)));
      return styles.filter((style) => !still(style)).length + document.getAnimations().length;
    });
    assert.equal(moving, 0, value);
  }
  await tab.close();
});

/** The nodes of the accessibility tree that are told, in order. */
async function tree(tab) {
  const { nodes } = await tab.cdp.send("Accessibility.getFullAXTree");
  const byId = new Map(nodes.map((node) => [node.nodeId, node]));
  const told = [];
  const visit = (node) => {
    const role = node.role?.value;
    const here = { role, name: node.name?.value ?? "", text: role === "StaticText" ? node.name.value : "" };
    here.level = node.properties?.find(({ name }) => name === "level")?.value.value;
    if (!node.ignored) {
      told.push(here);
    }
    for (const id of role === "StaticText" ? [] : (node.childIds ?? [])) {
      here.text += byId.has(id) ? visit(byId.get(id)) : "";
    }
    return here.text;
  };
  visit(nodes[0]);
  return told;
}

/** The texts that the page holds. Runs in the page. */
function writtenTexts() {
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const found = [];
  const numbered = new Set();
  while (walker.nextNode()) {
    const parent = walker.currentNode.parentElement;
    if (!parent.closest("script, style") && walker.currentNode.data.trim()) {
      const item = parent.closest("[data-n]");
      if (item && !numbered.has(item)) {
        numbered.add(item);
        found.push(item.dataset.n);
      }
      found.push(walker.currentNode.data);
    }
  }
  return found;
}

/** The words of a text. */
function words(text) {
  return text.split(/\s+/u).filter((word) => word !== "");
}

/** A text without its white space, since a node of the tree may end within a word that is set in two looks. */
function spaced(text) {
  return text.replace(/[\s\u2060]+/gu, "");
}

/** Where two texts part. */
function difference(one, other) {
  let place = 0;
  while (place < one.length && one[place] === other[place]) {
    place += 1;
  }
  return `"${one.slice(Math.max(0, place - 20), place + 20)}", not "${other.slice(Math.max(0, place - 20), place + 20)}"`;
}

/** One page of each kind. */
function firstOfEachKind(pages) {
  return [...new Map(pages.toReversed().map((page) => [kindOf(page), page])).values()];
}

/** Goes through the page by the tabulator key; the ring of each element that takes the focus. Rows are as wide as the
 * disc, so that their rings show above and below them, where the glass is. */
async function rings(tab) {
  const most = Math.min(30, await tab.page.$$eval("a[href], button, input:not([type=hidden])", (all) => all.filter((element) => element.checkVisibility()).length));
  const found = [];
  for (let step = 0; step < most; step += 1) {
    await tab.page.keyboard.press("Tab");
    found.push(await tab.page.evaluate(ringOfFocus));
  }
  return found.map((here, step) => ({ ...here, disordered: step > 0 && here.place !== found[step - 1].place + 1 }));
}

/** The ring of what has the focus, and whether its middle lies outside the disc. Runs in the page. */
function ringOfFocus() {
  const element = document.activeElement;
  const style = getComputedStyle(element);
  const box = element.getBoundingClientRect();
  const section = element.closest("section").getBoundingClientRect();
  const middle = { x: (box.left + box.right) / 2 - section.left, y: (box.top + box.bottom) / 2 - section.top };
  return {
    name: `${element.localName}.${element.className} ${element.textContent.trim().slice(0, 20)}`,
    ring: { style: style.outlineStyle, width: parseFloat(style.outlineWidth), colour: style.outlineColor },
    outside: Math.hypot(middle.x - section.width / 2, middle.y - section.height / 2) > section.width / 2,
    place: [...document.querySelectorAll("a[href], button, input:not([type=hidden])")]
      .filter((other) => other.checkVisibility())
      .indexOf(element),
  };
}
