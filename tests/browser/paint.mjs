// Times first paints beside those of a blank page, on a processor that is slowed down:
//
//     TONDO_BIN=… node paint.mjs [ROUNDS] [SLOWNESS]
//
// Each of the ROUNDS (9 where left out) opens the blank page, the index, a list and an article of about 800 words of
// the demo in turn, once with nothing kept and once more with what the browser kept, so that whatever else the machine
// does falls on all of them alike. The processor is SLOWNESS times slower (20 where left out). It prints the medians in
// milliseconds and their ratios to the blank page's, and asserts nothing: machines are noisy.

import { createServer } from "node:http";
import { launch } from "./lib/browser.mjs";
import { startService } from "./lib/service.mjs";

const VIEW = { width: 225, height: 225 };

/** How many words the article is to have. */
const WORDS = 800;

/** What a page costs at the least: a document with a ground of its own, which counts as painted. */
const BLANK =
  '<!doctype html><html lang="en"><meta charset="utf-8"><title>Blank</title><style>body{background:#000}</style><body></body></html>';

const [rounds = "9", slowness = "20"] = process.argv.slice(2);
if (!(Number(rounds) >= 1) || !(Number(slowness) >= 1)) {
  console.error("usage: node paint.mjs [ROUNDS] [SLOWNESS]");
  process.exit(2);
}
await timePaints(Number(rounds), Number(slowness));

async function timePaints(rounds, slowness) {
  const blank = await serveBlank();
  const service = await startService();
  const { browser, close } = await launch();
  try {
    const { path, words } = await articleOf(browser, service.address);
    const pages = new Map([
      ["blank page", blank.address],
      ["choice of groups", new URL("/round-10/", service.address).href],
      ["index", new URL("/round-10/page/0", service.address).href],
      [`article of ${words} words`, new URL(path, service.address).href],
    ]);
    const names = [...pages.keys()];
    const times = new Map(names.map((name) => [name, { first: [], again: [] }]));
    for (let round = 0; round < rounds; round += 1) {
      for (const name of names) {
        const { first, again } = await paintsOf(browser, pages.get(name), slowness);
        times.get(name).first.push(first);
        times.get(name).again.push(again);
      }
    }
    print(times, names, rounds, slowness);
  } finally {
    await close();
    await service.stop();
    await blank.stop();
  }
}

/** Serves the blank page on a free port of loopback. */
async function serveBlank() {
  const server = createServer((_, response) => {
    response.writeHead(200, { "content-type": "text/html; charset=utf-8", "cache-control": "no-store" });
    response.end(BLANK);
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  const stop = () => new Promise((resolve) => server.close(resolve));
  return { address: `http://127.0.0.1:${server.address().port}/`, stop };
}

/** The path and the length of the demo's article whose number of words is next to `WORDS`. */
async function articleOf(browser, address) {
  const page = await browser.newPage();
  const lengths = [];
  for (let list = "/round-10/page/0", seen = new Set(); list && !seen.has(list); ) {
    seen.add(list);
    await page.goto(new URL(list, address).href);
    const paths = await page.$$eval("a.r", (rows) => rows.map((row) => new URL(row.href).pathname));
    for (const path of paths.filter((path) => /^\/round-10\/[^/]+$/u.test(path))) {
      const text = await fetch(new URL(path, address)).then((answer) => answer.text());
      const sections = text.replace(/<(style|title|nav)[\s\S]*?<\/\1>/gu, " ").replace(/<[^>]*>/gu, " ");
      lengths.push({ path, words: sections.split(/\s+/u).filter((word) => word !== "").length });
    }
    list = paths.find((path) => /\/page\/[1-9]\d*$/u.test(path));
  }
  await page.close();
  const off = ({ words }) => Math.abs(words - WORDS);
  return lengths.sort((one, other) => off(one) - off(other))[0];
}

/** The first paints of a page in a context of its own: with nothing kept, and opened once more. In milliseconds. */
async function paintsOf(browser, address, slowness) {
  const context = await browser.createBrowserContext();
  const page = await context.newPage();
  await page.setViewport({ ...VIEW, deviceScaleFactor: 1 });
  const cdp = await page.createCDPSession();
  await cdp.send("Emulation.setCPUThrottlingRate", { rate: slowness });
  const first = await paintOf(page, address);
  // Another document lies between, so that the second opening is a whole one.
  await page.goto("about:blank");
  const again = await paintOf(page, address);
  await context.close();
  return { first, again };
}

async function paintOf(page, address) {
  await page.goto(address, { waitUntil: "load" });
  const entry = await page.waitForFunction(() => performance.getEntriesByName("first-paint")[0]?.startTime);
  return entry.jsonValue();
}

function print(times, names, rounds, slowness) {
  const median = (values) => [...values].sort((one, other) => one - other)[values.length >> 1];
  const blank = times.get(names[0]);
  console.log(`medians of ${rounds} first paints at ${slowness} times the processor's time, ms (ratio to the blank page's)`);
  for (const name of names) {
    const cell = (kind) => {
      const time = median(times.get(name)[kind]);
      return `${time.toFixed(0).padStart(6)} (${(time / median(blank[kind])).toFixed(2)})`;
    };
    console.log(`${name.padEnd(26)} nothing kept ${cell("first")}   opened again ${cell("again")}`);
  }
}
