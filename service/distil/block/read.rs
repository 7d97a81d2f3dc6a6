//! The walk through clean HTML that gathers its blocks. Iterative: no depth of nesting uses stack.

use dom_query::NodeRef;

use super::context::{Context, Holder};
use super::inline::{Inline, Links};
use super::notes::Notes;
use super::{Block, BlockKind, MOST_CHARACTERS, Marker, Script};
use super::{listing, table};

use crate::distil::language::{Direction, Language};

mod beside;
mod pictures;

use pictures::alternatives;

/// Gathers blocks while it enters and leaves the elements of a tree.
pub(super) struct Reader {
    pub blocks: Vec<Block>,
    pub links: Links,
    /// Whether rows of a table were left out.
    pub cut: bool,
    /// The bytes of the tables' rows, which labels and spans make longer than the HTML.
    of_tables: usize,
    contexts: Vec<Context>,
    inline: Inline,
    /// The context in which the present run of text began.
    begun: Option<Context>,
    lists: Vec<List>,
    /// For each open list item, its marker until a block has taken it.
    markers: Vec<Option<Marker>>,
    /// Alternative texts that wait for the end of the paragraph that they stand in.
    pictures: Vec<(String, Context)>,
    figures: usize,
    /// The texts of the present figure's pictures that no block has taken.
    alternatives: Vec<String>,
    /// The present figure has pictures.
    pictured: bool,
    notes: Notes,
    /// Notes that wait for the end of the paragraph that refers to them.
    waiting: Vec<Block>,
    /// The language of computers of the present listing, until a block has taken it.
    listing: Option<String>,
}

struct List {
    numbered: bool,
    next: i32,
    step: i32,
}

impl Reader {
    pub fn new(language: &Language) -> Self {
        Self {
            blocks: Vec::new(),
            cut: false,
            of_tables: 0,
            links: Links::default(),
            contexts: vec![Context::new(language)],
            inline: Inline::default(),
            begun: None,
            lists: Vec::new(),
            markers: Vec::new(),
            pictures: Vec::new(),
            figures: 0,
            alternatives: Vec::new(),
            pictured: false,
            notes: Notes::new(),
            waiting: Vec::new(),
            listing: None,
        }
    }

    /// Reads all that is in a node.
    pub fn read(&mut self, root: NodeRef<'_>) {
        let Some(mut node) = root.first_child() else {
            return;
        };
        loop {
            if self.enter(node) {
                if let Some(child) = node.first_child() {
                    node = child;
                    continue;
                }
                self.leave(node);
            }
            loop {
                if let Some(sibling) = node.next_sibling() {
                    node = sibling;
                    break;
                }
                match node.parent() {
                    Some(parent) if parent.id != root.id => node = parent,
                    _ => return self.flush(),
                }
                self.leave(node);
            }
        }
    }

    fn context(&self) -> Context {
        self.contexts
            .last()
            .cloned()
            .unwrap_or_else(|| Context::new(&Language::unknown()))
    }

    /// Enters a node; false if it is done with, children and all.
    fn enter(&mut self, node: NodeRef<'_>) -> bool {
        if node.is_text() {
            let context = self.context();
            let text = node.text();
            if self.begun.is_none() && (!text.trim_ascii().is_empty() || context.preformatted) {
                self.begun = Some(context.clone());
            }
            self.inline.push(&text, &context, &mut self.links);
            return false;
        }
        let Some(name) = node.node_name() else {
            return false;
        };
        match &*name {
            "br" => self.line_end(),
            "img" => self.picture(node),
            "hr" => self.rule(),
            "rp" => {}
            "a" if self.is_anchor(node) => {}
            "table" => {
                let room = MOST_CHARACTERS.saturating_sub(self.of_tables);
                if let Some(rows) = table::read(node, &self.context(), &mut self.links, room) {
                    self.flush();
                    let length =
                        |block: &Block| block.runs.iter().map(|run| run.text.len()).sum::<usize>();
                    self.of_tables += rows.blocks.iter().map(length).sum::<usize>();
                    self.cut |= rows.cut;
                    self.blocks.extend(rows.blocks);
                    self.refer_within(node);
                    self.flush();
                    return false;
                }
                self.enter_element(&name, node);
                return true;
            }
            _ => {
                self.enter_element(&name, node);
                return true;
            }
        }
        false
    }

    fn enter_element(&mut self, name: &str, node: NodeRef<'_>) {
        if !super::is_inline(name) {
            self.flush();
        }
        let mut context = self.context().inside(name, node, self.lists.len());
        match name {
            "a" if self.notes.contains_key(&node.id) => {
                context.link = None;
                if self.refer(node) {
                    context.style.script = Script::Superscript;
                }
            }
            "pre" => self.listing = listing::language(node),
            "ul" | "menu" | "dl" => self.lists.push(List {
                numbered: false,
                next: 1,
                step: 1,
            }),
            "ol" => self.lists.push(numbered(node)),
            "li" => {
                let marker = self.next_marker(node);
                self.markers.push(Some(marker));
            }
            // A term is an item, and its definitions are further paragraphs of it.
            "dt" => self.markers.push(Some(Marker::Bullet)),
            "dd" => self.markers.push(None),
            "figure" => {
                if self.figures == 0 {
                    self.alternatives = alternatives(node);
                    self.pictured = !self.alternatives.is_empty();
                }
                self.figures += 1;
            }
            "q" => self.punctuate("“", &context),
            "rt" => self.punctuate("(", &context),
            _ => {}
        }
        self.contexts.push(context);
    }

