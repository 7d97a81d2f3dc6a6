// The lines of running text as a browser has laid them out, and as the typesetter reckoned them.

import { execFile } from "node:child_process";
import { promisify } from "node:util";
import { program } from "./service.mjs";

/** A box belongs to a line if it shares this much of the lower one's height with the line's first. */
const SHARED_HEIGHT = 0.5;

/** Widths may part by this share: 0.5 %. */
export const MOST_APART = 0.005;

/** Lines of fewer characters are too narrow for a share of their width to mean much. */
const LEAST_CHARACTERS = 6;

const run = promisify(execFile);

/**
 * The lines of a loaded page's discs of running text, with what is drawn and is no text: marks and
 * hyphens. The browser's own record of its layout is read, so nothing is added to the page.
 * @returns {Promise<{text: string, width: number, cells?: number[]}[]>} Widths as shares of the
 * screen's diameter; of a row of a table how far its cells are from the leftmost of them, too.
 */
export async function drawnLines(tab, { width, height }) {
  const { documents, strings } = await tab.cdp.send("DOMSnapshot.captureSnapshot", {
    computedStyles: [],
  });
  const diameter = Math.min(width, height);
  const lines = [];
  for (const box of textBoxes(documents[0], strings)) {
    const line = (box.table === null ? lines.slice(-1) : lines).find(
      ([first]) => first.section === box.section && first.table === box.table && isBeside(first, box),
    );
    line === undefined ? lines.push([box]) : line.push(box);
  }
  // Heads of a table can begin on different lines, so its lines are brought in order.
  const begins = (line) => (line[0].table === null ? lines.indexOf(line) : firstOf(line[0].table));
  const firstOf = (table) => lines.findIndex(([first]) => first.table === table);
  const keyed = lines.map((line) => ({ line, at: begins(line) }));
  return keyed
    .toSorted((one, other) => one.at - other.at || one.line[0].top - other.line[0].top)
    .map(({ line }) => line)
    .map((line) => ({
      text: textOf(line),
      width: widthOf(line) / diameter,
      ...(line[0].table !== null && { cells: offsets(cellsOf(line)).map((offset) => offset / diameter) }),
    }))
    .filter(({ text }) => text.trim() !== "");
}

/** The text of a line as it is read: boxes come from left to right, text may run the other way. */
function textOf(line) {
  const read = line.toSorted((one, other) => one.index - other.index || one.start - other.start);
  return read.map(({ text }) => text).join("");
}

/** The left end of each cell of a row, in the order of columns. */
function cellsOf(line) {
  const cells = new Map();
  for (const { cell, left } of line) {
    cells.set(cell, Math.min(left, cells.get(cell) ?? Infinity));
  }
  return [...cells.keys()].sort((one, other) => one - other).map((cell) => cells.get(cell));
}

/** How far places are from the leftmost of them. */
function offsets(lefts) {
  return lefts.map((left) => left - Math.min(...lefts));
}

function widthOf(line) {
  const [lefts, rights] = [line.map(({ left }) => left), line.map(({ right }) => right)];
  return Math.max(...rights) - Math.min(...lefts);
}

/** The boxes of text within discs of running text, line by line. */
function textBoxes({ nodes, layout, textBoxes }, strings) {
  const holderOf = (node, name) => {
    for (let at = node; at >= 0; at = nodes.parentIndex[at]) {
      if (strings[nodes.nodeName[at]] === name) {
        return at;
      }
    }
    return null;
  };
  const sectionOf = (node) => {
    const section = holderOf(node, "SECTION");
    return section !== null && classesOf(nodes, section, strings).includes("t") ? section : null;
  };
  const boxes = textBoxes.layoutIndex.map((index, place) => {
    const [left, top, width, height] = textBoxes.bounds[place];
    // Offsets count UTF-16 units, as strings of this language do.
    const [start, length] = [textBoxes.start[place], textBoxes.length[place]];
    const text = strings[layout.text[index]].slice(start, start + length).replaceAll("\n", "");
    const section = sectionOf(layout.nodeIndex[index]);
    const table = holderOf(layout.nodeIndex[index], "TABLE");
    const cell = holderOf(layout.nodeIndex[index], "TD") ?? holderOf(layout.nodeIndex[index], "TH");
    return { section, table, cell, index, start, text, left, top, right: left + width, bottom: top + height };
  });
  return boxes.filter(({ section, text }) => section !== null && text !== "");
}

