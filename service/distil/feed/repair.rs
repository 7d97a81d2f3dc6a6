//! XML feeds written anew, well formed and within limits, so that the parser behind sees nothing
//! that it is known to fail on. It is the lenient reader of ill-formed feeds as well: what is whole
//! in them is written whole. Each repair is a small function of its own; never reads entries.

use std::collections::HashSet;

use url::Url;

use super::fields::{Element, Place, Seen, Written, atom, rss};
use super::markup::{Attribute, References, Token, Tokens};
use super::mend::{Family, family, local, root_start};
use super::names::{Scopes, Vocabulary};
use super::{FeedError, MAXIMUM_ENTRIES};

mod write;

/// Elements inside one another. Some parsers recurse, and a stack of 2 MB holds fewer than a
/// thousand of their frames.
pub(super) const MAXIMUM_DEPTH: usize = 64;

/// Elements in all. An empty entry of seven bytes takes about 750 in the parser's model.
pub(super) const MAXIMUM_ELEMENTS: usize = 250_000;

/// A feed as written anew.
pub(super) struct Repaired {
    pub xml: String,
    /// The base address in force at the root.
    pub base: Url,
    /// The `guid`s that say of themselves that they are no addresses.
    pub opaque: HashSet<String>,
    /// What the parser's model loses of each entry, in their order.
    pub entries: Vec<Particulars>,
    /// What a person should know.
    pub warnings: Vec<String>,
    /// Whether all entries that the feed lists are in it.
    pub whole: bool,
}

/// What is kept of an entry beside the parser's model.
#[derive(Clone, Debug, Default)]
pub(super) struct Particulars {
    /// The length that it declares, in seconds: the parser drops it where nothing else is said of
    /// the medium.
    pub duration: Option<u64>,
    /// The base address and the language in force in its content, or else in its summary, or else
    /// in itself (XML Base; XML 1.0, 2.12).
    pub base: Option<Url>,
    pub language: Option<String>,
    /// They are those of its content.
    of_content: bool,
}

/// Writes an XML feed anew.
///
/// # Errors
/// If the root is no feed's, or nesting or number go beyond the limits.
pub(super) fn repair(xml: &str, address: &Url) -> Result<Repaired, FeedError> {
    let mut writer = Writer::new(address);
    for token in Tokens::new(xml) {
        match token {
            Token::Text(text) => {
                let resolved = writer.references.resolve(text);
                writer.text(&resolved, text);
            }
            Token::Literal(text) => writer.literal(text),
            Token::Start {
                name,
                attributes,
                empty,
                source,
            } => {
                writer.end_before_entry(name);
                if writer.is_inline_markup() {
                    writer.inline(source, empty, true);
                } else {
                    writer.start(name, &attributes)?;
                    if empty {
                        writer.end(name);
                    }
                }
            }
            Token::End { source, .. } if writer.inline > 0 => writer.inline(source, false, false),
            Token::End { name, .. } => writer.end(name),
        }
    }
    writer.finish()
}

/// An element that is open in the source.
struct Open {
    /// Its name in the source, and as written; none where it is not.
    source: String,
    written: Option<String>,
    place: Place,
    base: Url,
    /// The base that the parser knows of here.
    told_base: Url,
    language: Option<String>,
    /// What is in it is left out.
    silent: bool,
    /// What its attributes say of its text.
    attributes: Vec<(String, String)>,
}

struct Writer {
    out: String,
    stack: Vec<Open>,
    family: Option<Family>,
    scopes: Scopes,
    references: References,
    elements: usize,
    /// The address that the feed was found at, and the base in force at the root.
    address: Url,
    base: Url,
    /// How many elements are open that were written as text.
    inline: usize,
    text: String,
    unresolved: String,
    /// The text holds tags that were not escaped.
    mixed: bool,
    /// Where the type of the open text stands in `out`: such tags make it `html`.
    type_at: Option<usize>,
    seen_of_feed: Seen,
    seen_of_entry: Seen,
    entries: Vec<Particulars>,
    /// How many entries there are; those beyond the limit are not written.
    count: usize,
    opaque: HashSet<String>,
    mismatched: bool,
}

