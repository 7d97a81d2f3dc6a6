//! Text into fragments: where lines may end, and how wide what lies between is. Never breaks lines.

use std::ops::Range;

use super::case::{Case, Look as SortLook, SortId, Widths};
use super::disc::{LineEnd, Mark, Span};
use super::hyphenate::Divider;
use super::linebreak::{End, Fragment};
use super::units::Diameters;
use super::weights::Weights;
use super::words::SOFT_HYPHEN;
use crate::distil::block::{Run, Style};
use crate::font::Ink;

mod cut;
mod measure;

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
    /// Those of the mark before a line that goes on.
    turned_over_sorts: Vec<SortId>,
    /// The width of the mark that may stand before a line.
    margin: Diameters,
    /// One a piece.
    substitutes: Vec<Substitute>,
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

/// A piece in substitute fonts.
struct Substitute {
    /// Where it begins, mark and spaces before it with it.
    start: Widths,
    /// Where it ends.
    end: Widths,
    /// The width of the hyphen that a line gains when it ends here, in the typeface.
    hyphen: Diameters,
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

/// How much wider a mark or a hyphen is in a substitute font at the most.
pub const SUBSTITUTE_MARK: f64 = 1.2;

/// Most texts have no fewer bytes a piece, spaces with them: English has five.
const LEAST_PIECE: usize = 4;

impl Setting<'_> {
    /// The width of the mark that may stand before a line.
    fn margin(&self) -> Diameters {
        let width = |mark: Mark| self.case.width(&mark.drawn());
        let own = self.mark.map_or(0.0, width);
        let own = if self.hangs { 2.0 * own } else { own };
        own.max(self.turned_over.map_or(0.0, width))
    }
}

impl<'a> Prepared<'a> {
    /// Cuts runs into fragments and measures them.
    pub fn new(runs: &[Run], setting: &Setting<'a>) -> Self {
        let mut text = String::new();
        let mut looks: Vec<Look> = Vec::new();
        let mut before: Option<&Run> = None;
        for run in runs {
            text.push_str(&run.text);
            let look = Look {
                end: text.len(),
                style: run.style,
                linked: run.link.is_some(),
            };
            match looks.last_mut() {
                // Runs of cells end where their looks do not.
                Some(Look { end, .. }) if alike(before, run) => *end = look.end,
                _ => looks.push(look),
            }
            before = Some(run);
        }
        if setting.keep_spaces {
            (text, looks) = hold_spaces(&text, &looks);
        }
        let most = text.len() / LEAST_PIECE + 1;
        let mut prepared = Self {
            setting: *setting,
            pieces: Vec::with_capacity(most),
            fragments: Vec::with_capacity(most),
            sorts: Vec::with_capacity(text.len()),
            text,
            looks,
            mark_sorts: Vec::new(),
            turned_over_sorts: Vec::new(),
            margin: setting.margin(),
            substitutes: Vec::with_capacity(most),
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
            let text = self.text[from..to].replace(SOFT_HYPHEN, "");
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
        let mark: &[SortId] = match piece {
            0 => &self.mark_sorts,
            _ if self.fragments[piece].lead > 0.0 => &self.turned_over_sorts,
            _ => &[],
        };
        mark.iter().chain(&self.sorts[from..]).copied()
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
        let start = &self.substitutes[pieces.start].start;
        let Substitute { end, hyphen, .. } = &self.substitutes[pieces.end - 1];
        let lead = self.fragments[pieces.start].lead;
        let mut width = 0.0_f64;
        for (start, end) in start.iter().zip(end) {
            width = width.max(end - start);
        }
        width + SUBSTITUTE_MARK * (lead + hyphen)
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

/// Whether a run goes on in the look and the link of the one before it.
fn alike(before: Option<&Run>, run: &Run) -> bool {
    before.is_some_and(|before| (before.style, before.link) == (run.style, run.link))
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
