//! Items onto discs: which of them share discs. Never measures text.

use std::mem::discriminant;

use super::blocks::set_blocks;
use super::case::Case;
use super::disc::Disc;
use super::opening::set_opening;
use super::rows::{Foot, Row, set_rows};
use super::screen::Screen;
use super::weights::Weights;
use crate::distil::block::Block;
use crate::font::Typeface;

/// Something to be set.
#[derive(Clone, Debug)]
pub enum Item<'a> {
    /// A block of an article; blocks in a row share discs.
    Block(&'a Block),
    /// A block of an excerpt, which goes before the article's own blocks on discs of its own; those in a row share
    /// discs.
    Excerpt(&'a Block),
    /// The title and particulars of an article: a disc of their own, the title as large as it goes; two
    /// discs where both are long.
    Opening(Row<'a>),
    /// An index entry or a link. Entries in a row share discs, each whole; the foot of the disc
    /// stays free for going on.
    Entry(Row<'a>),
    /// What leads on from a page. Controls in a row share discs, each whole; the foot of the last
    /// of them is theirs too.
    Control(Row<'a>),
}

/// What items are set for, and how.
#[derive(Clone, Copy)]
pub struct Job<'a> {
    /// The screen.
    pub screen: Screen,
    /// The typeface.
    pub typeface: &'a Typeface,
    /// What faults cost.
    pub weights: Weights,
    /// Asked again and again whether the discs are still wanted.
    pub wanted: &'a (dyn Fn() -> bool + Sync),
}

/// Sets items on the discs of a screen.
///
/// Every word of the items stands on the discs, in order, once, but for texts of rows that are
/// longer than a row holds. No line is wider than its chord. It cannot fail.
pub fn typeset(items: &[Item], screen: &Screen, typeface: &Typeface) -> Vec<Disc> {
    Job::new(*screen, typeface).set(items).unwrap_or_default()
}

impl<'a> Job<'a> {
    /// A job in the usual manner, wanted to its end.
    pub fn new(screen: Screen, typeface: &'a Typeface) -> Self {
        Self {
            screen,
            typeface,
            weights: Weights::USUAL,
            wanted: &|| true,
        }
    }

    /// Sets items as [`typeset`] does; `None` where the discs were no longer wanted.
    pub fn set(&self, items: &[Item]) -> Option<Vec<Disc>> {
        let case = Case::new(&self.screen, self.typeface);
        let mut discs = Vec::new();
        let mut at = 0;
        while at < items.len() {
            let alike = |item: &&Item| discriminant(*item) == discriminant(&items[at]);
            let run = &items[at..at + items[at..].iter().take_while(alike).count()];
            let rows: Vec<&Row> = run.iter().filter_map(Item::row).collect();
            match &items[at] {
                Item::Block(_) | Item::Excerpt(_) => {
                    let blocks: Vec<&Block> = run.iter().filter_map(Item::block).collect();
                    discs.extend(set_blocks(&blocks, at, &case, self)?);
                }
                Item::Opening(_) => {
                    let openings = rows.iter().zip(at..);
                    discs.extend(
                        openings.flat_map(|(row, item)| set_opening(row, item, &case, self)),
                    );
                }
                Item::Entry(_) => discs.extend(set_rows(&rows, at, Foot::Free, &case, self)),
                Item::Control(_) => {
                    discs.extend(set_rows(&rows, at, Foot::TakenAtLast, &case, self));
                }
            }
            at += run.len();
        }
        Some(discs)
    }
}

impl<'a> Item<'a> {
    fn block(&self) -> Option<&'a Block> {
        match self {
            Self::Block(block) | Self::Excerpt(block) => Some(block),
            _ => None,
        }
    }

    fn row(&self) -> Option<&Row<'a>> {
        match self {
            Self::Opening(row) | Self::Entry(row) | Self::Control(row) => Some(row),
            Self::Block(_) | Self::Excerpt(_) => None,
        }
    }
}

#[cfg(test)]
#[path = "paginate_tests.rs"]
mod tests;
