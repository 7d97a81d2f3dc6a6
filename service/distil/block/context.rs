//! What holds at a place in the tree: language, direction, style, and the element that decides the
//! kind of block. Never gathers text.

use std::rc::Rc;

use dom_query::NodeRef;

use super::read::{direction, script};
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
        }
    }

    /// What holds inside an element here, which stands within `lists` lists.
    pub fn inside(&self, name: &str, node: NodeRef<'_>, lists: usize) -> Self {
        let mut inside = self.clone();
        if let Some(language) = node.attr("lang").and_then(|tag| Language::parse(&tag)) {
            if language.primary() != inside.language.primary() {
                inside.direction = None;
            }
            inside.language = language;
        }
        match node
            .attr("dir")
            .map(|dir| dir.trim().to_ascii_lowercase())
            .as_deref()
        {
            Some("rtl") => inside.direction = Some(Direction::Rtl),
            Some("ltr") => inside.direction = Some(Direction::Ltr),
            Some("auto") => inside.direction = Some(Direction::of_text(&node.text())),
            _ => {}
        }
        if name == "a" {
            inside.link = node.attr("href").map(|href| Rc::from(&*href));
        }
        inside.preformatted |= name == "pre";
        inside.holder = match name {
            "h1" | "h2" | "h3" | "h4" | "h5" | "h6" => Holder::Heading(name.as_bytes()[1] - b'0'),
            "blockquote" => Holder::Quotation,
            "figcaption" => Holder::Caption,
            "li" => Holder::Item {
                depth: u8::try_from(lists.max(1)).unwrap_or(u8::MAX),
            },
            _ => inside.holder,
        };
        inside.style = styled(inside.style, name);
        inside
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

fn styled(mut style: Style, name: &str) -> Style {
    match name {
        "em" | "i" | "cite" | "dfn" | "var" => style.emphasis = true,
        "strong" | "b" => style.strong = true,
        "code" | "kbd" | "samp" | "tt" => style.code = true,
        "dt" | "caption" => style.label = true,
        _ => {}
    }
    style.script = script(name, style.script);
    style
}