function classesOf(nodes, node, strings) {
  const attributes = nodes.attributes[node].map((index) => strings[index]);
  const at = attributes.findIndex((name, index) => index % 2 === 0 && name === "class");
  return at === -1 ? [] : attributes[at + 1].split(" ");
}

function isBeside(one, other) {
  const shared = Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top);
  return shared > SHARED_HEIGHT * Math.min(one.bottom - one.top, other.bottom - other.top);
}

/**
 * The lines that `tondo typeset` reckons for an HTML file.
 * @param {string} screen As in paths of pages: `round-10` or `round-10-wide`.
 * @returns {Promise<{text: string, width: number, cells?: number[], table?: string}[]>} As those that
 * are drawn; `table` is the text of all rows, by which the columns are as wide as they are.
 */
export async function reckonedLines(file, screen) {
  const [, lines, spacing = "usual"] = screen.split("-");
  const words = ["typeset", file, "--lines", lines, "--spacing", spacing, "--format", "json"];
  const { stdout } = await run(program(), words, { maxBuffer: 64 * 1024 * 1024 });
  return JSON.parse(stdout)
    .discs.flatMap(({ lines }) => {
      const rows = lines.filter(({ cells }) => cells !== undefined);
      return lines.map((line) => ({ ...line, table: rows.map(({ text }) => text).join("") }));
    })
    .filter(({ text }) => text.trim() !== "")
    // A mark that hangs out is drawn with its line, and reckoned beside it.
    .map(({ text, width, hang, cells, table }) => ({
      // Nothing is drawn between the cells of a grid.
      text: cells?.map((cell) => cell.text).join("") ?? text,
      width: width + hang,
      ...(cells && { cells: offsets(cells.map(({ left }) => left)), table }),
    }));
}

/** Whether every character of a text is in the ranges, which are written as CSS's unicode-range. */
export function isWithin(text, ranges) {
  const bounds = ranges.split(/,\s*/).map((range) => {
    const [first, last = first] = range.replace(/^U\+/i, "").split("-");
    return [parseInt(first, 16), parseInt(last, 16)];
  });
  const has = (point) => bounds.some(([first, last]) => first <= point && point <= last);
  return [...text].every((character) => has(character.codePointAt(0)));
}

/**
 * Compares lines in their order.
 * @param {string} ranges The characters whose widths are known: those of the served font.
 * @returns {{compared: number, worst: number, failures: string[]}} `worst` is the largest share by
 * which a drawn width parts from the reckoned one.
 */
export function compareLines(drawn, reckoned, ranges) {
  const failures = [];
  let [compared, worst] = [0, 0];
  const odd = reckoned.findIndex(({ text }, index) => text !== drawn[index]?.text);
  if (odd !== -1 || drawn.length !== reckoned.length) {
    const at = odd === -1 ? reckoned.length : odd;
    failures.push(
      `line ${at + 1} of ${drawn.length} drawn and ${reckoned.length} reckoned: ` +
        `"${drawn[at]?.text}" or "${reckoned[at]?.text}"`,
    );
  }
  for (const [index, { text, width, cells, table }] of reckoned.entries()) {
    const long = [...text].length >= LEAST_CHARACTERS;
    if (text !== drawn[index]?.text || !long || !isWithin(table ?? text, ranges)) {
      continue;
    }
    for (const [column, offset] of (cells ?? []).entries()) {
      const away = Math.abs(drawn[index].cells[column] - offset) / width;
      worst = Math.max(worst, away);
      if (away > MOST_APART) {
        failures.push(`cell ${column + 1} of "${text}" is ${away.toFixed(5)} of its row from where it was reckoned`);
      }
    }
    const apart = Math.abs(drawn[index].width / width - 1);
    compared += 1;
    worst = Math.max(worst, apart);
    if (apart > MOST_APART) {
      failures.push(`"${text}" is drawn ${drawn[index].width.toFixed(5)} wide, reckoned ${width.toFixed(5)}`);
    }
  }
  return { compared, worst, failures };
}
