// Markup that is meant to run or to load, served by a feed of the tests as content, title, link, author, page
// and caption, and opened with scripts on and the content policy taken off: nothing runs, and
// nothing is asked of anybody else. The same markup on a bare page does run and does load.

import assert from "node:assert/strict";
import { createServer } from "node:http";
import { after, before, test } from "node:test";
import { launch } from "./lib/browser.mjs";
import { EVASIONS, cleaningCases, parsingCases, shares } from "./lib/evasions.mjs";
import { deal, publish } from "./lib/feeds.mjs";
import { serveFeeds } from "./lib/service.mjs";

const SCREEN = "round-10";

/** How many tabs open pages at once. */
const TABS = 4;

/** How many evasions share an article, a web page, and how many cases of the parser's tests an article. */
const EVASIONS_AN_ARTICLE = 8;
const EVASIONS_A_PAGE = 4;
const CASES_AN_ARTICLE = 24;

/** The most characters of a title that a disc has room for, and authors of an article that the service keeps. */
const MOST_TITLE = 170;
const MOST_AUTHORS = 10;

/**
 * What ends what a case leaves open, so that the next one of its article is seen: a quote, a comment, elements
 * of text, then elements that bound others, then those that are left out with all that is in them.
 */
const ENDED = ["script", "style", "title", "textarea", "xmp", "plaintext", "iframe", "noembed", "noframes"];
const BOUNDS = ["td", "th", "caption", "table", "marquee", "button", "object", "applet", "template"];
const LEFT_OUT = ["option", "frameset", "select", "noscript", "audio", "video", "canvas", "dialog", "datalist", "svg", "math"];
const ends = (names) => names.map((name) => `</${name}>`).join("");
const CLOSED = `"'>-->${ends(ENDED)}${ends([...BOUNDS, ...LEFT_OUT]).repeat(3)}`;

/** What stands before a case, to tell that a page has gone on to it: a sign that nothing else has, and a number. */
const mark = (number) => `№${number}`;

/**
 * The least evasions of the sheet, and of them that run or load on a bare page, for this to mean anything; and
 * the least share of the marks before the cases that the pages show.
 */
const LEAST = { evasions: 150, cleaning: 20, parsing: 1_000, executions: 40, requests: 25, marks: 0.95 };

/** The policy of the service's pages as far as it matters here: with it, nothing would run anyway. */
const POLICY = "default-src 'none'";

let chromium;
let cases;

before(async () => {
  chromium = await launch();
  const sheet = [...new Set([...EVASIONS, ...cleaningCases()])];
  cases = { sheet, parsing: parsingCases() };
});

after(async () => {
  await chromium?.close();
});

test("the lists are as long as they should be", () => {
  assert.ok(EVASIONS.length >= LEAST.evasions, `${EVASIONS.length} evasions`);
  assert.ok(cleaningCases().length >= LEAST.cleaning);
  assert.ok(cases.parsing.length >= LEAST.parsing, `${cases.parsing.length} cases of a parser`);
});

