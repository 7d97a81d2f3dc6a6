// The widths of lines as they are drawn in Chromium, beside those that the typesetter reckoned: the
// demo's articles and some made at random, each a web page that the service fetches and that
// `tondo typeset` reads from a file, so that both set the same text.

import assert from "node:assert/strict";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { makeArticles } from "./lib/articles.mjs";
import { launch, openTab } from "./lib/browser.mjs";
import { publish } from "./lib/feeds.mjs";
import { compareLines, drawnLines, reckonedLines } from "./lib/lines.mjs";
import { listedArticles } from "./lib/listed.mjs";
import { serveFeeds, startService } from "./lib/service.mjs";
import { SCREENS, VIEWS, WIDE_SCREENS, viewName } from "./lib/walk.mjs";

/** The articles made at random. Another seed makes others: $SEED names one. */
const SEED = Number(process.env.SEED ?? 30_500);
const MADE_ARTICLES = 40;

/** The fewest articles of the demo, and lines at one line count, for the check to mean anything. */
const LEAST_DEMO_ARTICLES = 24;
const LEAST_LINES = 1_000;

const VIEW = VIEWS[1];

const rows = [];
let service;
let publisher;
let chromium;
let folder;
let listed;
/** By title: the file of each page. */
let files;

before(async () => {
  const demo = await demoPages();
  assert.ok(demo.length >= LEAST_DEMO_ARTICLES, `${demo.length} pages of the demo`);
  const made = makeArticles(SEED, MADE_ARTICLES).map(asPage);
  publisher = await publish([
    { name: "demo", whole: false, articles: demo },
    { name: "made", whole: false, articles: made },
  ]);
  folder = await mkdtemp(join(tmpdir(), "tondo-pages-"));
  files = new Map();
  for (const [index, { title, html }] of [...demo, ...made].entries()) {
    const file = join(folder, `${index + 1}.html`);
    await writeFile(file, html);
    files.set(title, file);
  }
  service = await serveFeeds(publisher.urls.map((url) => ({ url, fullText: "always" })));
  listed = await listedArticles(service.address);
  chromium = await launch();
});

after(async () => {
  await chromium?.close();
  await service?.stop();
  publisher?.close();
  await rm(folder ?? "", { recursive: true, force: true });
  console.log(`widths: seed ${SEED}, ${files?.size} articles at ${viewName(VIEW)}`);
  console.table(rows);
});

for (const screen of [...SCREENS, ...WIDE_SCREENS]) {
  test(`every line of ${screen} is drawn as wide as it was reckoned`, async () => {
    const started = performance.now();
    const tab = await openTab(chromium.browser, { home: service.address });
    await tab.resize(VIEW);
    const all = { articles: 0, lines: 0, compared: 0, worst: 0, failures: [] };
    for (const { number } of listed) {
      const path = `/${screen}/${number}`;
      await tab.page.goto(new URL(path, service.address).href, { waitUntil: "load" });
      const { title, ranges } = await tab.page.evaluate(readFonts);
      const drawn = await drawnLines(tab, VIEW);
      const found = compareLines(drawn, await reckonedLines(files.get(title), screen), ranges);
      all.articles += 1;
      all.lines += drawn.length;
      all.compared += found.compared;
      all.worst = Math.max(all.worst, found.worst);
      all.failures.push(...found.failures.map((failure) => `“${title}”: ${failure}`));
    }
    await tab.close();
    const { failures, worst, ...counts } = all;
    const seconds = Math.round((performance.now() - started) / 100) / 10;
    rows.push({ screen, ...counts, "worst, %": (100 * worst).toFixed(3), failures: failures.length, seconds });
    assert.equal(all.articles, files.size);
    assert.ok(all.compared >= LEAST_LINES, `${all.compared} lines`);
    assert.deepEqual(failures.slice(0, 15), [], `${failures.length} lines`);
  });
}

/** The title of a page, and the characters of its fonts once they are there. Runs in the page. */
async function readFonts() {
  // A font is asked for once the text that needs it has been laid out.
  document.body.getBoundingClientRect();
  await document.fonts.ready;
  const ranges = [...document.fonts].map(({ unicodeRange }) => unicodeRange).join(", ");
  return { title: document.title, ranges };
}

/** An article made at random as a web page. */
function asPage({ title, language, html }) {
  const page =
    `<!doctype html><html lang="${language}"><head><meta charset="utf-8"><title>${title}</title></head>` +
    `<body><article>${html}</article></body></html>`;
  return { title, language, html: page };
}

/** The web pages that the demo's articles come from, as its own publisher serves them. */
async function demoPages() {
  const demo = await startService();
  try {
    const pages = [];
    for (const article of await listedArticles(demo.address)) {
      const original = /href="(http:\/\/127\.0\.0\.1:\d+\/[^"]*)" rel="noreferrer"/.exec(article.html);
      const response = original && (await fetch(original[1]));
      if (response?.ok && response.headers.get("content-type").startsWith("text/html")) {
        const html = await response.text();
        const language = /<html[^>]*lang="?([\w-]+)/.exec(html)?.[1];
        pages.push({ title: article.title, language, html });
      }
    }
    return pages;
  } finally {
    await demo.stop();
  }
}
