//! XML feeds written anew, well formed and within limits, so that the parser behind sees nothing
//! that it is known to fail on. Each repair is a small function of its own; never reads entries.

use std::collections::HashSet;

use url::Url;

use super::FeedError;
use super::markup::{Attribute, References, Token, Tokens, push_escaped};
use super::mend::{
    Family, family, is_readable_content, is_text_construct, local, mend_attribute, mend_root,
    mend_type, set_mail_apart, whole_duration,
};

/// Elements inside one another. Some parsers recurse, and a stack of 2 MB holds fewer than a
/// thousand of their frames.
pub(super) const MAXIMUM_DEPTH: usize = 64;

/// Elements in all. An empty entry of seven bytes takes about 750 in the parser's model.
const MAXIMUM_ELEMENTS: usize = 250_000;

/// A feed as written anew.
pub(super) struct Repaired {
    pub xml: String,
    /// The base address in force at the root.
    pub base: Url,
    /// The `guid`s that say of themselves that they are no addresses.
    pub opaque: HashSet<String>,
    /// For each item of RSS the length that it declares, in seconds: the parser drops it where
    /// nothing else is said of the medium.
    pub durations: Vec<Option<u64>>,
    /// What a person should know.
    pub warnings: Vec<String>,
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
            Token::Literal(text) => writer.text(text, text),
            Token::Start {
                name,
                attributes,
                empty,
                source,
            } => {
                if writer.is_inline_markup(name) {
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

struct Open {
    /// As written, and as its end tag in the source names it.
    name: String,
    source: String,
    base: Url,
    language: Option<String>,
    /// What is in it is left out.
    silent: bool,
}

struct Writer {
    out: String,
    stack: Vec<Open>,
    family: Option<Family>,
    references: References,
    elements: usize,
    address: Url,
    base: Url,
    /// How many elements are open that were written as text.
    inline: usize,
    text: String,
    unresolved: String,
    /// The text holds tags that were not escaped.
    mixed: bool,
    durations: Vec<Option<u64>>,
    opaque: HashSet<String>,
    opaque_open: bool,
    mismatched: bool,
}

impl Writer {
    fn new(address: &Url) -> Self {
        Self {
            out: String::new(),
            stack: Vec::new(),
            family: None,
            references: References::default(),
            elements: 0,
            address: address.clone(),
            base: address.clone(),
            inline: 0,
            text: String::new(),
            unresolved: String::new(),
            mixed: false,
            durations: Vec::new(),
            opaque: HashSet::new(),
            opaque_open: false,
            mismatched: false,
        }
    }

    fn finish(mut self) -> Result<Repaired, FeedError> {
        let mut warnings = Vec::new();
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
        if self.family.is_none() {
            return Err(FeedError::NotAFeed(
                "no element of a feed is in it; look at its address in a browser",
            ));
        }
        Ok(Repaired {
            xml: self.out,
            base: self.base,
            opaque: self.opaque,
            durations: self.durations,
            warnings,
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
        let root = self.stack.is_empty();
        if root {
            self.family = Some(family(name)?);
        }
        let attributes = self.resolve_attributes(attributes);
        let (base, language) = self.inherited(&attributes);
        if root {
            self.base = base.clone();
        }
        let written = self.renamed(name, &attributes);
        let silent = written.is_empty() || self.stack.last().is_some_and(|open| open.silent);
        if !silent {
            self.out.push('<');
            self.out.push_str(&written);
            for (name, value) in self.mended(&written, attributes, &base, language.as_deref()) {
                self.out.push(' ');
                self.out.push_str(&name);
                self.out.push_str("=\"");
                push_escaped(&mut self.out, &value);
                self.out.push('"');
            }
            self.out.push('>');
        }
        self.stack.push(Open {
            name: written,
            source: name.to_owned(),
            base,
            language,
            silent,
        });
        Ok(())
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

    /// The base address and the language in force in an element (XML Base; XML 1.0, 2.12).
    fn inherited(&mut self, attributes: &[(String, String)]) -> (Url, Option<String>) {
        let own = |name: &str| {
            attributes
                .iter()
                .find(|(key, _)| key == name)
                .map(|(_, value)| value)
        };
        let outer = self.stack.last().map_or(&self.address, |open| &open.base);
        let base = own("xml:base").and_then(|base| outer.join(base).ok());
        let language = own("xml:lang").cloned();
        (
            base.unwrap_or_else(|| outer.clone()),
            language.or_else(|| self.stack.last().and_then(|open| open.language.clone())),
        )
    }

    /// The name to write; none if the element is to be left out.
    fn renamed(&mut self, name: &str, attributes: &[(String, String)]) -> String {
        if self.family != Some(Family::Atom) {
            if name == "item" {
                self.durations.push(None);
            }
            if name == "guid" {
                self.opaque_open = attributes.iter().any(|(key, value)| {
                    key == "isPermaLink" && value.trim().eq_ignore_ascii_case("false")
                });
            }
            return name.to_owned();
        }
        match local(name) {
            "content" if !is_readable_content(attributes) => String::new(),
            // Atom 0.3's names for the same things.
            "modified" => "updated".to_owned(),
            "issued" | "created" => "published".to_owned(),
            "tagline" => "subtitle".to_owned(),
            _ => name.to_owned(),
        }
    }

    fn mended(
        &self,
        name: &str,
        mut attributes: Vec<(String, String)>,
        base: &Url,
        language: Option<&str>,
    ) -> Vec<(String, String)> {
        let root = self.stack.is_empty();
        let family = self.family.unwrap_or(Family::Rss);
        attributes.retain_mut(|(key, value)| mend_attribute(key, value, base));
        if root {
            mend_root(family, &mut attributes);
        }
        if family == Family::Atom && is_text_construct(local(name)) {
            mend_type(&mut attributes);
        }
        // The parser hands on the base and language of the content element only.
        if family == Family::Atom && local(name) == "content" {
            attributes.retain(|(key, _)| key != "xml:base" && key != "xml:lang");
            attributes.push(("xml:base".to_owned(), base.to_string()));
            attributes.extend(language.map(|tag| ("xml:lang".to_owned(), tag.to_owned())));
        }
        attributes
    }

    /// Takes text, with its references resolved and as it is written.
    fn text(&mut self, resolved: &str, source: &str) {
        if !self.stack.last().is_none_or(|open| open.silent) {
            self.text.push_str(resolved);
            self.unresolved.push_str(source);
        }
    }

    /// Writes the text gathered since the last tag.
    fn flush(&mut self) {
        let resolved = std::mem::take(&mut self.text);
        let unresolved = std::mem::take(&mut self.unresolved);
        // Among tags that were not escaped, references are HTML's.
        let text = if std::mem::take(&mut self.mixed) {
            unresolved
        } else {
            resolved
        };
        let Some(open) = self.stack.last() else {
            return;
        };
        let name = local(&open.name);
        let text = match name {
            // An empty address would resolve to the feed's own.
            "link" | "guid" | "id" if text.trim().is_empty() => String::new(),
            "guid" => {
                if self.opaque_open {
                    self.opaque.insert(text.trim().to_owned());
                }
                text
            }
            "duration" => {
                let whole = whole_duration(&text);
                let seconds = whole.as_deref().and_then(|whole| whole.parse().ok());
                if let Some(duration) = self.durations.last_mut() {
                    *duration = seconds;
                }
                whole.unwrap_or_default()
            }
            "author" | "creator" | "managingEditor" | "webMaster" | "name" => set_mail_apart(&text),
            _ => text,
        };
        push_escaped(&mut self.out, &text);
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
            if !open.silent {
                self.out.push_str("</");
                self.out.push_str(&open.name);
                self.out.push('>');
            }
        }
    }

    /// Whether a tag stands where RSS has text only, and so belongs to HTML that was not escaped.
    fn is_inline_markup(&self, name: &str) -> bool {
        let texts = ["title", "description", "content:encoded"];
        self.inline > 0
            || self.family.is_some_and(|family| family != Family::Atom)
                && !name.contains(':')
                && self
                    .stack
                    .last()
                    .is_some_and(|open| texts.contains(&open.name.as_str()))
    }

    /// Takes a tag as text.
    fn inline(&mut self, source: &str, empty: bool, start: bool) {
        let void = ["<br", "<hr", "<img"]
            .iter()
            .any(|tag| source.to_ascii_lowercase().starts_with(tag));
        if start {
            self.mixed = true;
            self.inline += usize::from(!empty && !void);
        } else {
            // The end of what is open in the feed ends the text too, whatever is open in the HTML.
            let name = source[2..source.len() - 1].trim();
            if self.stack.iter().any(|open| open.source == name) {
                self.inline = 0;
                self.end(name);
                return;
            }
            self.inline -= 1;
        }
        self.text(source, source);
    }
}
