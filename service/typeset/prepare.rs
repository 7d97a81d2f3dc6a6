//! Text into fragments: where lines may end, and how wide what lies between is. Never breaks lines.

use std::ops::Range;

use unicode_linebreak::{BreakOpportunity, linebreaks};
use unicode_segmentation::UnicodeSegmentation;

use super::disc::{LineEnd, Mark, Span};
use super::hyphenate::Divider;
use super::linebreak::{End, Fragment, Space};
use super::rag::{BARE_PENALTY, EMERGENCY_PENALTY, HYPHEN_PENALTY};
use super::units::Diameters;
use crate::distil::block::{Run, Script, Style};
use crate::font::{Glyph, Ink, Typeface};

/// A text that is ready to be broken into lines.
pub struct Prepared<'a> {
    setting: Setting<'a>,
    text: String,
    looks: Vec<Look>,
    pieces: Vec<Piece>,
    /// One a piece, in diameters.
    pub fragments: Vec<Fragment>,
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

/// The size of raised and lowered text, and by how much it is moved, in em of the text around it.
/// Common practice, no source; templates/disc.css says the same to the browser.
pub const SCRIPT_SCALE: f64 = 0.7;
const SUPERSCRIPT_RAISE: f64 = 0.35;
const SUBSCRIPT_DROP: f64 = 0.15;

/// A glyph at an end of a line, in diameters.
#[derive(Clone, Copy, Debug, Default)]
pub struct EndGlyph {
    /// How far the pen moves over it.
    pub advance: Diameters,
    /// White between the line's end and its ink.
    pub bearing: Diameters,
    /// Its ink.
    pub ink: Ink,
}

/// The outermost glyphs of a line at one of its ends. Those further in are far enough from the rim
/// to be reckoned together.
#[derive(Clone, Copy, Debug, Default)]
pub struct LineEdge {
    glyphs: [EndGlyph; 4],
    count: usize,
}

impl LineEdge {
    /// The glyphs, the outermost first.
    pub fn glyphs(&self) -> &[EndGlyph] {
        &self.glyphs[..self.count]
    }

    /// How far the ink of the outermost glyph hangs over the end: nought or less.
    pub fn overhang(&self) -> Diameters {
        self.glyphs
            .first()
            .filter(|_| self.count > 0)
            .map_or(0.0, |glyph| glyph.bearing.min(0.0))
    }

