// The checks of the articles beside the demo's: sound pages pass, and a lost word, a word too many
// and a line of another width are seen.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { makeArticles } from "./lib/articles.mjs";
import { launch, openTab } from "./lib/browser.mjs";
import { publish } from "./lib/feeds.mjs";
import { compareLines, drawnLines, isWithin } from "./lib/lines.mjs";
import { Random } from "./lib/random.mjs";
import { firstLoss, readSource } from "./lib/source.mjs";
import { walkPages } from "./lib/walk.mjs";

const VIEW = { width: 320, height: 320 };

const STYLE = `
  html { background: #000; color: #fff; font: 9vmin/11vmin DejaVu Sans, Liberation Sans;
    font-kerning: none; font-variant-ligatures: none; text-rendering: geometricPrecision; }
  body, p { margin: 0; }
  section { position: relative; height: 100svh; }
  p { position: absolute; top: 35svh; width: 100%; text-align: center; white-space: pre; }
  p::before { content: "¶ "; }
  i::after { content: "-\\a" / ""; }
  sup { font-size: .7em; line-height: 0; vertical-align: .35em; }`;

const SOURCE = "<p>A breeze<sup>2</sup> in the har\u00adbour and gulls over</p><p>the roofs</p>";

const BODY = `
  <section class="t"><p>A breeze<sup>2</sup>
in the har<i></i>bour
and gulls</p></section>
  <section class="x"><p>Next</p></section>
  <section class="t"><p>over</p><p style="top: 55svh">the roofs</p></section>`;

const LINES = ["¶ A breeze2", "in the har-", "bour", "and gulls", "¶ over", "¶ the roofs"];

/** The characters whose widths are compared: all of Unicode. */
const ALL = "U+0-10FFFF";

let chromium;

before(async () => {
  chromium = await launch();
});

after(() => chromium?.close());

/** Serves one page and hands its address to `use`. */
async function withPage({ body = BODY, style = "" }, use) {
  const html =
    `<!doctype html><html lang="en"><title>Probe</title><style>${STYLE}${style}</style>` +
    `<main>${body}</main></html>`;
  const publisher = await publish([{ name: "probe", whole: false, articles: [{ title: "Probe", html }] }]);
  try {
    return await use(publisher.address);
  } finally {
    publisher.close();
  }
}

/** What HTML is read into. */
async function sourceOf(html) {
  const page = await chromium.browser.newPage();
  const blocks = await page.evaluate(readSource, html);
  await page.close();
  return blocks;
}

