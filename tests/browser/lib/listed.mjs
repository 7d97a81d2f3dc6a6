// Which articles a service lists, read from its index page by page. It judges nothing.

/** The most pages of an index that are asked for: more would mean that they lead around. */
const MOST_PAGES = 100;

/**
 * All articles on the index and its further pages. Which number an article has depends on which
 * feed was fetched first; its title does not.
 * @returns {Promise<{number: string, title: string, html: string}[]>} `html` is its page.
 */
export async function listedArticles(address) {
  const articles = [];
  for (const number of await listedNumbers(address)) {
    const html = await textAt(`${address}round-10/${number}`);
    const title = unescape(/<title>([^<]*)<\/title>/.exec(html)[1]);
    articles.push({ number, title, html });
  }
  return articles;
}

/** The numbers of all articles on the index and its further pages; its first page may be a choice of groups. */
export async function listedNumbers(address) {
  const found = new Set();
  for (let page = 0; page < MOST_PAGES; page += 1) {
    const html = await textAt(`${address}round-10/page/${page}`);
    for (const [, number] of html.matchAll(/href="\/round-10\/(\d+)"/g)) {
      found.add(number);
    }
    if (!html.includes(`"/round-10/page/${page + 1}"`)) {
      return found;
    }
  }
  throw new Error(`the index has more than ${MOST_PAGES} pages`);
}

async function textAt(url) {
  const response = await fetch(url);
  if (!response.ok) {
    throw new Error(`${response.status} at ${url}`);
  }
  return response.text();
}

/** The text of what the service's templates escape. */
function unescape(text) {
  return text.replace(/&#(\d+);/g, (_, point) => String.fromCodePoint(Number(point)));
}
