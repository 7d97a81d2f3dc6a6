//! Text into fragments: where lines may end, and how wide what lies between is. Never breaks lines.

use std::ops::Range;

use unicode_linebreak::{BreakOpportunity, linebreaks};
use unicode_segmentation::UnicodeSegmentation;

use super::case::{Case, Look as SortLook, SortId, Widths, sum};
use super::disc::{LineEnd, Mark, Span};
use super::ending::Ending;
use super::hyphenate::Divider;
use super::linebreak::{End, Fragment, Space};
use super::units::Diameters;
use super::weights::Weights;
use super::words::{
    SOFT_HYPHEN, address_points, ends_sentence, is_address, is_compound, is_held, is_plain_word,
    points_after_signs, token_around,
};
use crate::distil::block::{Run, Style};
use crate::font::{Ink, stacks};

/// A text that is ready to be broken into lines.
pub struct Prepared<'a> {
    setting: Setting<'a>,
    text: String,
    looks: Vec<Look>,
    pieces: Vec<Piece>,
    /// One a piece, in diameters.
    pub fragments: Vec<Fragment>,
    /// The sorts of all that is seen, the spaces between pieces with them.
    sorts: Vec<SortId>,
    mark_sorts: Vec<SortId>,
    /// Where each piece begins and ends in substitute fonts, mark and spaces with it.
    substitutes: Vec<(Widths, Widths)>,
    /// The ink of all of it.
    pub ink: Ink,
    /// How far the ink of a sort hangs over its advance at the most.
    pub overhang: Diameters,
    /// The width of the mark that hangs out at the left of its first line; nought where none does.
    pub hang: Diameters,
}

/// Up to which byte of the text which look goes.
struct Look {
    end: usize,
    style: Style,
    linked: bool,
}

struct Piece {
    bytes: Range<u32>,
    sorts: Range<u32>,
    end: LineEnd,
}

/// How a text is to be set.
#[derive(Clone, Copy)]
pub struct Setting<'a> {
    /// The sorts of its typeface at its size.
    pub case: &'a Case<'a>,
    /// What faults cost.
    pub weights: &'a Weights,
    /// Where its words may be divided.
    pub divider: Divider,
    /// The narrowest line that it may have to stand on: a run wider than that is divided anywhere.
    pub narrowest: Diameters,
    /// What is drawn before it.
    pub mark: Option<Mark>,
    /// Whether that hangs out at the left of the first line, and the line is centred without it.
    pub hangs: bool,
    /// What is drawn before a line that goes on with one that its author did not end.
    pub turned_over: Option<Mark>,
    /// Whether several spaces together are the author's and stay.
    pub keep_spaces: bool,
    /// Whether a stroke is drawn around all of it, as around headings.
    pub stroked: bool,
}

impl<'a> Prepared<'a> {
    /// Cuts runs into fragments and measures them.
    pub fn new(runs: &[Run], setting: &Setting<'a>) -> Self {
        let mut text = String::new();
        let mut looks = Vec::new();
        for run in runs {
            text.push_str(&run.text);
            looks.push(Look {
                end: text.len(),
                style: run.style,
                linked: run.link.is_some(),
            });
        }
        if setting.keep_spaces {
            (text, looks) = hold_spaces(&text, &looks);
        }
        let mut prepared = Self {
            setting: *setting,
            text,
            looks,
            pieces: Vec::new(),
            fragments: Vec::new(),
            sorts: Vec::new(),
            mark_sorts: Vec::new(),
            substitutes: Vec::new(),
            ink: setting.case.plain,
            overhang: 0.0,
            hang: 0.0,
        };
        prepared.cut();
        prepared.lead();
        prepared.survey();
        prepared
    }

    /// The case that its sorts are from.
    pub fn case(&self) -> &'a Case<'a> {
        self.setting.case
    }

