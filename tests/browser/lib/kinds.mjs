// One page and more of every kind that a screen has, and what kind a page is. It judges nothing.

import { markAsSeen, pathsToFollow, send } from "./walk.mjs";
import { openTab } from "./browser.mjs";

/** Paths below a screen by what they are, the first that fits. */
const KINDS = [
  ["index", /^$/u],
  ["list", /^page\/\d+$/u],
  ["group", /^group\/[^/]+\/(page\/\d+)?$/u],
  ["kept", /^kept(\/\d+)?$/u],
  ["sizes", /^reads$/u],
  ["article", /^\d+$/u],
  ["links", /^\d+\/links$/u],
  ["fault", /^\d+\/links\/\d+$/u],
  ["hand", /^\d+(\/links\/\d+)?\/hand$/u],
  ["find", /^find$/u],
  ["found", /^find\?q=/u],
  ["minutes", /^minutes\/\d+(\/page\/\d+)?$/u],
  ["seen", /^seen\/\d+$/u],
  ["absent", /^nothing-is-here$/u],
];

/** The most pages of one kind. */
const MOST_OF_A_KIND = 6;

/** What kind of page a path names; its own first part where it is of none that is known. */
export function kindOf(path) {
  if (path === "/") {
    return "first visit";
  }
  const below = path.split("/").slice(2).join("/");
  const found = KINDS.find(([, form]) => form.test(below));
  return found === undefined ? below.split(/[/?]/u)[0] : found[0];
}

/** The most entries of the demo, whose numbers go by which publication came first. */
const MOST_ENTRIES = 50;

/** Where a link of the demo is followed that leads to a sound, which is no page to read; below a screen. */
async function linkToSound(address) {
  for (let entry = 1; entry <= MOST_ENTRIES; entry += 1) {
    const page = await fetch(new URL(`/round-10/${entry}/links`, address)).then((answer) => answer.text());
    const found = page.match(/action="?\/round-10\/(\d+\/links\/\d+)"?>(?:(?!<\/form>).)*\/sounds\//u);
    if (found !== null) {
      return found[1];
    }
  }
  throw new Error("no article of the demo has a link to a sound");
}

/**
 * Pages of every kind that a screen has: those that its links lead to, up to six of a kind, and those to which none leads.
 * @returns {Promise<string[]>} Their paths.
 */
export async function pagesOf(browser, address, screen) {
  const tab = await openTab(browser, { home: address });
  const marked = await markAsSeen(address);
  await send(address, "/round-10/3/keep");
  const sound = await linkToSound(address);
  await send(address, `/round-10/${sound}`);
  const typed = ["find?q=tide", "find?q=zeppelin+ballast", sound, "reads"];
  const below = ["", "nothing-is-here", ...typed, marked];
  const waiting = ["/", ...below.map((path) => `/${screen}/${path}`)];
  const known = new Set(waiting);
  const counts = new Map();
  const pages = [];
  while (waiting.length > 0) {
    const path = waiting.shift();
    pages.push(path);
    await tab.page.goto(new URL(path, address).href, { waitUntil: "load" });
    const links = await tab.page.$$eval("a[href]", (anchors) => anchors.map(({ href }) => href));
    for (const next of pathsToFollow(links, new URL(path, address))) {
      const kind = kindOf(next);
      const count = counts.get(kind) ?? 0;
      if (!known.has(next) && count < MOST_OF_A_KIND) {
        known.add(next);
        counts.set(kind, count + 1);
        waiting.push(next);
      }
    }
  }
  await tab.close();
  // A list from which all was read while its articles were opened here leads to another page.
  const answers = await Promise.all(pages.map((path) => fetch(new URL(path, address), { redirect: "manual" })));
  return pages.filter((_, place) => answers[place].status < 300 || answers[place].status >= 400);
}
