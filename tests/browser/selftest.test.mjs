// The checks themselves: a small sound page passes, and each way of breaking it is seen. Without
// this a walk that finds nothing would prove nothing.

import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { createServer } from "node:http";
import { after, before, describe, test } from "node:test";
import { launch, openTab } from "./lib/browser.mjs";
import { failures, firstDifference, runningWords } from "./lib/checks.mjs";
import { contrast } from "./lib/contrast.mjs";
import { countInk, maskPage } from "./lib/ink.mjs";
import { measurePage } from "./lib/measure.mjs";
import { pathsToFollow } from "./lib/walk.mjs";

const VIEW = { width: 192, height: 192 };

const STYLE = `
  html { background: #000; color: #fff; scroll-snap-type: y mandatory; }
  body, p { margin: 0; }
  section { position: relative; height: 100svh; scroll-snap-align: start;
    scroll-snap-stop: always; overflow: clip; }
  p { position: absolute; top: 35svh; width: 100%; text-align: center; white-space: pre;
    font: 9vmin/11vmin probe, sans-serif; }
  i::after { content: "-\\a" / ""; }
  a { position: absolute; left: 25vmin; bottom: 5vmin; width: 50vmin; height: 24vmin; }`;

const SOUND = `
  <section class="t"><p>A breeze in the har<i></i>bour</p><a href="#two"></a></section>
  <section id="two" class="t"><p>and gulls over
the roofs</p></section>`;

/**
 * Each way to break the sound page: the check that must see it, style added at the end of the
 * style element, and a change of the markup.
 */
const BROKEN = [
  ["ink", "a word at the corner", "p { top: 0; text-align: left; }"],
  ["ink", "a dot at the corner", "section::before { content: ''; position: absolute; right: 1px; top: 1px; width: 1px; height: 1px; background: #333; }"],
  ["ink", "a line past the left edge, where nothing can scroll", "p { left: -60vmin; }"],
  ["ink", "a line that a section cuts off", "p { top: 96svh; }"],
  ["overlap", "a control's name over a line", "a { bottom: 45vmin; height: 24vmin; }", (body) => body.replace("</a>", "on</a>")],
  ["sideways", "a wide line", "p { width: 200vmin; } section { overflow: visible; }"],
  ["targets", "a low target", "a { height: 22vmin; }"],
  ["targets", "a narrow target", "a { width: 22vmin; }"],
  ["targets", "a target beyond the rim", "a { left: 76vmin; bottom: 76vmin; width: 23vmin; height: 23vmin; }"],
  ["targets", "targets one over the other", "", (body) => body.replace("</a>", "</a><a href='#two'></a>")],
  ["sections", "a section that is too high", "section { height: calc(100svh + 1px); }"],
  ["sections", "space between the sections", "section + section { margin-top: 4px; }"],
  ["sections", "a section that is no child of main", "", (body) => `<div>${body}</div>`],
  ["snap", "a page that does not snap", "html { scroll-snap-type: none; }"],
  ["snap", "a section that is no stop", "section { scroll-snap-stop: normal; }"],
  ["snap", "a section that does not snap", "section { scroll-snap-align: none; }"],
  ["elements", "an element a word", "", (body) => body.replace("the roofs", "<b>x</b> ".repeat(12))],
  ["contrast", "grey text", "p { color: #949494; }"],
  ["contrast", "faint text", "p { opacity: 0.5; }"],
  ["contrast", "text on a light ground", "section { background: #777; }"],
  ["scripts", "a script", "", (body) => `${body}<script></script>`],
  ["fixed", "a fixed element", "p { position: fixed; }"],
  ["ground", "another ground", "html { background: #010101; }"],
  ["font", "a font that is not there", "@font-face { font-family: probe; src: url(/font/none); }"],
  ["console", "a file that is not there", "@font-face { font-family: probe; src: url(/none); }"],
  ["policy", "a style that the policy refuses", "", (body) => body.replace("<p>", "<p style='color: red'>")],
  ["requests", "a picture from elsewhere", "", (body) => `${body}<img alt="" src="ELSEWHERE">`],
];

/** A font of no glyphs worth drawing is not at hand, so the browser's own serves as the page's. */
const FONT = "@font-face { font-family: probe; src: local('DejaVu Sans'), local('Liberation Sans'); }";

