// What a screen reader is told: Chromium's accessibility tree of articles made at random, beside the words of their sources
// as the browser itself reads HTML. Every word is told whole, though lines divide it, in the order of the blocks, once; and
// headings are headings. Tables, which may be told in more ways than one, are judged by their words in corpus.test.mjs.

import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { makeArticles } from "./lib/articles.mjs";
import { launch, openTab } from "./lib/browser.mjs";
import { deal, publish } from "./lib/feeds.mjs";
import { listedArticles } from "./lib/listed.mjs";
import { serveFeeds } from "./lib/service.mjs";
import { firstLoss, readSource } from "./lib/source.mjs";
import { SCREENS, WIDE_SCREENS } from "./lib/walk.mjs";

/** The articles made at random. Another seed makes others: $SEED names one. */
const SEED = Number(process.env.SEED ?? 60_500);
const ARTICLES = 150;

/** The fewest articles without tables, and what must be among them, for the test to mean anything. */
const LEAST_ARTICLES = 40;
const LEAST_DIVIDED = 200;
const LEAST_HEADINGS = 40;

const VIEW = { width: 225, height: 225 };

let chromium;
let publisher;
let service;
/** @type {{path: string, source: object[], headings: string[], told: {role: string, text: string}[], divided: number}[]} */
let articles;

before(async () => {
  chromium = await launch();
  const made = makeArticles(SEED, ARTICLES).filter(({ html }) => !html.includes("<table"));
  publisher = await publish(deal("sample", made));
  service = await serveFeeds(publisher.urls.map((url) => ({ url, fullText: "never" })));
  const numbers = new Map((await listedArticles(service.address)).map(({ title, number }) => [title, number]));
  const tab = await openTab(chromium.browser, { home: service.address });
  const reader = await chromium.browser.newPage();
  await tab.resize(VIEW);
  articles = [];
  const screens = [...SCREENS, ...WIDE_SCREENS];
  for (const [index, { title, html }] of made.entries()) {
    const path = `/${screens[index % screens.length]}/${numbers.get(title)}`;
    const source = await reader.evaluate(readSource, html);
    const headings = await reader.evaluate(readHeadings, html);
    await tab.page.goto(new URL(path, service.address).href, { waitUntil: "load" });
    const divided = await tab.page.$$eval("section.t i", (ends) => ends.length);
    articles.push({ path, source, headings, divided, told: await toldBy(tab.page) });
  }
  await reader.close();
  await tab.close();
});

after(async () => {
  await chromium?.close();
  await service?.stop();
  publisher?.close();
});

describe("what a screen reader is told", () => {
  test("is of articles enough, with words that lines divide, and headings", () => {
    const sum = (of) => articles.reduce((all, article) => all + of(article), 0);
    assert.ok(articles.length >= LEAST_ARTICLES, `${articles.length} articles`);
    assert.ok(sum(({ divided }) => divided) >= LEAST_DIVIDED, `${sum(({ divided }) => divided)} words are divided`);
    const headings = sum(({ headings }) => headings.length);
    assert.ok(headings >= LEAST_HEADINGS, `${headings} headings`);
  });

  test("is every word of the source, whole, in its order, once", () => {
    const losses = articles.map(({ path, source, told }) => [path, firstLoss(source, wordsOf(told))]);
    assert.deepEqual(losses.filter(([, loss]) => loss !== null), []);
  });

  test("is headings where the source has them, and nowhere else", () => {
    for (const { path, headings, told } of articles) {
      // A long one goes on on the next disc.
      const read = told.filter(({ role }) => role === "heading").map(({ text }) => text);
      assert.equal(wordsOf([{ text: read.join(" ") }]).join(" "), headings.join(" "), path);
    }
  });
});

test("a word that is told in two is seen, and one that is told twice", () => {
  const source = [{ bag: false, words: ["One", "harbour"] }, { bag: false, words: ["Two"] }];
  const loss = (...texts) => firstLoss(source, wordsOf(texts.map((text) => ({ text }))));
  assert.equal(loss("One har", "bour", "Two") === null, false);
  assert.equal(loss("One har bour", "Two") === null, false);
  assert.equal(loss("One harbour", "One harbour", "Two") === null, false);
  assert.equal(loss("One harbour", "Two"), null);
});

/** The numbers that lists give their items, before a text from the left and before one from the right. */
const NUMBER = /^(?:\(?-?\d+[.)] |[.)] ?-?\d+\(?)/u;

/** The words of texts that are told one after the other, without the numbers that lists give their items. */
function wordsOf(told) {
  const texts = told.map(({ text }) => text.replace(NUMBER, ""));
  return texts.join(" ").replace(/\u2060 ?/gu, "").split(/\s+/u).filter((word) => word !== "");
}

/** The texts of an article's running text as the accessibility tree has them: role and text, one for each element. */
async function toldBy(page) {
  const told = [];
  for (const section of await page.$$("section.t")) {
    const tree = await page.accessibility.snapshot({ root: section, interestingOnly: false });
    for (const child of tree.children ?? []) {
      const text = textOf(child);
      // The link to the next disc is no text of the article's.
      if (child.role !== "link" && text.trim() !== "") {
        told.push({ role: child.role, text });
      }
    }
    // A word that is longer than a line may go on on the next disc.
    if (told.length > 0 && (await section.evaluate(endsWithinWord))) {
      told.at(-1).text += "\u2060";
    }
  }
  return told;
}

/** Whether the text of a disc ends where a line ends without a space. Runs in a page. */
function endsWithinWord(section) {
  const last = [...section.children].findLast((child) => !child.matches(".o"));
  return ["b", "i"].includes(last?.lastChild?.localName);
}

/** All text within a node, as it is read out. */
function textOf(node) {
  return node.role === "StaticText" ? node.name : (node.children ?? []).map(textOf).join("");
}

/** The headings of HTML, their words parted by single spaces. Runs in a page. */
function readHeadings(html) {
  const parsed = new DOMParser().parseFromString(html, "text/html");
  const texts = [...parsed.querySelectorAll("h1, h2, h3, h4, h5, h6")].map(({ textContent }) => textContent);
  return texts.map((text) => text.replaceAll("\u00ad", "").trim().replace(/\s+/gu, " ")).filter((text) => text !== "");
}
