// The way through a link by taps: from the index to an article, to its links, to the discs of what a link leads to, and
// back by one step to the links; with scripts and without. What such pages hold is judged as on every other page.

import assert from "node:assert/strict";
import { createServer } from "node:http";
import { after, before, describe, test } from "node:test";
import { launch, openTab } from "./lib/browser.mjs";
import { serveFeeds } from "./lib/service.mjs";
import { SCREENS, VIEWS, WIDE_SCREENS, walkPages } from "./lib/walk.mjs";

const VIEW = { width: 225, height: 225, deviceScaleFactor: 1, hasTouch: true };

/** How long anything may take before the test gives up, in milliseconds. */
const PATIENCE_MS = 10_000;

const SENTENCE =
  "The dredger came through the north gate on Monday, and by the evening flood the channel was deep enough for the ferry again, as the harbour master said. ";

let publisher;
/** The answers of the publisher that wait, by their paths. */
const waiting = new Map();
let service;
let chromium;

before(async () => {
  publisher = createServer(answer);
  await new Promise((resolve) => publisher.listen(0, "127.0.0.1", resolve));
  service = await serveFeeds([{ url: at("/feed"), fullText: "never" }]);
  chromium = await launch();
});

after(async () => {
  await chromium?.close();
  await service?.stop();
  publisher?.closeAllConnections();
  publisher?.close();
});

const at = (path) => `http://127.0.0.1:${publisher.address().port}${path}`;

function answer({ url }, response) {
  const send = (type, body, status = 200) => {
    response.writeHead(status, { "content-type": type });
    response.end(body);
  };
  const html = () => send("text/html; charset=utf-8", article(`The slip of ${url.slice(1)}`));
  if (url === "/feed") {
    send("application/atom+xml", feed());
  } else if (url.startsWith("/slip")) {
    html();
  } else if (url.startsWith("/slow")) {
    waiting.set(url, html);
  } else if (url === "/pdf") {
    send("application/pdf", "%PDF-1.7");
  } else {
    send("text/plain", "", 404);
  }
}

const article = (title) =>
  `<!doctype html><html lang="en"><title>${title}</title><article><h1>${title}</h1>` +
  `<p>${SENTENCE.repeat(4)}</p><p>${SENTENCE.repeat(4)}</p></article></html>`;

const LINKS = ["/slip1", "/slip2", "/slow1", "/slow2", "/slow3", "/pdf", "/gone"];

function feed() {
  const paragraphs = LINKS.map((path) => `<p>${SENTENCE}<a href="${at(path)}">Of ${path}</a></p>`);
  const content = [...paragraphs, '<p><a href="http://10.0.0.1/">Home</a></p>'].join("").replaceAll("<", "&lt;");
  return (
    '<?xml version="1.0"?><feed xmlns="http://www.w3.org/2005/Atom" xml:lang="en"><id>urn:example:quay</id>' +
    "<title>Kestrel Quay Gazette</title><updated>2031-03-31T12:00:00Z</updated><entry><id>urn:example:ebb</id>" +
    `<title>Ebb</title><link href="${at("/ebb")}"/><updated>2031-03-31T12:00:00Z</updated>` +
    `<content type="html">${content}</content></entry></feed>`
  );
}

/** Taps what is named so on a page, and waits for where that leads. */
async function tap(page, name) {
  const rows = await page.$$("section.x a.r, section.x button.r");
  for (const row of rows) {
    if ((await row.evaluate((element) => element.textContent.replaceAll(/\s+/gu, " "))).startsWith(name)) {
      const loaded = page.waitForNavigation({ waitUntil: "load", timeout: PATIENCE_MS });
      await row.tap();
      await loaded;
      return;
    }
  }
  assert.fail(`${page.url()} has no row ${name}`);
}

const pathOf = (page) => new URL(page.url()).pathname;
const said = (page) => page.evaluate(() => document.querySelector("section").textContent.replaceAll(/\s+/gu, " "));

