//! Text into fragments: where lines may end, and how wide what lies between is. Never breaks lines.

use std::ops::Range;

use unicode_linebreak::{BreakOpportunity, linebreaks};
use unicode_segmentation::UnicodeSegmentation;

use super::disc::{LineEnd, Mark, Span};
use super::ending::Ending;
use super::glyphs::{LineEdge, PlacedGlyph, Widths, shown};
use super::hyphenate::Divider;
use super::linebreak::{Fragment, Space};
use super::rag::BARE_PENALTY;
use super::units::Diameters;
use super::words::{SOFT_HYPHEN, is_plain_word, points_after_signs, token_around};
use crate::distil::block::{Run, Script, Style};
use crate::font::{Ink, Typeface};

mod ends;

/// A text that is ready to be broken into lines.
pub struct Prepared<'a> {
    setting: Setting<'a>,
    text: String,
    looks: Vec<Look>,
    pieces: Vec<Piece>,
    /// One a piece, in diameters.
    pub fragments: Vec<Fragment>,
    /// The widths of each piece in substitute fonts, and those of all before it with their spaces.
    substitutes: Vec<(Widths, Widths)>,
    /// The left end of a line that starts with each piece.
    lefts: Vec<LineEdge>,
    /// The right end of a line that ends with each piece.
    rights: Vec<LineEdge>,
}

/// Up to which byte of the text which look goes.
struct Look {
    end: usize,
    style: Style,
    linked: bool,
}

struct Piece {
    bytes: Range<usize>,
    end: LineEnd,
}

