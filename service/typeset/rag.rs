//! What ragged lines cost, and the pages that they stand on. Knows no text.

use super::linebreak::{Candidate, Cost, Page};
use super::screen::Screen;
use crate::font::Ink;

/// The cost of ragged setting: the sum of the squared rags, in squared diameters, with penalties.
///
/// Text is never justified: on lines of some twenty characters spaces would stretch fourfold.
#[derive(Clone, Copy, Debug)]
pub struct Ragged {
    /// What the rag of a last line weighs: nought in running text, one where lines are balanced.
    pub last_weight: f64,
    /// The place of the page at which no word may be divided, and which may be left empty: the
    /// last of a disc.
    pub final_slot: Option<usize>,
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
/// What a last line costs that is shorter than a fifth of its measure.
const STUB_PENALTY: f64 = 0.01;
/// Rounding of sums: a line that is wider by no more than this is not wider.
const TOLERANCE: f64 = 1e-9;

impl Cost for Ragged {
    fn line(&self, line: &Candidate) -> Option<f64> {
        let rag = line.measure - line.natural;
        if rag < -TOLERANCE || (line.hyphenated && Some(line.slot) == self.final_slot) {
            return None;
        }
        if line.last {
            let stub = if line.natural < line.measure / 5.0 {
                STUB_PENALTY
            } else {
                0.0
            };
            return Some(self.last_weight * rag * rag + stub);
        }
        Some(rag * rag + line.penalty)
    }

    fn empty(&self, slot: usize, measure: f64, hyphenated: bool) -> Option<f64> {
        let divided = if hyphenated { DIVIDED_PENALTY } else { 0.0 };
        (Some(slot) == self.final_slot || (self.final_slot.is_some() && slot == 0))
            .then_some(measure * measure + divided)
    }
}

/// Line places of a disc, from one of them on.
#[derive(Clone, Copy, Debug)]
pub struct Stack<'a> {
    /// The screen whose chords they are.
    pub screen: &'a Screen,
    /// The ink of plain text at this size, in diameters.
    pub plain: Ink,
    /// The place that slot nought stands at; rows can stand at halves.
    pub first: f64,
    /// How many slots there are.
    pub slots: usize,
}

impl Page for Stack<'_> {
    fn slots(&self) -> usize {
        self.slots
    }

    fn measure(&self, slot: usize, ink: Ink) -> f64 {
        let middle = self.screen.lines.middle(self.first + slot as f64);
        self.screen.free_width(middle, self.plain, ink)
    }
}
