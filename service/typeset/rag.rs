//! What ragged lines and the discs that they fill cost. Knows no text.

use super::linebreak::{Candidate, Cost};
use super::weights::{LEAST_CHARACTERS, Weights};

/// The cost of ragged setting: the sum of the squared rags, in squared diameters, with penalties.
///
/// Text is never justified: on lines of some twenty characters spaces would stretch fourfold.
#[derive(Clone, Copy, Debug)]
pub struct Ragged<'a> {
    /// What the lines are to look like.
    pub look: Look,
    /// What faults cost.
    pub weights: &'a Weights,
    /// Whether there is a next disc: then places may be left empty, too.
    pub turns: bool,
    /// Whether a heading stands before: its paragraph's first line must not stay with it alone.
    pub after_heading: bool,
}

/// What the lines of a text are to look like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Running text: the last line may be as short as it is.
    Running,
    /// Lines of like widths, the last one too: titles and headings.
    Balanced,
    /// As few lines as it goes, the first of them full: text whose line ends are its author's.
    Kept,
}

/// What each line costs where line ends are the author's, in squared diameters: fewer lines come
/// before less rag, and a word that is divided where it has no point comes after a line.
const KEPT_LINE: f64 = 1.0;

impl Cost for Ragged<'_> {
    fn line(&self, line: &Candidate) -> Option<f64> {
        let rag = (line.measure - line.natural).max(0.0);
        Some(match self.look {
            Look::Kept => KEPT_LINE + rag * rag + line.penalty,
            Look::Running if line.last => {
                let stub = line.natural < line.measure / 5.0;
                let priced = |fault: bool, price: f64| if fault { price } else { 0.0 };
                priced(stub, self.weights.stub) + priced(line.divided, self.weights.divided_last)
            }
            Look::Running if line.characters < LEAST_CHARACTERS => {
                self.weights.short_line + rag * rag + line.penalty
            }
            Look::Running | Look::Balanced => rag * rag + line.penalty,
        })
    }

    fn least(&self, rag: f64) -> f64 {
        rag * rag
    }

    fn turns(&self) -> bool {
        self.turns
    }

    fn empty(&self, measure: f64) -> Option<f64> {
        self.turns.then_some(self.weights.empty * measure * measure)
    }

    fn stranded_at_foot(&self) -> f64 {
        if self.after_heading {
            self.weights.heading_at_foot
        } else {
            self.weights.stranded_at_foot
        }
    }

    fn stranded_at_head(&self) -> f64 {
        self.weights.stranded_at_head
    }
}