/// How a text is to be set.
#[derive(Clone, Copy)]
pub struct Setting<'a> {
    /// The typeface.
    pub typeface: &'a Typeface,
    /// The font size, in diameters.
    pub em: Diameters,
    /// Where its words may be divided.
    pub divider: Divider,
    /// The narrowest line that it may have to stand on: a run wider than that is divided anywhere.
    pub narrowest: Diameters,
    /// What is drawn before it.
    pub mark: Option<Mark>,
    /// Whether several spaces together are the author's and stay.
    pub keep_spaces: bool,
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
            substitutes: Vec::new(),
            lefts: Vec::new(),
            rights: Vec::new(),
        };
        prepared.cut(setting);
        prepared.measure_ends();
        prepared.measure_substitutes();
        if let (Some(mark), Some(first)) = (setting.mark, prepared.fragments.first_mut()) {
            for glyph in mark.drawn().chars().map(|c| setting.typeface.glyph(c)) {
                first.width += glyph.advance * setting.em;
                first.ink = first.ink.union(glyph.ink.scaled(setting.em));
            }
        }
        prepared
    }

    /// The spans of the line from one piece to another, how it ends, and its range of bytes.
    pub fn line(&self, start: usize, end: usize) -> (Vec<Span>, LineEnd, Range<usize>) {
        let (first, last) = (&self.pieces[start], &self.pieces[end - 1]);
        let bytes = first.bytes.start..last.bytes.end;
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

    /// The glyph of a character of the text, as its run is set.
    fn placed(&self, byte: usize, character: char) -> Option<PlacedGlyph> {
        let look = self.looks.partition_point(|look| look.end <= byte);
        (character != SOFT_HYPHEN).then(|| place(&self.setting, self.looks.get(look), character))
    }

    /// How many characters a range of bytes holds.
    pub fn characters(&self, bytes: Range<usize>) -> usize {
        self.text[bytes].chars().count()
    }

    fn cut(&mut self, setting: &Setting) {
        let text = std::mem::take(&mut self.text);
        let mut from = 0;
        for (to, opportunity) in linebreaks(&text) {
            let set = opportunity == BreakOpportunity::Mandatory;
            self.segment(&text, from..to, set, setting);
            from = to;
        }
        self.text = text;
    }

    /// One segment between two opportunities: its words divided, its trailing space taken off.
    fn segment(&mut self, text: &str, bytes: Range<usize>, set: bool, setting: &Setting) {
        let visible = text[bytes.clone()].trim_end_matches([' ', '\n', '\r', '\t']);
        let end = bytes.start + visible.len();
        let space_width = setting.typeface.glyph(' ').advance * setting.em;
        let spaced = text[end..bytes.end].contains([' ', '\t']);
        let plain = is_plain_word(token_around(text, bytes.start, end));
        let (points, at_point) = if plain {
            (setting.divider.points_within(visible), Ending::Hyphen)
        } else {
            (points_after_signs(visible), Ending::Bare(BARE_PENALTY))
        };
        let mut from = bytes.start;
        for point in points {
            self.push(text, from..bytes.start + point, setting, plain, at_point);
            from = bytes.start + point;
        }
        let ending = match visible.chars().next_back() {
            _ if set => Ending::Set,
            _ if spaced => Ending::Space(space_width),
            Some(SOFT_HYPHEN) => Ending::Hyphen,
            Some('-' | '/' | '–' | '—' | '\u{2010}') => Ending::Bare(BARE_PENALTY),
            _ => Ending::Bare(0.0),
        };
        self.push(text, from..end, setting, plain, ending);
    }

    /// Adds a piece, cut at every grapheme where it is wider than the narrowest line.
    fn push(
        &mut self,
        text: &str,
        bytes: Range<usize>,
        setting: &Setting,
        plain: bool,
        ending: Ending,
    ) {
        let (width, ink) = self.measure(text, bytes.clone(), setting);
        let room = setting.narrowest - ending.hyphen(setting) - setting.mark_width();
        if width <= room {
            self.add(bytes, width, ink, setting, ending);
            return;
        }
        let parts = self.parts(text, bytes, setting);
        let last = parts.len().saturating_sub(1);
        for (number, part) in parts.into_iter().enumerate() {
            let (width, ink) = self.measure(text, part.clone(), setting);
            let ending = if number == last {
                ending
            } else {
                Ending::Emergency { hyphen: plain }
            };
            self.add(part, width, ink, setting, ending);
        }
    }

    /// The graphemes of a stretch; of one that is wider than the narrowest line (joined pictures
    /// and stacked letters have no end), its characters.
    fn parts(&self, text: &str, bytes: Range<usize>, setting: &Setting) -> Vec<Range<usize>> {
        let mut parts = Vec::new();
        for (at, grapheme) in text[bytes.clone()].grapheme_indices(true) {
            let from = bytes.start + at;
            let part = from..from + grapheme.len();
            if self.measure(text, part.clone(), setting).0 <= setting.narrowest {
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

    fn add(
        &mut self,
        bytes: Range<usize>,
        width: f64,
        ink: Ink,
        setting: &Setting,
        ending: Ending,
    ) {
        let space = match ending {
            Ending::Space(width) => Space {
                width,
                ..Space::default()
            },
            _ => Space::default(),
        };
        let hyphen = ending.hyphen(setting);
        self.fragments.push(Fragment {
            width,
            space,
            hyphen,
            end: ending.end(),
            ink,
        });
        self.pieces.push(Piece {
            bytes,
            end: ending.line_end(),
        });
    }

    fn measure(&self, text: &str, bytes: Range<usize>, setting: &Setting) -> (f64, Ink) {
        let (mut width, mut ink) = (0.0, Ink::default());
        let mut look = self.looks.partition_point(|look| look.end <= bytes.start);
        for (at, character) in text[bytes.clone()].char_indices() {
            while self
                .looks
                .get(look)
                .is_some_and(|look| look.end <= bytes.start + at)
            {
                look += 1;
            }
            if character != SOFT_HYPHEN {
                let placed = place(setting, self.looks.get(look), character);
                width += placed.advance;
                ink = ink.union(placed.ink);
            }
        }
        (width * setting.em, ink.scaled(setting.em))
    }
}

impl Setting<'_> {
    fn mark_width(&self) -> f64 {
        self.mark
            .map_or(0.0, |mark| self.typeface.width(&mark.drawn()) * self.em)
    }
}

fn place(setting: &Setting, look: Option<&Look>, character: char) -> PlacedGlyph {
    let glyph = setting.typeface.glyph(shown(character));
    let placed = PlacedGlyph::of(
        glyph,
        look.map_or(Script::Baseline, |look| look.style.script),
    );
    if look.is_some_and(|look| look.linked) {
        placed.underlined()
    } else {
        placed
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
