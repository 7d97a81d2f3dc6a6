// Walks every page of a screen and judges each at every size. It prints and asserts nothing.

import { openTab } from "./browser.mjs";
import { failures, firstDifference, runningWords } from "./checks.mjs";
import { glassOf } from "./glass.mjs";
import { countInk, maskPage } from "./ink.mjs";
import { measurePage } from "./measure.mjs";

/** The sizes that the service offers at the usual spacing, as the first part of a page's path. */
export const SCREENS = ["round-11", "round-10", "round-8", "round-6"];

/** Screens with a browser's bar, at either end, with all that makes a disc hold less; light ones among them. */
export const STRIP_SCREENS = [
  "round-10-top12",
  "round-10-bottom16-light",
  "round-6-wide-top16-light",
  "round-6-bottom8",
];

/** The default and the largest size with wide spacing. */
export const WIDE_SCREENS = ["round-10-wide", "round-6-wide"];

/** Sizes of watch browsers in CSS pixels; the last has a bar of the browser's own. */
export const VIEWS = [
  { width: 192, height: 192 },
  { width: 225, height: 225 },
  { width: 320, height: 320 },
  { width: 454, height: 454 },
  { width: 192, height: 168 },
];

/**
 * Where a walk of a screen begins, beside its index: pages that no link leads to before words were typed. Something
 * is found, nothing is, and there is nothing to look for; after the first the last searches can be forgotten.
 */
const TYPED = ["find?q=tide", "find?q=zeppelin+ballast", "find?q=%21"];

/** Tabs at work at once: one for each core of a small machine. */
const TABS = 2;

/**
 * Walks screens from their indexes, and from what is typed on their pages.
 * @param {{screen: string, views: object[], also?: string[]}[]} screens Each with the sizes at which it is walked, and
 *   with pages of it to which no link leads.
 * @param {object} mode How the browser is set: `{scripts, font}` as for `openTab`.
 * @returns {Promise<Walk>}
 */
export async function walk(browser, address, screens, mode) {
  const result = new Walk(allViews(screens));
  const waiting = screens.flatMap(({ screen, views, also = [] }) =>
    ["", ...TYPED, ...also].map((page) => ({ path: `/${screen}/${page}`, views })),
  );
  const seen = new Set(waiting.map(({ path }) => path));
  const follow = (links, views) => {
    for (const path of links) {
      if (!seen.has(nameOf(path))) {
        seen.add(nameOf(path));
        waiting.push({ path, views });
      }
    }
  };
  await work(browser, address, waiting, mode, result, follow);
  return result;
}

/**
 * Walks the given pages alone, each at its own sizes.
 * @param {{path: string, views: object[]}[]} pages
 * @returns {Promise<Walk>}
 */
export async function walkPages(browser, address, pages, mode = {}) {
  const result = new Walk(allViews(pages));
  await work(browser, address, [...pages], mode, result, () => {});
  return result;
}

/**
 * By what a page is known to have been walked. Of those that hand an article over, which differ by their codes alone,
 * one is walked for each screen.
 */
function nameOf(path) {
  return path.replace(/[^/]+\/hand$/u, "hand");
}

/** All sizes of pages or screens, each once. */
function allViews(pages) {
  const names = new Map(pages.flatMap(({ views }) => views).map((view) => [viewName(view), view]));
  return [...names.values()];
}

/**
 * Judges pages as long as some wait; `follow` is handed the links and sizes of each, and may add to
 * them.
 */
async function work(browser, address, waiting, mode, result, follow) {
  let atWork = 0;
  let wake = [];
  const workAt = async (tab) => {
    while (waiting.length > 0 || atWork > 0) {
      const next = waiting.shift();
      if (next === undefined) {
        await new Promise((resolve) => wake.push(resolve));
        continue;
      }
      atWork += 1;
      try {
        follow(await walkPage(tab, address, next, mode, result), next.views);
      } catch (error) {
        result.note(next.path, next.views[0], { check: "load", detail: error.message });
      }
      atWork -= 1;
      wake.splice(0).forEach((resolve) => resolve());
    }
  };
  const tabs = await Promise.all(
    Array.from({ length: TABS }, () => openTab(browser, { home: address, ...mode })),
  );
  await Promise.all(tabs.map(workAt));
  await Promise.all(tabs.map((tab) => tab.close()));
}

