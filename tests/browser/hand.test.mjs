// Handing an article over: its code as a camera sees it on the screen. The code is read by jsqr, a library that has
// nothing to do with the one that makes it.

import assert from "node:assert/strict";
import { createServer } from "node:http";
import { after, before, describe, test } from "node:test";
import jsQR from "jsqr";
import { PNG } from "pngjs";
import { launch, openTab } from "./lib/browser.mjs";
import { publish } from "./lib/feeds.mjs";
import { capturePage } from "./lib/ink.mjs";
import { serveFeeds } from "./lib/service.mjs";
import { VIEWS, walkPages } from "./lib/walk.mjs";

/** The disc that lengths in millimetres are for, and the least width of a module on it. */
const DISC_MM = 30.5;
const LEAST_MODULE_MM = 0.4;

/** The light modules around a code (ISO/IEC 18004:2015, 6.3.8; the clause from memory). */
const QUIET_ZONE = 4;

/** How light a pixel of the ground is, and the whole pixel. */
const LIGHT = 0xff;
const WHITE = 0xffffff;

const SIZES = [168, 192, 225, 240, 320, 390, 454];

/** An article with so long an address. */
function article(name, length) {
  const link = `https://gazette.example/${name}/`.padEnd(length, "ebb-and-flow-");
  const html = `<p>Of ${name}: the tide turned at noon.</p><p>Nobody waited on the quay, nor on the slip.</p>`;
  return { title: `Of ${name}`, language: "en", html: html.repeat(3), link };
}

/**
 * Addresses for version 3, of the most bytes that versions 4, 5 and 7 hold, and one that is too long for them
 * (ISO/IEC 18004:2015, table 7, from memory).
 */
const ARTICLES = [
  article("short", 40),
  article("four", 78),
  article("five", 106),
  article("seven", 154),
  article("long", 400),
];

let publisher;
let service;
let chromium;
let tab;

before(async () => {
  publisher = await publish([{ name: "gazette", whole: true, articles: ARTICLES }]);
  service = await serveFeeds(publisher.urls.map((url) => ({ url, fullText: "never" })));
  chromium = await launch();
  tab = await openTab(chromium.browser, { home: service.address });
});

after(async () => {
  await chromium?.close();
  await service?.stop();
  publisher?.close();
});

/** The path of an article, by its title in the index. */
async function pathOf({ title }) {
  const { page } = tab;
  await page.goto(new URL("/round-10/", service.address).href, { waitUntil: "load" });
  const path = await page.evaluate((wanted) => {
    const rows = [...document.querySelectorAll("a.r")];
    return rows.find((row) => row.textContent.startsWith(wanted))?.getAttribute("href");
  }, title);
  assert.ok(path, `no row of ${title}`);
  return path;
}

/** The first disc of an article's code as pixels, at a size. */
async function shown(path, size, scale = 1) {
  const { page } = tab;
  const view = { width: size, height: size };
  await tab.resize(view, scale);
  await page.goto(new URL(`${path}/hand`, service.address).href, { waitUntil: "load" });
  await page.evaluate(() => document.fonts.ready.then(() => undefined));
  const [{ png }] = await capturePage(tab, view, 1, scale);
  return PNG.sync.read(png);
}

/** What the code on a picture says, and its version. */
function readCode({ width, height, data }) {
  const code = jsQR(new Uint8ClampedArray(data), width, height, { inversionAttempts: "dontInvert" });
  assert.ok(code, "no code is read");
  return { text: code.data, version: code.version };
}

/** Where the ground of a code lies: the bounds of all pixels that are wholly light. */
function groundOf({ width, height, data }) {
  const bounds = { left: width, top: height, right: 0, bottom: 0 };
  for (let at = 0; at < data.length; at += 4) {
    if (data[at] === LIGHT && data[at + 1] === LIGHT && data[at + 2] === LIGHT) {
      const x = (at / 4) % width;
      const y = Math.floor(at / 4 / width);
      bounds.left = Math.min(bounds.left, x);
      bounds.top = Math.min(bounds.top, y);
      bounds.right = Math.max(bounds.right, x + 1);
      bounds.bottom = Math.max(bounds.bottom, y + 1);
    }
  }
  return bounds;
}

