// The words of an article's HTML as a browser reads it, block by block: what a page of it must show.
// It knows nothing of the pages.

/**
 * Reads HTML into its blocks' words, in reading order. Runs in a page, so it stands on nothing
 * outside itself.
 *
 * What is not text in HTML and yet is told on a watch: a picture's description, before its caption
 * or after the paragraph that it stands in, and within the line where it has three characters at
 * most; the marks of `q`; the brackets of `rt`. A note follows the paragraph that refers to it, after what
 * refers to it. The rows of a table may be read out in more ways than
 * one, their labels more than once, so a table's words are a bag without an order.
 * @returns {{bag: boolean, words: string[]}[]}
 */
export function readSource(html) {
  const INLINE = new Set(
    ("a abbr acronym b bdi bdo big cite code data del dfn em font i img ins kbd label mark nobr " +
      "output q rp rt ruby s samp small span strike strong sub sup time tt u var wbr").split(" "),
  );
  const LAYOUT = "table, ul, ol, dl, h1, h2, h3, h4, h5, h6, blockquote, pre, figure, hr, img, article";
  // By their role (DPUB-ARIA 1.1), or as docutils 0.19 writes them.
  const REFERENCES = "a[role=doc-noteref], a.footnote-reference";
  const blocks = [];
  let text = "";
  let waiting = [];
  const notes = new Map();
  const taken = new Set();
  // A soft hyphen is no character of a word: it says where the word may be divided.
  const wordsOf = (string) => string.replaceAll("\u00ad", "").split(/\s+/u).filter((word) => word !== "");
  const push = (bag, string) => {
    const words = wordsOf(string);
    if (words.length > 0) {
      blocks.push({ bag, words });
    }
  };
  const flush = () => {
    push(false, text);
    text = "";
    waiting.splice(0).forEach((description) => push(false, description));
  };
  const describe = (image) => {
    const description = wordsOf(image.alt).join(" ");
    if (image.closest("figure") !== null || description === "") {
      return;
    }
    if ([...description].length <= 3) {
      text += description;
      return;
    }
    waiting.push(image.alt);
    if (wordsOf(text).length === 0) {
      flush();
    }
  };
  const tellPictures = (figure) => {
    const caption = wordsOf(figure.querySelector("figcaption")?.textContent ?? "").join(" ");
    const told = new Set([...figure.querySelectorAll("img")].map(({ alt }) => wordsOf(alt).join(" ")));
    told.delete(caption);
    told.forEach((description) => push(false, description));
  };
  const isData = (table) =>
    table.querySelector(LAYOUT) === null && [...table.rows].some(({ cells }) => cells.length > 1);
  const tellTable = (table) => {
    push(false, table.caption?.textContent ?? "");
    const cells = [...table.rows].flatMap((row) => [...row.cells]);
    push(true, cells.map((cell) => cell.textContent).join(" "));
  };
  const enter = (element) => {
    const name = element.localName;
    if (name === "br") {
      text += " ";
    } else if (name === "img") {
      describe(element);
    } else if (name === "table" && isData(element)) {
      flush();
      tellTable(element);
    } else if (name !== "rp" && !taken.has(element)) {
      element.matches(REFERENCES) && refer(element);
      const block = !INLINE.has(name);
      block && flush();
      name === "figure" && tellPictures(element);
      text += { q: "“", rt: "(" }[name] ?? "";
      walk(element);
      text += { q: "”", rt: ")" }[name] ?? "";
      block && flush();
    }
  };
  const refer = (link) => {
    const note = notes.get(link);
    if (note !== undefined) {
      waiting.push(`${link.textContent} ${spaced(note)}`);
    }
  };
  const spaced = (element) => {
    const parts = [...element.childNodes].map((node) => (node.nodeType === Node.ELEMENT_NODE ? spaced(node) : node.data));
    return INLINE.has(element.localName) ? parts.join("") : ` ${parts.join("")} `;
  };
  const walk = (parent) => {
    for (const node of parent.childNodes) {
      if (node.nodeType === Node.TEXT_NODE) {
        text += node.data;
      } else if (node.nodeType === Node.ELEMENT_NODE) {
        enter(node);
      }
    }
  };
  const { body } = new DOMParser().parseFromString(html, "text/html");
  for (const link of body.querySelectorAll(REFERENCES)) {
    const place = body.querySelector(link.hash);
    // A note with a term of its own is told in the place of it.
    const note = place?.localName === "dt" ? place.nextElementSibling : place;
    if (note !== null && !taken.has(note)) {
      taken.add(place).add(note);
      notes.set(link, note);
    }
  }
  walk(body);
  flush();
  return blocks;
}

/**
 * Where the words of a page part from those of its source, as a sentence; null where every word of
 * the source stands on the page, in order, once, and no other word does.
 * @param {{bag: boolean, words: string[]}[]} blocks What `readSource` returned.
 * @param {string[]} words The page's words.
 */
export function firstLoss(blocks, words) {
  let at = 0;
  for (const [index, block] of blocks.entries()) {
    const end = block.bag
      ? endOfBag(block.words, words, at, blocks[index + 1])
      : endOfWords(block.words, words, at);
    if (typeof end === "string") {
      return `block ${index + 1} of ${blocks.length}: ${end}`;
    }
    at = end;
  }
  return at === words.length ? null : `after the last block: "${words.slice(at, at + 6).join(" ")}"`;
}

function endOfWords(expected, words, from) {
  const odd = expected.findIndex((word, index) => word !== words[from + index]);
  if (odd === -1) {
    return from + expected.length;
  }
  const near = (list, at) => list.slice(Math.max(0, at - 3), at + 3).join(" ");
  return `word ${odd + 1} of ${expected.length}: "${near(expected, odd)}" or "${near(words, from + odd)}"`;
}

/** How many words of the next block tell where a table ends. */
const TELLING = 6;

/** A table's words end where each has come as often as in the source, and the next block begins. */
function endOfBag(expected, words, from, next) {
  const wanted = new Map();
  expected.forEach((word) => wanted.set(word, (wanted.get(word) ?? 0) + 1));
  const known = new Set(wanted.keys());
  let missing = expected.length;
  for (let at = from; ; at += 1) {
    if (missing === 0 && begins(next, words, at)) {
      return at;
    }
    const lost = [...wanted].filter(([, count]) => count > 0).map(([word]) => word);
    if (at === words.length) {
      return `of a table: the page ends, and neither "${lost.join(" ")}" nor the next block has come`;
    }
    const word = known.has(words[at]) ? words[at] : words[at].replace(/:$/u, "");
    if (!known.has(word)) {
      return lost.length > 0
        ? `of a table: "${lost.join(" ")}" came too rarely before "${words[at]}"`
        : `of a table: "${words[at]}" is not in it`;
    }
    const left = wanted.get(word);
    if (left > 0) {
      wanted.set(word, left - 1);
      missing -= 1;
    }
  }
}

/** Whether a block begins at a place of the page: the first of its words stand there. */
function begins(block, words, at) {
  if (block === undefined) {
    return at === words.length;
  }
  // A second table in a row has no order to begin with.
  return block.bag
    ? block.words.includes(words[at]?.replace(/:$/u, "")) || block.words.includes(words[at])
    : block.words.slice(0, TELLING).every((word, index) => word === words[at + index]);
}
