//! The words of the pages of links, and of what is kept. Never holds a text: those stand in `templates/messages/`.

use super::Words;
use crate::distil::NoArticle;
use crate::refresh::Unfetched;
use crate::words::say;

say! {
    /// The control that leads back to an article's links.
    back_to_links = "back-to-links";
    /// That the page of a link is being fetched.
    being_fetched = "being-fetched";
    /// The control by which one looks whether it has come.
    look_again = "look-again";
    /// That the page of a link was not asked for.
    not_fetched = "not-fetched";
    /// The control that fetches it.
    fetch = "fetch";
    /// The control that fetches it once more.
    try_again = "try-again";
    /// The control that opens the address itself in the browser.
    open_itself = "open-itself";
    /// The list of what is kept, and the row of the index that leads there.
    kept = "kept";
    /// That nothing is kept.
    nothing_kept = "nothing-kept";
    /// What keeps something.
    nothing_kept_told = "nothing-kept-told";
}

impl Words {
    /// How many articles are kept.
    pub fn kept_articles(self, articles: u32) -> String {
        self.tell("kept-articles", [("articles", articles.into())])
    }

    /// Why the page of a link is not shown: in a few words, then in a sentence or two that say what to do.
    pub fn unfetched(self, fault: &Unfetched, site: &str) -> (&'static str, String) {
        let (title, told) = match fault {
            Unfetched::Crowded => ("crowded", "crowded-told"),
            Unfetched::Refused => ("refused", "refused-told"),
            Unfetched::Unreachable => ("unreachable", "unreachable-told"),
            Unfetched::TooSlow => ("too-slow", "too-slow-told"),
            Unfetched::TooLarge => ("too-large", "too-large-told"),
            Unfetched::Damaged => ("damaged", "damaged-told"),
            Unfetched::Status(404 | 410) => ("not-there", "not-there-told"),
            Unfetched::Status(401 | 403) => ("not-let-in", "not-let-in-told"),
            Unfetched::Status(_) => ("status", "status-told"),
            Unfetched::Kind(kind) => (kind_of(kind), "kind-told"),
            Unfetched::NoArticle(NoArticle::Nothing(_)) => ("no-article", "no-text-told"),
            Unfetched::NoArticle(NoArticle::Index) => ("no-article", "links-alone-told"),
            Unfetched::NoArticle(NoArticle::Missing) => ("no-article", "missing-told"),
            Unfetched::NoArticle(NoArticle::Closed) => ("no-article", "closed-told"),
            Unfetched::Broken => ("broken", "broken-told"),
        };
        let status = match fault {
            Unfetched::Status(status) => status.to_string(),
            _ => String::new(),
        };
        let kind = match fault {
            Unfetched::Kind(kind) => kind.as_str(),
            _ => "",
        };
        let variables = [
            ("site", site.into()),
            ("status", status.into()),
            ("kind", kind.into()),
        ];
        (self.say(title), self.tell(told, variables))
    }
}

/// What a media type is (RFC 6838, section 4.2; the types are those of IANA's registry).
fn kind_of(kind: &str) -> &'static str {
    match kind.split('/').next().unwrap_or_default() {
        _ if kind == "application/pdf" => "a-pdf",
        "image" => "a-picture",
        "audio" => "sound",
        "video" => "film",
        "text" => "plain-text",
        _ => "a-file",
    }
}
