//! The ends of the lines that a text can have, and how wide the lines are in substitute fonts. Breaks
//! none.

use std::ops::Range;

use super::Prepared;
use crate::distil::block::Script;
use crate::typeset::disc::LineEnd;
use crate::typeset::glyphs::{EndGlyph, LineEdge, PlacedGlyph, Widths, sum};
use crate::typeset::units::Diameters;

impl Prepared<'_> {
    /// The left end of a line that starts with a piece.
    pub fn left(&self, start: usize) -> &LineEdge {
        &self.lefts[start]
    }

    /// The right end of a line that ends before a piece.
    pub fn right(&self, end: usize) -> &LineEdge {
        &self.rights[end - 1]
    }

    /// Finds the outermost glyphs of every line that there can be, mark and hyphen with them.
    pub(super) fn measure_ends(&mut self) {
        let typeface = self.setting.typeface;
        let drawn = |character: char| PlacedGlyph::of(typeface.glyph(character), Script::Baseline);
        let mark: Vec<PlacedGlyph> = self
            .setting
            .mark
            .map(|mark| mark.drawn().chars().map(drawn).collect())
            .unwrap_or_default();
        let count = self.pieces.len();
        let em = self.setting.em;
        let edge = |placed: PlacedGlyph, bearing: f64| EndGlyph {
            advance: placed.advance * em,
            bearing: bearing * em,
            ink: placed.ink.scaled(em),
        };
        let ends = self.pieces.iter().enumerate().map(|(number, piece)| {
            let before = mark.iter().copied().filter(|_| number == 0);
            let after = (number + 1 < count && piece.end == LineEnd::Hyphen).then(|| drawn('-'));
            let (start, end) = (piece.bytes.start, piece.bytes.end);
            let forward = self.text[start..]
                .char_indices()
                .filter_map(|(at, character)| self.placed(start + at, character));
            let backward = self.text[..end]
                .char_indices()
                .rev()
                .filter_map(|(at, character)| self.placed(at, character));
            let left = LineEdge::gather(
                before
                    .chain(forward)
                    .map(|placed| edge(placed, placed.left)),
            );
            let right = LineEdge::gather(
                after
                    .into_iter()
                    .chain(backward)
                    .map(|placed| edge(placed, placed.right)),
            );
            (left, right)
        });
        (self.lefts, self.rights) = ends.unzip();
    }

    /// Sums up how wide the pieces are in substitute fonts, mark and spaces with them.
    pub(super) fn measure_substitutes(&mut self) {
        let drawn = |text: &str| {
            let glyphs = text
                .chars()
                .map(|character| self.setting.typeface.glyph(character).substitutes);
            glyphs.fold(Widths::default(), sum)
        };
        let scaled = |widths: Widths| widths.map(|width| width * self.setting.em);
        let mark = self
            .setting
            .mark
            .map_or(Widths::default(), |mark| scaled(drawn(&mark.drawn())));
        let space = scaled(drawn(" "));
        let mut before = Widths::default();
        let mut substitutes = Vec::with_capacity(self.pieces.len());
        for (number, piece) in self.pieces.iter().enumerate() {
            let text = self.text[piece.bytes.clone()].char_indices();
            let placed =
                text.filter_map(|(at, character)| self.placed(piece.bytes.start + at, character));
            let own = scaled(
                placed
                    .map(|placed| placed.substitutes)
                    .fold(Widths::default(), sum),
            );
            let width = if number == 0 { sum(own, mark) } else { own };
            substitutes.push((width, before));
            before = sum(before, width);
            if piece.end == LineEnd::Space {
                before = sum(before, space);
            }
        }
        self.substitutes = substitutes;
    }

    /// The width of a line in the substitute font in which it is widest.
    pub fn substitute_width(&self, line: &Range<usize>) -> Diameters {
        let (_, start) = self.substitutes[line.start];
        let (last, before) = self.substitutes[line.end - 1];
        let hyphenated =
            line.end < self.pieces.len() && self.pieces[line.end - 1].end == LineEnd::Hyphen;
        let hyphen = self.setting.typeface.glyph('-').substitutes;
        let width = |font: usize| {
            let hyphen = if hyphenated {
                hyphen[font] * self.setting.em
            } else {
                0.0
            };
            before[font] - start[font] + last[font] + hyphen
        };
        (0..last.len()).map(width).fold(0.0, f64::max)
    }
}
