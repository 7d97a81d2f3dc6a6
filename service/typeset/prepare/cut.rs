//! A text cut into pieces where its lines may end. Measures by sorts alone, and breaks no lines.

use std::ops::Range;

use unicode_linebreak::{BreakOpportunity, linebreaks};
use unicode_segmentation::UnicodeSegmentation;

use super::{Piece, Prepared, SUBSTITUTE_MARK};
use crate::typeset::ending::Ending;
use crate::typeset::linebreak::{Fragment, Space};
use crate::typeset::words::{
    SOFT_HYPHEN, address_points, ends_sentence, is_address, is_compound, is_held, is_plain_word,
    points_after_signs, token_around,
};

impl Prepared<'_> {
    /// Cuts all of it.
    pub(super) fn cut(&mut self) {
        let text = std::mem::take(&mut self.text);
        let mut from = 0;
        for (to, opportunity) in linebreaks(&text) {
            let set = opportunity == BreakOpportunity::Mandatory;
            if set || !is_held(&text, to) {
                self.segment(&text, from..to, set);
                from = to;
            }
        }
        self.text = text;
    }

    /// One segment between two opportunities: its words divided, its trailing space taken off. Words
    /// that are held together are divided only where they are wider together than the narrowest line.
    fn segment(&mut self, text: &str, bytes: Range<usize>, set: bool) {
        let visible = text[bytes.clone()].trim_end_matches([' ', '\n', '\r', '\t']);
        let end = bytes.start + visible.len();
        let spaced = text[end..bytes.end].contains([' ', '\t']);
        let token = token_around(text, bytes.start, end);
        let plain = token.split_whitespace().all(is_plain_word);
        let held = visible.contains([' ', '\u{a0}']);
        let (points, at_point) = if held && self.has_room_for(text, bytes.start..end) {
            (Vec::new(), Ending::Bare { join: true })
        } else if plain {
            let hyphen = Ending::Hyphen {
                compound: is_compound(token),
            };
            (self.setting.divider.points_within(visible), hyphen)
        } else if is_address(token) {
            (address_points(visible), Ending::Bare { join: true })
        } else {
            (points_after_signs(visible), Ending::Bare { join: true })
        };
        let mut from = bytes.start;
        for point in points {
            self.push(text, from..bytes.start + point, plain, at_point);
            from = bytes.start + point;
        }
        let ending = match visible.chars().next_back() {
            _ if set => Ending::Set,
            _ if spaced => Ending::Space {
                sentence: ends_sentence(visible, &text[bytes.end..]),
            },
            Some(SOFT_HYPHEN) => Ending::Hyphen { compound: false },
            Some('-' | '/' | '\u{2010}') => Ending::Bare { join: true },
            Some('–' | '—') => Ending::Dash,
            _ => Ending::Bare { join: false },
        };
        self.push(text, from..end, plain, ending);
        if spaced && !set {
            self.space(text, end..bytes.end);
        }
    }

    /// Whether a stretch stands on the narrowest line.
    fn has_room_for(&mut self, text: &str, bytes: Range<usize>) -> bool {
        let from = self.sorts.len();
        self.set_sorts(text, bytes);
        let width = self.width(from);
        self.sorts.truncate(from);
        width <= self.setting.narrowest - self.margin
    }

    /// Adds a piece, cut at every grapheme where it is wider than the narrowest line.
    fn push(&mut self, text: &str, bytes: Range<usize>, plain: bool, ending: Ending) {
        let from = self.sorts.len();
        self.set_sorts(text, bytes.clone());
        let width = self.width(from);
        let room = self.setting.narrowest - ending.hyphen(&self.setting) - self.margin;
        if width <= room {
            self.add(bytes, from, width, ending);
            return;
        }
        self.sorts.truncate(from);
        let parts = self.parts(text, bytes);
        let last = parts.len().saturating_sub(1);
        for (number, part) in parts.into_iter().enumerate() {
            let from = self.sorts.len();
            self.set_sorts(text, part.clone());
            let ending = if number == last {
                ending
            } else {
                Ending::Emergency { hyphen: plain }
            };
            self.add(part, from, self.width(from), ending);
        }
    }

    /// The graphemes of a stretch; of one that is wider in any font than the narrowest line beside its
    /// mark (joined pictures have no end), its characters. So there is always a line on which a first
    /// part stands with its mark: all but a disc's first and last are far wider.
    fn parts(&mut self, text: &str, bytes: Range<usize>) -> Vec<Range<usize>> {
        let mut parts = Vec::new();
        let emptied = self.sorts.len();
        let room = self.setting.narrowest - SUBSTITUTE_MARK * self.margin;
        for (at, grapheme) in text[bytes.clone()].grapheme_indices(true) {
            let from = bytes.start + at;
            let part = from..from + grapheme.len();
            self.set_sorts(text, part.clone());
            let width = self.widest(emptied);
            self.sorts.truncate(emptied);
            if width <= room {
                parts.push(part);
                continue;
            }
            let characters = grapheme.char_indices();
            parts.extend(
                characters.map(|(at, character)| from + at..from + at + character.len_utf8()),
            );
        }
        parts
    }

    fn add(&mut self, bytes: Range<usize>, from: usize, width: f64, ending: Ending) {
        self.fragments.push(Fragment {
            width,
            space: Space::default(),
            lead: 0.0,
            hyphen: ending.hyphen(&self.setting),
            end: ending.end(self.setting.weights),
            turn: ending.turn(self.setting.weights),
            characters: (self.sorts.len() - from) as u32,
        });
        self.pieces.push(Piece {
            bytes: bytes.start as u32..bytes.end as u32,
            sorts: from as u32..self.sorts.len() as u32,
            end: ending.line_end(),
        });
    }

    /// Puts the space after the last piece.
    fn space(&mut self, text: &str, bytes: Range<usize>) {
        let from = self.sorts.len();
        self.set_sorts(text, bytes);
        let width = self.width(from);
        if let Some(fragment) = self.fragments.last_mut() {
            fragment.space.width = width;
        }
    }
}
