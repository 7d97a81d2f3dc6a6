//! What follows a block or goes along with it: notes after their paragraph, sources below quotations. Never
//! decides what is a note or a source.

use dom_query::NodeRef;

use super::Reader;
use crate::distil::block::context::Holder;
use crate::distil::block::inline::runs_of;
use crate::distil::block::{BlockKind, Run, notes};

impl Reader {
    /// Takes the notes out of a tree that is to be read.
    pub fn take_notes(&mut self, root: NodeRef<'_>) {
        self.notes = notes::take_notes(root, &self.context());
    }

    /// Reads the note to which a link refers, and those to which it refers itself. Whether the link is a figure or
    /// a sign, which is raised.
    pub(super) fn refer(&mut self, link: NodeRef<'_>) -> bool {
        let Some(note) = self.notes.remove(&link.id) else {
            return false;
        };
        let body = NodeRef::new(note.body, link.tree);
        let text = runs_of(body, &note.context, &mut self.links);
        let runs = notes::marked(&note.marker, text);
        if !runs.is_empty() {
            self.waiting.push(note.context.block(BlockKind::Note, runs));
        }
        self.refer_within(body);
        notes::is_sign(notes::core_of(&note.marker))
    }

    /// Reads the notes to which links within an element refer.
    pub(super) fn refer_within(&mut self, element: NodeRef<'_>) {
        if self.notes.is_empty() {
            return;
        }
        let links: Vec<NodeRef<'_>> = element
            .descendants_it()
            .filter(|node| node.has_name("a"))
            .collect();
        for link in links {
            self.refer(link);
        }
    }

    /// Whether a link in a heading leads to that heading alone, for who would copy its address: such have a sign and
    /// no text (common practice, no source).
    pub(super) fn is_anchor(&self, link: NodeRef<'_>) -> bool {
        matches!(self.context().holder, Holder::Heading(_))
            && link.children_it(false).count() <= 1
            && matches!(link.text().trim(), "¶" | "#" | "§" | "🔗")
    }

    /// Sets the source of a quotation below it, in the block that ends it. False where there is none.
    pub(super) fn sign(&mut self, runs: &mut Vec<Run>) -> bool {
        let Some(last) = self
            .blocks
            .last_mut()
            .filter(|last| last.kind == BlockKind::Quotation)
        else {
            return false;
        };
        if let Some(run) = last.runs.last_mut() {
            run.text.push('\n');
        }
        last.runs.append(runs);
        true
    }
}