    fn gather(glyphs: impl Iterator<Item = EndGlyph>) -> Self {
        let mut edge = Self::default();
        for glyph in glyphs.take(edge.glyphs.len()) {
            edge.glyphs[edge.count] = glyph;
            edge.count += 1;
        }
        edge
    }
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
            lefts: Vec::new(),
            rights: Vec::new(),
        };
        prepared.cut(setting);
        prepared.measure_ends();
        if let (Some(mark), Some(first)) = (setting.mark, prepared.fragments.first_mut()) {
            first.width += setting.typeface.width(&mark.drawn()) * setting.em;
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

    /// The left end of a line that starts with a piece.
    pub fn left(&self, start: usize) -> &LineEdge {
        &self.lefts[start]
    }

    /// The right end of a line that ends before a piece.
    pub fn right(&self, end: usize) -> &LineEdge {
        &self.rights[end - 1]
    }

    /// Finds the outermost glyphs of every line that there can be, mark and hyphen with them.
    fn measure_ends(&mut self) {
        let typeface = self.setting.typeface;
        let drawn = |character: char| Placed::of(typeface.glyph(character), Script::Baseline);
        let mark: Vec<Placed> = self
            .setting
            .mark
            .map(|mark| mark.drawn().chars().map(drawn).collect())
            .unwrap_or_default();
        let count = self.pieces.len();
        let em = self.setting.em;
        let edge = |placed: Placed, bearing: f64| EndGlyph {
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

    /// The glyph of a character of the text, as large and as high as its run is set.
    fn placed(&self, byte: usize, character: char) -> Option<Placed> {
        let look = self.looks.partition_point(|look| look.end <= byte);
        let script = self
            .looks
            .get(look)
            .map_or(Script::Baseline, |look| look.style.script);
        (character != SOFT_HYPHEN)
            .then(|| Placed::of(self.setting.typeface.glyph(shown(character)), script))
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
        let mut from = bytes.start;
        for point in if plain {
            points(visible, &setting.divider)
        } else {
            Vec::new()
        } {
            self.push(
                text,
                from..bytes.start + point,
                setting,
                plain,
                Ending::Hyphen,
            );
            from = bytes.start + point;
        }
        let ending = match visible.chars().next_back() {
            _ if set => Ending::Set,
            Some(SOFT_HYPHEN) => Ending::Hyphen,
            _ if spaced => Ending::Space(space_width),
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
        if width <= room || text[bytes.clone()].graphemes(true).nth(1).is_none() {
            self.add(bytes, width, ink, setting, ending);
            return;
        }
        let last = text[bytes.clone()]
            .grapheme_indices(true)
            .next_back()
            .map_or(0, |(at, _)| at);
        for (at, grapheme) in text[bytes.clone()].grapheme_indices(true) {
            let part = bytes.start + at..bytes.start + at + grapheme.len();
            let (width, ink) = self.measure(text, part.clone(), setting);
            let ending = if at == last {
                ending
            } else {
                Ending::Emergency { hyphen: plain }
            };
            self.add(part, width, ink, setting, ending);
        }
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
            let script = self
                .looks
                .get(look)
                .map_or(Script::Baseline, |look| look.style.script);
            if character != SOFT_HYPHEN {
                let placed = Placed::of(setting.typeface.glyph(shown(character)), script);
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

/// A glyph, in em of the text around it.
#[derive(Clone, Copy)]
struct Placed {
    advance: f64,
    left: f64,
    right: f64,
    ink: Ink,
}

impl Placed {
    fn of(glyph: Glyph, script: Script) -> Self {
        let (scale, raise) = match script {
            Script::Baseline => (1.0, 0.0),
            Script::Superscript => (SCRIPT_SCALE, SUPERSCRIPT_RAISE),
            Script::Subscript => (SCRIPT_SCALE, -SUBSCRIPT_DROP),
        };
        let Ink { rise, fall } = glyph.ink.scaled(scale);
        let ink = Ink {
            rise: rise + raise,
            fall: fall - raise,
        };
        Self {
            advance: glyph.advance * scale,
            left: glyph.left * scale,
            right: glyph.right * scale,
            ink,
        }
    }
}

/// The character that a browser draws for another one: a tab is drawn as a space.
fn shown(character: char) -> char {
    if character == '\t' { ' ' } else { character }
}

#[derive(Clone, Copy)]
enum Ending {
    Space(f64),
    Hyphen,
    Bare(f64),
    Emergency { hyphen: bool },
    Set,
}

impl Ending {
    fn hyphen(self, setting: &Setting) -> f64 {
        match self {
            Self::Hyphen | Self::Emergency { hyphen: true } => {
                setting.typeface.glyph('-').advance * setting.em
            }
            _ => 0.0,
        }
    }

    fn end(self) -> End {
        match self {
            Self::Space(_) => End::May(0.0),
            Self::Hyphen => End::May(HYPHEN_PENALTY),
            Self::Bare(penalty) => End::May(penalty),
            Self::Emergency { .. } => End::May(EMERGENCY_PENALTY),
            Self::Set => End::Must,
        }
    }

    fn line_end(self) -> LineEnd {
        match self {
            Self::Space(_) => LineEnd::Space,
            Self::Hyphen | Self::Emergency { hyphen: true } => LineEnd::Hyphen,
            Self::Bare(_) | Self::Emergency { hyphen: false } => LineEnd::Bare,
            Self::Set => LineEnd::Set,
        }
    }
}

const SOFT_HYPHEN: char = '\u{ad}';

/// Whether words of this token may be divided: not within an address, a path, a number with its
/// unit, a formula, or where the author set the points.
fn is_plain_word(token: &str) -> bool {
    let inner = token.trim_matches(|character: char| !character.is_alphanumeric());
    let odd = |character: char| {
        !(character.is_alphabetic()
            || matches!(character, '-' | '\u{2010}' | '–' | '—' | '\'' | '’'))
    };
    !token.contains([SOFT_HYPHEN, '@', '\\', '_', '=']) && !inner.contains(odd)
}

/// How many characters to either side a token is looked at: text without spaces has no end.
const TOKEN_REACH: usize = 80;

/// The text between the nearest spaces around a range of bytes.
fn token_around(text: &str, start: usize, end: usize) -> &str {
    let inside = |&(_, character): &(usize, char)| !character.is_whitespace();
    let before = text[..start]
        .char_indices()
        .rev()
        .take(TOKEN_REACH)
        .take_while(inside)
        .last();
    let after = text[end..]
        .char_indices()
        .take(TOKEN_REACH)
        .take_while(inside)
        .last();
    let to = after.map_or(end, |(at, character)| end + at + character.len_utf8());
    &text[before.map_or(start, |(at, _)| at)..to]
}

/// The byte offsets at which the words of a segment may be divided.
fn points(segment: &str, divider: &Divider) -> Vec<usize> {
    let mut points = Vec::new();
    let mut start = None;
    for (at, character) in segment.char_indices().chain([(segment.len(), ' ')]) {
        match (character.is_alphabetic(), start) {
            (true, None) => start = Some(at),
            (false, Some(from)) => {
                points.extend(
                    divider
                        .points(&segment[from..at])
                        .into_iter()
                        .map(|point| from + point),
                );
                start = None;
            }
            _ => {}
        }
    }
    points
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