describe("the words of a page beside those of its source", () => {
  /** Walks a page and says what is lost of the source. */
  async function lossOf(change) {
    const walked = await withPage({ body: change(BODY) }, (address) =>
      walkPages(chromium.browser, address, [{ path: "/probe/1", views: [VIEW] }]),
    );
    assert.deepEqual([...walked.titles], [["1", "Probe"]]);
    return firstLoss(await sourceOf(SOURCE), walked.words.get("1"));
  }

  test("agree on a sound page", async () => assert.equal(await lossOf((body) => body), null));

  for (const [what, from, to, expected] of [
    ["a lost word", "and gulls", "and", /^block 1 of 2: word 7 of 8/],
    ["a word twice", "and gulls", "and and gulls", /^block 1 of 2: word 7 /],
    ["a broken word", "<i></i>", " ", /^block 1 of 2: word 5 /],
    ["two words in one", "and gulls", "andgulls", /^block 1 of 2: word 6 /],
    ["a lost last word", "the roofs", "the", /^block 2 of 2: word 2 of 2/],
    ["a word after the last", "the roofs", "the roofs on", /^after the last block: "on"/],
  ]) {
    test(`part at ${what}`, async () => {
      assert.match(await lossOf((body) => body.replace(from, to)), expected);
    });
  }

  test("of a grid are those of its rows as they are read out", async () => {
    const said = async (rows) => {
      const body = `<section class="t"><p>on</p><table><tr>${rows.join("<tr>")}</table></section>`;
      const walked = await withPage({ body, style: "td, th { white-space: pre }" }, (address) =>
        walkPages(chromium.browser, address, [{ path: "/probe/1", views: [VIEW] }]),
      );
      assert.equal(walked.grids, 1);
      return walked.words.get("1").join(" ");
    };
    const heads = "<th scope=col>a<th scope=col>b\nc<th scope=col>d";
    assert.equal(await said([heads, "<td>1<td>2<td>", "<td>3<td><td>"]), "on d a: 1 b c: 2 a: 3");
    assert.equal(await said([heads, "<th scope=row>1<td>2<td>3"]), "on a 1 b c: 2 d: 3");
    assert.equal(await said(["<th scope=row>1<td>2<td>3", "<th scope=row>4<td><td>"]), "on 1: 2 3 4");
  });

  test("of a table come at least as often as in it, in any order, and no others do", () => {
    const blocks = [
      { bag: false, words: ["before"] },
      { bag: true, words: ["tide", "lamp", "4", "4"] },
      { bag: false, words: ["after", "it"] },
    ];
    const check = (text, expected) => {
      const loss = firstLoss(blocks, text.split(" "));
      expected === null ? assert.equal(loss, null) : assert.match(loss, expected);
    };
    check("before tide lamp 4 4 after it", null);
    check("before lamp: 4 tide: 4 lamp: after it", null);
    check("before tide lamp 4 after it", /"4" came too rarely/);
    check("before lamp 4 4 after it", /"tide" came too rarely/);
    check("before tide lamp 4 4 buoy after it", /"buoy" is not in it/);
    check("before tide lamp 4 4 after", /"after" is not in it/);
    check("before tide lamp 4 4", /the page ends/);
    check("before tide lamp 4", /the page ends, and neither "4"/);
  });
});

test("a source is read as its blocks' words", async () => {
  const words = (text) => ({ bag: false, words: text.split(" ") });
  const check = async (html, expected) => assert.deepEqual(await sourceOf(html), expected, html);
  await check("<h2>One <em>t</em>wo</h2>three<br>four", [words("One two"), words("three four")]);
  await check("<ul><li>a<ol><li>b</ol>c</ul>", [words("a"), words("b"), words("c")]);
  await check("<pre>a\n   b</pre><hr><dl><dt>c<dd>d</dl>", [words("a b"), words("c"), words("d")]);
  await check("<p>Do\u00adnau, e\u0301</p>", [words("Donau, e\u0301")]);
  await check("<p>a <img alt='b c d'> e</p>f", [words("a e"), words("b c d"), words("f")]);
  await check("<p>a<img alt='☂'>b</p>", [words("a☂b")]);
  await check("<figure><img alt='a b'><img alt='a b'><figcaption>c</figcaption></figure>", [words("a b"), words("c")]);
  await check("<figure><img alt='c'><figcaption>c</figcaption></figure>", [words("c")]);
  await check("<table><caption>a</caption><tr><th>b<td>c</table>d", [words("a"), { bag: true, words: ["b", "c"] }, words("d")]);
  await check("<table><tr><td>a<tr><td>b</table>", [words("a"), words("b")]);
  await check("<q>a</q> <ruby>b<rp>(</rp><rt>c</rt></ruby>", [words("“a” b(c)")]);
});