    /// The spans of the line from one piece to another, how it ends, and its range of bytes.
    pub fn line(&self, start: usize, end: usize) -> (Vec<Span>, LineEnd, Range<usize>) {
        let (first, last) = (&self.pieces[start], &self.pieces[end - 1]);
        let bytes = first.bytes.start as usize..last.bytes.end as usize;
        let mut spans = Vec::new();
        let mut from = bytes.start;
        let look = self.looks.partition_point(|look| look.end <= from);
        for look in &self.looks[look..] {
            let to = look.end.min(bytes.end);
            let text: String = self.text[from..to]
                .chars()
                .filter(|&character| character != SOFT_HYPHEN)
                .collect();
            if !text.is_empty() {
                spans.push(Span {
                    text,
                    style: look.style,
                    linked: look.linked,
                });
            }
            from = to;
            if from == bytes.end {
                break;
            }
        }
        let ending = if end == self.pieces.len() {
            LineEnd::Set
        } else {
            last.end
        };
        (spans, ending, bytes)
    }

    /// What is drawn before the line that begins with a piece.
    pub fn mark(&self, start: usize) -> Option<Mark> {
        match start {
            0 => self.setting.mark,
            _ => self
                .setting
                .turned_over
                .filter(|_| self.fragments[start].lead > 0.0),
        }
    }

    /// The byte with which a piece begins.
    pub fn byte(&self, piece: usize) -> usize {
        self.pieces[piece].bytes.start as usize
    }

    /// The width of the line of some pieces as it is drawn in the middle: a mark that hangs out is
    /// not in it.
    pub fn width_of(&self, pieces: &Range<usize>) -> Diameters {
        let last = &self.fragments[pieces.end - 1];
        let before = &self.fragments[pieces.start..pieces.end - 1];
        let inner: f64 = before
            .iter()
            .map(|piece| piece.width + piece.space.width)
            .sum();
        let closes = pieces.end == self.pieces.len() || last.end == End::Must;
        let hyphen = if closes { 0.0 } else { last.hyphen };
        let hang = if pieces.start == 0 {
            2.0 * self.hang
        } else {
            0.0
        };
        self.fragments[pieces.start].lead + inner + last.width + hyphen - hang
    }

    /// How many characters a range of bytes holds.
    pub fn characters(&self, bytes: Range<usize>) -> usize {
        self.text[bytes].chars().count()
    }

    /// The sorts of a line from its left end on, where it begins with a piece.
    pub fn sorts_from(&self, piece: usize) -> impl Iterator<Item = SortId> {
        let from = self.pieces[piece].sorts.start as usize;
        let marked = piece == 0 || self.fragments[piece].lead > 0.0;
        let mark = self.mark_sorts.iter().filter(move |_| marked);
        mark.chain(&self.sorts[from..]).copied()
    }

    /// The sorts of a line from its right end on, where it ends before a piece.
    pub fn sorts_before(&self, piece: usize) -> impl Iterator<Item = SortId> {
        let last = &self.pieces[piece - 1];
        let hyphenated = piece < self.pieces.len() && last.end == LineEnd::Hyphen;
        let hyphen = hyphenated.then_some(self.setting.case.hyphen);
        let before = self.sorts[..last.sorts.end as usize].iter().rev().copied();
        hyphen.into_iter().chain(before)
    }

    /// The width of the line of some pieces in the substitute font in which it is widest.
    pub fn substitute_width(&self, pieces: &Range<usize>) -> Diameters {
        let (start, _) = self.substitutes[pieces.start];
        let (_, end) = self.substitutes[pieces.end - 1];
        let hyphenated =
            pieces.end < self.pieces.len() && self.pieces[pieces.end - 1].end == LineEnd::Hyphen;
        let own = self.fragments[pieces.end - 1].hyphen;
        let lead = self.fragments[pieces.start].lead;
        let mut width = 0.0_f64;
        for font in 0..end.len() {
            width = width.max(end[font] - start[font]);
        }
        // No substitute's hyphen or bracket is wider than a fifth more than the typeface's.
        width + 1.2 * (lead + if hyphenated { own } else { 0.0 })
    }

