// Articles made at random of every kind of block that an article can have, from a seed. It knows
// HTML, and nothing of discs.

import { Random } from "./random.mjs";
import { TONGUES, wordOf, wordsOf } from "./tongues.mjs";

/** How often each kind of block is drawn. */
const BLOCKS = {
  paragraph: 30,
  heading: 8,
  list: 9,
  quotation: 7,
  preformatted: 6,
  table: 8,
  verse: 5,
  picture: 6,
  rule: 4,
  definitions: 5,
  foreign: 8,
};

/** How often each language is an article's own; the others stand in some of its blocks. */
const OWN = { en: 8, de: 5, fr: 3, es: 3, fi: 2, pl: 2, el: 2, ru: 2, he: 1, ar: 1, zh: 1, ja: 1, th: 1, ko: 1 };

/** The fewest and the most words of an article. Scripts without spaces have fewer, longer ones. */
const LEAST_WORDS = 20;
const MOST_WORDS = 900;

/** The most characters of a column's head that the service tells whole. */
const MOST_HEAD = 60;

/** The deepest nesting of lists. */
const DEEPEST_LIST = 4;

/**
 * Makes articles.
 * @returns {{title: string, language: string, html: string}[]} Titles are all different.
 */
export function makeArticles(seed, count) {
  return Array.from({ length: count }, (_, index) => {
    // A generator an article: a change to one article's making leaves the others as they were.
    const random = new Random(seed + 7919 * index);
    const maker = new Maker(random);
    return { title: `Sample ${index + 1}`, ...maker.article() };
  });
}

class Maker {
  constructor(random) {
    this.random = random;
    this.tag = random.weighted(OWN);
    this.words = 0;
    this.depth = 0;
  }

  article() {
    const { random } = this;
    // The square of a share: most articles are short, some are long.
    const share = random.between(0, 1000) / 1000;
    const wanted = LEAST_WORDS + (MOST_WORDS - LEAST_WORDS) * share ** 2;
    let html = "";
    while (this.words < wanted) {
      html += `${this.block()}\n`;
    }
    return { language: this.tag, html: random.chance(0.3) ? html + this.notes() : html };
  }

  /** Two paragraphs with a note each, and the notes below them. */
  notes() {
    const referring = (number) =>
      `<p>${this.text(2, 20)}<a role="doc-noteref" href="#note-${number}"><sup>${number}</sup></a> ${this.text(1, 9)}</p>`;
    const note = (number) => `<li id="note-${number}">${this.line(2, 24)}</li>`;
    const [first, second] = [1, 2].map((number) => [referring(number), note(number)]);
    return `${first[0]}${second[0]}<section role="doc-endnotes"><ol>${first[1]}${second[1]}</ol></section>`;
  }

  block() {
    return this[this.random.weighted(BLOCKS)]();
  }

  /** Plain words as HTML text. */
  text(least, most) {
    const count = this.random.between(least, most);
    this.words += count;
    return escape(wordsOf(this.tag, this.random, count).join(" "));
  }

  /** Words in several looks, some of them in one another. */
  line(least, most, depth = 0) {
    const { random } = this;
    let left = random.between(least, most);
    let html = "";
    while (left > 0) {
      const count = Math.min(left, random.between(1, 12));
      left -= count;
      const styled = depth < 3 && random.chance(0.35);
      html += (html === "" ? "" : " ") + (styled ? this.look(count, depth) : this.text(count, count));
    }
    return html;
  }

  look(count, depth) {
    const { random } = this;
    const tag = random.pick(["em", "strong", "code", "a", "i", "b", "cite", "span", "sup", "sub", "mark"]);
    if (tag === "sup" || tag === "sub") {
      // Within a word, as a note's number or an index stands.
      return `${this.text(1, 1)}<${tag}>${random.pick(["2", "n", "12", "[3]"])}</${tag}>`;
    }
    const inside = this.line(1, count, depth + 1);
    const link = tag === "a" ? ` href="https://quay.example.org/${random.between(1, 60)}"` : "";
    return `<${tag}${link}>${inside}</${tag}>${random.pick(["", "", ",", ")"])}`;
  }

  paragraph() {
    return `<p>${this.line(3, this.random.pick([12, 40, 120]))}</p>`;
  }

  heading() {
    const level = this.random.between(1, 6);
    return `<h${level}>${this.line(1, 9)}</h${level}>${this.random.chance(0.9) ? this.paragraph() : ""}`;
  }

  list() {
    const { random } = this;
    this.depth += 1;
    const numbered = random.chance(0.45);
    const start = numbered && random.chance(0.3) ? ` start="${random.pick([0, 9, 98, 1989])}"` : "";
    const items = random.several(1, 5, () => {
      const deeper = this.depth < DEEPEST_LIST && random.chance(0.4) ? this.list() : "";
      const text = random.chance(0.2) ? `${this.paragraph()}${this.paragraph()}` : this.line(1, 14);
      return `<li>${text}${deeper}</li>`;
    });
    this.depth -= 1;
    const tag = numbered ? "ol" : "ul";
    return `<${tag}${start}>${items.join("\n")}</${tag}>`;
  }

  quotation() {
    const paragraphs = this.random.several(1, 3, () => this.paragraph());
    const inner = this.random.chance(0.15) ? `<blockquote>${this.paragraph()}</blockquote>` : "";
    const list = this.random.chance(0.15) ? this.list() : "";
    return `<blockquote>${paragraphs.join("")}${inner}${list}</blockquote>`;
  }

