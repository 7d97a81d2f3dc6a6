// Owns the browser: how it is started, and what a tab notes of requests, console and policy.
// It knows nothing of discs.

import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import puppeteer from "puppeteer-core";

/** Everything here keeps the browser quiet: what is left to see is what the pages do. */
const FLAGS = [
  "--headless=new",
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
  "--hide-scrollbars",
];

/**
 * Starts Debian's Chromium ($CHROMIUM names another) with a profile of its own.
 * @returns {Promise<{browser: import("puppeteer-core").Browser, close: () => Promise<void>}>}
 */
export async function launch() {
  const profile = await mkdtemp(join(tmpdir(), "tondo-browser-"));
  const browser = await puppeteer.launch({
    executablePath: process.env.CHROMIUM || "/usr/bin/chromium",
    userDataDir: profile,
    args: FLAGS,
    defaultViewport: null,
  });
  const close = async () => {
    await browser.close();
    await rm(profile, { recursive: true, force: true, maxRetries: 5 });
  };
  return { browser, close };
}

/**
 * Opens a tab in a context of its own, so that nothing is cached from another tab.
 * @param {object} options
 * @param {string} options.home The only origin that pages may ask, with a slash at its end.
 * @param {boolean} [options.scripts] False disables scripts in pages.
 * @param {boolean} [options.font] False refuses every request for a font.
 * @returns {Promise<Tab>}
 */
export async function openTab(browser, { home, scripts = true, font = true }) {
  const context = await browser.createBrowserContext();
  const page = await context.newPage();
  const cdp = await page.createCDPSession();
  const tab = new Tab(context, page, cdp);
  await tab.watch(home, font);
  await page.setJavaScriptEnabled(scripts);
  return tab;
}

/** How long a picture may take before a test gives up, in milliseconds. */
const PATIENCE_MS = 10_000;

/** Whether each picture is there in the size that is for the screen as it is. Runs in the page. */
function hasItsPictures() {
  return [...document.images].every((image) => {
    const sources = [...(image.parentElement?.querySelectorAll("source") ?? [])];
    const source = sources.find(({ media }) => matchMedia(media).matches);
    const wanted = source?.srcset.split(" ")[0] ?? image.src;
    return image.complete && image.currentSrc === new URL(wanted, document.baseURI).href;
  });
}

/** One tab, and the list of what went wrong in it. */
class Tab {
  constructor(context, page, cdp) {
    this.context = context;
    this.page = page;
    this.cdp = cdp;
    /** @type {{check: string, detail: string}[]} */
    this.troubles = [];
  }

  /** Starts to note requests that leave `home`, console errors and violations of the policy. */
  async watch(home, font) {
    const { cdp } = this;
    const note = (check, detail) => this.troubles.push({ check, detail });
    cdp.on("Network.requestWillBeSent", ({ request }) => {
      if (!request.url.startsWith(home) && !request.url.startsWith("data:")) {
        note("requests", `left the server: ${request.url}`);
      }
    });
    cdp.on("Log.entryAdded", ({ entry }) => {
      const refusedOnPurpose = !font && (entry.url ?? "").startsWith(`${home}font/`);
      if (entry.level === "error" && !refusedOnPurpose) {
        note("console", `${entry.source}: ${entry.text} ${entry.url ?? ""}`);
      }
    });
    cdp.on("Runtime.consoleAPICalled", ({ type, args }) => {
      if (type === "error" || type === "assert") {
        note("console", args.map((value) => value.value ?? value.description).join(" "));
      }
    });
    cdp.on("Runtime.exceptionThrown", ({ exceptionDetails }) => {
      note("console", exceptionDetails.text);
    });
    cdp.on("Audits.issueAdded", ({ issue }) => {
      if (issue.code === "ContentSecurityPolicyIssue") {
        const details = issue.details.contentSecurityPolicyIssueDetails;
        note("policy", `${details.violatedDirective} refused ${details.blockedURL ?? "inline"}`);
      }
    });
    for (const domain of ["Network", "Log", "Runtime", "Audits"]) {
      await cdp.send(`${domain}.enable`);
    }
    if (!font) {
      await cdp.send("Network.setBlockedURLs", { urls: [`${home}font/*`] });
    }
  }

  /**
   * Sets the viewport in CSS pixels of `scale` device pixels, without loading the page again.
   * The session that captures must be the one that sets it, or the capture ignores the scale.
   */
  async resize({ width, height }, scale = 1) {
    await this.cdp.send("Emulation.setDeviceMetricsOverride", {
      width,
      height,
      deviceScaleFactor: scale,
      mobile: false,
    });
    await this.settlePictures();
  }

  /** Waits for the pictures that are for the present size, which a browser asks for when the size changes. */
  async settlePictures() {
    const started = performance.now();
    while (!(await this.page.evaluate(hasItsPictures))) {
      if (performance.now() - started > PATIENCE_MS) {
        throw new Error("a picture for the present size has not come");
      }
    }
  }

  /** Takes the troubles noted since the last call. */
  takeTroubles() {
    return this.troubles.splice(0);
  }

  async close() {
    await this.context.close();
  }
}