test("on a bare page the evasions run and load, though a policy is sent", async () => {
  const server = createServer((request, response) => {
    response.writeHead(200, { "content-type": "text/html; charset=utf-8", "content-security-policy": POLICY });
    response.end(`<!DOCTYPE html><title>bare</title><body>${EVASIONS[Number(request.url.slice(1))] ?? ""}`);
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  const home = `http://127.0.0.1:${server.address().port}/`;
  try {
    const seen = await openAll(home, EVASIONS.map((_, index) => `${home}${index}`));
    const running = new Set(seen.executions.map(({ at }) => at)).size;
    const loading = new Set(seen.requests.map(({ at }) => at)).size;
    console.log(`bare: ${running} of ${EVASIONS.length} evasions run, ${loading} load`);
    assert.ok(running >= LEAST.executions, `${running} run`);
    assert.ok(loading >= LEAST.requests, `${loading} load`);
  } finally {
    server.closeAllConnections();
    server.close();
  }
});

test("as title, link and author nothing runs and nothing loads", async () => {
  const links = [...new Set(cases.sheet.map(linkOf))];
  const groups = together(cases.sheet);
  const articles = groups.map((some, index) => ({
    title: some.map(({ text, number }) => `${mark(number)} ${text}`).join(" "),
    language: "en",
    // What is taken for markup loses it; what is escaped keeps it, as text.
    authors: some.flatMap(({ text }) => [text, quoted(text)]),
    link: links[index],
    files: shares(links.slice(groups.length), Math.ceil(links.length / groups.length))[index],
    html: "<p>A short notice.</p>",
  }));
  assert.ok(articles.flatMap(({ link, files = [] }) => [link, ...files]).length >= links.length);
  await judge("title, link and author", deal("title", articles), "never", cases.sheet.length);
});

test("as content and caption nothing runs and nothing loads", async () => {
  const told = ({ text, number }) =>
    `<p>${mark(number)}</p>${text}${CLOSED}<figure><img alt="${quoted(text)}" src=x><figcaption>${text}${CLOSED}</figcaption>` +
    `</figure>`;
  const articles = shared(cases.sheet, EVASIONS_AN_ARTICLE).map((some, index) => ({
    title: `content ${index}`,
    language: "en",
    html: some.map(told).join(""),
  }));
  await judge("content and caption", deal("content", articles), "never", cases.sheet.length);
});

test("as a web page nothing runs and nothing loads", async () => {
  const filler = "<p>The dredger came through the north gate on Monday, and by the evening the channel was deep enough.</p>";
  const meta = ({ text }) =>
    `<meta name="author" content="${quoted(text)}"><meta property="og:title" content="${quoted(text)}">` +
    `<meta name="description" content="${quoted(text)}"><meta property="og:image" content="${quoted(text)}">`;
  const told = ({ text, number }) => `<p>${mark(number)}: the water stood high.</p>${text}${CLOSED}${filler}`;
  const articles = shared(cases.sheet, EVASIONS_A_PAGE).map((some, index) => ({
    title: `page ${index}`,
    language: "en",
    html:
      `<!DOCTYPE html><html><head>${some.map(meta).join("")}<title>${some[0].text}</title></head><body><article>` +
      `<h1>${some[0].text}</h1>${CLOSED}${filler.repeat(6)}${some.map(told).join("")}${filler.repeat(2)}</article></body></html>`,
  }));
  const feeds = deal("page", articles).map((feed) => ({ ...feed, whole: false }));
  await judge("page", feeds, "always", cases.sheet.length);
});

test("of a parser's tests nothing runs and nothing loads", async () => {
  const articles = shared(cases.parsing, CASES_AN_ARTICLE).map((some, index) => ({
    title: `cases ${index}`,
    language: "en",
    html: some.map(({ text, number }) => `<p>${mark(number)}</p>${text}${CLOSED}`).join(""),
  }));
  await judge("parser", deal("parser", articles), "never", cases.parsing.length);
});

/** The address within an evasion, or all of it. */
function linkOf(evasion) {
  const found = evasion.replace(/[\n\t]/g, "").match(/(?:javascript|data|vbscript):[^"'>]*|https?:[^"'>\s]*/i);
  return found?.[0] ?? evasion;
}

/** Texts with their numbers, as many together as a title has room for, and an article for authors. */
function together(list) {
  const groups = [[]];
  for (const [number, text] of list.entries()) {
    const some = [...groups.at(-1), { text, number }];
    const length = some.reduce((sum, { text }) => sum + text.length + mark(1000).length + 2, 0);
    length <= MOST_TITLE && some.length <= MOST_AUTHORS / 2 ? (groups[groups.length - 1] = some) : groups.push([{ text, number }]);
  }
  return groups.filter((some) => some.length > 0);
}

/** A list of texts in parts of so many, each with its number. */
function shared(list, count) {
  return shares(list.map((text, number) => ({ text, number })), count);
}

const quoted = (text) => text.replaceAll("&", "&amp;").replaceAll('"', "&quot;");

/** Has the service fetch feeds, opens all its pages, and asserts that they stay quiet and show the cases' marks. */
async function judge(name, feeds, fullText, count) {
  const publisher = await publish(feeds);
  let service;
  try {
    service = await serveFeeds(publisher.urls.map((url) => ({ url, fullText })));
    const seen = await openAll(service.address, [`${service.address}${SCREEN}/`], true);
    const shown = [...seen.text.matchAll(/№(\d+)/g)].map(([, number]) => number);
    const marks = new Set(shown).size;
    console.log(
      `${name}: ${seen.pages} pages with ${marks} of ${count} cases, ` +
        `${seen.executions.length} executions, ${seen.requests.length} outside requests`,
    );
    assert.deepEqual(seen.executions, [], "what has run");
    assert.deepEqual(seen.requests, [], "what was asked of others");
    assert.deepEqual(seen.oddities, [], "what no page of the service holds");
    assert.ok(marks >= LEAST.marks * count, `${marks} of ${count} cases are shown`);
  } finally {
    await service?.stop();
    publisher.close();
  }
}

/**
 * Opens pages in several tabs, with scripts on and without their policy, and where `follow` says so all of the
 * screen that they lead to; gives what has run, what was asked, and the text of all.
 */
async function openAll(home, addresses, follow = false) {
  const seen = { pages: 0, executions: [], requests: [], oddities: [], text: "" };
  const waiting = [...addresses];
  const known = new Set(waiting);
  let busy = 0;
  const work = async () => {
    const tab = await openLoose(home, seen);
    while (waiting.length > 0 || busy > 0) {
      const next = waiting.shift();
      if (next === undefined) {
        // Another tab may yet find pages.
        await new Promise((resolve) => setTimeout(resolve, 20));
        continue;
      }
      busy += 1;
      const links = await tab.open(next).finally(() => (busy -= 1));
      for (const link of links.filter((link) => follow && isPage(home, link) && !known.has(link))) {
        known.add(link);
        waiting.push(link);
      }
    }
    await tab.close();
  };
  await Promise.all(Array.from({ length: TABS }, work));
  return seen;
}

/** Whether an address is of an article, its links or its code, or a further page of the index. */
function isPage(home, address) {
  const path = address.startsWith(home) ? address.slice(home.length) : "";
  return path.startsWith(`${SCREEN}/`) && /^(?:\d+|\d+\/(?:links|hand)|page\/\d+)$/.test(path.slice(SCREEN.length + 1));
}

/** A tab without a policy, in which whatever an evasion calls is noted. */
async function openLoose(home, seen) {
  const context = await chromium.browser.createBrowserContext();
  const page = await context.newPage();
  let at = "";
  await page.setBypassCSP(true);
  await page.setJavaScriptEnabled(true);
  await page.exposeFunction("noteExecution", (what) => seen.executions.push({ at, what }));
  await page.evaluateOnNewDocument(() => {
    for (const name of ["alert", "confirm", "prompt", "msgbox"]) {
      window[name] = () => window.noteExecution(name);
    }
  });
  page.on("dialog", (dialog) => {
    seen.executions.push({ at, what: `dialog ${dialog.type()}` });
    return dialog.dismiss().catch(() => {});
  });
  // Nothing leaves this machine: what is asked of others is noted, and refused.
  const cdp = await page.createCDPSession();
  await cdp.send("Fetch.enable", { patterns: [{ urlPattern: "*" }] });
  cdp.on("Fetch.requestPaused", ({ requestId, request }) => {
    if (request.url.startsWith(`${home}font/`)) {
      // Nothing here depends on it, and a page without it is there sooner.
      return cdp.send("Fetch.failRequest", { requestId, errorReason: "BlockedByClient" }).catch(() => {});
    }
    const ours = request.url.startsWith(home) || /^(?:data|about|blob):/.test(request.url);
    if (ours) {
      return cdp.send("Fetch.continueRequest", { requestId }).catch(() => {});
    }
    seen.requests.push({ at, url: request.url });
    return cdp.send("Fetch.failRequest", { requestId, errorReason: "BlockedByClient" }).catch(() => {});
  });
  const open = async (address) => {
    at = address.slice(home.length);
    await page.goto(address, { waitUntil: "load", timeout: 20_000 }).catch((error) => {
      // A bare page may lead away while it loads; a page of the service may not.
      seen.oddities.push(`${at}: ${error.message}`);
    });
    const { found, text, links } = await page.evaluate(lookAround).catch(() => ({ found: [], text: "", links: [] }));
    seen.oddities.push(...found.map((what) => `${at}: ${what}`));
    seen.text += text;
    seen.pages += 1;
    return links;
  };
  return { open, close: () => context.close() };
}

/**
 * Elements and attributes that no page of the service has, its text, and where it leads. Runs in the page, moves
 * over all, and waits a turn.
 */
async function lookAround() {
  const found = [];
  const kinds = "script, iframe, object, embed, img, video, audio, svg, math, base, input, textarea, template, meta[http-equiv=refresh]";
  // The picture of a code is the service's own, on the page of the same name.
  const isCode = ({ localName, src }) => localName === "img" && src.startsWith(`${location.origin}${location.pathname}/`);
  const foreign = [...document.body.querySelectorAll(kinds)]
    .filter((element) => element.localName !== "script" || element.src !== "")
    .filter((element) => !(location.pathname.endsWith("/hand") && isCode(element)));
  found.push(...foreign.map(({ localName }) => `<${localName}>`));
  for (const element of document.querySelectorAll("*")) {
    for (const { name, value } of element.attributes) {
      if (name.startsWith("on") || name === "srcdoc" || (name === "style" && /url|expression/i.test(value))) {
        found.push(`${element.localName} ${name}`);
      }
      if (["href", "src", "action", "formaction"].includes(name)) {
        const { protocol } = new URL(value, document.baseURI);
        ["http:", "https:", "mailto:"].includes(protocol) || found.push(`${name}=${value}`);
      }
    }
    element.dispatchEvent(new MouseEvent("mouseover", { bubbles: false }));
  }
  await new Promise((resolve) => setTimeout(resolve, 10));
  const links = [...document.links].map(({ href }) => href.split("#")[0]);
  return { found, text: `${document.title} ${document.body.textContent}`, links };
}
