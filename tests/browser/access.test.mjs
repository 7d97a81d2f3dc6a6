// Whether pages are open to every wearer, as far as a program can judge: axe-core's rules for WCAG 2.0, 2.1 and 2.2, at
// levels A and AA, what it has of level AAA, and its best practices, on every kind of page. What they cannot judge is judged
// elsewhere: text spacing by the wide setting, which pages.test.mjs walks, and the sizes of targets by targets.test.mjs.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { after, before, describe, test } from "node:test";
import { launch, openTab } from "./lib/browser.mjs";
import { startService } from "./lib/service.mjs";
import { kindOf, pagesOf } from "./lib/kinds.mjs";

const VIEWS = [192, 225, 320].map((side) => ({ width: side, height: side }));

/** The default size, and the largest set wide, whose rows break into the most lines. */
const SCREENS = ["round-10", "round-6-wide"];

/** axe-core's names for the success criteria of WCAG 2.0 to 2.2, and for what is good practice beside. */
const TAGS = ["wcag2a", "wcag2aa", "wcag2aaa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

/** A rule of success criterion 2.5.3 that axe-core runs only where it is named. */
const NAMED = ["label-content-name-mismatch"];

/** Kinds of pages that must be among those judged. */
const LEAST_KINDS = [
  ...["first visit", "sizes", "index", "list", "group", "kept", "minutes", "find", "found", "seen"],
  ...["article", "links", "fault", "hand", "absent"],
];

let service;
let chromium;
let source;

before(async () => {
  source = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
  service = await startService();
  chromium = await launch();
});

after(async () => {
  await chromium?.close();
  await service?.stop();
});

for (const screen of SCREENS) {
  describe(`every kind of page of ${screen}`, () => {
    let pages;

    before(async () => {
      pages = await pagesOf(chromium.browser, service.address, screen);
    });

    test("is among those that are judged", () => {
      const kinds = new Set(pages.map(kindOf));
      assert.deepEqual(LEAST_KINDS.filter((kind) => !kinds.has(kind)), []);
    });

    // WCAG 2.4.2: a title says which page it is. Pages of one list differ by their numbers.
    test("has a title that no other has", async () => {
      const tab = await openTab(chromium.browser, { home: service.address });
      const titles = new Map();
      for (const path of pages) {
        await tab.page.goto(new URL(path, service.address).href, { waitUntil: "load" });
        const title = await tab.page.title();
        titles.set(title, [...(titles.get(title) ?? []), path]);
      }
      await tab.close();
      assert.deepEqual([...titles].filter(([title, paths]) => title === "" || paths.length > 1), []);
    });

    test("breaks no rule of axe-core's", async () => {
      const tab = await openTab(chromium.browser, { home: service.address });
      const broken = [];
      let rules = 0;
      for (const path of pages) {
        await tab.page.goto(new URL(path, service.address).href, { waitUntil: "load" });
        // Evaluated by the debugger, so that the page's own policy stays as it is.
        await tab.page.evaluate(source);
        for (const view of VIEWS) {
          await tab.resize(view);
          const { passes, violations } = await tab.page.evaluate(judge, TAGS, NAMED);
          rules += passes;
          broken.push(...violations.map((violation) => `${path} at ${view.width}: ${violation}`));
        }
      }
      await tab.close();
      assert.deepEqual(broken, []);
      console.log(`${screen}: ${pages.length} pages, ${rules} times a rule was kept`);
      assert.ok(rules > 10 * pages.length, "the rules found something to judge");
    });
  });
}

test("a page that breaks rules is seen to", async () => {
  const tab = await openTab(chromium.browser, { home: "data:" });
  await tab.page.setContent("<title></title><main><button></button><img src='data:,'><p style='color:#777;background:#888'>grey</p></main>");
  await tab.page.evaluate(source);
  const { violations } = await tab.page.evaluate(judge, TAGS, NAMED);
  for (const rule of ["button-name", "color-contrast", "document-title", "html-has-lang", "image-alt"]) {
    assert.ok(violations.some((violation) => violation.startsWith(`${rule}:`)), `${rule} is not among ${violations}`);
  }
  await tab.close();
});

/** Runs axe-core's rules of some tags and some more; what they found, a line each. Runs in the page. */
async function judge(tags, named) {
  const { passes, violations } = await globalThis.axe.run(document, {
    runOnly: { type: "tag", values: tags },
    rules: Object.fromEntries(named.map((rule) => [rule, { enabled: true }])),
    resultTypes: ["violations", "passes"],
  });
  const told = violations.flatMap(({ id, help, nodes }) =>
    nodes.map(({ html, failureSummary }) => `${id}: ${help}: ${html.slice(0, 160)} (${failureSummary.replace(/\s+/gu, " ")})`),
  );
  return { passes: passes.length, violations: told };
}
