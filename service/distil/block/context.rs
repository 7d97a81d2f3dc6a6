//! What holds at a place in the tree: language, direction, style, and the element that decides the
//! kind of block. Never gathers text.

use std::rc::Rc;

use dom_query::NodeRef;

use super::quoted;
use super::read::{direction, script};
use super::share::is_share;
use super::{Block, BlockKind, Run, Style};
use crate::distil::language::{Direction, Language};

/// The element that decides what a block is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Holder {
    Flow,
    Heading(u8),
    Quotation,
    Item { depth: u8 },
    Caption,
}

#[derive(Clone, Debug)]
pub(super) struct Context {
    language: Language,
    direction: Option<Direction>,
    pub style: Style,
    pub link: Option<Rc<str>>,
    pub preformatted: bool,
    pub holder: Holder,
    /// It is the source of a quotation.
    pub source: bool,
}

impl Context {
    pub fn new(language: &Language) -> Self {
        Self {
            language: language.clone(),
            direction: None,
            style: Style::default(),
            link: None,
            preformatted: false,
            holder: Holder::Flow,
            source: false,
        }
    }

    /// What holds of language and direction where an element stands, within what holds at the root.
    pub fn at(node: NodeRef<'_>, root: &Self) -> Self {
        let outer: Vec<NodeRef<'_>> = node.ancestors_it(None).collect();
        let mut context = root.clone();
        // Only the innermost that says a direction is asked, since to answer it may have to look at its text.
        let mut directed = None;
        for element in outer.into_iter().rev().chain([node]) {
            if context.read_language(element) {
                directed = None;
            }
            directed = Some(element).filter(says_direction).or(directed);
        }
        if let Some(element) = directed {
            context.read_direction(element);
        }
        context
    }

    /// What holds inside an element here, which stands within `lists` lists.
    pub fn inside(&self, name: &str, node: NodeRef<'_>, lists: usize) -> Self {
        let mut inside = self.clone();
        inside.read_language(node);
        inside.read_direction(node);
        if name == "a" {
            let address = node.attr("href").filter(|href| leads_out(href));
            inside.link = address.map(|href| Rc::from(&*href));
        }
        inside.preformatted |= name == "pre";
        inside.holder = match name {
            "h1" | "h2" | "h3" | "h4" | "h5" | "h6" => Holder::Heading(name.as_bytes()[1] - b'0'),
            "blockquote" => Holder::Quotation,
            "figcaption" => Holder::Caption,
            "li" | "dt" | "dd" => Holder::Item {
                depth: u8::try_from(lists.max(1)).unwrap_or(u8::MAX),
            },
            _ => inside.holder,
        };
        inside.source = match name {
            "blockquote" => false,
            _ => inside.source || quoted::is_source(name, node, self.holder),
        };
        inside.style = styled(inside.style, name);
        inside.style.label |= inside.source;
        inside
    }

    /// Takes what an element says of its language. True if it is another, whose direction is its own.
    fn read_language(&mut self, node: NodeRef<'_>) -> bool {
        let Some(language) = node.attr("lang").and_then(|tag| Language::parse(&tag)) else {
            return false;
        };
        let another = language.primary() != self.language.primary();
        if another {
            self.direction = None;
        }
        self.language = language;
        another
    }

    /// Takes what an element says of its direction.
    fn read_direction(&mut self, node: NodeRef<'_>) {
        self.direction = match said_direction(&node).as_deref() {
            Some("rtl") => Some(Direction::Rtl),
            Some("ltr") => Some(Direction::Ltr),
            Some("auto") => Some(direction_within(node)),
            _ => self.direction,
        };
    }

    pub fn block(&self, kind: BlockKind, runs: Vec<Run>) -> Block {
        let text: String = runs.iter().map(|run| run.text.as_str()).collect();
        Block {
            kind,
            direction: direction(self.direction, &self.language, &text),
            runs,
            language: self.language.clone(),
        }
    }
}

fn said_direction(node: &NodeRef<'_>) -> Option<String> {
    let said = node.attr("dir")?;
    Some(said.trim().to_ascii_lowercase())
}

fn says_direction(node: &NodeRef<'_>) -> bool {
    said_direction(node).is_some_and(|said| matches!(said.as_str(), "rtl" | "ltr" | "auto"))
}

/// The most nodes in an element that are looked at for its direction, and characters of each text: elements
/// inside one another may all ask for it.
const MOST_NODES: usize = 200;
const MOST_LOOKED_AT: usize = 1_000;

/// The direction of the text in an element.
fn direction_within(node: NodeRef<'_>) -> Direction {
    let mut looked_at = String::new();
    for inner in node.descendants_it().take(MOST_NODES) {
        if inner.is_text() {
            looked_at.extend(inner.text().chars().take(MOST_LOOKED_AT));
        }
        if looked_at.len() > MOST_LOOKED_AT || looked_at.contains(char::is_alphabetic) {
            break;
        }
    }
    Direction::of_text(&looked_at)
}

/// Whether an address leads to another page, and is none to share this one by.
fn leads_out(address: &str) -> bool {
    !address.starts_with('#') && !is_share(address)
}

fn styled(mut style: Style, name: &str) -> Style {
    match name {
        "em" | "i" | "cite" | "dfn" | "var" => style.emphasis = true,
        "strong" | "b" => style.strong = true,
        "code" | "kbd" | "samp" | "tt" => style.code = true,
        "dt" | "caption" | "summary" => style.label = true,
        _ => {}
    }
    style.script = script(name, style.script);
    style
}
