//! The sorts of a text, its marks, and what both come to. Cuts nothing.

use std::ops::Range;

use super::{Prepared, Setting, Substitute};
use crate::font::stacks;
use crate::typeset::case::{Look as SortLook, Sort, SortId, Widths, sum};
use crate::typeset::disc::{LineEnd, Mark};
use crate::typeset::units::Diameters;
use crate::typeset::words::SOFT_HYPHEN;

/// How many marks that lie above another are reckoned on one letter: the distiller leaves no more than
/// four. Ink of any height would fit nowhere.
const MOST_STACKED: u8 = 3;

impl Prepared<'_> {
    /// Sets the sorts of a stretch.
    pub(super) fn set_sorts(&mut self, text: &str, bytes: Range<usize>) {
        let Setting { case, stroked, .. } = self.setting;
        let mut number = self.looks.partition_point(|look| look.end <= bytes.start);
        let mut from = bytes.start;
        let mut marks = 0_u8;
        while from < bytes.end {
            let (to, mut look) = match self.looks.get(number) {
                Some(look) => (look.end.min(bytes.end), look.sorts()),
                None => (bytes.end, SortLook::default()),
            };
            look.stroked |= stroked;
            for seen in text[from..to].chars() {
                if seen == SOFT_HYPHEN {
                    continue;
                }
                look.stacked = 0;
                if stacks(seen) {
                    look.stacked = marks;
                    marks = (marks + 1).min(MOST_STACKED);
                } else {
                    marks = 0;
                }
                self.sorts.push(case.id(seen, look));
            }
            from = to;
            number += 1;
        }
    }

    /// The width of the sorts from one on.
    pub(super) fn width(&self, from: usize) -> Diameters {
        let sorts = self.setting.case.sorts();
        let ids = self.sorts[from..].iter();
        ids.map(|&id| sorts[id as usize].advance).sum()
    }

    /// The width of the sorts from one on in the font in which they are widest.
    pub(super) fn widest(&self, from: usize) -> Diameters {
        let substitutes = in_substitutes(&self.setting.case.sorts(), &self.sorts[from..]);
        substitutes.into_iter().fold(self.width(from), f64::max)
    }

    /// Makes room for the marks before lines.
    pub(super) fn lead(&mut self) {
        let (case, setting) = (self.setting.case, self.setting);
        let width = |mark: Mark| case.width(&mark.drawn());
        if let (Some(mark), Some(first)) = (setting.mark, self.fragments.first_mut()) {
            // Its like in white at the right keeps the line in the middle.
            self.hang = if setting.hangs { width(mark) } else { 0.0 };
            first.width += width(mark) + self.hang;
            self.mark_sorts = case.ids(&mark.drawn());
        }
        if let Some(mark) = setting.turned_over {
            for number in 1..self.fragments.len() {
                if self.pieces[number - 1].end != LineEnd::Set {
                    self.fragments[number].lead = width(mark);
                }
            }
            self.turned_over_sorts = case.ids(&mark.drawn());
        }
    }

    /// Sums up the widths in substitute fonts, and gathers the ink.
    pub(super) fn survey(&mut self) {
        let sorts = self.setting.case.sorts();
        let own = |ids: &[SortId]| in_substitutes(&sorts, ids);
        let mut at = Widths::default();
        let mut seen = 0;
        for (number, piece) in self.pieces.iter().enumerate() {
            let (from, to) = (piece.sorts.start as usize, piece.sorts.end as usize);
            // The spaces before it.
            at = sum(at, own(&self.sorts[seen..from]));
            let start = at;
            let marks = match number {
                0 if self.hang > 0.0 => 2,
                0 => 1,
                _ => 0,
            };
            for _ in 0..marks {
                at = sum(at, own(&self.mark_sorts));
            }
            at = sum(at, own(&self.sorts[from..to]));
            let hyphenated = number + 1 < self.pieces.len() && piece.end == LineEnd::Hyphen;
            self.substitutes.push(Substitute {
                start,
                end: at,
                hyphen: if hyphenated {
                    self.fragments[number].hyphen
                } else {
                    0.0
                },
            });
            seen = to;
        }
        let marks = self.mark_sorts.iter().chain(&self.turned_over_sorts);
        for &id in self.sorts.iter().chain(marks) {
            let sort = &sorts[id as usize];
            self.ink = self.ink.union(sort.ink);
            self.overhang = self.overhang.max(-sort.left).max(-sort.right);
        }
    }
}

/// The widths of sorts in each substitute font.
fn in_substitutes(sorts: &[Sort], ids: &[SortId]) -> Widths {
    let widths = ids.iter().map(|&id| sorts[id as usize].substitutes);
    widths.fold(Widths::default(), sum)
}
