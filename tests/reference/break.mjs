// Breaks paragraphs by the npm package `tex-linebreak`. Standard input is JSON: the threshold, and for
// each paragraph its items and the length of each line. Standard output is JSON: for each paragraph
// the items at which its lines end, or null where no breaks keep within the threshold.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";

const require = createRequire(import.meta.url);
const { adjustmentRatios, breakLines, MaxAdjustmentExceededError } = require("tex-linebreak");

const { threshold, paragraphs } = JSON.parse(readFileSync(0, "utf8"));

// The package's demerits are the paper's; of their terms only those that look at two lines can be
// chosen, and are left out.
const options = {
  maxAdjustmentRatio: threshold,
  initialMaxAdjustmentRatio: threshold,
  doubleHyphenPenalty: 0,
  adjacentLooseTightPenalty: 0,
};

const breaks = paragraphs.map(({ items, lengths }) => {
  try {
    const found = breakLines(items, lengths, options);
    // Where every way has a line that is too wide, the package gives one all the same.
    const overfull = adjustmentRatios(items, lengths, found).some((ratio) => ratio < -1);
    return overfull ? null : found.slice(1);
  } catch (error) {
    if (error instanceof MaxAdjustmentExceededError) {
      return null;
    }
    throw error;
  }
});
process.stdout.write(JSON.stringify(breaks));