impl Writer {
    fn new(address: &Url) -> Self {
        Self {
            out: String::new(),
            stack: Vec::new(),
            family: None,
            scopes: Scopes::default(),
            references: References::default(),
            elements: 0,
            address: address.clone(),
            base: address.clone(),
            inline: 0,
            text: String::new(),
            unresolved: String::new(),
            mixed: false,
            type_at: None,
            seen_of_feed: Seen::default(),
            seen_of_entry: Seen::default(),
            entries: Vec::new(),
            count: 0,
            opaque: HashSet::new(),
            mismatched: false,
        }
    }

    fn finish(mut self) -> Result<Repaired, FeedError> {
        let mut warnings = Vec::new();
        let whole = self.stack.is_empty() && self.count <= MAXIMUM_ENTRIES;
        if !self.stack.is_empty() {
            warnings
                .push("the feed ends in the middle; its last entry may be incomplete".to_owned());
            self.inline = 0;
            self.close_to(0);
        }
        if self.mismatched {
            warnings.push(
                "the feed has end tags that match no start tag; they were passed over".to_owned(),
            );
        }
        if self.count > MAXIMUM_ENTRIES {
            warnings.push(format!(
                "of {} entries only the first {MAXIMUM_ENTRIES} were read",
                self.count
            ));
        }
        if self.family.is_none() {
            return Err(FeedError::NotAFeed(
                "no element of a feed is in it; look at its address in a browser",
            ));
        }
        Ok(Repaired {
            xml: self.out,
            base: self.base,
            opaque: self.opaque,
            entries: self.entries,
            warnings,
            whole,
        })
    }

