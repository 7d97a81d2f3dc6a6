//! The article within a web page. The only user of dom_smoothie; never cleans what it finds.

use std::collections::HashSet;
use std::panic::{AssertUnwindSafe, catch_unwind};

use dom_query::{Document, NodeRef};
use dom_smoothie::{Config, Readability};
use thiserror::Error;
use url::Url;

use super::decode::decode;
use super::flatten::{Kind, Limits, flatten};
use super::furniture::{clear_article, clear_page};
use super::metadata::{self, Metadata};
use super::plain::{escaped, one_line};

/// What a page is, reduced to its article.
#[derive(Clone, Debug, PartialEq)]
pub struct ExtractedPage {
    /// What it says of itself.
    pub metadata: Metadata,
    /// The HTML of the article, not cleaned; or why there is none.
    pub html: Result<String, ExtractError>,
    /// The texts of its headings and of the links that are headings, in order: what it can show of
    /// itself where it has no article.
    pub headings: Vec<String>,
    /// It asks for a password.
    pub asks_password: bool,
}

/// Why a page gave no article.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum ExtractError {
    /// Nothing in it looks like running text.
    #[error("no article was found on the page")]
    NoArticle,
    /// The extraction failed on it.
    #[error("the page could not be read")]
    Unreadable,
}

/// The most headings that are kept of a page.
const MOST_HEADINGS: usize = 40;

/// Finds the article in a page as it came from the network. It never panics, whatever the bytes are.
pub fn extract_article(bytes: &[u8], content_type: Option<&str>, address: &Url) -> ExtractedPage {
    extract_text(&decode(bytes, content_type), address)
}

/// Finds the article in a page that is decoded. It never panics, whatever the text is.
pub fn extract_text(html: &str, address: &Url) -> ExtractedPage {
    let flat = flatten(html, Kind::Page, Limits::ORDINARY);
    let document = Document::from(flat.html);
    let mut metadata = metadata::read(&document, address);
    let headings = texts(&document, "h1, h2, h3");
    let asks_password = document.select("input[type='password' i]").exists();
    clear_page(&document);
    keep_notes(&document);
    let lead = metadata
        .description
        .as_deref()
        .and_then(|description| lead(&document, description));
    // The crate is known to panic on odd attributes.
    let article = catch_unwind(AssertUnwindSafe(|| readable(document, address)));
    let (html, article) = match article {
        Ok(Some(article)) => {
            let cleared = Document::fragment(article.content.clone());
            clear_article(&cleared);
            let lead = lead.filter(|lead| !holds(&cleared, lead));
            let lead = lead.map(|lead| format!("<p>{}</p>", escaped(&lead)));
            let html = format!("{}{}", lead.unwrap_or_default(), cleared.html());
            (Ok(html), Some(article))
        }
        Ok(None) => (Err(ExtractError::NoArticle), None),
        Err(_) => (Err(ExtractError::Unreadable), None),
    };
    if let Some(article) = article {
        let told = metadata
            .title
            .take()
            .unwrap_or_else(|| article.title.to_string());
        metadata.title = Some(told);
        if metadata.authors.is_empty() {
            metadata
                .authors
                .extend(article.byline.as_deref().and_then(metadata::author));
        }
    }
    let host = address.host_str().unwrap_or_default();
    metadata.title = metadata
        .title
        .map(|title| metadata::cleaned(&title, metadata.site.as_deref(), host, &headings))
        .filter(|title| !title.is_empty());
    ExtractedPage {
        metadata,
        html,
        headings,
        asks_password,
    }
}

/// The letters of a link to a note at the most: a figure or a sign, perhaps in brackets.
const MOST_OF_MARKER: usize = 6;

/// Makes plain divisions of an `aside` or `footer` that holds a note to which the text refers, or the source
/// of a quotation: the algorithm takes nothing from those elements.
fn keep_notes(document: &Document) {
    let links = document.select("a[href^='#']");
    let places = links.nodes().iter().filter_map(|link| {
        let marker = link.text().trim().chars().count() <= MOST_OF_MARKER;
        let place = link.attr("href")?.strip_prefix('#')?.to_owned();
        (marker && !place.is_empty()).then_some(place)
    });
    let places: HashSet<String> = places.collect();
    let placed = document.select("[id]");
    let notes = placed
        .nodes()
        .iter()
        .filter(|node| places.contains(&*node.attr_or("id", "")));
    let sources = document.select("blockquote footer");
    let places: Vec<NodeRef<'_>> = notes.chain(sources.nodes()).copied().collect();
    for place in places {
        let around: Vec<NodeRef<'_>> = place.ancestors_it(None).collect();
        let holders = around.into_iter().chain([place]);
        for holder in holders.filter(|node| node.has_name("aside") || node.has_name("footer")) {
            holder.rename("div");
        }
    }
}

/// The article by the algorithm; its classes stay, since furniture is known by them.
fn readable(document: Document, address: &Url) -> Option<dom_smoothie::Article> {
    let config = Config {
        keep_classes: true,
        ..Config::default()
    };
    let mut readability =
        Readability::with_document(document, Some(address.as_str()), Some(config)).ok()?;
    let article = readability.parse().ok()?;
    (!article.text_content.trim().is_empty()).then_some(article)
}

/// The least letters that a description and its paragraph begin with alike, and the most bytes of such a
/// paragraph.
const LEAD_ALIKE: usize = 60;
const MOST_LEAD: usize = 4_000;