/** Judges one page at each of `views` and returns the paths of its screen that it links to. */
async function walkPage(tab, address, { path, views }, mode, result) {
  const { page } = tab;
  await tab.resize(views[0]);
  const response = await page.goto(new URL(path, address).href, { waitUntil: "load" });
  const glass = mode.glass ?? glassOf(path);
  const note = (view) => (failure) => result.note(path, view, failure);
  if (!response.ok() && response.status() !== 304) {
    note(views[0])({ check: "load", detail: `status ${response.status()}` });
    return [];
  }
  await page.evaluate(() => document.fonts.ready.then(() => undefined));
  // All sizes are measured before the mask is laid, so that it cannot change what is measured.
  const measurements = [];
  for (const view of views) {
    await tab.resize(view);
    const measured = await page.evaluate(measurePage);
    failures(measured, { ...mode, glass }).forEach(note(view));
    result.keepWords(path, view, runningWords(measured), measured.title);
    result.grids += measured.sections.filter(({ grid }) => grid).length;
    measurements.push(measured);
  }
  const sections = measurements[0].sections.length;
  await maskPage(tab, sections, glass);
  for (const view of views.toReversed()) {
    const started = performance.now();
    await tab.resize(view);
    const { captures, ink } = await countInk(tab, view, sections, glass);
    for (const [disc, pixels] of ink) {
      note(view)({ check: "ink", detail: `disc ${disc}: ${pixels} px outside the disc` });
    }
    result.count(view, sections, captures, performance.now() - started);
  }
  tab.takeTroubles().forEach(note(views[0]));
  return pathsToFollow(measurements[0].links, new URL(path, address));
}

/**
 * Marks the first entry that there is as seen, as the button of the index does.
 * @returns {Promise<string>} The page that says so, without its screen. It stays until the next marking.
 */
export async function markAsSeen(address) {
  const told = await send(address, "/round-10/upto/1");
  return told.split("/").slice(2).join("/");
}

/**
 * Does what a button of a page does.
 * @returns {Promise<string>} The path of the page that it leads to.
 */
export async function send(address, path) {
  const answer = await fetch(new URL(path, address), {
    method: "POST",
    headers: { origin: new URL(address).origin },
  });
  await answer.text();
  if (!answer.ok) {
    throw new Error(`${path} was answered with ${answer.status}`);
  }
  return new URL(answer.url).pathname;
}

/** The paths below the page's own screen; `after` leads to an article that others list. */
export function pathsToFollow(links, from) {
  const screen = from.pathname.split("/")[1];
  return links
    .map((link) => new URL(link, from))
    .filter(({ origin, pathname }) => origin === from.origin && pathname.startsWith(`/${screen}/`))
    .map(({ pathname, search }) => pathname + search)
    .filter((path) => !path.startsWith(`/${screen}/after/`));
}

/** What a walk saw. */
class Walk {
  constructor(views) {
    this.views = views;
    /** @type {{path: string, view: string, check: string, detail: string}[]} */
    this.failures = [];
    this.pages = new Set();
    /** Words of running text by article, the first that were seen. */
    this.words = new Map();
    this.titles = new Map();
    /** How many grids were walked, one for each size. */
    this.grids = 0;
    this.rows = new Map(
      views.map((view) => [viewName(view), { pages: 0, discs: 0, captures: 0, ms: 0 }]),
    );
  }

  note(path, view, { check, detail }) {
    this.failures.push({ path, view: viewName(view), check, detail });
  }

  count(view, discs, captures, ms) {
    const row = this.rows.get(viewName(view));
    row.pages += 1;
    row.discs += discs;
    row.captures += captures;
    row.ms += ms;
  }

  /** Compares an article's words with those seen before on other screens and at other sizes. */
  keepWords(path, view, words, title) {
    this.pages.add(path);
    const article = articleOf(path);
    if (article === null) {
      return;
    }
    const known = this.words.get(article);
    if (known === undefined) {
      this.titles.set(article, title);
      this.words.set(article, words);
      return;
    }
    const difference = firstDifference(known, words);
    if (difference !== null) {
      this.note(path, view, { check: "words", detail: difference });
    }
  }

  /** The title of a path's article, where it is known. */
  named(path) {
    const title = this.titles.get(articleOf(path));
    return title === undefined ? "" : `, “${title}”`;
  }

  /** The failures of one check as lines for a person, at most `most` of them. */
  report(check, most = 15) {
    const lines = this.failures
      .filter((failure) => failure.check === check)
      .map(({ path, view, detail }) => `${path} at ${view}${this.named(path)}: ${detail}`);
    const more = lines.length > most ? [`and ${lines.length - most} more`] : [];
    return [...lines.slice(0, most), ...more];
  }
}

/** An article's name without its screen; null for other pages. */
function articleOf(path) {
  return path.match(/^\/[^/]+\/(\d+)$/)?.[1] ?? null;
}

/** How a size is written in reports. */
export function viewName({ width, height }) {
  return `${width}x${height}`;
}
