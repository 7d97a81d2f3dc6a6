//! Text into runs: white space collapsed across elements, links numbered at their first text.

use std::collections::HashMap;
use std::rc::Rc;

use dom_query::NodeRef;

use super::context::Context;
use super::{Link, Run, Script, Style};
use crate::distil::formula::{read_tex, split_tex};
use crate::distil::plain::{
    MOST_TITLE, is_shown, marks_at_end, one_line, shortened, without_piles,
};

/// The most links of an article: each is a row on a watch, and a page of them is set at once.
const MOST_LINKS: usize = 500;

/// The links of an article, once an address.
#[derive(Default)]
pub(super) struct Links {
    pub links: Vec<Link>,
    indices: HashMap<Rc<str>, usize>,
    /// The address that was asked for last, and its index.
    latest: Option<(Rc<str>, Option<usize>)>,
    /// The link whose text is being gathered: the latest new one.
    gathering: Option<usize>,
}

impl Links {
    /// The index of an address, if it has one. The latest is kept, since each word of a link asks anew, and
    /// an address may be as long as the page.
    fn known(&mut self, address: &Rc<str>) -> Option<usize> {
        if let Some((latest, index)) = &self.latest
            && Rc::ptr_eq(latest, address)
        {
            return *index;
        }
        let index = self.indices.get(address).copied();
        self.latest = Some((Rc::clone(address), index));
        index
    }

    /// The index of an address, to whose first appearance the text belongs; `None` where there are
    /// as many links as an article has.
    fn index(&mut self, address: &Rc<str>, text: &str) -> Option<usize> {
        let index = match self.known(address) {
            Some(index) => index,
            None if self.links.len() >= MOST_LINKS => {
                self.gathering = None;
                return None;
            }
            None => self.add(address),
        };
        if self.gathering == Some(index) {
            self.links[index].text.push_str(text);
        }
        Some(index)
    }

    fn add(&mut self, address: &Rc<str>) -> usize {
        let index = self.links.len();
        self.links.push(Link {
            address: address.to_string(),
            text: String::new(),
        });
        self.indices.insert(Rc::clone(address), index);
        self.latest = Some((Rc::clone(address), Some(index)));
        self.gathering = Some(index);
        index
    }

    /// The links with the white space of their texts set right, and no text longer than a title.
    pub fn finish(self) -> Vec<Link> {
        let mut links = self.links;
        for link in &mut links {
            link.text = shortened(&one_line(&link.text), MOST_TITLE);
        }
        links
    }
}

/// The runs of a block under way.
#[derive(Default)]
pub(super) struct Inline {
    runs: Vec<Run>,
    /// A space is owed before the next word.
    space: bool,
}

impl Inline {
    /// Appends text as it stands in the tree. Formulas in TeX's notation are read out of it.
    pub fn push(&mut self, text: &str, context: &Context, links: &mut Links) {
        let computer = context.preformatted || context.style.code;
        if computer || !text.contains(['$', '\\']) {
            return self.push_plain(text, context, links);
        }
        for (piece, formula) in split_tex(text) {
            if !formula {
                self.push_plain(piece, context, links);
                continue;
            }
            for stretch in read_tex(piece) {
                let mut beside = context.clone();
                if stretch.script != Script::Baseline {
                    beside.style.script = stretch.script;
                }
                self.push_plain(&stretch.text, &beside, links);
            }
        }
    }

    fn push_plain(&mut self, text: &str, context: &Context, links: &mut Links) {
        if context.preformatted {
            // No font has a glyph for a tab; four spaces are common practice (no source).
            let text = text.replace('\t', "    ");
            let text = text.replace(|c: char| c != '\n' && !is_shown(c), "");
            let link = context
                .link
                .as_ref()
                .and_then(|address| links.index(address, &text));
            self.append(&text, context.style, link);
            return;
        }
        let text = text.replace(|c: char| !c.is_ascii_whitespace() && !is_shown(c), "");
        let mut first = true;
        for word in text.split(|c: char| c.is_ascii_whitespace()) {
            if !first {
                // A space alone starts no link.
                if let Some(address) = &context.link
                    && links.known(address).is_some()
                {
                    links.index(address, " ");
                }
                self.space = true;
            }
            first = false;
            if word.is_empty() {
                continue;
            }
            let link = context
                .link
                .as_ref()
                .and_then(|address| links.index(address, word));
            self.settle_space(context.style, link);
            self.append(word, context.style, link);
        }
        if context.link.is_none() {
            links.gathering = None;
        }
    }

