//! Which of the parser's elements stands for an element of a feed: names of older and neighbouring
//! formats are read as those of RSS 2.0 and Atom 1.0. Knows places, never texts.

use std::borrow::Cow;
use std::collections::HashSet;

use super::mend::is_readable_content;
use super::names::Vocabulary;

/// Where an element stands, by what is around it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Place {
    /// In the feed itself.
    Feed,
    /// In an entry.
    Entry,
    /// In a person.
    Person,
    /// In what holds text, so that tags there are HTML's.
    Text,
    /// In anything else.
    Elsewhere,
}

/// How an element is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Written {
    /// By this name, and what is in it stands in this place.
    As(Cow<'static, str>, Place),
    /// Not itself, but what is in it.
    Through(Place),
    /// Not at all.
    Silent,
}

/// An element of a feed.
pub(super) struct Element<'a> {
    pub vocabulary: Vocabulary,
    /// Its name without a prefix.
    pub name: &'a str,
    pub attributes: &'a [(String, String)],
}

/// What an entry, or the feed, has said of itself by the format's own names.
#[derive(Default)]
pub(super) struct Seen(HashSet<&'static str>);

impl Seen {
    fn own(&mut self, name: &'static str) -> Written {
        self.0.insert(name);
        written(name)
    }

    /// A name of another vocabulary, which counts where the format's own is missing. Of two
    /// elements the parser takes the later, so an own one that follows counts too.
    fn other(&self, name: &'static str) -> Written {
        if self.0.contains(name) {
            Written::Silent
        } else {
            written(name)
        }
    }
}

fn written(name: &'static str) -> Written {
    let place = match name {
        "title" | "description" | "content:encoded" | "summary" | "content" | "subtitle"
        | "rights" => Place::Text,
        "author" | "contributor" => Place::Person,
        _ => Place::Elsewhere,
    };
    Written::As(name.into(), place)
}

/// An element as it stands, by the prefix that is declared.
fn plain(element: &Element<'_>) -> Written {
    let name = element.name;
    match element.vocabulary {
        Vocabulary::Core => Written::As(name.to_owned().into(), Place::Elsewhere),
        other => other.prefix().map_or(Written::Silent, |prefix| {
            Written::As(format!("{prefix}:{name}").into(), Place::Elsewhere)
        }),
    }
}

/// The name in RSS 2.0 of an element of RSS, of any version, or of the Channel Definition Format.
pub(super) fn rss(element: &Element<'_>, place: Place, seen: &mut Seen) -> Written {
    let name = element.name.to_ascii_lowercase();
    match place {
        Place::Feed => rss_of_feed(element, &name, seen),
        Place::Entry => rss_of_entry(element, &name, seen),
        // A person's name in an element of its own, as in Atom, is the person's text in RSS.
        Place::Person if name == "name" => Written::Through(Place::Elsewhere),
        Place::Person => Written::Silent,
        Place::Text | Place::Elsewhere => plain(element),
    }
}

fn rss_of_feed(element: &Element<'_>, name: &str, seen: &mut Seen) -> Written {
    match (element.vocabulary, name) {
        (Vocabulary::Core, "channel") => Written::Through(Place::Feed),
        (Vocabulary::Core | Vocabulary::Atom, "item" | "entry") => {
            Written::As("item".into(), Place::Entry)
        }
        (Vocabulary::Core, "title") => seen.own("title"),
        (Vocabulary::Core, "link") => seen.own("link"),
        (Vocabulary::Core, "language") => seen.own("language"),
        (Vocabulary::Core, "ttl" | "generator" | "image" | "category") => plain(element),
        (Vocabulary::Core, "description") => seen.own("description"),
        (Vocabulary::Core, "pubdate") => seen.own("pubDate"),
        (Vocabulary::Core, "lastbuilddate" | "modified" | "updated") => seen.own("lastBuildDate"),
        (Vocabulary::Core, "managingeditor") => seen.own("managingEditor"),
        (Vocabulary::Core, "webmaster") => seen.own("webMaster"),
        (Vocabulary::DublinCore | Vocabulary::Atom, "title") => seen.other("title"),
        (Vocabulary::DublinCore, "language") => seen.other("language"),
        (Vocabulary::Core | Vocabulary::DublinCore, _) => Written::Silent,
        _ => plain(element),
    }
}

fn rss_of_entry(element: &Element<'_>, name: &str, seen: &mut Seen) -> Written {
    match element.vocabulary {
        Vocabulary::Core | Vocabulary::Atom => match name {
            "title" => seen.own("title"),
            "link" => link(element),
            "description" => seen.own("description"),
            "author" => seen.own("author"),
            "guid" | "id" => seen.own("guid"),
            "enclosure" => seen.own("enclosure"),
            "comments" => seen.own("comments"),
            "pubdate" | "published" | "issued" => seen.own("pubDate"),
            "created" => seen.other("pubDate"),
            "updated" | "modified" | "lastmod" | "date" => seen.own("updated"),
            "summary" | "abstract" => seen.other("description"),
            "content" if !is_readable_content(element.attributes) => Written::Silent,
            "content" | "body" => seen.other("content:encoded"),
            _ => Written::Silent,
        },
        Vocabulary::Content if name == "encoded" => seen.own("content:encoded"),
        Vocabulary::Xhtml if name == "body" || name == "div" => seen.other("content:encoded"),
        Vocabulary::Media if name == "title" => seen.other("title"),
        Vocabulary::DublinCore => match name {
            "title" => seen.other("title"),
            "description" => seen.other("description"),
            "identifier" => seen.other("guid"),
            "date" => seen.own("updated"),
            "creator" | "author" => Written::As("dc:creator".into(), Place::Person),
            _ => Written::Silent,
        },
        Vocabulary::Terms => match name {
            "issued" => seen.own("pubDate"),
            "created" => seen.other("pubDate"),
            "modified" => seen.own("updated"),
            _ => Written::Silent,
        },
        _ => plain(element),
    }
}

/// A link of Atom in RSS: those to files are enclosures, and others than to the entry are not read.
fn link(element: &Element<'_>) -> Written {
    let value = |name: &str| {
        let found = element.attributes.iter().find(|(key, _)| key == name);
        found.map(|(_, value)| value.trim().to_ascii_lowercase())
    };
    match value("rel").as_deref() {
        None | Some("alternate" | "") => written("link"),
        Some("enclosure") if value("href").is_some() => written("enclosure"),
        Some(_) if value("href").is_some() => Written::Silent,
        Some(_) => written("link"),
    }
}

/// The name in Atom 1.0 of an element of Atom, of either version.
pub(super) fn atom(element: &Element<'_>, place: Place, seen: &mut Seen) -> Written {
    match place {
        Place::Feed => atom_of_feed(element, seen),
        Place::Entry => atom_of_entry(element, seen),
        Place::Person | Place::Text | Place::Elsewhere => plain(element),
    }
}

fn atom_of_feed(element: &Element<'_>, seen: &mut Seen) -> Written {
    match (element.vocabulary, element.name) {
        (Vocabulary::Core, "entry" | "item") => Written::As("entry".into(), Place::Entry),
        (Vocabulary::Core, "title") => seen.own("title"),
        (Vocabulary::Core, "subtitle" | "tagline") => seen.own("subtitle"),
        (Vocabulary::Core, "rights" | "copyright") => seen.own("rights"),
        (Vocabulary::Core, "updated" | "modified") => seen.own("updated"),
        (Vocabulary::Core, "author") => seen.own("author"),
        (Vocabulary::Core, "link" | "id" | "icon" | "logo") => plain(element),
        (Vocabulary::DublinCore, "title") => seen.other("title"),
        _ => Written::Silent,
    }
}

fn atom_of_entry(element: &Element<'_>, seen: &mut Seen) -> Written {
    match (element.vocabulary, element.name) {
        (Vocabulary::Core, "content") if !is_readable_content(element.attributes) => {
            Written::Silent
        }
        (Vocabulary::Core, "title") => seen.own("title"),
        (Vocabulary::Core, "summary") => seen.own("summary"),
        (Vocabulary::Core, "content") => seen.own("content"),
        (Vocabulary::Content, "encoded") | (Vocabulary::Core, "body") => seen.other("content"),
        (Vocabulary::Core, "author") => seen.own("author"),
        (Vocabulary::Core, "id" | "guid") => seen.own("id"),
        (Vocabulary::Core, "updated" | "modified") => seen.own("updated"),
        (Vocabulary::Core, "published" | "issued" | "pubDate") => seen.own("published"),
        (Vocabulary::Core, "created") | (Vocabulary::Terms, "issued" | "created") => {
            seen.other("published")
        }
        (Vocabulary::Terms, "modified") | (Vocabulary::DublinCore, "date") => seen.other("updated"),
        (Vocabulary::DublinCore, "title") => seen.other("title"),
        (Vocabulary::Core | Vocabulary::DublinCore, "description") => seen.other("summary"),
        (Vocabulary::Core, "link") | (Vocabulary::Media | Vocabulary::Comments, _) => {
            plain(element)
        }
        _ => Written::Silent,
    }
}