for (const scripts of [true, false]) {
  describe(`a link, with scripts ${scripts ? "on" : "off"}`, () => {
    const number = scripts ? 1 : 2;
    let tab;
    let links;

    before(async () => {
      tab = await openTab(chromium.browser, { home: service.address, scripts });
      await tab.page.setViewport(VIEW);
      await tab.page.goto(`${service.address}round-10/`, { waitUntil: "load" });
      await tap(tab.page, "Ebb");
      await tap(tab.page, "Links");
      links = pathOf(tab.page);
      assert.match(links, /^\/round-10\/\d+\/links$/);
    });

    after(() => tab.close());

    test("one tap leads to the discs of its page, and one step back to the links", async () => {
      const { page } = tab;
      await tap(page, `Of /slip${number}`);
      assert.match(pathOf(page), /^\/round-10\/\d+$/);
      assert.match(await said(page), new RegExp(`^The slip of slip${number}`));
      await page.goBack({ waitUntil: "load", timeout: PATIENCE_MS });
      assert.equal(pathOf(page), links);
      await tap(page, `Of /slip${number}`);
      await page.goBack({ waitUntil: "load", timeout: PATIENCE_MS });
      assert.equal(pathOf(page), links, "from the store as well");
      assert.deepEqual(tab.takeTroubles(), []);
    });

    test("a page that takes long is looked for again by a tap, and one step leads back from it too", async () => {
      const { page } = tab;
      await tap(page, `Of /slow${number}`);
      assert.match(await said(page), /^Being fetched/);
      await tap(page, "Look again");
      assert.match(await said(page), /^Being fetched/);
      waiting.get(`/slow${number}`)();
      const start = Date.now();
      while (pathOf(page).startsWith(links)) {
        assert.ok(Date.now() - start < PATIENCE_MS, "it never comes");
        await tap(page, "Look again");
      }
      assert.match(await said(page), new RegExp(`^The slip of slow${number}`));
      await page.goBack({ waitUntil: "load", timeout: PATIENCE_MS });
      assert.equal(pathOf(page), links);
      assert.deepEqual(tab.takeTroubles(), []);
    });

    test("what cannot be shown says so and leads back", async () => {
      const { page } = tab;
      for (const [name, told] of [["Of /pdf", "A PDF"], ["Of /gone", "Not there"], ["Home", "No open address"]]) {
        await tap(page, name);
        assert.ok((await said(page)).startsWith(told), await said(page));
        await tap(page, "To the phone");
        await tap(page, "Back to the links");
        assert.equal(pathOf(page), links);
      }
    });
  });
}

test("pages of links and the list of what is kept are sound at every size", async () => {
  const tab = await openTab(chromium.browser, { home: service.address, scripts: true });
  const { page } = tab;
  await page.goto(`${service.address}round-10/`, { waitUntil: "load" });
  await tap(page, "Ebb");
  await tap(page, "Links");
  const links = pathOf(page).replace("/round-10", "");
  await tap(page, "Of /slip1");
  await tap(page, "Keep");
  const kept = pathOf(page).replace("/round-10", "");
  await page.goto(`${service.address}round-10${links}`, { waitUntil: "load" });
  // It is never answered, so that its page is walked while it is on its way.
  await tap(page, "Of /slow3");
  assert.match(await said(page), /^Being fetched/);
  await tab.close();
  const pages = [...SCREENS, ...WIDE_SCREENS].flatMap((screen) =>
    [`${links}/5`, "/", "/kept", links, kept, `${links}/6`, `${links}/6/hand`, `${links}/7`, `${links}/8`].map((path) => ({
      path: `/${screen}${path}`,
      views: VIEWS,
    })),
  );
  const seen = await walkPages(chromium.browser, service.address, pages);
  assert.deepEqual(seen.failures, []);
  assert.equal(seen.pages.size, pages.length);
});
