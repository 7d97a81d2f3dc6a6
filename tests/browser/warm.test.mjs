// What a page asks its watch's radio for: everything that it needs the first time, and once it was there, itself and its
// picture alone. Counted where requests pass by, not where the browser says that it sent some.

import assert from "node:assert/strict";
import { createServer, request } from "node:http";
import { after, before, test } from "node:test";
import { launch, openTab } from "./lib/browser.mjs";
import { kindOf, pagesOf } from "./lib/kinds.mjs";
import { startService } from "./lib/service.mjs";

const VIEW = { width: 225, height: 225 };

/** The kinds of pages that have a picture, which is asked for by its page's own address. */
const PICTURED = ["hand"];

let service;
let chromium;
let passage;

before(async () => {
  service = await startService();
  chromium = await launch();
  passage = await countRequests(service.address);
});

after(async () => {
  await chromium?.close();
  passage?.close();
  await service?.stop();
});

test("a page that comes to a warm browser is one request, and one more for its picture", async () => {
  const paths = await pagesOf(chromium.browser, service.address, "round-10");
  const tab = await openTab(chromium.browser, { home: passage.address });
  await tab.resize(VIEW);
  const open = async (path, waitUntil = "networkidle0") => {
    passage.taken();
    await tab.page.goto(new URL(path, passage.address).href, { waitUntil });
    return passage.taken();
  };
  const article = paths.find((path) => kindOf(path) === "article");
  const cold = await open(article);
  assert.ok(cold.some((path) => path.startsWith("/font/")), `${cold}`);
  assert.ok(cold.some((path) => path.startsWith("/script/")), `${cold}`);
  // The face of what is written in a fixed width is asked for by the first page that has some.
  for (const path of paths) {
    await open(path, "load");
  }
  const told = [];
  for (const path of paths) {
    const pictures = PICTURED.includes(kindOf(path)) ? 1 : 0;
    const asked = await open(path);
    const [own, ...others] = asked;
    if (own !== path || others.length > pictures || !others.every((other) => other.startsWith(`${path}/`))) {
      told.push(asked);
    }
  }
  assert.deepEqual(told, []);
  await tab.close();
});

/** Hands requests on to a service, and says which have passed since it was asked last. */
async function countRequests(address) {
  let passed = [];
  const server = createServer((asked, response) => {
    passed.push(asked.url);
    const { method, url } = asked;
    const headers = { ...asked.headers, host: new URL(address).host };
    const onward = request(new URL(url, address), { method, headers }, (answer) => {
      response.writeHead(answer.statusCode, answer.rawHeaders);
      answer.pipe(response);
    });
    onward.on("error", () => response.destroy());
    asked.pipe(onward);
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  return {
    address: `http://127.0.0.1:${server.address().port}/`,
    taken: () => passed.splice(0),
    close: () => server.close(),
  };
}