  preformatted() {
    const { random } = this;
    const lines = random.several(1, 9, () => {
      const indent = random.pick(["", "", "  ", "    ", "\t", " ".repeat(24)]);
      const text = this.text(0, random.pick([3, 6, 18]));
      return indent + text.replaceAll(" ", random.pick([" ", " ", "   "]));
    });
    const code = lines.join("\n");
    return random.chance(0.5) ? `<pre><code>${code}</code></pre>` : `<pre>${code}</pre>`;
  }

  table() {
    const { random } = this;
    if (random.chance(0.5)) {
      return this.grid();
    }
    const small = random.chance(0.5);
    const [rows, columns] = [random.between(2, small ? 4 : 7), random.between(2, 6)];
    const cell = () => (small ? this.text(1, 1) : this.line(1, random.pick([2, 5, 14])));
    const head = random.chance(0.6) ? `<tr>${this.heads(columns)}</tr>` : "";
    const caption = random.chance(0.2) ? `<caption>${this.text(1, 6)}</caption>` : "";
    const body = Array.from({ length: rows }, () => this.row(columns, cell, small));
    const split = random.chance(0.5) && head !== "";
    return split
      ? `<table>${caption}<thead>${head}</thead><tbody>${body.join("")}</tbody></table>`
      : `<table>${caption}${head}${body.join("")}</table>`;
  }

  /** A table so small that some discs have room for it as it is: names and figures. */
  grid() {
    const { random } = this;
    const [rows, columns] = [random.between(2, 5), random.between(2, 3)];
    const short = () => escape([...wordOf(this.tag, random)].slice(0, 6).join(""));
    const figure = () => random.pick(["7", "43", "−12", "1,204", "0.5", "02:31", "–", "3 m", "6<sup>2</sup>"]);
    const shortHeads = () => Array.from({ length: columns }, () => `<th>${short()}</th>`).join("");
    const heads = random.chance(0.3) ? this.heads(columns) : shortHeads();
    const head = random.chance(0.7) ? `<tr>${heads}</tr>` : "";
    const named = random.chance(0.4) ? "th" : "td";
    const body = Array.from({ length: rows }, () => {
      const values = Array.from({ length: columns - 1 }, () => {
        const value = random.chance(0.1) ? "" : random.chance(0.7) ? figure() : short();
        return `<td>${value}</td>`;
      });
      this.words += columns;
      return `<tr><${named}>${short()}</${named}>${values.join("")}</tr>`;
    });
    const direction = ["he", "ar"].includes(this.tag) ? ' dir="rtl"' : "";
    return `<table${direction}>${head}${body.join("")}</table>`;
  }

  /** The heads of columns. They are told before each value, so the service shortens long ones. */
  heads(columns) {
    const heads = Array.from({ length: columns }, () => {
      const words = this.random.several(1, 2, () => wordOf(this.tag, this.random));
      return `<th>${words.join(" ").slice(0, MOST_HEAD).trim()}</th>`;
    });
    this.words += columns;
    return heads.join("");
  }

  /** A row, now and then with a cell of its own name, an empty one, or one over two columns or rows. */
  row(columns, cell, small) {
    const { random } = this;
    let html = "";
    for (let at = 0; at < columns; at += 1) {
      if (!small && at + 1 < columns && random.chance(0.08)) {
        html += `<td colspan="2">${cell()}</td>`;
        at += 1;
      } else if (!small && random.chance(0.05)) {
        html += `<td rowspan="2">${this.text(1, 3)}</td>`;
      } else if (random.chance(0.06)) {
        html += "<td></td>";
      } else if (at === 0 && random.chance(0.3)) {
        html += `<th>${this.text(1, 2)}</th>`;
      } else {
        html += `<td>${cell()}</td>`;
      }
    }
    return `<tr>${html}</tr>`;
  }

  verse() {
    const lines = this.random.several(2, 8, () => this.line(1, 11));
    return `<p>${lines.join("<br>\n")}</p>`;
  }

  picture() {
    const { random } = this;
    const image = () => `<img src="https://quay.example.org/p.png" alt="${this.text(2, 14).replaceAll('"', "")}">`;
    return random.chance(0.45)
      ? `<figure>${image()}<figcaption>${this.line(1, 16)}</figcaption></figure>`
      : random.pick([
          () => `<figure>${image()}${image()}</figure>`,
          () => `<p>${this.line(2, 9)} ${image()} ${this.line(2, 9)}</p>`,
          () => `<p>${image()}</p>`,
          () => `<figure><img src="https://quay.example.org/p.png" alt=""><figcaption>${this.line(1, 9)}</figcaption></figure>`,
        ])();
  }

  rule() {
    return "<hr>";
  }

  definitions() {
    const pairs = this.random.several(1, 4, () => `<dt>${this.text(1, 4)}</dt><dd>${this.line(2, 20)}</dd>`);
    return `<dl>${pairs.join("")}</dl>`;
  }

  /** A paragraph of another language, or a few of its words within one of the article's own. */
  foreign() {
    const { random } = this;
    const own = this.tag;
    this.tag = random.pick(Object.keys(TONGUES));
    const direction = ["he", "ar"].includes(this.tag) ? ' dir="rtl"' : "";
    const attributes = `lang="${this.tag}"${direction}`;
    if (random.chance(0.5)) {
      const html = `<p ${attributes}>${this.line(3, 30)}</p>`;
      this.tag = own;
      return html;
    }
    const foreign = escape(random.several(1, 5, () => wordOf(this.tag, random)).join(" "));
    this.tag = own;
    return `<p>${this.line(2, 10)} <span ${attributes}>${foreign}</span> ${this.line(2, 10)}</p>`;
  }
}

function escape(text) {
  return text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;");
}
