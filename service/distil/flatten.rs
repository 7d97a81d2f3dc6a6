//! Strangers' HTML written anew, so that no parser behind it meets deep nesting, endless
//! attributes or unclosed formatting. Linear in the input; never judges what is safe to show.
//!
//! A counting scan in front of the parser could be fooled, since a comment, a raw text element or
//! an unclosed quote may mean one thing to it and another to the parser. So the parser sees only
//! what this file writes: no comments, no foreign elements, every attribute quoted, every element
//! closed in order and none deeper than the limit. What is too deep loses its tags, not its text.
//! What formulas, sound and film say is written as text, since their elements go; what its author
//! hides is not written.

use std::collections::HashMap;

mod foreign;
mod hidden;
mod limits;
mod media;
mod rules;
mod tokens;
mod told;

pub use limits::Limits;

use hidden::{is_formula_beside, is_spoken_label, sight};
use media::Embedded;
use rules::{
    closable_by_start, closed_by_start, drops_content, end_boundary, is_formatting, is_raw_text,
    is_table_part, is_table_structure, is_void,
};
use tokens::{Attribute, Token, Tokens};

/// Which kind of HTML it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A whole document: `head`, `title` and structured data stay.
    Page,
    /// The inside of an article: what belongs to a form goes.
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
            Token::Start {
                name, attributes, ..
            } if is_raw_text(&name) => {
                let content = tokens.raw_text(&name);
                writer.raw(&name, &attributes, content);
            }
            Token::Start {
                name, attributes, ..
            } => writer.element(name, &attributes, &mut tokens),
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
    /// Its text has no size.
    no_size: bool,
    /// Its text is not seen.
    invisible: bool,
}

struct Writer {
    kind: Kind,
    limits: Limits,
    out: String,
    stack: Vec<Open>,
    /// The stack's length when an element was entered that is left out with all that is in it.
    silent_from: Option<usize>,
    /// What is told of that element once it ends.
    embedded: Option<Embedded>,
    formatting: usize,
    elements: usize,
    /// How many characters of `out` are ampersands or spaces that do not break, or become such.
    escapes: u64,
    /// The elements before each element and text that was written into a table but into no cell, together.
    fostered: u64,
    /// The elements around each element that was written, together.
    nesting: u64,
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
            embedded: None,
            formatting: 0,
            elements: 0,
            escapes: 0,
            fostered: 0,
            nesting: 0,
            open: HashMap::new(),
            ignored: HashMap::new(),
            document: [false; 3],
            flattened: false,
            cut: false,
        }
    }

    fn finish(mut self) -> Flat {
        self.pop_to(0);
        Flat {
            html: self.out,
            flattened: self.flattened,
            cut: self.cut,
        }
    }

    /// Whether text that stands here is seen.
    fn is_seen(&self) -> bool {
        let seen = |open: &Open| !open.no_size && !open.invisible;
        self.silent_from.is_none() && self.stack.last().is_none_or(seen)
    }

    fn text(&mut self, text: &str) {
        // White space without a size parts words all the same.
        if self.is_seen() || self.silent_from.is_none() && text.trim_ascii().is_empty() {
            // Never more than the limit by one long text.
            let room = self.limits.bytes.saturating_sub(self.out.len()) + 1;
            let end = (0..=room.min(text.len()))
                .rev()
                .find(|at| text.is_char_boundary(*at));
            let text = self.within_escapes(&text[..end.unwrap_or(0)]);
            if !text.trim_ascii().is_empty() {
                self.count_fostered();
            }
            push_text(&mut self.out, text);
        }
    }

    fn start(&mut self, name: String, attributes: &[Attribute<'_>], inside: &Tokens<'_>) {
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
        let sight = sight(&name, attributes);
        let hidden = sight.hidden || is_spoken_label(&name, attributes, inside);
        if self.silent_from.is_some()
            && let Some(embedded) = &mut self.embedded
        {
            embedded.add(&name, attributes);
        }
        if is_void(&name) {
            if name == "embed" && !hidden && self.silent_from.is_none() {
                self.tell(Embedded::of(&name, attributes));
            } else if !hidden && self.silent_from.is_none() && (name != "img" || self.is_visible())
            {
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
            if anchor && !too_deep {
                self.write_place(attributes);
            }
            *self.ignored.entry(name).or_default() += 1;
            return;
        }
        if self.silent_from.is_none() {
            if hidden || drops_content(&name, self.kind) {
                self.silent_from = Some(self.stack.len());
                self.embedded = match hidden {
                    true => None,
                    false => Embedded::of(&name, attributes),
                };
            } else {
                self.write_start(&name, attributes);
            }
        }
        self.formatting += usize::from(formatting);
        *self.open.entry(name.clone()).or_default() += 1;
        let outer = self.stack.last();
        self.stack.push(Open {
            no_size: sight
                .no_size
                .unwrap_or(outer.is_some_and(|outer| outer.no_size)),
            invisible: sight
                .invisible
                .unwrap_or(outer.is_some_and(|outer| outer.invisible)),
            name,
            formatting,
        });
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
                Some(from) if from == self.stack.len() => {
                    self.silent_from = None;
                    let embedded = self.embedded.take();
                    self.tell(embedded);
                }
                Some(_) => {}
            }
        }
    }

    fn write_start(&mut self, name: &str, attributes: &[Attribute<'_>]) {
        self.elements += 1;
        self.nesting += self.stack.len() as u64;
        if !is_table_part(name) {
            self.count_fostered();
        }
        self.out.push('<');
        self.out.push_str(name);
        let beside = attributes.iter().any(is_formula_beside);
        for attribute in attributes {
            if beside && ["style", "hidden", "aria-hidden"].contains(&attribute.name.as_str()) {
                continue;
            }
            self.out.push(' ');
            self.out
                .push_str(rules::attribute_name(&attribute.name, attributes));
            self.out.push_str("=\"");
            let value = self.within_escapes(attribute.value);
            match (name, attribute.name.as_str()) {
                ("a", "href") => push_attribute(&mut self.out, rules::href(value)),
                _ => push_attribute(&mut self.out, value),
            }
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