    fn cut(&mut self) {
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

    /// One segment between two opportunities: its words divided, its trailing space taken off.
    fn segment(&mut self, text: &str, bytes: Range<usize>, set: bool) {
        let visible = text[bytes.clone()].trim_end_matches([' ', '\n', '\r', '\t']);
        let end = bytes.start + visible.len();
        let spaced = text[end..bytes.end].contains([' ', '\t']);
        let token = token_around(text, bytes.start, end);
        let plain = is_plain_word(token);
        let (points, at_point) = if plain {
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

    /// Adds a piece, cut at every grapheme where it is wider than the narrowest line.
    fn push(&mut self, text: &str, bytes: Range<usize>, plain: bool, ending: Ending) {
        let from = self.sorts.len();
        self.set_sorts(text, bytes.clone());
        let width = self.width(from);
        let room = self.setting.narrowest - ending.hyphen(&self.setting) - self.margin();
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

    /// The graphemes of a stretch; of one that is wider than the narrowest line (joined pictures
    /// and stacked letters have no end), its characters.
    fn parts(&mut self, text: &str, bytes: Range<usize>) -> Vec<Range<usize>> {
        let mut parts = Vec::new();
        let emptied = self.sorts.len();
        for (at, grapheme) in text[bytes.clone()].grapheme_indices(true) {
            let from = bytes.start + at;
            let part = from..from + grapheme.len();
            self.set_sorts(text, part.clone());
            let width = self.width(emptied);
            self.sorts.truncate(emptied);
            if width <= self.setting.narrowest {
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

    /// Sets the sorts of a stretch.
    fn set_sorts(&mut self, text: &str, bytes: Range<usize>) {
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
            let seen = text[from..to].chars().filter(|&seen| seen != SOFT_HYPHEN);
            self.sorts.extend(seen.map(|seen| {
                let stacked = if stacks(seen) { marks } else { 0 };
                marks = if stacks(seen) {
                    marks.saturating_add(1)
                } else {
                    0
                };
                case.id(seen, SortLook { stacked, ..look })
            }));
            from = to;
            number += 1;
        }
    }

    /// The width of the sorts from one on.
    fn width(&self, from: usize) -> Diameters {
        let sorts = self.setting.case.sorts();
        let ids = self.sorts[from..].iter();
        ids.map(|&id| sorts[id as usize].advance).sum()
    }

    /// What may stand before a line: a mark.
    fn margin(&self) -> Diameters {
        let width = |mark: Mark| self.setting.case.width(&mark.drawn());
        let own = self.setting.mark.map_or(0.0, width);
        let own = if self.setting.hangs { 2.0 * own } else { own };
        own.max(self.setting.turned_over.map_or(0.0, width))
    }

    /// Makes room for the marks before lines.
    fn lead(&mut self) {
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
            if setting.mark.is_none() {
                self.mark_sorts = case.ids(&mark.drawn());
            }
        }
    }

    /// Sums up the widths in substitute fonts, and gathers the ink.
    fn survey(&mut self) {
        let sorts = self.setting.case.sorts();
        let own = |ids: &[SortId]| {
            let widths = ids.iter().map(|&id| sorts[id as usize].substitutes);
            widths.fold(Widths::default(), sum)
        };
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
            self.substitutes.push((start, at));
            seen = to;
        }
        for &id in self.sorts.iter().chain(&self.mark_sorts) {
            let sort = &sorts[id as usize];
            self.ink = self.ink.union(sort.ink);
            self.overhang = self.overhang.max(-sort.left).max(-sort.right);
        }
    }
}

impl Look {
    fn sorts(&self) -> SortLook {
        SortLook {
            script: self.style.script,
            underlined: self.linked,
            stroked: self.style.strong,
            stacked: 0,
        }
    }
}

/// Turns the spaces that an author set, those that begin a line or follow another, into ones that
/// stay. The number of characters does not change.
fn hold_spaces(text: &str, looks: &[Look]) -> (String, Vec<Look>) {
    let mut held = String::with_capacity(text.len());
    let mut moved = Vec::with_capacity(looks.len());
    let mut before = '\n';
    let mut looks = looks.iter().peekable();
    for (at, character) in text.char_indices() {
        while let Some(look) = looks.next_if(|look| look.end <= at) {
            moved.push(Look {
                end: held.len(),
                style: look.style,
                linked: look.linked,
            });
        }
        let stays = matches!(character, ' ' | '\t') && matches!(before, '\n' | ' ' | '\t');
        held.push(if stays { '\u{a0}' } else { character });
        before = character;
    }
    moved.extend(looks.map(|look| Look {
        end: held.len(),
        style: look.style,
        linked: look.linked,
    }));
    (held, moved)
}

#[cfg(test)]
#[path = "prepare_tests.rs"]
mod tests;
