// Which articles a service lists, read from its index page by page. It judges nothing.

/** The most pages of an index that are asked for: more would mean that they lead around. */
const MOST_PAGES = 100;

/** The numbers of all articles on the index and its further pages, as their paths end. */
export async function listedArticles(address) {
  const found = new Set();
  for (let page = 0; page < MOST_PAGES; page += 1) {
    const path = page === 0 ? "round-10/" : `round-10/page/${page}`;
    const response = await fetch(address + path);
    if (!response.ok) {
      throw new Error(`the index answers ${response.status} at ${path}`);
    }
    const html = await response.text();
    for (const [, number] of html.matchAll(/href="?\/round-10\/(\d+)[">\s]/g)) {
      found.add(number);
    }
    if (!html.includes(`/round-10/page/${page + 1}`)) {
      return [...found].sort((one, other) => one - other);
    }
  }
  throw new Error(`the index has more than ${MOST_PAGES} pages`);
}
