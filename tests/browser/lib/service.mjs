// Starts the program under test as a person would, and ends it. It knows nothing of pages.

import { execFile, spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";

const root = fileURLToPath(new URL("../../../", import.meta.url));

/**
 * How long the program may take to print its address; the demo pulls its publications first. In
 * milliseconds.
 */
const START_MS = 60_000;

/** The binary: $TONDO_BIN, or the release build of this checkout. */
export function program() {
  const binary = process.env.TONDO_BIN || `${root}target/release/tondo`;
  if (!existsSync(binary)) {
    throw new Error(`there is no program at ${binary}: build it, or name it in TONDO_BIN`);
  }
  return binary;
}

/**
 * Starts `tondo demo` on a free port of loopback and waits for the address that it prints.
 * @returns {Promise<{address: string, stop: () => Promise<void>}>} `address` ends with a slash.
 */
export function startService() {
  return start(["demo", "--listen", "127.0.0.1:0"]);
}

/**
 * Starts `tondo serve` with a config of these feeds and an empty database, once all of them have
 * been fetched.
 * @param {{url: string, fullText: "auto" | "always" | "never"}[]} feeds All on loopback.
 * @returns {Promise<{address: string, stop: () => Promise<void>}>} `address` ends with a slash.
 */
export async function serveFeeds(feeds) {
  const folder = await mkdtemp(join(tmpdir(), "tondo-serve-"));
  const config = join(folder, "tondo.toml");
  const tables = feeds.map(
    ({ url, fullText }) => `[[feed]]\nurl = "${url}"\nfull_text = "${fullText}"\n`,
  );
  await writeFile(
    config,
    `listen = "127.0.0.1:0"\ndata = "data"\n[gather]\nallow_private = ["127.0.0.1"]\n${tables.join("")}`,
  );
  const remove = () => rm(folder, { recursive: true, force: true, maxRetries: 5 });
  try {
    await run(program(), ["refresh", "--config", config]);
    const service = await start(["serve", "--config", config]);
    const stop = () => service.stop().then(remove);
    return { address: service.address, stop };
  } catch (error) {
    await remove();
    throw error;
  }
}

const run = promisify(execFile);

/** Starts the program and waits for the address that it prints. */
async function start(words) {
  const child = spawn(program(), words, { stdio: ["ignore", "pipe", "pipe"] });
  const ended = new Promise((resolve) => child.once("exit", resolve));
  const stop = async () => {
    if (child.exitCode === null && child.signalCode === null) {
      child.kill("SIGTERM");
      const killer = setTimeout(() => child.kill("SIGKILL"), 5_000);
      await ended;
      clearTimeout(killer);
    }
  };
  try {
    return { address: await printedAddress(child), stop };
  } catch (error) {
    await stop();
    throw error;
  }
}

/** Reads the child's output up to a line with an address of loopback. */
function printedAddress(child) {
  return new Promise((resolve, reject) => {
    let printed = "";
    let complaints = "";
    const timer = setTimeout(
      () => reject(new Error(`no address after ${START_MS} ms; printed: ${printed}${complaints}`)),
      START_MS,
    );
    child.stdout.on("data", (chunk) => {
      printed += chunk;
      const found = printed.match(/http:\/\/127\.0\.0\.1:[1-9]\d*\/(?=\s)/);
      if (found) {
        clearTimeout(timer);
        resolve(found[0]);
      }
    });
    // The pipe is drained to the end, so that the log never blocks the service.
    child.stderr.on("data", (chunk) => {
      complaints = (complaints + chunk).slice(-4_000);
    });
    child.once("error", (error) => {
      clearTimeout(timer);
      reject(error);
    });
    child.once("exit", (code) => {
      clearTimeout(timer);
      reject(new Error(`ended with status ${code} before it printed its address: ${complaints}`));
    });
  });
}
