//! What ragged lines cost, and the places that they stand on. Of a text it knows the ink of line ends.

use super::glyphs::LineEdge;
use super::linebreak::{Candidate, Cost, Page, Placed};
use super::prepare::Prepared;
use super::screen::Screen;
use super::units::Diameters;
use crate::font::{Ink, SUBSTITUTE_RAISE_EM};

/// The cost of ragged setting: the sum of the squared rags, in squared diameters, with penalties.
///
/// Text is never justified: on lines of some twenty characters spaces would stretch fourfold.
#[derive(Clone, Copy, Debug)]
pub struct Ragged {
    /// What the lines are to look like.
    pub look: Look,
    /// The font size, in diameters.
    pub em: Diameters,
    /// The place of the page at which no word may be divided, not even at its author's own hyphen,
    /// and which may be left empty: the last of a disc.
    pub final_slot: Option<usize>,
}

/// What the lines of a text are to look like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Running text: the last line may be as short as it is.
    Running,
    /// Lines of like widths, the last one too: titles and headings.
    Balanced,
    /// As few lines as it goes, the first of them full: text whose line ends are its author's.
    Preformatted,
}

/// What a drawn hyphen costs: as much as a rag of 14 % of the diameter, some four letters.
pub const HYPHEN_PENALTY: f64 = 0.02;
/// What ending a line at the author's own hyphen, dash or slash costs.
pub const BARE_PENALTY: f64 = 0.004;
/// What dividing a run costs that has no place to be divided at: more than any rag.
pub const EMERGENCY_PENALTY: f64 = 1.5;
/// What going on to the next disc within a word costs: more than dividing the word anywhere, as
/// often as it takes to end it on its disc.
const DIVIDED_PENALTY: f64 = 100.0;
/// The width below which a line of running text is short, in em: 9 characters of a mean width of
/// half an em. Reading slows where lines have fewer than 13, and below 9 more (Atilgan, Xiong and
/// Legge, PNAS 117(48):30276, 2020, doi 10.1073/pnas.2007514117).
const SHORT_LINE_EM: f64 = 4.6;
/// What a short line costs: as much as two hyphens and more.
const SHORT_LINE_PENALTY: f64 = 0.05;
/// What each line of preformatted text costs: fewer lines come before less rag, and a word that is
/// divided where it has no point comes after a line.
const PREFORMATTED_LINE: f64 = 1.0;
/// What a last line costs that is shorter than a fifth of its measure.
const STUB_PENALTY: f64 = 0.01;
/// Rounding of sums: a line that is wider by no more than this is not wider.
const TOLERANCE: f64 = 1e-9;

impl Cost for Ragged {
    fn line(&self, line: &Candidate) -> Option<f64> {
        let rag = (line.measure - line.natural).max(0.0);
        // Only a break between two words is free.
        let within_a_word = line.hyphenated || (line.penalty > 0.0 && !line.last);
        if line.natural > line.limit + TOLERANCE
            || (within_a_word && Some(line.slot) == self.final_slot)
        {
            return None;
        }
        Some(match self.look {
            Look::Preformatted => PREFORMATTED_LINE + rag * rag + line.penalty,
            Look::Running if line.last => {
                if line.natural < line.measure / 5.0 {
                    STUB_PENALTY
                } else {
                    0.0
                }
            }
            Look::Running if line.natural < SHORT_LINE_EM * self.em => {
                SHORT_LINE_PENALTY + rag * rag + line.penalty
            }
            Look::Running | Look::Balanced => rag * rag + line.penalty,
        })
    }

    fn empty(&self, slot: usize, measure: f64, divided: bool) -> Option<f64> {
        let divided = if divided { DIVIDED_PENALTY } else { 0.0 };
        (Some(slot) == self.final_slot || (self.final_slot.is_some() && slot == 0))
            .then_some(measure * measure + divided)
    }
}

/// Line places of a disc, from one of them on, for the lines of a text.
#[derive(Clone, Copy)]
pub struct Stack<'a> {
    /// The screen whose chords they are.
    pub screen: &'a Screen,
    /// The ink of plain text at this size, in diameters.
    pub plain: Ink,
    /// The font size, in diameters.
    pub em: Diameters,
    /// The place that slot nought stands at; rows can stand at halves.
    pub first: f64,
    /// How many slots there are.
    pub slots: usize,
    /// How much of the chords is filled: see [`PREFORMATTED_FILL`].
    pub fill: f64,
    /// The text whose lines are set.
    pub text: &'a Prepared<'a>,
}