    /// Writes the owed space, with what the text on both sides has in common.
    fn settle_space(&mut self, style: Style, link: Option<usize>) {
        let owed = std::mem::take(&mut self.space);
        let Some(last) = self.runs.last().filter(|_| owed) else {
            return;
        };
        if last.text.ends_with('\n') {
            return;
        }
        let common = if last.link == link { link } else { None };
        let style = common_style(last.style, style);
        self.append(" ", style, common);
    }

    fn append(&mut self, text: &str, style: Style, link: Option<usize>) {
        let backwards = self
            .runs
            .iter()
            .rev()
            .flat_map(|run| run.text.chars().rev());
        let text = &*without_piles(text, marks_at_end(backwards));
        match self.runs.last_mut() {
            Some(last) if last.style == style && last.link == link => last.text.push_str(text),
            _ if text.is_empty() => {}
            _ => self.runs.push(Run {
                text: text.to_owned(),
                style,
                link,
                cell: None,
            }),
        }
    }

    /// Whether nothing but a line end stands before what comes next.
    pub fn ends_line(&self) -> bool {
        self.runs.last().is_none_or(|run| run.text.ends_with('\n'))
    }

    /// Appends the author's line end.
    pub fn push_line_end(&mut self) {
        self.space = false;
        if let Some(last) = self.runs.last_mut() {
            last.text.push('\n');
        }
    }

    /// The runs, without white space at the ends; of preformatted text, without empty lines there.
    pub fn take(&mut self, preformatted: bool) -> Vec<Run> {
        self.space = false;
        let mut runs = std::mem::take(&mut self.runs);
        while let Some(last) = runs.last_mut() {
            let kept = last.text.trim_end_matches([' ', '\n']).len();
            last.text.truncate(kept);
            if kept > 0 {
                break;
            }
            runs.pop();
        }
        if preformatted {
            drop_empty_lines(&mut runs);
        }
        runs
    }
}

/// Drops the empty lines that runs begin with.
fn drop_empty_lines(runs: &mut Vec<Run>) {
    let blank =
        |run: &Run| run.text.trim_matches(['\n', ' ']).is_empty() && run.text.contains('\n');
    let empty = runs.iter().take_while(|run| blank(run)).count();
    runs.drain(..empty);
    if let Some(first) = runs.first_mut()
        && let Some(at) = first.text.find(|c| c != '\n' && c != ' ')
    {
        let line = first.text[..at].rfind('\n').map_or(0, |end| end + 1);
        first.text.drain(..line);
    }
}

fn common_style(left: Style, right: Style) -> Style {
    Style {
        emphasis: left.emphasis && right.emphasis,
        strong: left.strong && right.strong,
        code: left.code && right.code,
        label: left.label && right.label,
        script: if left.script == right.script {
            left.script
        } else {
            Script::Baseline
        },
    }
}

/// The text of an element on one line, with its styles and links.
pub(super) fn runs_of(element: NodeRef<'_>, context: &Context, links: &mut Links) -> Vec<Run> {
    let mut inline = Inline::default();
    let mut contexts = vec![context.clone()];
    let Some(mut node) = element.first_child() else {
        return Vec::new();
    };
    loop {
        if node.is_text() {
            if let Some(context) = contexts.last() {
                inline.push(&node.text(), context, links);
            }
        } else if let Some(name) = node.node_name() {
            let outer = contexts.last().unwrap_or(context);
            let inside = outer.inside(&name, node, 0);
            if !super::is_inline(&name) {
                inline.push(" ", &inside, links);
            }
            if let Some(child) = node.first_child() {
                contexts.push(inside);
                node = child;
                continue;
            }
        }
        loop {
            if let Some(sibling) = node.next_sibling() {
                node = sibling;
                break;
            }
            match node.parent() {
                Some(parent) if parent.id != element.id => node = parent,
                _ => return inline.take(false),
            }
            contexts.pop();
            if let (Some(name), Some(context)) = (node.node_name(), contexts.last())
                && !super::is_inline(&name)
            {
                inline.push(" ", context, links);
            }
        }
    }
}