/** The bounds of what is dark within a ground, whose rounded corners are left out: of the code alone. */
function codeOf({ width, data }, ground) {
  const inset = Math.round(0.05 * (ground.right - ground.left));
  const bounds = { left: ground.right, top: ground.bottom, right: 0, bottom: 0 };
  for (let y = ground.top + inset; y < ground.bottom - inset; y += 1) {
    for (let x = ground.left + inset; x < ground.right - inset; x += 1) {
      if (data[4 * (y * width + x)] !== LIGHT) {
        bounds.left = Math.min(bounds.left, x);
        bounds.top = Math.min(bounds.top, y);
        bounds.right = Math.max(bounds.right, x + 1);
        bounds.bottom = Math.max(bounds.bottom, y + 1);
      }
    }
  }
  return bounds;
}

/**
 * Measures the modules of a code on a picture: each must be a square of whole pixels of one colour, and the quiet zone
 * light but for its rounded corners.
 * @param {number} soft How many pixels at the ground's edge the browser may blend.
 * @returns {number} The pixels of a module.
 */
function measureModules(picture, version, soft = 0) {
  const { width, data } = picture;
  const code = codeOf(picture, groundOf(picture));
  const side = 17 + 4 * version;
  const pixels = (code.right - code.left) / side;
  assert.equal(code.right - code.left, code.bottom - code.top, "the code is square");
  assert.ok(Number.isInteger(pixels), `${code.right - code.left} px for ${side} modules`);
  const places = Array.from({ length: side + 2 * QUIET_ZONE }, (_, place) => place - QUIET_ZONE);
  const ends = [places[0], places.at(-1)];
  for (const row of places) {
    for (const column of places) {
      const colours = new Set();
      for (let dot = 0; dot < pixels * pixels; dot += 1) {
        const x = code.left + column * pixels + (dot % pixels);
        const y = code.top + row * pixels + Math.floor(dot / pixels);
        const away = Math.max(code.left - x, x + 1 - code.right, code.top - y, y + 1 - code.bottom);
        if (away <= QUIET_ZONE * pixels - soft) {
          colours.add(data.readUIntBE(4 * (y * width + x), 3));
        }
      }
      const isQuiet = [row, column].some((place) => place < 0 || place >= side);
      const isCorner = [row, column].every((place) => ends.includes(place));
      const allowed = isQuiet ? [WHITE] : [WHITE, 0];
      assert.ok(
        isCorner || (colours.size === 1 && allowed.includes([...colours][0])),
        `module ${column}, ${row} has the colours ${[...colours]}`,
      );
    }
  }
  return pixels;
}

/** Follows a short address as a telephone does, and returns where it leads. */
async function follow(text) {
  const response = await fetch(text.replace(/^HTTP:/u, "http:"), { redirect: "manual" });
  assert.equal(response.status, 302);
  return response.headers.get("location");
}

for (const size of SIZES) {
  test(`codes at ${size} px are read, of whole pixels, wide enough and within the disc`, async () => {
    for (const entry of ARTICLES) {
      const picture = await shown(await pathOf(entry), size);
      const { text, version } = readCode(picture);
      const pixels = measureModules(picture, version);
      const millimetres = (pixels * DISC_MM) / size;
      assert.ok(millimetres >= LEAST_MODULE_MM, `${entry.title}: ${millimetres} mm`);
      const reached = text === entry.link ? text : await follow(text);
      assert.equal(reached, entry.link);
      const { left, top, right, bottom } = groundOf(picture);
      const corners = [left, right].flatMap((x) => [top, bottom].map((y) => [x, y]));
      const middle = size / 2;
      const away = Math.max(...corners.map(([x, y]) => Math.hypot(x - middle, y - middle)));
      // A pixel has no half: where the picture cannot stand in the middle, its rounded corners are inside all the same.
      assert.ok(away <= middle + Math.SQRT1_2, `${entry.title}: ${away} of ${middle} px`);
    }
  });
}

