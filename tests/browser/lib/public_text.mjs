// A public text of some 50,000 words, as articles: the Debian Policy Manual as the Debian package
// debian-policy installs it, under the GNU GPL, version 2 or later
// (/usr/share/doc/debian-policy/copyright). It is read where it lies, and no part of it is kept here.

import { readFile, readdir } from "node:fs/promises";
import { join } from "node:path";

/** Where the package puts the manual's chapters, an HTML file each. */
const FOLDER = "/usr/share/doc/debian-policy/policy.html";

/** Chapters and, where they do not come to enough words, appendices, in the order of their names. */
const PARTS = [/^ch-.*\.html$/, /^ap-pkg-.*\.html$/];

/**
 * The articles of the manual, a chapter each, until they have so many words.
 * @param {import("puppeteer-core").Page} page A page whose browser reads the HTML.
 * @param {number} leastWords
 * @returns {Promise<{title: string, language: string, html: string, words: number}[]>}
 */
export async function publicText(page, leastWords) {
  const files = (await readdir(FOLDER).catch(() => [])).sort();
  const chosen = PARTS.flatMap((part) => files.filter((file) => part.test(file)));
  const articles = [];
  let words = 0;
  while (words < leastWords) {
    const file = chosen.shift();
    if (file === undefined) {
      throw new Error(`${FOLDER} has ${words} words; install the Debian package debian-policy`);
    }
    const article = await page.evaluate(readChapter, await readFile(join(FOLDER, file), "utf8"));
    words += article.words;
    articles.push({ ...article, language: "en" });
  }
  return articles;
}

/** The title and the text of a chapter without what leads around in the manual. Runs in the page. */
function readChapter(html) {
  const chapter = new DOMParser().parseFromString(html, "text/html");
  const main = chapter.querySelector("[role=main]");
  main.querySelectorAll(".headerlink").forEach((link) => link.remove());
  const heading = main.querySelector("h1");
  heading.remove();
  return {
    title: heading.textContent.trim(),
    html: main.innerHTML,
    words: main.textContent.split(/\s+/u).filter((word) => word !== "").length,
  };
}
