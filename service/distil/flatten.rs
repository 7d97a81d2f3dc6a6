//! Strangers' HTML written anew, so that no parser behind it meets deep nesting, endless
//! attributes or unclosed formatting. Linear in the input; never judges what is safe to show.
//!
//! A counting scan in front of the parser could be fooled, since a comment, a raw text element or
//! an unclosed quote may mean one thing to it and another to the parser. So the parser sees only
//! what this file writes: no comments, no foreign elements, every attribute quoted, every element
//! closed in order and none deeper than the limit. What is too deep loses its tags, not its text.

use std::collections::HashMap;

mod rules;
mod tokens;

use rules::{
    closable_by_start, closed_by_start, drops_content, end_boundary, is_formatting, is_hidden,
    is_raw_text, is_table_structure, is_void,
};
use tokens::{Attribute, Token, Tokens};

/// Limits on what is written; anything beyond is left out, and [`Flat`] says so.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Elements inside one another. HTML parsers take time quadratic in this.
    pub depth: usize,
    /// Formatting elements inside one another: a parser may write all that are open anew into
    /// each following paragraph.
    pub formatting: usize,
    /// Elements in all.
    pub elements: usize,
    /// Bytes written.
    pub bytes: usize,
    /// Bytes written, times the characters among them that printers of HTML write as references: the one
    /// behind the sanitiser looks through the rest of a text anew at each of them.
    pub escapes: u64,
}

impl Limits {
    /// What a page or an article may have. Ordinary pages are some 30 deep and have a few
    /// thousand elements (common practice, no source).
    pub const ORDINARY: Self = Self {
        depth: 512,
        formatting: 48,
        elements: 100_000,
        bytes: 4_000_000,
        escapes: 20_000_000_000,
    };
}

/// Which kind of HTML it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A whole document: `head`, `title` and structured data stay.
    Page,
    /// The inside of an article: what is hidden or belongs to a form goes.
    Content,
}

/// The HTML as written anew.
#[derive(Clone, Debug)]
pub struct Flat {
    /// Balanced, shallow HTML.
    pub html: String,
    /// Tags were left out because they stood too deep.
    pub flattened: bool,
    /// The end was left out because there was too much.
    pub cut: bool,
}

/// Writes HTML anew within limits.
pub fn flatten(html: &str, kind: Kind, limits: Limits) -> Flat {
    let mut writer = Writer::new(kind, limits);
    let mut tokens = Tokens::new(html);
    while let Some(token) = tokens.next() {
        match token {
            Token::Text(text) => writer.text(text),
            Token::Start { name, attributes } if is_raw_text(&name) => {
                let content = tokens.raw_text(&name);
                writer.raw(&name, &attributes, content);
            }
            Token::Start { name, attributes } => writer.start(name, &attributes),
            Token::End { name } => writer.end(&name),
        }
        if writer.is_full() {
            writer.cut = true;
            break;
        }
    }
    writer.finish()
}

struct Open {
    name: String,
    formatting: bool,
}

struct Writer {
    kind: Kind,
    limits: Limits,
    out: String,
    stack: Vec<Open>,
    /// The stack's length when an element was entered that is left out with all that is in it.
    silent_from: Option<usize>,
    formatting: usize,
    elements: usize,
    /// How many characters of `out` are ampersands or spaces that do not break, or become such.
    escapes: u64,
    /// How many open elements have a name, so that most searches of the stack need not be made.
    open: HashMap<String, usize>,
    /// Start tags left out, by name, so that their end tags close nothing else.
    ignored: HashMap<String, usize>,
    /// `html`, `head` and `body` have been written.
    document: [bool; 3],
    flattened: bool,
    cut: bool,
}

impl Writer {
    fn new(kind: Kind, limits: Limits) -> Self {
        let out = if kind == Kind::Page {
            "<!DOCTYPE html>".to_owned()
        } else {
            String::new()
        };
        Self {
            kind,
            limits,
            out,
            stack: Vec::new(),
            silent_from: None,
            formatting: 0,
            elements: 0,
            escapes: 0,
            open: HashMap::new(),
            ignored: HashMap::new(),
            document: [false; 3],
            flattened: false,
            cut: false,
        }
    }

    fn is_full(&self) -> bool {
        self.out.len() > self.limits.bytes || self.elements > self.limits.elements
    }

    fn finish(mut self) -> Flat {
        self.pop_to(0);
        Flat {
            html: self.out,
            flattened: self.flattened,
            cut: self.cut,
        }
    }

    fn text(&mut self, text: &str) {
        if self.silent_from.is_none() {
            // Never more than the limit by one long text.
            let room = self.limits.bytes.saturating_sub(self.out.len()) + 1;
            let end = (0..=room.min(text.len()))
                .rev()
                .find(|at| text.is_char_boundary(*at));
            let text = self.within_escapes(&text[..end.unwrap_or(0)]);
            push_text(&mut self.out, text);
        }
    }

