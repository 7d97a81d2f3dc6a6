// Counts the pixels drawn outside the discs. It knows of a page only how many sections it has.

import { inflateSync } from "node:zlib";
import { PNG } from "pngjs";

/** Chromium draws no surface higher than this many pixels in one capture. */
const HIGHEST_CAPTURE = 16_384;

const MASK = "tondo-mask";

/** The disc that is the whole view's, on black. */
const WHOLE = { share: 0, edge: "none", ground: 0 };

/**
 * Paints the inside of each disc, but for what the browser's bar takes of it, in the page's ground, above everything, and lets nothing hide
 * what lies outside. Lengths are of the viewport, so that the mask follows each change of it.
 * Style sheets made by the browser's own interface are beyond the page's policy, which stays in
 * force. Runs in the page.
 */
export function hideDiscs(mask, sections, { share, edge, ground }) {
  const colour = ground === 0 ? "#000" : "#fff";
  // Beside a bar the disc reaches to the page's end at the other side of it.
  const diameter = edge === "none" ? "100vmin" : `min(100vw, calc(100svh / ${1 - share}))`;
  const middle = { none: "50svh", top: "calc(100svh - var(--d) / 2)", bottom: "calc(var(--d) / 2)" }[edge];
  const bar = { none: "0px", top: `calc(100svh - ${1 - share} * var(--d))`, bottom: `calc(${1 - share} * var(--d))` }[edge];
  const shown = edge === "bottom" ? `#000 ${bar}, transparent ${bar}` : `transparent ${bar}, #000 ${bar}`;
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(`
    html, body, main, main > section {
      overflow: visible !important;
      clip-path: none !important;
      mask: none !important;
      contain: none !important;
    }
    ${mask} {
      all: initial;
      display: block !important;
      position: absolute;
      z-index: 2147483647;
      inset: 0 auto auto 0;
      width: 100vw;
      height: calc(${sections} * 100svh);
      pointer-events: none;
      --d: ${diameter};
      background: radial-gradient(
        circle calc(var(--d) / 2) at 50vw ${middle}, ${colour} calc(var(--d) / 2), transparent calc(var(--d) / 2)
      ) 0 0 / 100vw 100svh repeat-y;
      mask: linear-gradient(${shown}) 0 0 / 100vw 100svh repeat-y;
    }`);
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
  document.documentElement.append(document.createElement(mask));
}

/** Lays the mask over a loaded page. */
export async function maskPage(tab, sections, glass = WHOLE) {
  await tab.page.evaluate(hideDiscs, MASK, sections, glass);
}

/**
 * Captures a page of `sections` screens, in as few pictures as the browser's surfaces allow.
 * @returns {Promise<{first: number, count: number, png: Buffer}[]>} `first` is a section's number.
 */
export async function capturePage(tab, { width, height }, sections, scale = 1) {
  const most = Math.floor(HIGHEST_CAPTURE / (height * scale));
  const slices = [];
  for (let first = 0; first < sections; first += most) {
    const count = Math.min(most, sections - first);
    const { data } = await tab.cdp.send("Page.captureScreenshot", {
      format: "png",
      optimizeForSpeed: true,
      captureBeyondViewport: true,
      clip: { x: 0, y: first * height, width, height: count * height, scale: 1 },
    });
    slices.push({ first, count, png: Buffer.from(data, "base64") });
  }
  return slices;
}

/**
 * Counts the ink of a masked page by disc.
 * @returns {Promise<{captures: number, ink: Map<number, number>}>} Pixels by the disc's number
 * from 1; discs without ink are absent.
 */
export async function countInk(tab, view, sections, { ground } = WHOLE) {
  const slices = await capturePage(tab, view, sections);
  const ink = new Map();
  for (const { first, count, png } of slices) {
    inkOfPicture(png, view, count, ground).forEach((pixels, index) => {
      if (pixels > 0) {
        ink.set(first + index + 1, pixels);
      }
    });
  }
  return { captures: slices.length, ink };
}

/** Counts the pixels that are not of the ground, black or white, in each of `count` screens that stand in one picture. */
export function inkOfPicture(png, view, count, ground = 0) {
  const pixels = new Array(count).fill(0);
  const { width, height } = pictureSize(png);
  if (width !== view.width || height !== view.height * count) {
    throw new Error(`a capture of ${width} by ${height} px for ${count} discs`);
  }
  if (ground === 0 && isBlack(png, width, height)) {
    return pixels;
  }
  const { data } = PNG.sync.read(png);
  for (let at = 0; at < data.length; at += 4) {
    if (data[at] !== ground || data[at + 1] !== ground || data[at + 2] !== ground) {
      pixels[Math.floor(at / (4 * width * view.height))] += 1;
    }
  }
  return pixels;
}

/** Width and height as the IHDR chunk states them (PNG specification, 11.2.1). */
function pictureSize(png) {
  return { width: png.readUInt32BE(16), height: png.readUInt32BE(20) };
}

/**
 * Says quickly whether an opaque 8-bit picture is black all over: each PNG filter predicts from
 * bytes before and above, all of which are 0 as long as every filtered byte was 0.
 * It answers false for other forms of PNG, whose pixels must then be read one by one.
 */
function isBlack(png, width, height) {
  const trueColour = png[24] === 8 && png[25] === 2 && png[28] === 0;
  if (!trueColour) {
    return false;
  }
  const parts = [];
  for (let at = 8; at < png.length; ) {
    const length = png.readUInt32BE(at);
    if (png.toString("latin1", at + 4, at + 8) === "IDAT") {
      parts.push(png.subarray(at + 8, at + 8 + length));
    }
    at += length + 12;
  }
  const rows = inflateSync(Buffer.concat(parts));
  const stride = 1 + 3 * width;
  const blank = Buffer.alloc(stride - 1);
  for (let row = 0; row < height; row += 1) {
    const start = row * stride;
    if (blank.compare(rows, start + 1, start + stride) !== 0) {
      return false;
    }
  }
  return true;
}
