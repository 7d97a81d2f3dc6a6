// Markup that is meant to run or to load, served by a feed of the tests as content, title, link, author, page
// and caption, and opened with scripts on and the content policy taken off: nothing runs, and
// nothing is asked of anybody else. The same markup on a bare page does run and does load.

import assert from "node:assert/strict";
import { createServer } from "node:http";
import { after, before, test } from "node:test";
import { launch } from "./lib/browser.mjs";
import { EVASIONS, cleaningCases, parsingCases } from "./lib/evasions.mjs";
import { deal, publish } from "./lib/feeds.mjs";
import { listedNumbers } from "./lib/listed.mjs";
import { serveFeeds } from "./lib/service.mjs";

const SCREEN = "round-10";

/** How many tabs open pages at once. */
const TABS = 4;

/** How many evasions share a web page, and how many cases of the parser's tests an article. */
const EVASIONS_A_PAGE = 3;
const CASES_AN_ARTICLE = 16;

/** What ends what a case leaves open, so that the next one of its article is seen. */
const CLOSED = `--></script></style></title></textarea></xmp></noscript></select></template></svg></math>`;

/** The least evasions of the sheet, and of them that run or load on a bare page, for this to mean anything. */
const LEAST = { evasions: 150, cleaning: 20, parsing: 1_000, executions: 40, requests: 25 };

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
  const articles = cases.sheet.map((evasion, index) => ({
    title: `${index} ${evasion}`,
    language: "en",
    link: linkOf(evasion, index),
    author: evasion,
    html: "<p>A short notice.</p>",
  }));
  await judge("title, link and author", deal("title", articles), "never", articles.length);
});

test("as content and caption nothing runs and nothing loads", async () => {
  const told = (evasion) =>
    `<p>before</p>${evasion}${CLOSED}<figure><img alt="${quoted(evasion)}" src=x><figcaption>${evasion}${CLOSED}</figcaption></figure>`;
  const articles = shared(cases.sheet, EVASIONS_A_PAGE).map((evasions, index) => ({
    title: `content ${index}`,
    language: "en",
    html: evasions.map(told).join(""),
  }));
  await judge("content and caption", deal("content", articles), "never", articles.length);
});

test("as a web page nothing runs and nothing loads", async () => {
  const filler = "<p>The dredger came through the north gate on Monday, and by the evening the channel was deep enough.</p>";
  const article = (evasions, from) => {
    const [first] = evasions;
    return {
      title: `page ${from}`,
      language: "en",
      html:
        `<!DOCTYPE html><html><head><title>${first}</title><meta name="author" content="${quoted(first)}">` +
        `<meta property="og:title" content="${quoted(first)}"></head><body><article><h1>${first}</h1>${CLOSED}` +
        `${filler.repeat(6)}${evasions.join(CLOSED + filler)}${CLOSED}${filler.repeat(2)}</article></body></html>`,
    };
  };
  const articles = shared(cases.sheet, EVASIONS_A_PAGE).map((evasions, index) => article(evasions, index));
  const feeds = deal("page", articles).map((feed) => ({ ...feed, whole: false }));
  await judge("page", feeds, "always", articles.length);
});

test("of a parser's tests nothing runs and nothing loads", async () => {
  const articles = shared(cases.parsing, CASES_AN_ARTICLE).map((some, index) => ({
    title: `cases ${index}`,
    language: "en",
    html: some.map((html) => `<p>case</p>${html}${CLOSED}`).join(""),
  }));
  await judge("parser", deal("parser", articles), "never", articles.length);
});

/** The address within an evasion, or all of it. Two articles with one address would be one story. */
function linkOf(evasion, index) {
  const found = evasion.replace(/[\n\t]/g, "").match(/(?:javascript|data|vbscript):[^"'>]*|https?:[^"'>\s]*/i);
  const link = found?.[0] ?? evasion;
  return /^https?:/i.test(link) ? `${link}?${index}` : link;
}

/** A list in parts of so many. */
function shared(list, count) {
  const parts = [];
  for (let from = 0; from < list.length; from += count) {
    parts.push(list.slice(from, from + count));
  }
  return parts;
}

const quoted = (text) => text.replaceAll("&", "&amp;").replaceAll('"', "&quot;");

/** Has the service fetch feeds, opens its pages, and asserts that they stay quiet. */
async function judge(name, feeds, fullText, count) {
  const publisher = await publish(feeds);
  let service;
  try {
    service = await serveFeeds(publisher.urls.map((url) => ({ url, fullText })));
    const numbers = await listedNumbers(service.address);
    assert.equal(numbers.size, count, "articles on the index");
    const index = [`${service.address}${SCREEN}/`];
    const pages = [...numbers].map((number) => `${service.address}${SCREEN}/${number}`);
    const seen = await openAll(service.address, [...index, ...pages]);
    console.log(`${name}: ${seen.pages} pages, ${seen.executions.length} executions, ${seen.requests.length} outside requests`);
    assert.deepEqual(seen.executions, [], "what has run");
    assert.deepEqual(seen.requests, [], "what was asked of others");
    assert.deepEqual(seen.oddities, [], "what no page of the service holds");
    assert.equal(seen.pages, pages.length + 1);
  } finally {
    await service?.stop();
    publisher.close();
  }
}

/** Opens pages in several tabs, with scripts on and without their policy; what has run, and what was asked. */
async function openAll(home, addresses) {
  const seen = { pages: 0, executions: [], requests: [], oddities: [] };
  const waiting = [...addresses];
  const work = async () => {
    const tab = await openLoose(home, seen);
    for (let next = waiting.shift(); next !== undefined; next = waiting.shift()) {
      await tab.open(next);
    }
    await tab.close();
  };
  await Promise.all(Array.from({ length: TABS }, work));
  return seen;
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
    const odd = await page.evaluate(findOddities).catch(() => []);
    seen.oddities.push(...odd.map((what) => `${at}: ${what}`));
    seen.pages += 1;
  };
  return { open, close: () => context.close() };
}

/** Elements and attributes that no page of the service has. Runs in the page, moves over all, and waits a turn. */
async function findOddities() {
  const found = [];
  const kinds = "script, iframe, object, embed, img, video, audio, svg, math, base, input, textarea, template, meta[http-equiv=refresh]";
  const foreign = [...document.body.querySelectorAll(kinds)].filter((element) => element.localName !== "script" || element.src !== "");
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
  return found;
}
