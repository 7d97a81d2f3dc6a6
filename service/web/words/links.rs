//! The words of the pages of links, and of what is kept. In English.

use crate::distil::NoArticle;
use crate::refresh::Unfetched;

/// What the page of an article's links is called.
pub fn links_of(title: &str) -> String {
    format!("Links: {title}")
}

/// The control that leads back to an article's links.
pub const BACK_TO_LINKS: &str = "Back to the links";

/// That the page of a link is being fetched.
pub const BEING_FETCHED: &str = "Being fetched";

/// The control by which one looks whether it has come.
pub const LOOK_AGAIN: &str = "Look again";

/// That the page of a link was not asked for, and the control that fetches it.
pub const NOT_FETCHED: &str = "Not fetched";
/// See [`NOT_FETCHED`].
pub const FETCH: &str = "Fetch";

/// The control that fetches it once more.
pub const TRY_AGAIN: &str = "Try again";

/// The control that opens the address itself in the browser.
pub const OPEN_ITSELF: &str = "Open it itself";

/// The list of what is kept, and the row of the index that leads there.
pub const KEPT: &str = "Kept";

/// How many articles are kept.
pub fn kept(count: u32) -> String {
    match count {
        1 => "1 article".to_owned(),
        _ => format!("{count} articles"),
    }
}

/// What the list says where nothing is kept any more.
pub const NOTHING_KEPT: &str = "Nothing is kept";
/// See [`NOTHING_KEPT`].
pub const NOTHING_KEPT_TOLD: &str = "The last disc of an article keeps it.";

/// Why the page of a link is not shown: in a few words, then in a sentence or two that say what to do.
pub fn unfetched(fault: &Unfetched, site: &str) -> (&'static str, String) {
    match fault {
        Unfetched::Crowded => (
            "Too many at once",
            "Other pages are being fetched still. Try again in a minute.".to_owned(),
        ),
        Unfetched::Refused => (
            "Not an open address",
            format!(
                "Pages at {site} are not fetched: the address is not of the public web. A phone that reaches it can open it."
            ),
        ),
        Unfetched::Unreachable => (
            "Not reached",
            format!("{site} cannot be reached. Try again later."),
        ),
        Unfetched::TooSlow => (
            "Too slow",
            format!("{site} did not finish its answer in time. Try again later."),
        ),
        Unfetched::TooLarge => (
            "Too large",
            format!("{site} sends more than is read of a page. A phone can open it."),
        ),
        Unfetched::Damaged => (
            "Damaged",
            format!("The answer of {site} is broken. Try again later."),
        ),
        Unfetched::Status(status @ (404 | 410)) => (
            "Not there",
            format!("There is no such page at {site} any more (status {status})."),
        ),
        Unfetched::Status(status @ (401 | 403)) => (
            "Not allowed in",
            format!(
                "{site} does not let this service in (status {status}). A phone may be let in."
            ),
        ),
        Unfetched::Status(status) => (
            "No page",
            format!("{site} answers with status {status} and no page. Try again later."),
        ),
        Unfetched::Kind(kind) => (
            kind_of(kind),
            format!("It is no web page to read, but {kind}. A phone can open it."),
        ),
        Unfetched::NoArticle(why) => ("No article", no_article(*why).to_owned()),
        Unfetched::Broken => (
            "Went wrong at home",
            "No article could be made of it. The service's log says why.".to_owned(),
        ),
    }
}

/// What a media type is, in a word (RFC 6838, section 4.2; the types are those of IANA's registry).
fn kind_of(kind: &str) -> &'static str {
    match kind.split('/').next().unwrap_or_default() {
        _ if kind == "application/pdf" => "A PDF",
        "image" => "A picture",
        "audio" => "Sound",
        "video" => "Film",
        "text" => "Plain text",
        _ => "A file",
    }
}

fn no_article(why: NoArticle) -> &'static str {
    match why {
        NoArticle::Nothing(_) => "Nothing on the page can be read as text. A phone can open it.",
        NoArticle::Index => "The page only lists links. A phone can open it.",
        NoArticle::Missing => "The page says that what was asked for is not there.",
        NoArticle::Closed => "The page shows its article only to those who have an account there.",
    }
}
