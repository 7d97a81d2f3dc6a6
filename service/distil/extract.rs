//! The article within a web page. The only user of dom_smoothie; never cleans what it finds.

use std::panic::{AssertUnwindSafe, catch_unwind};

use dom_smoothie::Readability;
use thiserror::Error;
use url::Url;

use super::decode::decode;
use super::flatten::{Kind, Limits, flatten};
use super::language::Language;
use super::plain::one_line;

/// A page reduced to its article.
#[derive(Clone, Debug, PartialEq)]
pub struct ExtractedPage {
    /// The title of the article.
    pub title: Option<String>,
    /// Who wrote it, in the page's words.
    pub byline: Option<String>,
    /// The language that the page declares.
    pub language: Option<Language>,
    /// The HTML of the article, not cleaned.
    pub html: String,
}

/// Why a page gave no article.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum ExtractError {
    /// Nothing in it looks like running text.
    #[error("no article was found on the page; what the feed itself says is shown")]
    NoArticle,
    /// The extraction failed on it.
    #[error("the page could not be read; what the feed itself says is shown")]
    Unreadable,
}

/// Finds the article in a page as it came from the network.
///
/// # Errors
/// If there is none. It never panics, whatever the bytes are.
pub fn extract_article(
    bytes: &[u8],
    content_type: Option<&str>,
    address: &Url,
) -> Result<ExtractedPage, ExtractError> {
    extract_text(&decode(bytes, content_type), address)
}

/// Finds the article in a page that is decoded.
///
/// # Errors
/// If there is none. It never panics, whatever the text is.
pub fn extract_text(html: &str, address: &Url) -> Result<ExtractedPage, ExtractError> {
    let flat = flatten(html, Kind::Page, Limits::ORDINARY);
    // The crate is known to panic on odd attributes.
    let article = catch_unwind(AssertUnwindSafe(|| {
        let mut readability = Readability::new(flat.html, Some(address.as_str()), None)?;
        readability.parse()
    }));
    let article = match article {
        Ok(Ok(article)) => article,
        Ok(Err(_)) => return Err(ExtractError::NoArticle),
        Err(_) => return Err(ExtractError::Unreadable),
    };
    let line = |text: &str| Some(one_line(text)).filter(|text| !text.is_empty());
    let html = article.content.to_string();
    if article.text_content.trim().is_empty() {
        return Err(ExtractError::NoArticle);
    }
    Ok(ExtractedPage {
        title: line(&article.title),
        byline: article.byline.as_deref().and_then(line),
        language: article.lang.as_deref().and_then(Language::parse),
        html,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

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
        let found = extract_article(page().as_bytes(), None, &address()).expect("an article");
        assert!(found.title.expect("a title").starts_with("Dredging done"));
        assert_eq!(found.language, Language::parse("en-gb"));
        assert_eq!(found.html.matches("The dredger").count(), 6);
        assert!(!found.html.contains("Imprint") && !found.html.contains("Home"));
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
            if let Ok(found) = extract_article(html.as_bytes(), None, &address()) {
                assert!(found.html.len() < 10_000_000, "{unit}");
            }
        }
        assert_eq!(
            extract_article(b"", None, &address()),
            Err(ExtractError::NoArticle)
        );
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
