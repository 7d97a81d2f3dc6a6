//! Whether a page is an article at all, and what it can show of itself where it is none. Reads no HTML.
//!
//! A page is no article
//! - where nothing was found on it, or nothing that is read as text: fewer than twelve words that are
//!   no links;
//! - where it is an index: no paragraph of twenty words that is not mostly a link, and more words in links
//!   than outside of them;
//! - where it is an error in spite of its status: short, and its title says so;
//! - where it asks for a password, or says that it is not free, and is short.
//!
//! Short is fewer than a hundred words that are no links. All four are common practice, no source.

use thiserror::Error;

use super::block::{Block, BlockKind};
use super::choose::linked_share;
use super::extract::{ExtractError, ExtractedPage};
use super::plain::{count_words, escaped};

/// Why a page is no article; the texts are for a person.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum NoArticle {
    /// There is nothing to read.
    #[error("{0}")]
    Nothing(ExtractError),
    /// It lists what stands elsewhere.
    #[error("the page lists links and is no article")]
    Index,
    /// It says that what was asked for is not there.
    #[error("the page says that the article is not there")]
    Missing,
    /// It wants an account or money first.
    #[error("the page shows its article to those alone who have an account there")]
    Closed,
}

const SHORT: usize = 100;
const FEWEST: usize = 12;
const PARAGRAPH: u32 = 20;

/// What titles of errors say, in the languages of `trim/phrases.rs`.
const MISSING: &[&str] = &[
    "404",
    "410",
    "not found",
    "page unavailable",
    "nicht gefunden",
    "nicht verfügbar",
    "introuvable",
    "non trouvée",
    "no encontrada",
    "no encontrado",
    "não encontrada",
    "não encontrado",
    "non trovata",
    "niet gevonden",
    "hittades inte",
    "nie znaleziono",
];

/// Why the blocks of a page are no article; none where they are one.
pub(super) fn fault(page: &ExtractedPage, blocks: &[Block]) -> Option<NoArticle> {
    if let Err(error) = page.html {
        return Some(NoArticle::Nothing(error));
    }
    let (mut words, mut linked) = (0, 0.0);
    for block in blocks.iter().filter(|block| block.kind != BlockKind::Rule) {
        let count = f64::from(count_words(&block.text()));
        let share = linked_share(block);
        words += (count * (1.0 - share)) as usize;
        linked += count * share;
    }
    let reads = |block: &Block| {
        !matches!(block.kind, BlockKind::Heading { .. } | BlockKind::Picture)
            && linked_share(block) < 0.5
            && count_words(&block.text()) >= PARAGRAPH
    };
    let title = page
        .metadata
        .title
        .as_deref()
        .unwrap_or_default()
        .to_lowercase();
    if words < SHORT && MISSING.iter().any(|phrase| title.contains(phrase)) {
        Some(NoArticle::Missing)
    } else if words < SHORT && (page.asks_password || page.metadata.paid) {
        Some(NoArticle::Closed)
    } else if linked > words as f64 && !blocks.iter().any(reads) {
        Some(NoArticle::Index)
    } else if words < FEWEST {
        Some(NoArticle::Nothing(ExtractError::NoArticle))
    } else {
        None
    }
}

/// What a page that is no article shows where the feed has no text either: its description; else its
/// headings as a list. None where the blocks `found` on it say more than those.
pub(super) fn instead(page: &ExtractedPage, found: &[Block]) -> Option<String> {
    if let Some(description) = &page.metadata.description {
        return Some(format!("<p>{}</p>", escaped(description)));
    }
    let words = |texts: &mut dyn Iterator<Item = String>| -> u32 {
        texts.map(|text| count_words(&text)).sum()
    };
    let told = words(&mut page.headings.iter().cloned());
    if told <= words(&mut found.iter().map(Block::text)) {
        return None;
    }
    let items = page
        .headings
        .iter()
        .map(|text| format!("<li>{}</li>", escaped(text)));
    Some(format!("<ul>{}</ul>", items.collect::<String>()))
}

#[cfg(test)]
mod tests {
    use url::Url;

    use crate::distil::{Article, Page, Source, distil};

    const TEXT: &str = "<p>The dredger came through the north gate on Monday, and by the evening flood the \
        channel was deep enough for the ferry again, as the harbour master said.</p>";

    fn read(head: &str, body: &str, feed: Option<&str>) -> (Article, Vec<String>) {
        let address = Url::parse("https://gazette.example/tides").expect("an address");
        distil(&Source {
            content: feed.map(str::to_owned),
            page: Some(Page {
                html: format!("<html><head>{head}</head><body>{body}</body></html>"),
                address: address.clone(),
            }),
            ..Source::blank(address)
        })
    }

    fn check(head: &str, body: &str, fault: &str) {
        let (article, warnings) = read(head, body, Some("<p>Low water at dawn.</p>"));
        assert_eq!(article.blocks[0].text(), "Low water at dawn.", "of {body}");
        assert!(warnings[0].contains(fault), "{warnings:?} of {body}");
        assert!(warnings[0].ends_with("what the feed itself says is shown"));
    }

    #[test]
    fn a_page_that_is_no_article_says_so_and_the_feed_is_shown() {
        let link = "<h2><a href=/a>How the ferry was mended in the winter of the long ice</a></h2>";
        check("", &link.repeat(12), "lists links");
        check(
            "<title>Page not found | Gazette</title>",
            "<p>We could not find what you asked for, and are sorry that you came here in vain.</p>",
            "is not there",
        );
        check(
            "",
            &format!("{TEXT}<form><input type=password></form>"),
            "an account",
        );
        check(
            r#"<script type=application/ld+json>{"@type":"Article","isAccessibleForFree":false}</script>"#,
            TEXT,
            "an account",
        );
        check("", "", "no article was found");
    }

    #[test]
    fn an_article_is_none_of_these() {
        let (_, warnings) = read(
            "<title>The 404 of the ferry line</title>",
            &TEXT.repeat(6),
            None,
        );
        assert!(warnings.is_empty(), "{warnings:?}");
        let links = "<p><a href=/a>Tides</a> and <a href=/b>lights</a></p>".repeat(20);
        let (_, warnings) = read("", &format!("{TEXT}{links}"), None);
        assert!(warnings.is_empty(), "{warnings:?}");
    }

    #[test]
    fn without_a_feed_its_description_is_shown_or_its_headings() {
        let link = "<h2><a href=/a>How the ferry was mended in the winter of the long ice</a></h2>";
        let described = "<meta name=description content='All about tides & lights.'>";
        let (article, warnings) = read(described, &link.repeat(3), None);
        assert_eq!(article.blocks[0].text(), "All about tides & lights.");
        assert!(warnings[0].ends_with("what it says of itself is shown"));
        let (article, _) = read("", &link.repeat(3), None);
        assert_eq!(article.blocks.len(), 3);
        assert!(
            article.blocks[0]
                .text()
                .starts_with("How the ferry was mended")
        );
    }

    #[test]
    fn the_few_words_of_a_page_are_shown_rather_than_its_heading() {
        let (article, warnings) = read(
            "",
            "<h1>Tides</h1><p>Low water at dawn, high at noon.</p>",
            None,
        );
        assert_eq!(
            crate::distil::text_of(&article.blocks),
            "Low water at dawn, high at noon."
        );
        assert!(warnings[0].contains("no article was found"), "{warnings:?}");
    }
}
