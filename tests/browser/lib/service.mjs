// Starts the program under test as a person would, and ends it. It knows nothing of pages.

import { spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("../../../", import.meta.url));

/** How long the demo may take to pull its publications and print its address, in milliseconds. */
const START_MS = 60_000;

/**
 * Starts `tondo demo` on a free port of loopback and waits for the address that it prints.
 * The binary is $TONDO_BIN, or the release build of this checkout.
 * @returns {Promise<{address: string, stop: () => Promise<void>}>} `address` ends with a slash.
 */
export async function startService() {
  const binary = process.env.TONDO_BIN || `${root}target/release/tondo`;
  if (!existsSync(binary)) {
    throw new Error(`there is no program at ${binary}: build it, or name it in TONDO_BIN`);
  }
  const child = spawn(binary, ["demo", "--listen", "127.0.0.1:0"], {
    stdio: ["ignore", "pipe", "pipe"],
  });
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