/// The paragraph on the page that its description repeats: it leads the article, and often stands in a
/// header with the title, where the algorithm takes nothing.
fn lead(document: &Document, description: &str) -> Option<String> {
    let opening: String = folded(description).chars().take(LEAD_ALIKE).collect();
    if opening.chars().count() < LEAD_ALIKE {
        return None;
    }
    let found = document.select("p, h2, h3, h4, div, span, li");
    found.nodes().iter().find_map(|node| {
        let text = node.immediate_text();
        if text.trim().is_empty() {
            return None;
        }
        if !begins(node, &opening) {
            return None;
        }
        let text = one_line(&node.text());
        (text.len() <= MOST_LEAD).then_some(text)
    })
}

/// Whether the text of an element begins with these letters; no more of it is looked at than they have,
/// since elements with text may stand in one another.
fn begins(node: &NodeRef<'_>, letters: &str) -> bool {
    let mut rest = letters;
    for text in node.descendants_it().filter(NodeRef::is_text) {
        let text: String = text.text().chars().take(2 * MOST_LEAD).collect();
        let text = folded(&text);
        match rest.strip_prefix(text.as_str()) {
            Some("") => return true,
            Some(after) => rest = after,
            None => return text.starts_with(rest),
        }
    }
    false
}

/// Whether an article has the beginning of a text.
fn holds(article: &Document, text: &str) -> bool {
    let opening: String = folded(text).chars().take(LEAD_ALIKE).collect();
    folded(&article.text()).contains(&opening)
}

/// The letters and digits of a text, in lower case.
fn folded(text: &str) -> String {
    let letters = text.chars().filter(|sign| sign.is_alphanumeric());
    letters.flat_map(char::to_lowercase).collect()
}

/// The texts of elements, each on a line, without those that have none.
fn texts(document: &Document, selector: &str) -> Vec<String> {
    let found = document.select(selector);
    found
        .nodes()
        .iter()
        .map(|node| one_line(&node.text()))
        .filter(|text| !text.is_empty())
        .take(MOST_HEADINGS)
        .collect()
}
#[cfg(test)]
mod tests {
    use super::*;
    use crate::distil::language::Language;

    fn address() -> Url {
        Url::parse("https://gazette.example.org/harbour/dredging").expect("an address")
    }

    fn page() -> String {
        let paragraph = "The dredger came through the north gate on Monday, and by the evening \
            flood the channel was, as the harbour master said, deep enough for the ferry again.";
        format!(
            "<html lang=en-GB><head><title>Dredging done | Gazette</title></head><body>\
             <nav><a href=/>Home</a> <a href=/tides>Tides</a></nav><article><h1>Dredging done</h1>\
             {}</article><footer>Imprint</footer></body></html>",
            format!("<p>{paragraph} <a href=more>More</a></p>").repeat(6)
        )
    }

    #[test]
    fn the_article_is_found_with_title_and_language() {
        let found = extract_article(page().as_bytes(), None, &address());
        assert_eq!(found.metadata.title.as_deref(), Some("Dredging done"));
        assert_eq!(found.metadata.language, Language::parse("en-gb"));
        assert_eq!(found.headings, ["Dredging done"]);
        let html = found.html.expect("an article");
        assert_eq!(html.matches("The dredger").count(), 6);
        assert!(!html.contains("Imprint") && !html.contains("Home"));
    }

    #[test]
    fn hostile_pages_are_errors_or_small_articles() {
        for unit in [
            "<div>",
            "<b>",
            "<p><b id=1>x",
            "<blockquote><p>word ",
            "<table><tr><td>a",
            "<a href=x><div>",
            "<li>",
        ] {
            let html = unit.repeat(100_000);
            if let Ok(html) = extract_article(html.as_bytes(), None, &address()).html {
                assert!(html.len() < 10_000_000, "{unit}");
            }
        }
        assert_eq!(
            extract_article(b"", None, &address()).html,
            Err(ExtractError::NoArticle)
        );
    }

    #[test]
    fn notes_and_sources_in_asides_and_footers_are_of_the_article() {
        for (kept, reference, held) in [
            (true, "<a href='#n1'>[1]</a>", "<aside id=n1>KEPT</aside>"),
            (
                true,
                "<sup><a href='#n1'>1</a></sup>",
                "<footer><ol><li id=n1>KEPT</ol></footer>",
            ),
            (
                true,
                "",
                "<blockquote>Late.<footer>KEPT</footer></blockquote>",
            ),
            (
                false,
                "<a href='#n1'>To the foot of the page</a>",
                "<footer id=n1>KEPT</footer>",
            ),
            (false, "<a href='#n2'>2</a>", "<aside id=n1>KEPT</aside>"),
        ] {
            let html = page().replacen("</p>", &format!("{reference}</p>"), 1);
            let html = html.replace("</article>", &format!("{held}</article>"));
            let found = extract_article(html.as_bytes(), None, &address());
            let html = found.html.expect("an article");
            assert_eq!(html.contains("KEPT"), kept, "{reference} {held}");
        }
    }

    // The crate cuts into the middle of the character before such a host (dom_smoothie 0.19).
    #[test]
    fn a_character_before_a_video_host_costs_no_panic() {
        let html = page().replace(
            "<article>",
            "<article><embed src='äyoutube.com/embed/x'><object data='éplayer.vimeo.com'></object>",
        );
        let _either = extract_article(html.as_bytes(), None, &address());
    }
}
