// Makes pictures of a page's discs as they look on a round screen, so that a person can judge them:
//
//     node picture.mjs ADDRESS SIZE FOLDER [SCALE]
//
// SIZE is the diameter in CSS pixels, SCALE the device pixels to one of them (1 where left out).
// FOLDER receives disc-001.png and so on, and sheet.png with all of them side by side.

import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { PNG } from "pngjs";
import { launch, openTab } from "./lib/browser.mjs";
import { capturePage } from "./lib/ink.mjs";

/** The grey around a disc: neither the page's black nor the white of its text. */
const GROUND = 0x80;

/** Discs side by side on the sheet, and the pixels between them. */
const COLUMNS = 6;
const GAP = 12;

const [address, size, folder, scale = "1"] = process.argv.slice(2);
if (folder === undefined || !(Number(size) >= 50) || !(Number(scale) > 0)) {
  console.error("usage: node picture.mjs ADDRESS SIZE FOLDER [SCALE]");
  process.exit(2);
}
await takePictures(address, Number(size), folder, Number(scale));

async function takePictures(address, size, folder, scale) {
  const { browser, close } = await launch();
  try {
    const tab = await openTab(browser, { home: new URL("/", address).href });
    const view = { width: size, height: size };
    await tab.resize(view, scale);
    await tab.page.goto(address, { waitUntil: "load" });
    await tab.page.evaluate(() => document.fonts.ready.then(() => undefined));
    const sections = await tab.page.evaluate(() => document.querySelectorAll("section").length);
    const slices = await capturePage(tab, view, sections, scale);
    const discs = slices.flatMap(({ count, png }) => cutDiscs(PNG.sync.read(png), count));
    await mkdir(folder, { recursive: true });
    for (const [index, disc] of discs.entries()) {
      const name = `disc-${String(index + 1).padStart(3, "0")}.png`;
      await writeFile(join(folder, name), PNG.sync.write(disc));
    }
    await writeFile(join(folder, "sheet.png"), PNG.sync.write(sheetOf(discs)));
    for (const { check, detail } of tab.takeTroubles()) {
      console.error(`${check}: ${detail}`);
    }
    console.log(`${discs.length} discs of ${address} at ${size} px are in ${folder}`);
  } finally {
    await close();
  }
}

/** Cuts a picture of `count` square screens that stand on each other into round ones. */
function cutDiscs(picture, count) {
  const side = picture.height / count;
  return Array.from({ length: count }, (_, index) => {
    const disc = new PNG({ width: picture.width, height: side });
    PNG.bitblt(picture, disc, 0, index * side, picture.width, side, 0, 0);
    maskRound(disc);
    return disc;
  });
}

/** Lays the ground over what the glass of a round screen would not show, with a soft rim. */
function maskRound(disc) {
  const radius = Math.min(disc.width, disc.height) / 2;
  for (let y = 0; y < disc.height; y += 1) {
    for (let x = 0; x < disc.width; x += 1) {
      const away = Math.hypot(x + 0.5 - disc.width / 2, y + 0.5 - disc.height / 2);
      const ground = Math.min(1, Math.max(0, away - radius + 0.5));
      const at = 4 * (y * disc.width + x);
      for (let part = at; part < at + 3; part += 1) {
        disc.data[part] = Math.round(disc.data[part] * (1 - ground) + GROUND * ground);
      }
      disc.data[at + 3] = 255;
    }
  }
}

/** All discs in rows on one ground. */
function sheetOf(discs) {
  const { width, height } = discs[0];
  const columns = Math.min(COLUMNS, discs.length);
  const rows = Math.ceil(discs.length / columns);
  const sheet = new PNG({
    width: columns * (width + GAP) + GAP,
    height: rows * (height + GAP) + GAP,
  });
  sheet.data.fill(GROUND);
  for (let at = 3; at < sheet.data.length; at += 4) {
    sheet.data[at] = 255;
  }
  discs.forEach((disc, index) => {
    const x = GAP + (index % columns) * (width + GAP);
    const y = GAP + Math.floor(index / columns) * (height + GAP);
    PNG.bitblt(disc, sheet, 0, 0, width, height, x, y);
  });
  return sheet;
}
