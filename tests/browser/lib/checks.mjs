// What a page owes its wearer, judged from measurements alone: no browser is needed here.

import { LEAST_CONTRAST, contrast, over, readColour } from "./contrast.mjs";
import { discIn, glassOf } from "./glass.mjs";

/** The least side of a target as a share of the disc's diameter: 7 mm of a disc of 30.5 mm. */
export const LEAST_TARGET = 0.23;

/** The most elements within a section of running text. */
export const MOST_ELEMENTS = 12;

/**
 * The share of the lower one's height by which boxes of two texts may overlap. A font's box is
 * taller than its line (1.36 against 1.25 em here), so neighbours overlap a little without
 * touching. An own figure, no source.
 */
const MOST_OVERLAP = 0.25;

/** Layout rounds to 1/64 of a pixel; differences up to this many pixels are that rounding. */
const ROUNDING = 0.1;

/**
 * Judges one measured page.
 * @param {object} measured What `measurePage` returned.
 * @param {{font?: boolean, glass?: object}} [options] `font` false: the font was refused and must not be there. `glass` is
 *   what `glassOf` says of the screen.
 * @returns {{check: string, detail: string}[]} Nothing where all is well.
 */
export function failures(measured, { font = true, glass = glassOf("") } = {}) {
  const found = [];
  const judge = (check, good, detail) => {
    if (!good) {
      found.push({ check, detail });
    }
  };
  judgeDocument(measured, font, glass, judge);
  measured.sections.forEach((section, index) => {
    const at = (detail) => `disc ${index + 1}: ${detail}`;
    const judgeHere = (check, good, detail) => judge(check, good, at(detail));
    judgeSection(section, index, measured.view, judgeHere);
    judgeTexts(section, measured.view, judgeHere);
    judgeTargets(section, discIn(glass, measured.view), judgeHere);
  });
  judgeColours(measured.colours, judge);
  return found;
}

function judgeDocument(measured, font, { ground }, judge) {
  const { scroll, sections, view } = measured;
  judge("sections", sections.length > 0, "the page has no section");
  judge(
    "sideways",
    scroll.width <= scroll.clientWidth,
    `the page is ${scroll.width} px wide in a view of ${scroll.clientWidth} px`,
  );
  const height = sections.length * view.height;
  judge(
    "sections",
    scroll.height === height,
    `${sections.length} discs of ${view.height} px stand on a page of ${scroll.height} px`,
  );
  judge("snap", measured.snapType.startsWith("y"), `scroll-snap-type is ${measured.snapType}`);
  judge("scripts", measured.scripts === 0, `${measured.scripts} script elements that are not the service's own`);
  judge("ground", measured.ground === `rgb(${ground}, ${ground}, ${ground})`, `the ground is ${measured.ground}`);
  // A capture of the whole page shows a fixed element once, so the ink check would miss it.
  judge("fixed", measured.fixed.length === 0, `fixed elements: ${measured.fixed.join(", ")}`);
  judgeFonts(measured.fonts, font, judge);
}

/** A face that no text asks for stays unloaded, which is sound; one that was asked for must come. */
function judgeFonts(fonts, wanted, judge) {
  const some = (status) => fonts.some((font) => font.status === status);
  if (wanted) {
    judge("font", some("loaded"), "no font has loaded");
    judge("font", !some("error"), `a font failed: ${JSON.stringify(fonts)}`);
  } else {
    judge("font", !some("loaded"), "the refused font has loaded");
  }
}

function judgeSection(section, index, view, judge) {
  const { box } = section;
  judge("sections", section.direct, "the section is no child of main");
  judge(
    "sections",
    Math.abs(box.top - index * view.height) < 0.01 &&
      Math.abs(box.bottom - box.top - view.height) < 0.01 &&
      Math.abs(box.left) < 0.01 &&
      Math.abs(box.right - view.width) < 0.01,
    `lies from ${box.left}, ${box.top} to ${box.right}, ${box.bottom} in a view of ` +
      `${view.width} by ${view.height}`,
  );
  judge("snap", section.snapAlign.startsWith("start"), `scroll-snap-align ${section.snapAlign}`);
  judge("snap", section.snapStop === "always", `scroll-snap-stop ${section.snapStop}`);
  judge(
    "elements",
    !section.running || section.table || section.elements <= MOST_ELEMENTS,
    `${section.elements} elements in running text`,
  );
}

