//! What is handed over, an article or one of its links, and by which codes. Never prints a page.

use url::Url;

use crate::hand::{Code, MOST_SHORT_VERSION, MOST_VERSION, opening_at, passage};
use crate::store::{READER, StoredArticle};
use crate::typeset::Screen;
use crate::web::error::WebError;
use crate::web::{Web, links};
use crate::words::Words;

/// The route of the short way. A capital, so that its address can be written in capitals and figures alone, of which a
/// code holds half as many again (ISO/IEC 18004:2015, table 7); case tells nothing in what stands before it
/// (RFC 3986, 6.2.2.1).
pub const SHORT_WAY: &str = "/H/{entry}";

/// The same for a link of an article, by its number, from 1.
pub const SHORT_WAY_OF_LINK: &str = "/H/{entry}/{link}";

/// What the code of an article's own address is called, and that of the short way to it.
const WHOLE: &str = "whole";
pub(super) const SHORT: &str = "short";

/// Whether an article has an address that can be handed over.
pub fn can_be_handed(article: &StoredArticle) -> bool {
    article.address.as_deref().and_then(page_address).is_some()
}

/// An address that can be handed over: of the web, and spelt in ASCII.
fn page_address(address: &str) -> Option<Url> {
    let address = Url::parse(address).ok()?;
    matches!(address.scheme(), "http" | "https").then_some(address)
}

/// What is handed over: an article, or one of its links.
pub(super) struct Handed {
    article: StoredArticle,
    /// The number of the link, from 1.
    link: Option<usize>,
    /// The address of the page.
    pub(super) address: Url,
    /// The same, with the words where reading stopped.
    pub(super) target: String,
}

impl Handed {
    pub(super) async fn load(web: &Web, entry: i64, link: Option<usize>) -> Result<Self, WebError> {
        let store = &web.shared.store;
        let article = store.article(READER, entry).await?;
        let article = article.ok_or(WebError::NoPage)?;
        let address = match link {
            None => article.address.as_deref(),
            Some(number) => links::link(&article, number).map(|link| link.address.as_str()),
        };
        let address = address.and_then(page_address).ok_or(WebError::NoPage)?;
        let place = match link {
            None => store.mark(READER, entry).await?.place,
            Some(_) => None,
        };
        let stopped = place.and_then(|place| {
            let (title, blocks) = (&article.title, &article.blocks);
            passage(title, blocks, place.block, place.character)
        });
        let target = stopped.map_or_else(
            || address.to_string(),
            |words| opening_at(address.as_str(), &words),
        );
        Ok(Self {
            article,
            link,
            address,
            target,
        })
    }

    pub(super) fn codes(&self, host: Option<&str>) -> Vec<HandedCode> {
        let entry = self.article.entry.to_string();
        let way = match self.link {
            None => SHORT_WAY.replace("{entry}", &entry),
            Some(link) => SHORT_WAY_OF_LINK
                .replace("{entry}", &entry)
                .replace("{link}", &link.to_string()),
        };
        codes(&self.target, &way, host)
    }

    /// What it is called: a link by its own text, or by its address where it has none.
    pub(super) fn title(&self) -> &str {
        let link = self
            .link
            .and_then(|number| links::link(&self.article, number));
        match link {
            None => &self.article.title,
            Some(link) if link.text.is_empty() => &link.address,
            Some(link) => &link.text,
        }
    }

    /// Where its page stands.
    pub(super) fn path(&self, screen: Screen) -> String {
        let entry = self.article.entry;
        match self.link {
            None => format!("/{screen}/{entry}/hand"),
            Some(link) => format!("{}/hand", links::path(screen, entry, link)),
        }
    }

    /// The control that leads back from it.
    pub(super) fn back(&self, words: Words, screen: Screen) -> (&'static str, String) {
        let article = format!("/{screen}/{}", self.article.entry);
        match self.link {
            None => (words.back_to_text(), article),
            Some(_) => (words.back_to_links(), format!("{article}/links")),
        }
    }
}

/// The codes of an address and of the short way to it, in the order in which they are wanted: the short one only where
/// some discs cannot show the other. None where there is no room for either.
fn codes(target: &str, way: &str, host: Option<&str>) -> Vec<HandedCode> {
    let whole = Code::of(target, MOST_VERSION).map(|code| HandedCode { name: WHOLE, code });
    if whole.as_ref().is_some_and(HandedCode::fits_everywhere) {
        return whole.into_iter().collect();
    }
    let short = host.and_then(|host| {
        let address = format!("HTTP://{}{way}", host.to_ascii_uppercase());
        let code = Code::of(&address, MOST_SHORT_VERSION)?;
        Some(HandedCode { name: SHORT, code })
    });
    short.map_or_else(Vec::new, |short| whole.into_iter().chain([short]).collect())
}

pub(super) struct HandedCode {
    pub(super) name: &'static str,
    pub(super) code: Code,
}

impl HandedCode {
    fn fits_everywhere(&self) -> bool {
        self.code.version() <= MOST_SHORT_VERSION
    }

    /// What its picture is called; the version is in it, so that a picture is never larger than its page reckoned.
    pub(super) fn called(&self, pixels: u32) -> String {
        format!("{}-{}-{pixels}", self.name, self.code.version())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The names and versions of the codes of an address of so many bytes.
    fn check(bytes: usize, host: &str, expected: &[(&str, i16)]) {
        let found = codes(&"a".repeat(bytes), "/H/42", Some(host));
        let found: Vec<_> = found
            .iter()
            .map(|code| (code.name, code.code.version()))
            .collect();
        assert_eq!(found, expected, "{bytes} bytes, {host}");
    }

    #[test]
    fn an_address_is_told_whole_where_it_fits_and_by_the_short_way_elsewhere() {
        // What versions hold: ISO/IEC 18004:2015, table 7, from memory.
        let host = "192.168.178.20:8090";
        check(53, host, &[("whole", 3)]);
        check(54, host, &[("whole", 4), ("short", 2)]);
        check(154, host, &[("whole", 7), ("short", 2)]);
        check(155, host, &[("short", 2)]);
        check(155, "10.0.0.7:8090", &[("short", 1)]);
        check(155, "[2001:db8:10:20:30:40:50:60]:8090", &[("short", 3)]);
        // 7 signs before the host and 5 after it: version 3 holds 77 in capitals and figures.
        check(155, &"h".repeat(65), &[("short", 3)]);
        check(155, &"h".repeat(66), &[]);
        check(100, &"h".repeat(66), &[]);
        check(53, &"h".repeat(66), &[("whole", 3)]);
        let without = codes(&"a".repeat(100), "/H/42", None);
        assert_eq!(without.len(), 0);
    }
}