describe("the checks", () => {
  const pages = new Map();
  let server;
  let elsewhere;
  let chromium;
  let home;

  before(async () => {
    server = await listen((request, response) => {
      const page = pages.get(request.url);
      if (page === undefined) {
        // Browsers ask for the icon unbidden, and a missing one is an error on the console.
        response.writeHead(request.url === "/favicon.ico" ? 204 : 404).end();
        return;
      }
      response.writeHead(200, {
        "content-type": "text/html; charset=utf-8",
        "content-security-policy":
          "default-src 'none'; font-src 'self'; img-src http:; style-src " +
          `'sha256-${createHash("sha256").update(page.style).digest("base64")}'`,
      });
      response.end(
        `<!doctype html><html lang="en"><title>probe</title><style>${page.style}</style>` +
          `<main>${page.body}</main></html>`,
      );
    });
    elsewhere = await listen((_, response) => response.writeHead(204).end());
    home = addressOf(server);
    chromium = await launch();
  });

  after(async () => {
    await chromium?.close();
    server?.close();
    elsewhere?.close();
  });

  /** Loads a page as the walk does and returns what every check says of it. */
  async function judge({ style = "", change = (body) => body, scripts = true }) {
    const body = change(SOUND).replace("ELSEWHERE", `${addressOf(elsewhere)}picture`);
    const font = style.includes("@font-face") ? "" : FONT;
    pages.set("/page", { style: font + STYLE + style, body });
    const tab = await openTab(chromium.browser, { home, scripts });
    await tab.resize(VIEW);
    await tab.page.goto(`${home}page`, { waitUntil: "load" });
    await tab.page.evaluate(() => document.fonts.ready.then(() => undefined));
    const measured = await tab.page.evaluate(measurePage);
    const sections = measured.sections.length;
    await maskPage(tab, sections);
    const { ink } = await countInk(tab, VIEW, Math.round(measured.scroll.height / VIEW.height));
    const found = failures(measured);
    for (const [disc, pixels] of ink) {
      found.push({ check: "ink", detail: `disc ${disc}: ${pixels} px` });
    }
    found.push(...tab.takeTroubles());
    await tab.close();
    return { found, measured, ink };
  }

  for (const scripts of [true, false]) {
    test(`find nothing on a sound page, scripts ${scripts ? "enabled" : "disabled"}`, async () => {
      const { found, measured } = await judge({ scripts });
      assert.deepEqual(found, []);
      assert.equal(
        runningWords(measured).join(" "),
        "A breeze in the harbour and gulls over the roofs",
      );
    });
  }

  for (const [check, what, style, change] of BROKEN) {
    test(`"${check}" sees ${what}`, async () => {
      const { found } = await judge({ style, change });
      assert.ok(
        found.some((failure) => failure.check === check),
        `${check} saw nothing; others saw ${JSON.stringify(found)}`,
      );
    });
  }

  test("ink is counted to the pixel and on its own disc", async () => {
    const dot =
      "#two::before { content: ''; position: absolute; right: 0; bottom: 0; width: 3px;" +
      " height: 2px; background: #fff; }";
    const { ink } = await judge({ style: dot });
    assert.deepEqual([...ink], [[2, 6]]);
  });

  test("ink inside the disc is not counted, up to its rim", async () => {
    const line =
      "#two::before { content: ''; position: absolute; left: 0; top: 50svh; width: 100%;" +
      " height: 1px; background: #fff; }";
    const { ink } = await judge({ style: line });
    assert.deepEqual([...ink], []);
  });
});

test("contrast agrees with pairs worked by the formula of WCAG 2.2", () => {
  // Source: the formulas under "relative luminance" and "contrast ratio" in WCAG 2.2.
  const black = [0, 0, 0];
  const grey = (part) => [part, part, part];
  const check = (one, other, expected) =>
    assert.equal(contrast(one, other).toFixed(4), expected);
  check(grey(0x95), black, "7.0109");
  check(grey(0x94), black, "6.9228");
  check(grey(0xff), black, "21.0000");
  check(grey(0x77), grey(0xff), "4.4781");
  check([0, 0, 255], black, "2.4440");
});

test("a lost, a doubled and a broken word are differences", () => {
  const words = ["gulls", "over", "the", "roofs"];
  assert.equal(firstDifference(words, [...words]), null);
  assert.match(firstDifference(words, words.slice(0, 3)), /^word 4 of 4 and 3/);
  assert.match(firstDifference(words, ["gulls", "over", "over", "the", "roofs"]), /^word 3 /);
  assert.match(firstDifference(words, ["gulls", "ov", "er", "the", "roofs"]), /^word 2 /);
});

test("the walk follows the links of its own screen, without what only leads on", () => {
  const from = new URL("http://watch.invalid/round-8/7");
  const links = ["#2", "/round-8/", "/round-8/7/links", "/round-8/after/7", "/round-6/",
    "http://elsewhere.invalid/round-8/9"];
  assert.deepEqual(pathsToFollow(links, from), ["/round-8/7", "/round-8/", "/round-8/7/links"]);
});

function listen(handler) {
  const server = createServer(handler);
  return new Promise((resolve) => server.listen(0, "127.0.0.1", () => resolve(server)));
}

function addressOf(server) {
  return `http://127.0.0.1:${server.address().port}/`;
}
