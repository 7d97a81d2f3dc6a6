//! The cells of a table on their lines. Knows no columns.

use std::ops::Range;

use crate::distil::block::Run;
use crate::typeset::case::{SortId, Widths, sum};
use crate::typeset::disc::Span;
use crate::typeset::linebreak::{End, Fragment};
use crate::typeset::prepare::{Prepared, Setting};
use crate::typeset::units::Diameters;

/// A cell, or a line of one, as it is set.
pub struct Measured {
    /// Its text.
    pub spans: Vec<Span>,
    /// Its sorts, the spaces with them.
    pub sorts: Vec<SortId>,
    /// Its width in the typeface.
    pub width: Diameters,
    /// Its width in each substitute font.
    pub substitutes: Widths,
}

impl Measured {
    /// Measures a cell on one line: none where it says nothing, and nothing at all where it has line
    /// ends of its own.
    pub fn of(runs: &[Run], setting: &Setting) -> Option<Option<Self>> {
        let text = Prepared::new(runs, setting);
        if has_line_ends(&text) {
            return None;
        }
        let whole = 0..text.fragments.len();
        Some((!whole.is_empty()).then(|| Self::of_pieces(&text, whole)))
    }

    /// A head on as few lines as make it as narrow as a column, but no more than so many.
    pub fn lines_of(
        runs: &[Run],
        column: Diameters,
        most: usize,
        setting: &Setting,
    ) -> Option<Vec<Self>> {
        let text = Prepared::new(runs, setting);
        if has_line_ends(&text) {
            return None;
        }
        if text.fragments.is_empty() {
            return Some(Vec::new());
        }
        let spaces = text.fragments.iter().enumerate();
        let mut ends: Vec<usize> = spaces
            .filter(|(_, fragment)| fragment.space.width > 0.0)
            .map(|(number, _)| number + 1)
            .collect();
        ends.push(text.fragments.len());
        let widths: Vec<f64> = widths_of_lines(&text, &ends, most);
        let enough = widths.iter().position(|&width| width <= column);
        // Where no number of lines is enough, the fewest of those that come nearest.
        let narrowest = widths.iter().copied().fold(f64::INFINITY, f64::min);
        let nearest = widths.iter().position(|&width| width <= narrowest + 1e-9);
        let width = widths[enough.or(nearest).unwrap_or(0)];
        let mut lines = Vec::new();
        let mut from = 0;
        while from < text.fragments.len() {
            let fitting = ends.iter().filter(|&&end| end > from);
            let fits = |&&end: &&usize| text.width_of(&(from..end)) <= width + 1e-9;
            let to = fitting.take_while(fits).last().copied();
            let to = to.unwrap_or(text.fragments.len());
            lines.push(Self::of_pieces(&text, from..to));
            from = to;
        }
        Some(lines)
    }

    fn of_pieces(text: &Prepared, pieces: Range<usize>) -> Self {
        let before = text.sorts_from(0).count() - text.sorts_from(pieces.start).count();
        let mut ids: Vec<SortId> = text.sorts_before(pieces.end).collect();
        ids.reverse();
        let ids = ids.split_off(before);
        let case = text.case().sorts();
        let sorts = || ids.iter().map(|&id| &case[id as usize]);
        Self {
            width: sorts().map(|sort| sort.advance).sum(),
            substitutes: sorts()
                .map(|sort| sort.substitutes)
                .fold(Widths::default(), sum),
            spans: text.line(pieces.start, pieces.end).0,
            sorts: ids,
        }
    }
}

/// Whether a text has line ends that its author set.
fn has_line_ends(text: &Prepared) -> bool {
    let before = text.fragments.split_last().map(|(_, before)| before);
    let set = |fragment: &Fragment| fragment.end == End::Must;
    before.is_some_and(|before| before.iter().any(set))
}

/// The least width that a text's lines have, on one line, two, and so on, where they may end before
/// some of its pieces.
fn widths_of_lines(text: &Prepared, ends: &[usize], most: usize) -> Vec<f64> {
    let width = |from: usize, to: usize| {
        let start = from.checked_sub(1).map_or(0, |before| ends[before]);
        text.width_of(&(start..ends[to]))
    };
    let count = ends.len();
    // The width of the first words, by how many there are, on one line more each time.
    let mut widest: Vec<f64> = (0..count).map(|to| width(0, to)).collect();
    let mut of_lines = Vec::new();
    for _ in 0..most {
        of_lines.push(widest.last().copied().unwrap_or(0.0));
        let with_last = |to: usize| {
            let on_last = (1..=to).map(|from| widest[from - 1].max(width(from, to)));
            on_last.fold(widest[to], f64::min)
        };
        widest = (0..count).map(with_last).collect();
    }
    of_lines
}
