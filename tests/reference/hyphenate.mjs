// Divides words by the npm package `hyphen`: one word a line on standard input, the same word with
// its points marked by hyphens on standard output. The argument names the patterns, as `en-us`.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";

const require = createRequire(import.meta.url);
const { hyphenateSync } = require(`hyphen/${process.argv[2]}`);
const words = readFileSync(0, "utf8").split("\n").filter(Boolean);
const divided = words.map((word) => hyphenateSync(word, { hyphenChar: "-" }));
process.stdout.write(`${divided.join("\n")}\n`);