    fn leave(&mut self, node: NodeRef<'_>) {
        let Some(name) = node.node_name() else { return };
        let context = self.context();
        match &*name {
            "q" => self.punctuate("”", &context),
            "rt" => self.punctuate(")", &context),
            _ => {}
        }
        if !super::is_inline(&name) {
            self.flush();
        }
        self.contexts.pop();
        match &*name {
            "ul" | "menu" | "ol" | "dl" => {
                self.lists.pop();
            }
            "li" | "dt" | "dd" => {
                self.markers.pop();
            }
            "pre" => self.listing = None,
            "figure" => {
                self.figures -= 1;
                if self.figures == 0 {
                    self.push_pictures(&context);
                }
            }
            _ => {}
        }
    }

    fn punctuate(&mut self, mark: &str, context: &Context) {
        self.begun.get_or_insert_with(|| context.clone());
        self.inline.push(mark, context, &mut self.links);
    }

    fn next_marker(&mut self, item: NodeRef<'_>) -> Marker {
        let Some(list) = self.lists.last_mut().filter(|list| list.numbered) else {
            return Marker::Bullet;
        };
        let number = integer(item, "value").unwrap_or(list.next);
        list.next = number.saturating_add(list.step);
        Marker::Number(number)
    }

    /// Two line ends in a row part paragraphs, as many pages write them.
    fn line_end(&mut self) {
        if self.context().preformatted {
            let context = self.context();
            self.inline.push("\n", &context, &mut self.links);
        } else if self.inline.ends_line() {
            self.flush();
        } else {
            self.inline.push_line_end();
        }
    }

    fn rule(&mut self) {
        self.flush();
        if self
            .blocks
            .last()
            .is_some_and(|block| block.kind != BlockKind::Rule)
        {
            let context = self.context();
            self.blocks.push(context.block(BlockKind::Rule, Vec::new()));
        }
    }

    fn take_runs(&mut self) -> Vec<super::Run> {
        let preformatted = self
            .begun
            .take()
            .is_some_and(|context| context.preformatted);
        self.inline.take(preformatted)
    }

    /// Ends the present block.
    pub fn flush(&mut self) {
        let begun = self.begun.clone();
        let mut runs = self.take_runs();
        if let Some(context) = begun.filter(|_| !runs.is_empty()) {
            let kind = self.kind(&context);
            match kind {
                BlockKind::Picture => self.prepend_alternatives(&mut runs),
                BlockKind::Preformatted => {
                    let name = self.listing.take();
                    runs.splice(0..0, name.map(|name| label_line(&name)));
                }
                _ => {}
            }
            if !context.source || !self.sign(&mut runs) {
                self.blocks.push(context.block(kind, runs));
            }
        }
        for (text, context) in std::mem::take(&mut self.pictures) {
            let run = super::Run {
                text,
                ..super::Run::default()
            };
            self.blocks
                .push(context.block(BlockKind::Picture, vec![run]));
        }
        self.blocks.append(&mut self.waiting);
    }

    fn kind(&mut self, context: &Context) -> BlockKind {
        match context.holder {
            _ if context.preformatted => BlockKind::Preformatted,
            Holder::Heading(level) => BlockKind::Heading { level },
            Holder::Quotation => BlockKind::Quotation,
            Holder::Item { depth } => {
                let marker = self.markers.last_mut().and_then(Option::take);
                BlockKind::ListItem {
                    depth,
                    marker: marker.unwrap_or(Marker::None),
                }
            }
            Holder::Caption if self.pictured => BlockKind::Picture,
            Holder::Caption | Holder::Flow => BlockKind::Paragraph,
        }
    }
}

/// A line that names what follows it.
fn label_line(name: &str) -> super::Run {
    super::Run {
        text: format!("{name}\n"),
        style: super::Style {
            label: true,
            ..super::Style::default()
        },
        ..super::Run::default()
    }
}

fn integer(node: NodeRef<'_>, attribute: &str) -> Option<i32> {
    node.attr(attribute)?.trim().parse().ok()
}

fn numbered(node: NodeRef<'_>) -> List {
    let reversed = node.has_attr("reversed");
    let items = node
        .children_it(false)
        .filter(|child| child.has_name("li"))
        .count();
    let first = if reversed {
        i32::try_from(items).unwrap_or(i32::MAX)
    } else {
        1
    };
    List {
        numbered: true,
        next: integer(node, "start").unwrap_or(first),
        step: if reversed { -1 } else { 1 },
    }
}

/// The direction of a block: its element's, else its language's, else its text's.
pub(super) fn direction(declared: Option<Direction>, language: &Language, text: &str) -> Direction {
    declared
        .or_else(|| Direction::of_language(language))
        .unwrap_or_else(|| Direction::of_text(text))
}

/// The script of an element, inside one of another.
pub(super) fn script(name: &str, outer: Script) -> Script {
    match name {
        "sup" => Script::Superscript,
        "sub" => Script::Subscript,
        _ => outer,
    }
}