for (const { size, scale } of [
  { size: 160, scale: 1.5 },
  { size: 214, scale: 1.5 },
  { size: 300, scale: 1.5 },
  { size: 225, scale: 2 },
]) {
  test(`codes are of whole pixels at ${size} px of CSS with ${scale} pixels to each`, async () => {
    for (const entry of ARTICLES) {
      const picture = await shown(await pathOf(entry), size, scale);
      const { text, version } = readCode(picture);
      // Where the ground begins at half a pixel of the screen, its outermost ones are blended; nobody reads them.
      const pixels = measureModules(picture, version, scale === 1.5 ? 1 : 0);
      const millimetres = (pixels * DISC_MM) / (size * scale);
      assert.ok(millimetres >= LEAST_MODULE_MM, `${entry.title}: ${millimetres} mm`);
      assert.equal(text === entry.link ? text : await follow(text), entry.link);
    }
  });
}

describe("the page of a code", () => {
  let seen;

  before(async () => {
    const pages = [];
    for (const screen of ["round-11", "round-10", "round-6", "round-6-wide"]) {
      for (const entry of [ARTICLES[0], ARTICLES[2], ARTICLES[4]]) {
        const path = (await pathOf(entry)).replace("round-10", screen);
        pages.push({ path: `${path}/hand`, views: VIEWS });
      }
    }
    seen = await walkPages(chromium.browser, service.address, pages);
  });

  test("is sound at every size: no ink outside the disc, targets, words, policy", () => {
    assert.deepEqual(seen.failures, []);
  });

  test("says what the picture is where it is not seen", async () => {
    await shown(await pathOf(ARTICLES[0]), 225);
    const { nodes } = await tab.cdp.send("Accessibility.getFullAXTree");
    const images = nodes.filter(({ role }) => role?.value === "image");
    const names = images.map(({ name }) => name.value);
    assert.deepEqual(names, [`Code for a phone’s camera: ${ARTICLES[0].link}`]);
  });
});

test("a browser opens at the words of a directive that a redirect brings, spelt as here", async () => {
  // A page that is far longer than a screen, with the sentence in its middle. The directive is what the program's own
  // tests ask for of such a sentence.
  const filler = "<p>The tide turned at noon, and again at midnight.</p>".repeat(200);
  const sentence = "<p id=here>Well-known, salt &amp; 5 %: nobody waited on the quay.</p>";
  const directive = ":~:text=Well%2Dknown%2C%20salt%20%26%205%20%25";
  const server = createServer(({ url }, response) => {
    const isPage = url === "/ebb";
    const location = isPage ? {} : { location: `/ebb#${directive}` };
    response.writeHead(isPage ? 200 : 302, { "content-type": "text/html; charset=utf-8", ...location });
    response.end(isPage ? `<!doctype html><meta charset=utf-8><title>Ebb</title>${filler}${sentence}${filler}` : "");
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  const context = await chromium.browser.createBrowserContext();
  try {
    const page = await context.newPage();
    await page.goto(`http://127.0.0.1:${server.address().port}/H/1`);
    await page.waitForFunction(() => scrollY > 0, { timeout: 10_000 });
    const { top, height } = await page.evaluate(() => ({
      top: document.querySelector("#here").getBoundingClientRect().top,
      height: innerHeight,
    }));
    assert.ok(top >= 0 && top < height, `the sentence stands at ${top} of ${height} px`);
  } finally {
    await context.close();
    server.closeAllConnections();
    server.close();
  }
});
