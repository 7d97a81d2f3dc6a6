// Articles beside the demo's, served whole by a feed of the tests: 200 made at random of all kinds
// of blocks, each at one line count and size, and a public text of 50,000 words at all line counts.
// No ink lies outside the disc, and every word of the source stands on the page, in order, once.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { makeArticles } from "./lib/articles.mjs";
import { launch } from "./lib/browser.mjs";
import { deal, publish } from "./lib/feeds.mjs";
import { listedArticles } from "./lib/listed.mjs";
import { publicText } from "./lib/public_text.mjs";
import { serveFeeds } from "./lib/service.mjs";
import { firstLoss, readSource } from "./lib/source.mjs";
import { SCREENS, VIEWS, WIDE_SCREENS, walkPages } from "./lib/walk.mjs";

/** The articles made at random. Another seed makes others: $SEED names one. */
const SEED = Number(process.env.SEED ?? 30_500);
const ARTICLES = 200;

/** How many of the articles must have each of these elements, for the walk to mean anything. */
const LEAST_OF_EACH = 8;
const ELEMENTS = (
  "h1 h2 h3 h4 h5 h6 p em strong code a sup sub ul ol li blockquote pre table th td caption br " +
  "figure figcaption img hr dl dt dd span"
).split(" ");

/** How many tables must stand as grids on the pages of the articles made at random. */
const LEAST_GRIDS = 20;

/** What else so many articles must have: spans, soft hyphens, marks that combine, endless words. */
const TRAITS = [/ colspan="/, / rowspan="/, / lang="/, / dir="rtl"/, / start="/, / role="doc-noteref"/, /\u00ad/, /\u0301/, /x{100}/, /https:/];

const LEAST_PUBLIC_WORDS = 50_000;

/** What must hold on every page; how many elements a line has is the demo's own matter. */
const CHECKS = {
  load: "every page loads",
  font: "the font is there",
  ink: "no ink lies outside the disc",
  overlap: "no text lies over another",
  ground: "the ground is black",
  sideways: "nothing scrolls sideways",
  targets: "targets are wide enough, reachable and apart",
  requests: "no request leaves the server",
  console: "the console shows no error",
  policy: "the content security policy is not violated",
  sections: "each section is one screen high",
  words: "the words are the same at all line counts",
  contrast: "text stands out from its ground by 7 to 1",
};

/** Every pair of a screen and a square size, dealt out over the articles in turn. */
const PAIRS = [...SCREENS, ...WIDE_SCREENS].flatMap((screen) =>
  VIEWS.filter(({ width, height }) => width === height).map((view) => ({ screen, view })),
);

const onePage = (number, index) => {
  const { screen, view } = PAIRS[index % PAIRS.length];
  return [{ path: `/${screen}/${number}`, views: [view] }];
};

const everyScreen = (number) =>
  SCREENS.map((screen) => ({ path: `/${screen}/${number}`, views: [VIEWS[0]] }));

const rows = [];
let chromium;

before(async () => {
  chromium = await launch();
});

after(async () => {
  await chromium?.close();
  console.table(rows);
});

corpus("articles made at random", async () => makeArticles(SEED, ARTICLES), onePage, LEAST_GRIDS, (articles) => {
  for (const trait of [...ELEMENTS.map((name) => new RegExp(`<${name}[ >]`)), ...TRAITS]) {
    const having = articles.filter(({ html }) => trait.test(html)).length;
    assert.ok(having >= LEAST_OF_EACH, `${having} articles have ${trait}`);
  }
  assert.equal(articles.length, ARTICLES);
});

corpus("a public text", (page) => publicText(page, LEAST_PUBLIC_WORDS), everyScreen, 0, (articles) => {
  const words = articles.reduce((sum, article) => sum + article.words, 0);
  assert.ok(words >= LEAST_PUBLIC_WORDS, `${words} words`);
});

/**
 * Serves articles, walks them and checks what must hold.
 * @param {(page: object) => Promise<object[]>} make The articles.
 * @param {(number: string, index: number) => object[]} choose What to walk of an article.
 * @param {number} leastGrids How many tables must stand as grids.
 * @param {(articles: object[]) => void} judge What must hold of the articles themselves.
 */
function corpus(name, make, choose, leastGrids, judge) {
  describe(name, () => {
    let articles;
    let sources;
    let seen;

    before(async () => {
      const page = await chromium.browser.newPage();
      articles = await make(page);
      sources = [];
      for (const { html } of articles) {
        sources.push(await page.evaluate(readSource, html));
      }
      await page.close();
      seen = await walkServed(articles, choose);
      report(name, sources, seen);
    });

    test("the articles are what they should be", () => judge(articles));

    test("small tables stand as grids", () => assert.ok(seen.grids >= leastGrids, `${seen.grids} grids`));

    test("every article has been walked", () => {
      const titles = [...seen.titles.values()].sort();
      assert.deepEqual(titles, articles.map(({ title }) => title).sort());
    });

    test("every word of the source stands on the page, in order, once", () => {
      const losses = [];
      for (const [number, title] of seen.titles) {
        const source = sources[articles.findIndex((article) => article.title === title)];
        const loss = firstLoss(source, seen.words.get(number));
        if (loss !== null) {
          losses.push(`“${title}”: ${loss}`);
        }
      }
      assert.deepEqual(losses, []);
    });

    for (const [check, sentence] of Object.entries(CHECKS)) {
      test(sentence, () => assert.deepEqual(seen.report(check), []));
    }
  });
}

/** Publishes the articles, has the service fetch them, and walks the pages that are chosen. */
async function walkServed(articles, choose) {
  const publisher = await publish(deal("sample", articles));
  let service;
  try {
    const started = performance.now();
    service = await serveFeeds(publisher.urls.map((url) => ({ url, fullText: "never" })));
    const listed = await listedArticles(service.address);
    const numberOf = new Map(listed.map(({ title, number }) => [title, number]));
    const pages = articles.flatMap(({ title }, index) =>
      numberOf.has(title) ? choose(numberOf.get(title), index) : [],
    );
    const fetched = performance.now();
    const walked = await walkPages(chromium.browser, service.address, pages);
    walked.seconds = { fetched: fetched - started, walked: performance.now() - fetched };
    return walked;
  } finally {
    await service?.stop();
    publisher.close();
  }
}

function report(name, sources, seen) {
  const words = sources.flat().reduce((sum, block) => sum + block.words.length, 0);
  const seconds = (ms) => Math.round(ms / 100) / 10;
  for (const [view, { pages, discs }] of seen.rows) {
    rows.push({ of: name, view, pages, discs });
  }
  const { fetched, walked } = seen.seconds;
  rows.push({ of: name, view: "all", words, fetched: seconds(fetched), walked: seconds(walked) });
  const counts = `${sources.length} articles, ${words} words in their sources, ${seen.grids} grids`;
  console.log(`${name}: seed ${SEED}, ${counts}`);
}
