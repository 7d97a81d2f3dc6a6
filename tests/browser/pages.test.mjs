// Every page of the demo, at every line count and size, set wide too, as its wearer sees it: with all that a
// browser offers, with scripts disabled, and with the font refused.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { launch } from "./lib/browser.mjs";
import { startService } from "./lib/service.mjs";
import { SCREENS, VIEWS, WIDE_SCREENS, markAsSeen, walk } from "./lib/walk.mjs";

/** The fewest articles that the demo must bring for these checks to mean anything. */
const LEAST_ARTICLES = 24;

/** The fewest groups of the demo, each with an index of its own. */
const LEAST_GROUPS = 2;

/** The fewest tables that stand as grids in one mode, each counted at every size. */
const LEAST_GRIDS = 4;

/** Text that is set wide is judged at the smallest size, and once more where the font is refused. */
const SMALLEST = VIEWS.slice(0, 1);
const LARGER = VIEWS.slice(1, 2);

const MODES = [
  {
    name: "as it comes",
    screens: [...at(SCREENS, VIEWS), ...at(WIDE_SCREENS, SMALLEST)],
    mode: { scripts: true, font: true },
  },
  {
    name: "scripts disabled",
    screens: at(SCREENS, VIEWS.filter(({ width }) => width === 192 || width === 454)),
    mode: { scripts: false, font: true },
  },
  {
    name: "font refused",
    screens: [...at(SCREENS, VIEWS), ...at(WIDE_SCREENS, LARGER)],
    mode: { scripts: true, font: false },
  },
];

/** The kinds of failure that a walk can note, as what must hold. */
const CHECKS = {
  load: "every page loads",
  font: "the font is there, or absent where it is refused",
  ink: "no ink lies outside the disc",
  overlap: "no text lies over another",
  ground: "the ground is black",
  fixed: "nothing is fixed to the screen",
  sideways: "nothing scrolls sideways",
  targets: "targets are wide enough, reachable and apart",
  requests: "no request leaves the server",
  console: "the console shows no error",
  policy: "the content security policy is not violated",
  scripts: "pages hold no script but the service's own",
  sections: "each section is one screen high",
  snap: "each screen snaps and stops",
  words: "the words are the same at all line counts and sizes",
  elements: "running text is made of few elements",
  contrast: "text stands out from its ground by 7 to 1",
};

const rows = [];
let service;
let chromium;
/** The page that says what was marked as seen, to which no link leads. */
let marked;

before(async () => {
  service = await startService();
  chromium = await launch();
  marked = await markAsSeen(service.address);
});

after(async () => {
  await chromium?.close();
  await service?.stop();
  console.table(rows);
});

for (const { name, screens, mode } of MODES) {
  describe(`pages, ${name}`, () => {
    let seen;

    before(async () => {
      const started = performance.now();
      const all = screens.map((screen) => ({ ...screen, also: [marked] }));
      seen = await walk(chromium.browser, service.address, all, mode);
      for (const [view, { ms, ...counts }] of seen.rows) {
        rows.push({ mode: name, view, ...counts, seconds: seconds(ms) });
      }
      rows.push({ mode: name, view: "all, by the clock", seconds: seconds(performance.now() - started) });
    });

    test("the walk reaches every screen's index, groups, articles, lists of links, a code and searches", () => {
      for (const { screen } of screens) {
        const paths = [...seen.pages].filter((path) => path.startsWith(`/${screen}/`));
        assert.ok(paths.includes(`/${screen}/`), `no index of ${screen}`);
        const articles = paths.filter((path) => /^\/[^/]+\/\d+$/.test(path));
        assert.ok(articles.length >= LEAST_ARTICLES, `${articles.length} articles of ${screen}`);
        assert.ok(paths.some((path) => path.endsWith("/links")), `no list of links of ${screen}`);
        const groups = paths.filter((path) => path.startsWith(`/${screen}/group/`) && path.endsWith("/"));
        assert.ok(groups.length >= LEAST_GROUPS, `${groups.length} groups of ${screen}`);
        assert.ok(paths.includes(`/${screen}/${marked}`), `no page of ${screen} says what was marked`);
        assert.ok(paths.some((path) => path.endsWith("/hand")), `nothing handed over of ${screen}`);
        assert.ok(paths.includes(`/${screen}/find`), `no field to find words of ${screen}`);
        assert.ok(paths.includes(`/${screen}/find?q=tide`), `nothing found of ${screen}`);
      }
      const empty = [...seen.words].filter(([, words]) => words.length === 0);
      assert.deepEqual(empty, [], "articles without running text");
    });

    test("small tables of the town stand as grids", () => {
      assert.ok(seen.grids >= LEAST_GRIDS, `${seen.grids} grids`);
    });

    test("the walk notes no failure of a kind unknown here", () => {
      const unknown = seen.failures.filter(({ check }) => !(check in CHECKS));
      assert.deepEqual(unknown, []);
    });

    for (const [check, sentence] of Object.entries(CHECKS)) {
      test(sentence, () => assert.deepEqual(seen.report(check), []));
    }
  });
}

/** Screens, each to be walked at these sizes. */
function at(screens, views) {
  return screens.map((screen) => ({ screen, views }));
}

function seconds(ms) {
  return Math.round(ms / 100) / 10;
}