describe("the lines of a page", () => {
  /** The lines as they are drawn, and the widths that the browser's canvas gives their texts. */
  const drawnOf = (page) =>
    withPage(page, async (address) => {
      const tab = await openTab(chromium.browser, { home: address });
      await tab.resize(VIEW);
      await tab.page.goto(`${address}probe/1`, { waitUntil: "load" });
      const drawn = await drawnLines(tab, VIEW);
      await tab.close();
      return drawn;
    });

  test("have the texts that are seen, with marks and hyphens, and the widths of a canvas", async () => {
    const drawn = await drawnOf({});
    assert.deepEqual(drawn.map(({ text }) => text), LINES);
    const page = await chromium.browser.newPage();
    const expected = await page.evaluate(measureTexts, LINES.slice(1), (0.09 * VIEW.width).toString());
    await page.close();
    drawn.slice(1).forEach(({ text, width }, index) => {
      const apart = Math.abs((width * VIEW.width) / expected[index] - 1);
      assert.ok(apart < 0.002, `${text}: ${apart}`);
    });
  });

  test("are read in their order where they run from right to left", async () => {
    const body = '<section class="t"><p dir="rtl">שלום abc עולם</p></section>';
    assert.deepEqual((await drawnOf({ body })).map(({ text }) => text), ["¶ שלום abc עולם"]);
  });

  test("of a table go row by row, whichever lines of its heads stand side by side", async () => {
    const body =
      '<section class="t"><p>on</p><table style="position: absolute; top: 50svh; white-space: pre"><tr style="vertical-align: bottom">' +
      "<th>a</th><th>b\nc</th></tr><tr><td>d</td><td></td></tr><tr><td>e</td><td>f</td></tr></table></section>";
    assert.deepEqual((await drawnOf({ body })).map(({ text }) => text), ["¶ on", "b", "ac", "d", "ef"]);
  });

  test("of a table are compared cell by cell", async () => {
    const row = "<tr><td>Limpet</td><td>Otter</td></tr>";
    const body = `<section class="t"><table style="margin: 30svh auto">${row}</table></section>`;
    const sound = await drawnOf({ body });
    assert.equal(sound[0].cells.length, 2);
    assert.deepEqual(compareLines(sound, sound, ALL).failures, []);
    const { failures } = compareLines(await drawnOf({ body, style: "td { padding: 0 .3em 0 0 }" }), sound, ALL);
    assert.match(failures[0], /^cell 2 of "LimpetOtter" is/);
  });

  test("are compared one by one, and the differences seen", async () => {
    const sound = await drawnOf({});
    const same = compareLines(sound, sound, ALL);
    assert.deepEqual(same, { compared: 5, worst: 0, failures: [] });
    const seen = async (page, pattern, count) => {
      const { failures } = compareLines(await drawnOf(page), sound, ALL);
      assert.equal(failures.length, count, failures.join("\n"));
      failures.forEach((failure) => assert.match(failure, pattern));
    };
    await seen({ style: "p { font-size: 8.9vmin; }" }, /is drawn .* wide, reckoned/, 5);
    await seen({ style: "p { letter-spacing: .005em; }" }, /is drawn .* wide, reckoned/, 5);
    await seen({ style: "sup { font-size: .8em; }" }, /"¶ A breeze2" is drawn/, 1);
    await seen({ body: BODY.replace("<i></i>", "\n") }, /^line 2 of 6 drawn and 6 reckoned/, 1);
    await seen({ body: BODY.replace("\nand gulls", "") }, /^line 4 of 5 drawn and 6 reckoned/, 1);
    await seen({ body: BODY.replace("roofs", "roofs\nmore") }, /^line 7 of 7 drawn and 6 reckoned/, 1);
  });

  test("are left out where the font lacks a character", () => {
    assert.ok(isWithin("a – b", "U+20-7E,U+2013"));
    assert.ok(!isWithin("a — b", "U+20-7E,U+2013"));
    const lines = [{ text: "海の潮の音が", width: 0.5 }];
    const { compared } = compareLines([{ text: "海の潮の音が", width: 0.9 }], lines, "U+20-7E");
    assert.equal(compared, 0);
  });
});

test("random numbers and articles follow from their seed alone", () => {
  const random = new Random(1);
  random.state = 2_463_534_242;
  // The first number after the state that Marsaglia's paper starts from (from memory).
  assert.equal(random.next(), 723_471_715);
  assert.deepEqual(makeArticles(7, 3), makeArticles(7, 5).slice(0, 3));
  assert.notDeepEqual(makeArticles(7, 3), makeArticles(8, 3));
});

/** The widths of texts in the font of the probe, in pixels. Runs in a page. */
function measureTexts(texts, size) {
  const canvas = document.createElement("canvas").getContext("2d");
  canvas.font = `${size}px DejaVu Sans, Liberation Sans`;
  canvas.fontKerning = "none";
  canvas.textRendering = "geometricPrecision";
  return texts.map((text) => canvas.measureText(text).width);
}
