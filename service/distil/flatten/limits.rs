//! How much is written of a stranger's HTML, and what is counted for it. Never writes.

use super::Writer;
use super::rules::is_table_structure;

/// Limits on what is written; anything beyond is left out, and [`Flat`](super::Flat) says so.
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
    /// Elements and texts that stand in a table but in no cell, times the elements before each. A parser moves
    /// them before their table, and the one of the sanitiser goes through all that stands there already.
    pub fostered: u64,
    /// The elements around each element, together: parsers look through those that are open again and again.
    pub nesting: u64,
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
        fostered: 300_000_000,
        nesting: 8_000_000,
    };

    /// No HTML of fewer bytes is beyond any of the ordinary limits: an element has three bytes at least, so
    /// that it takes 46,000 for the nesting, which is the nearest.
    pub const LEAST_CUT: usize = 30_000;
}

impl Writer {
    /// Whether nothing more is to be written.
    pub(super) fn is_full(&self) -> bool {
        self.out.len() > self.limits.bytes
            || self.elements > self.limits.elements
            || self.fostered > self.limits.fostered
            || self.nesting > self.limits.nesting
    }

    /// Counts what is about to be written, if a parser would move it before a table.
    pub(super) fn count_fostered(&mut self) {
        let top = self.stack.last();
        if top.is_some_and(|top| is_table_structure(&top.name)) {
            self.fostered += self.elements as u64;
        }
    }

    /// As much of a text as keeps to the limit of what printers look through; the rest is left out.
    pub(super) fn within_escapes<'text>(&mut self, text: &'text str) -> &'text str {
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
}
