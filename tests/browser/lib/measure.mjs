// What the checks need to know of a page, read inside the page. It judges nothing.

/**
 * Reads the page's boxes, texts and colours. Runs in the page, so it stands on nothing outside
 * itself. Lengths are CSS pixels; boxes are of the document, not of the viewport.
 */
export function measurePage() {
  const view = { width: innerWidth, height: innerHeight };
  const scroller = document.scrollingElement;
  const box = (rect) => ({
    left: rect.left + scrollX,
    right: rect.right + scrollX,
    top: rect.top + scrollY,
    bottom: rect.bottom + scrollY,
  });
  const opacityOf = (element) => {
    let opacity = 1;
    for (let at = element; at; at = at.parentElement) {
      opacity *= Number(getComputedStyle(at).opacity);
    }
    return opacity;
  };
  const groundsOf = (element) => {
    const grounds = [];
    for (let at = element; at; at = at.parentElement) {
      grounds.push(getComputedStyle(at).backgroundColor);
    }
    return grounds.filter((colour) => colour !== "rgba(0, 0, 0, 0)");
  };
  const textNodes = (element) => {
    const walker = document.createTreeWalker(element, NodeFilter.SHOW_TEXT);
    const found = [];
    while (walker.nextNode()) {
      if (walker.currentNode.data.trim() && walker.currentNode.parentElement.checkVisibility()) {
        found.push(walker.currentNode);
      }
    }
    return found;
  };
  const spacingOf = (element) => parseFloat(getComputedStyle(element).letterSpacing) || 0;
  const isPre = (element) => getComputedStyle(element).whiteSpace === "pre";

  const colours = new Map();
  /** The text of an element; where its word goes on on the next disc, with a word joiner. */
  const textOf = (inner) => {
    const goesOn = inner.lastChild?.localName === "b" || inner.lastChild?.localName === "i";
    return inner.innerText.trimEnd() + (goesOn ? "\u2060" : "");
  };
  const wordsOf = (cell) => cell.textContent.trim().replace(/\s+/gu, " ");
  /** What a grid says, as it is read out where it does not fit: with its heads before each value. */
  const readOut = (table) => {
    const rows = [...table.rows].map(({ cells }) => [...cells]);
    const headed = rows[0].some(({ scope }) => scope === "col");
    const heads = headed ? rows.shift().map(wordsOf) : [];
    const isValue = (cell) => cell.scope === "" && wordsOf(cell) !== "";
    const untold = heads.filter((_, column) => !rows.some((cells) => isValue(cells[column])));
    const told = rows.map((cells) => {
      const label = (cell, column) => (isValue(cell) && heads[column] ? `${heads[column]}: ` : "");
      const texts = cells.map((cell, column) => ({ cell, text: label(cell, column) + wordsOf(cell) }));
      const said = texts.filter(({ text }) => text !== "");
      const colon = ({ scope }, place) => (scope === "row" && !headed && place + 1 < said.length ? ":" : "");
      return said.map(({ cell, text }, place) => text + colon(cell, place)).join(" ");
    });
    return [...untold, ...told].join(" ");
  };
  const section = (element) => {
    const style = getComputedStyle(element);
    const texts = [];
    for (const [index, node] of textNodes(element).entries()) {
      const range = document.createRange();
      range.selectNodeContents(node);
      for (const rect of range.getClientRects()) {
        if (rect.width > 0) {
          // The spacing of letters stands after the last one, too, and is white.
          const { left, right, ...rest } = box(rect);
          const inked = { ...rest, left, right: Math.max(left, right - spacingOf(node.parentElement)) };
          texts.push({ ...inked, node: index, text: node.data.trim().slice(0, 30) });
        }
      }
      const parent = node.parentElement;
      const colour = {
        colour: getComputedStyle(parent).color,
        opacity: opacityOf(parent),
        grounds: groundsOf(parent),
      };
      colours.set(JSON.stringify(colour), { ...colour, text: node.data.trim().slice(0, 30) });
    }
    const targets = element.querySelectorAll(
      "a[href], button, summary, select, textarea, input:not([type=hidden])",
    );
    const running = element.classList.contains("t");
    const set = [element, ...element.querySelectorAll("*")].filter(
      (inner) => isPre(inner) && !isPre(inner.parentElement) && !inner.closest("a, table"),
    );
    const grid = element.querySelector("table");
    const said = set.map(textOf).concat(grid === null ? [] : readOut(grid));
    return {
      box: box(element.getBoundingClientRect()),
      direct: element.parentElement?.localName === "main",
      snapAlign: style.scrollSnapAlign,
      snapStop: style.scrollSnapStop,
      running,
      // A table that is read out has an element a cell, and is no running text.
      table: grid !== null || element.querySelector(".w") !== null,
      grid: grid !== null,
      elements: element.querySelectorAll("*").length,
      words: running ? said.join(" ") : "",
      texts,
      targets: [...targets].filter((target) => target.checkVisibility()).map((target) => ({
        box: box(target.getBoundingClientRect()),
        name: (target.textContent.trim() || target.getAttribute("aria-label") || "")
          .slice(0, 30),
        href: target.getAttribute("href"),
      })),
    };
  };
  const sections = [...document.querySelectorAll("section")].map(section);
  const fixed = [...document.body.querySelectorAll("*")].filter((element) =>
    ["fixed", "sticky"].includes(getComputedStyle(element).position),
  );
  return {
    view,
    title: document.title,
    ground: getComputedStyle(document.documentElement).backgroundColor,
    scroll: {
      width: scroller.scrollWidth,
      height: scroller.scrollHeight,
      clientWidth: scroller.clientWidth,
    },
    snapType: getComputedStyle(document.documentElement).scrollSnapType,
    scripts: [...document.scripts].filter((script) => !/^\/script\/[0-9a-f]{8}\.js$/.test(script.getAttribute("src"))).length,
    fixed: fixed.map((element) => `${element.localName}.${element.className}`),
    fonts: [...document.fonts].map((font) => ({ family: font.family, status: font.status })),
    sections,
    colours: [...colours.values()],
    links: [...document.querySelectorAll("a[href]")].map((link) => link.getAttribute("href")),
  };
}
