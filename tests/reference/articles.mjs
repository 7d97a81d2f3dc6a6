// Reads web pages by @mozilla/readability on jsdom: a JSON array of {html, address} comes in, and an
// array of {title, byline, html, milliseconds} goes out in the same order; a page in which it finds no
// article, or on which it fails, gives an empty html.
import { Readability } from "@mozilla/readability";
import { JSDOM, VirtualConsole } from "jsdom";
import { readFileSync } from "node:fs";

// jsdom tells of each style sheet that it cannot read.
const virtualConsole = new VirtualConsole();

function article({ html, address }) {
  const start = performance.now();
  let found = null;
  try {
    const { window } = new JSDOM(html, { url: address, virtualConsole });
    found = new Readability(window.document).parse();
    window.close();
  } catch (fault) {
    console.error(`${address}: ${fault}`);
  }
  return {
    title: found?.title ?? "",
    byline: found?.byline ?? null,
    html: found?.content ?? "",
    milliseconds: performance.now() - start,
  };
}

const pages = JSON.parse(readFileSync(0, "utf8"));
process.stdout.write(JSON.stringify(pages.map(article)));