    fn start(&mut self, name: &str, attributes: &[Attribute<'_>]) -> Result<(), FeedError> {
        self.flush();
        if self.stack.is_empty() && self.family.is_some() {
            return Ok(()); // A second root: nothing that a feed has.
        }
        self.elements += 1;
        if self.stack.len() >= MAXIMUM_DEPTH {
            return Err(FeedError::TooDeep);
        }
        if self.elements > MAXIMUM_ELEMENTS {
            return Err(FeedError::TooMuch);
        }
        let attributes = self.resolve_attributes(attributes);
        match self.family {
            Some(family) => self.start_inner(family, name, attributes),
            None => self.start_root(name, attributes)?,
        }
        Ok(())
    }

    fn start_root(
        &mut self,
        name: &str,
        attributes: Vec<(String, String)>,
    ) -> Result<(), FeedError> {
        let family = family(name)?;
        self.family = Some(family);
        self.scopes.open_root(family, name, &attributes);
        let (base, language) = self.inherited(&attributes);
        self.base = base.clone();
        let (start, written, place) = root_start(family, name, &base, language.as_deref());
        self.out.push_str(&start);
        self.stack.push(Open {
            source: name.to_owned(),
            written: Some(written.to_owned()),
            place,
            told_base: base.clone(),
            base,
            language,
            silent: false,
            attributes,
        });
        self.begin_place();
        Ok(())
    }

    fn start_inner(&mut self, family: Family, name: &str, attributes: Vec<(String, String)>) {
        let depth = self.stack.len();
        self.scopes.open(depth, &attributes);
        let (base, language) = self.inherited(&attributes);
        let (vocabulary, local) = self.scopes.look_up(family, name);
        let written = self.place(family, vocabulary, local, &attributes);
        let Some(outer) = self.stack.last() else {
            return;
        };
        let mut open = Open {
            source: name.to_owned(),
            written: None,
            place: Place::Elsewhere,
            told_base: outer.told_base.clone(),
            base,
            language,
            silent: outer.silent || written == Written::Silent,
            attributes,
        };
        if !open.silent && matches!(written, Written::As(_, Place::Entry)) {
            self.count += 1;
            open.silent = self.count > MAXIMUM_ENTRIES;
        }
        match written {
            Written::As(name, place) if !open.silent => {
                open.place = place;
                self.open_tag(&name, &mut open, family, vocabulary);
                open.written = Some(name.into_owned());
            }
            Written::Through(place) => open.place = place,
            Written::As(_, Place::Entry) => open.place = Place::Entry,
            _ => {}
        }
        self.stack.push(open);
        self.begin_place();
    }

    fn place(
        &mut self,
        family: Family,
        vocabulary: Vocabulary,
        name: &str,
        attributes: &[(String, String)],
    ) -> Written {
        let Some(outer) = self.stack.last() else {
            return Written::Silent;
        };
        let element = Element {
            vocabulary,
            name,
            attributes,
        };
        let seen = match outer.place {
            Place::Entry => &mut self.seen_of_entry,
            _ => &mut self.seen_of_feed,
        };
        match family {
            Family::Atom => atom(&element, outer.place, seen),
            _ => rss(&element, outer.place, seen),
        }
    }

    fn resolve_attributes(&mut self, attributes: &[Attribute<'_>]) -> Vec<(String, String)> {
        attributes
            .iter()
            .map(|attribute| {
                (
                    attribute.name.to_owned(),
                    self.references.resolve(attribute.value),
                )
            })
            .collect()
    }

    /// The base address and the language in force in an element (XML Base; XML 1.0, 2.12). CDF has
    /// an attribute of its own for the base.
    fn inherited(&mut self, attributes: &[(String, String)]) -> (Url, Option<String>) {
        let cdf = self.family == Some(Family::Cdf);
        let own = |name: &str| {
            attributes
                .iter()
                .find(|(key, _)| key == name)
                .map(|(_, value)| value)
        };
        let outer = self.stack.last().map_or(&self.address, |open| &open.base);
        let base = own("xml:base")
            .or_else(|| own("BASE").filter(|_| cdf))
            .and_then(|base| outer.join(base.trim()).ok())
            .filter(|base| !base.cannot_be_a_base());
        let language = own("xml:lang").cloned();
        (
            base.unwrap_or_else(|| outer.clone()),
            language.or_else(|| self.stack.last().and_then(|open| open.language.clone())),
        )
    }

    /// Ends what is open around a new entry, but for the feed: none stands in another, in a text or in
    /// anything else, so an end tag is missing, and what follows would be lost.
    fn end_before_entry(&mut self, name: &str) {
        if !matches!(local(name), "item" | "entry" | "ITEM") {
            return;
        }
        let family = self.family.unwrap_or(Family::Rss);
        let (vocabulary, _) = self.scopes.look_up(family, name);
        if !matches!(vocabulary, Vocabulary::Core | Vocabulary::Atom) {
            return;
        }
        let feed = self
            .stack
            .iter()
            .rposition(|open| open.place == Place::Feed);
        if let Some(feed) = feed
            && self.stack.len() > feed + 1
        {
            self.mismatched = true;
            self.inline = 0;
            self.close_to(feed + 1);
        }
    }

    fn end(&mut self, name: &str) {
        match self.stack.iter().rposition(|open| open.source == name) {
            Some(index) => {
                self.mismatched |= index + 1 != self.stack.len();
                self.close_to(index);
            }
            None => self.mismatched = true,
        }
    }

    fn close_to(&mut self, index: usize) {
        while self.stack.len() > index {
            self.flush();
            let Some(open) = self.stack.pop() else { return };
            self.scopes.close(self.stack.len());
            self.type_at = None;
            if let Some(written) = open.written {
                if written == "rss" {
                    self.out.push_str("</channel>");
                }
                self.out.push_str("</");
                self.out.push_str(&written);
                self.out.push('>');
            }
        }
    }
}