/// The share of the chords that preformatted text fills. Its spaces and signs are wider in a
/// substitute font, beside the digit by which that is scaled, than letters are: where the font did
/// not arrive, a sans-serif of the system drew a deeply indented line 10 % wider.
pub const PREFORMATTED_FILL: f64 = 0.88;

/// What a line in a substitute font stays narrower by than its limit: browsers round its size.
const SUBSTITUTE_MARGIN: f64 = 0.003;

/// By how much a line of running text is wider in a substitute font at the most, in diameters: one
/// with several capitals was by 4 % of its width. Wider text is looked at from there on only.
const SUBSTITUTE_EXCESS: f64 = 0.05;

/// How far ink hangs over an end of a line at the most, in em: an f's hook does by 0.043.
pub const OVERHANG_EM: f64 = 0.12;
/// How much white there is at both ends of a line together at the most, in em.
const WHITE_EM: f64 = 0.5;

impl Stack<'_> {
    fn middle(&self, slot: usize) -> Diameters {
        self.screen.lines.middle(self.first + slot as f64)
    }

    /// The free width for an ink at a place, with the text higher than it should be by `raise`.
    fn free_width(&self, slot: usize, ink: Ink, raise: Diameters) -> Diameters {
        let middle = self.screen.lines.middle(self.first + slot as f64) - raise;
        self.fill * self.screen.free_width(middle, self.plain, ink)
    }

    /// The limit of a line that is so wide and set higher by `raise`, by the ink of its ends.
    fn limit_of(&self, line: &Placed, width: f64, raise: Diameters) -> f64 {
        let measure = if raise == 0.0 {
            line.measure
        } else {
            self.free_width(line.slot, line.ink, raise)
        };
        let ends = [
            self.text.left(line.fragments.start),
            self.text.right(line.fragments.end),
        ];
        if width <= measure + 2.0 * ends[0].overhang().min(ends[1].overhang()) {
            return measure;
        }
        let mut limit = f64::INFINITY;
        for end in ends {
            limit = limit.min(self.limit_of_end(line, end, (width, measure, raise)));
            if limit < width {
                return limit;
            }
        }
        limit
    }

    /// How wide a line may be for the ink of one of its ends: every glyph there must be inside the
    /// circle at its own height, and the glyphs further in are further from the rim. Ends early,
    /// below the exact value, where a glyph is found for which the line is too wide.
    fn limit_of_end(
        &self,
        line: &Placed,
        end: &LineEdge,
        (width, measure, raise): (f64, f64, f64),
    ) -> f64 {
        let mut inset = 0.0;
        let mut limit = f64::INFINITY;
        for glyph in end.glyphs() {
            let free = self.free_width(line.slot, glyph.ink, raise);
            limit = limit.min(free + 2.0 * (inset + glyph.bearing));
            if limit < width {
                return limit;
            }
            inset += glyph.advance;
        }
        limit.min(measure + 2.0 * inset)
    }
}

impl Page for Stack<'_> {
    fn slots(&self) -> usize {
        self.slots
    }

    fn measure(&self, slot: usize, ink: Ink) -> f64 {
        self.free_width(slot, ink, 0.0)
    }

    fn widest(&self, slot: usize) -> f64 {
        self.screen.widest(self.middle(slot), self.plain) + WHITE_EM * self.em
    }

    fn overhang(&self) -> f64 {
        2.0 * OVERHANG_EM * self.em + SUBSTITUTE_EXCESS
    }

    fn limit(&self, line: &Placed, natural: f64) -> f64 {
        let limit = self.limit_of(line, natural, 0.0);
        if limit < natural {
            return limit;
        }
        // Where the font does not arrive, the line must be inside too.
        let substitute = self.text.substitute_width(&line.fragments);
        let within =
            self.limit_of(line, substitute, SUBSTITUTE_RAISE_EM * self.em) - SUBSTITUTE_MARGIN;
        if within < substitute {
            natural * within / substitute - 1e-6
        } else {
            limit
        }
    }
}