    /// As much of a text as keeps to the limit of what printers look through; the rest is left out.
    fn within_escapes<'text>(&mut self, text: &'text str) -> &'text str {
        let before = self.out.len();
        let room = |escapes: u64| {
            let bytes = usize::try_from(self.limits.escapes / escapes.max(1));
            bytes.unwrap_or(usize::MAX).saturating_sub(before)
        };
        let mut escapes = self.escapes;
        let mut end = text.len();
        for (at, _) in text.match_indices(['&', '\u{a0}']) {
            if at >= room(escapes + 1) {
                end = at;
                break;
            }
            escapes += 1;
        }
        // What follows the last of them is looked through as well.
        let mut end = end.min(room(escapes));
        while !text.is_char_boundary(end) {
            end -= 1;
        }
        self.escapes = escapes;
        self.cut |= end < text.len();
        &text[..end]
    }

    /// An element whose content is not markup: only a page's title and structured data are kept.
    fn raw(&mut self, name: &str, attributes: &[Attribute<'_>], content: &str) {
        if self.kind != Kind::Page || self.silent_from.is_some() {
            return;
        }
        self.elements += 1;
        if name == "title" {
            self.out.push_str("<title>");
            push_text(&mut self.out, content);
            self.out.push_str("</title>");
        }
        let structured = attributes.iter().any(|attribute| {
            attribute.name == "type" && attribute.value.eq_ignore_ascii_case("application/ld+json")
        });
        if name == "script" && structured {
            self.out.push_str("<script type=\"application/ld+json\">");
            // Inside JSON strings this spelling is the same character, and no tag can begin.
            self.out.push_str(&content.replace('<', "\\u003c"));
            self.out.push_str("</script>");
        }
    }

    fn start(&mut self, name: String, attributes: &[Attribute<'_>]) {
        if let Some(place) = ["html", "head", "body"]
            .iter()
            .position(|known| *known == name)
        {
            if self.kind == Kind::Page && !self.document[place] && self.silent_from.is_none() {
                self.document[place] = true;
                self.write_start(&name, attributes);
            }
            return;
        }
        while closable_by_start(&name).any(|closable| self.is_open(closable)) {
            let Some(index) = closed_by_start(self.names(), &name, self.is_open("p")) else {
                break;
            };
            self.pop_to(index);
        }
        let hidden = self.kind == Kind::Content && is_hidden(attributes);
        if is_void(&name) {
            if !hidden && self.silent_from.is_none() {
                self.write_start(&name, attributes);
            }
            return;
        }
        let formatting = is_formatting(&name);
        let misplaced = formatting
            && self
                .stack
                .last()
                .is_some_and(|top| is_table_structure(&top.name));
        let too_deep = self.stack.len() >= self.limits.depth
            || formatting && self.formatting >= self.limits.formatting;
        let anchor = name == "a" && !attributes.iter().any(|attribute| attribute.name == "href");
        if misplaced || too_deep || anchor {
            self.flattened |= too_deep;
            // It was walked over, so that it counts.
            self.elements += 1;
            *self.ignored.entry(name).or_default() += 1;
            return;
        }
        if self.silent_from.is_none() {
            if hidden || drops_content(&name, self.kind) {
                self.silent_from = Some(self.stack.len());
            } else {
                self.write_start(&name, attributes);
            }
        }
        self.formatting += usize::from(formatting);
        *self.open.entry(name.clone()).or_default() += 1;
        self.stack.push(Open { name, formatting });
    }

    fn end(&mut self, name: &str) {
        if is_void(name) || ["html", "head", "body"].contains(&name) {
            return;
        }
        if let Some(count) = self.ignored.get_mut(name).filter(|count| **count > 0) {
            *count -= 1;
            return;
        }
        if !self.is_open(name) {
            return;
        }
        for index in (0..self.stack.len()).rev() {
            if self.stack[index].name == name {
                self.pop_to(index);
                return;
            }
            if end_boundary(&self.stack[index].name, name) {
                return;
            }
        }
    }

    fn is_open(&self, name: &str) -> bool {
        self.open.get(name).is_some_and(|count| *count > 0)
    }

    fn names(&self) -> impl DoubleEndedIterator<Item = &str> + ExactSizeIterator {
        self.stack.iter().map(|open| open.name.as_str())
    }

    /// Closes all elements from the innermost one to that at `index`.
    fn pop_to(&mut self, index: usize) {
        while self.stack.len() > index {
            let Some(open) = self.stack.pop() else { return };
            self.formatting -= usize::from(open.formatting);
            if let Some(count) = self.open.get_mut(&open.name) {
                *count -= 1;
            }
            match self.silent_from {
                None => {
                    self.out.push_str("</");
                    self.out.push_str(&open.name);
                    self.out.push('>');
                }
                Some(from) if from == self.stack.len() => self.silent_from = None,
                Some(_) => {}
            }
        }
    }

    fn write_start(&mut self, name: &str, attributes: &[Attribute<'_>]) {
        self.elements += 1;
        self.out.push('<');
        self.out.push_str(name);
        for attribute in attributes {
            self.out.push(' ');
            // XHTML's spelling of the same thing.
            let name = if attribute.name == "xml:lang" {
                "lang"
            } else {
                &attribute.name
            };
            self.out.push_str(name);
            self.out.push_str("=\"");
            let value = self.within_escapes(attribute.value);
            push_attribute(&mut self.out, value);
            self.out.push('"');
        }
        self.out.push('>');
    }
}

/// References stay as they are; only what could begin a tag is written as one.
fn push_text(out: &mut String, text: &str) {
    for piece in text.split_inclusive(['<', '\0']) {
        match piece.strip_suffix('<') {
            Some(before) => {
                out.push_str(before);
                out.push_str("&lt;");
            }
            None => out.push_str(piece.trim_end_matches('\0')),
        }
    }
}

fn push_attribute(out: &mut String, value: &str) {
    for piece in value.split_inclusive(['"', '\0']) {
        match piece.strip_suffix('"') {
            Some(before) => {
                out.push_str(before);
                out.push_str("&quot;");
            }
            None => out.push_str(piece.trim_end_matches('\0')),
        }
    }
}

#[cfg(test)]
mod tests;
