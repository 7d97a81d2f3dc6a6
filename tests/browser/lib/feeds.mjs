// A publisher on loopback for articles of the tests. It serves feeds in JSON Feed 1.1 and, where an
// article is a web page, that page; it knows nothing of the service that asks.

import { createServer } from "node:http";

/**
 * Serves feeds until it is closed.
 * @param {{name: string, whole: boolean, articles: {title: string, language: string, html: string,
 * link?: string, authors?: string[], files?: string[]}[]}[]} feeds
 * `whole`: the feed has each article's HTML, and its link if it names one. Else it has links alone, and `html`
 * is a whole page.
 * @returns {Promise<{address: string, urls: string[], close: () => void}>} `urls` are the feeds'.
 */
export async function publish(feeds) {
  const answers = new Map();
  const server = createServer((request, response) => {
    const answer = answers.get(request.url);
    response.writeHead(answer === undefined ? 404 : 200, {
      "content-type": answer?.type ?? "text/plain",
    });
    response.end(answer?.body ?? "there is nothing here");
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  const address = `http://127.0.0.1:${server.address().port}/`;
  for (const feed of feeds) {
    const items = feed.articles.map((article, index) => {
      const path = `/${feed.name}/${index + 1}`;
      const { title, language, html, link } = article;
      const authors = article.authors?.map((name) => ({ name, url: link }));
      const attachments = article.files?.map((url) => ({ url, mime_type: "audio/mpeg" }));
      const item = { id: path, title, language, authors, attachments };
      if (feed.whole) {
        return { ...item, url: link, content_html: html };
      }
      answers.set(path, { type: "text/html; charset=utf-8", body: html });
      return { ...item, url: new URL(path, address).href };
    });
    answers.set(`/${feed.name}.json`, {
      type: "application/feed+json",
      body: JSON.stringify({ version: "https://jsonfeed.org/version/1.1", title: feed.name, items }),
    });
  }
  return {
    address,
    urls: feeds.map(({ name }) => `${address}${name}.json`),
    close: () => {
      server.closeAllConnections();
      server.close();
    },
  };
}

/** How many entries of one feed the service reads in one pass; a feed here has no more. */
export const MOST_ENTRIES = 50;

/** Deals articles onto as many feeds as they need. */
export function deal(name, articles) {
  const feeds = [];
  for (let from = 0; from < articles.length; from += MOST_ENTRIES) {
    const number = feeds.length + 1;
    feeds.push({ name: `${name}-${number}`, whole: true, articles: articles.slice(from, from + MOST_ENTRIES) });
  }
  return feeds;
}