/**
 * No line of text may leave the section, where a capture could not see it, nor lie over a line of
 * another text, as a control's name over the last line of a paragraph would.
 */
function judgeTexts(section, view, judge) {
  section.texts.forEach((text, index) => {
    for (const other of section.texts.slice(index + 1)) {
      judge("overlap", !liesOver(text, other), `"${text.text}" and "${other.text}" overlap`);
    }
  });
  for (const text of section.texts) {
    const middle = (text.top + text.bottom) / 2;
    judge(
      "ink",
      text.left >= -ROUNDING &&
        text.right <= view.width + ROUNDING &&
        middle >= section.box.top &&
        middle <= section.box.bottom,
      `text from ${text.left}, ${text.top} to ${text.right}, ${text.bottom} leaves the section`,
    );
  }
}

/** Whether lines of two texts share a fair part of their height somewhere. */
function liesOver(one, other) {
  if (one.node === other.node) {
    return false;
  }
  const wide = Math.min(one.right, other.right) - Math.max(one.left, other.left);
  const high = Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top);
  const lower = Math.min(one.bottom - one.top, other.bottom - other.top);
  return wide > ROUNDING && high > MOST_OVERLAP * lower;
}

/** Judges targets by what is seen of them. */
function judgeTargets(section, disc, judge) {
  const { diameter } = disc;
  const middle = { x: disc.x, y: section.box.top + disc.y };
  const targets = section.targets.map((target) => {
    const top = Math.max(target.box.top, section.box.top + disc.top);
    const bottom = Math.min(target.box.bottom, section.box.top + disc.bottom);
    return { ...target, box: { ...target.box, top, bottom } };
  });
  targets.forEach(({ box, name }, index) => {
    const side = Math.min(box.right - box.left, box.bottom - box.top);
    judge(
      "targets",
      side >= LEAST_TARGET * diameter - ROUNDING,
      `"${name}" is ${((100 * side) / diameter).toFixed(2)} % of the diameter in its smaller side`,
    );
    const away = Math.hypot(
      (box.left + box.right) / 2 - middle.x,
      (box.top + box.bottom) / 2 - middle.y,
    );
    judge("targets", away < diameter / 2, `"${name}" has its centre outside the disc`);
    for (const other of targets.slice(index + 1)) {
      const wide = Math.min(box.right, other.box.right) - Math.max(box.left, other.box.left);
      const high = Math.min(box.bottom, other.box.bottom) - Math.max(box.top, other.box.top);
      judge(
        "targets",
        wide <= ROUNDING || high <= ROUNDING,
        `"${name}" and "${other.name}" overlap by ${wide} by ${high} px`,
      );
    }
  });
}

function judgeColours(colours, judge) {
  for (const { colour, opacity, grounds, text } of colours) {
    const ground = grounds
      .map(readColour)
      .reverse()
      .reduce((below, above) => over(above, below), [0, 0, 0]);
    const ratio = contrast(over(readColour(colour), ground, opacity), ground);
    judge("contrast", ratio >= LEAST_CONTRAST, `${ratio.toFixed(4)} to 1 at "${text}" (${colour})`);
  }
}

/**
 * The words of a page's running text, line ends and disc ends as spaces. A word that goes on on the
 * next disc, which the page's measuring marks by a word joiner, is one.
 */
export function runningWords(measured) {
  const texts = measured.sections.filter(({ running }) => running).map(({ words }) => words);
  const text = texts.join(" ").replace(/\u2060\s*/gu, "");
  return text.split(/\s+/u).filter((word) => word !== "");
}

/** Where two lists of words part, as a sentence; null where they are the same. */
export function firstDifference(one, other) {
  const length = Math.max(one.length, other.length);
  for (let index = 0; index < length; index += 1) {
    if (one[index] !== other[index]) {
      const near = (words) => words.slice(Math.max(0, index - 3), index + 3).join(" ");
      return `word ${index + 1} of ${one.length} and ${other.length}: "${near(one)}" or "${near(other)}"`;
    }
  }
  return null;
}
