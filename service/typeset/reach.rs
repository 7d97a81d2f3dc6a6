//! A line that grows fragment by fragment, and what is weighed of it. Chooses nothing, and knows no
//! text.

use std::ops::Range;

use super::linebreak::{Candidate, End, Fragment, Page, Placed, Space};
use crate::font::Ink;

/// A line that grows fragment by fragment.
pub struct Reach {
    /// Its width with natural spaces, without a hyphen.
    pub natural: f64,
    /// By how much its spaces can grow and shrink in all.
    pub space: Space,
    pending: Space,
    ink: Ink,
    /// The width that it should fill.
    pub measure: f64,
    slot: usize,
}

impl Reach {
    /// An empty line at a place, of the measure that it has there without ink.
    pub fn new(measure: f64, slot: usize) -> Self {
        let (space, pending, ink) = (Space::default(), Space::default(), Ink::default());
        Self {
            natural: 0.0,
            space,
            pending,
            ink,
            measure,
            slot,
        }
    }

    /// Adds a fragment, after the space that is pending.
    pub fn add(&mut self, fragment: &Fragment, page: &impl Page) {
        self.natural += self.pending.width + fragment.width;
        self.space.stretch += self.pending.stretch;
        self.space.shrink += self.pending.shrink;
        let ink = self.ink.union(fragment.ink);
        if ink != self.ink {
            self.ink = ink;
            self.measure = page.measure(self.slot, ink);
        }
    }

    /// Lets the line go on after a fragment: its space is pending.
    pub fn go_on(&mut self, fragment: &Fragment) {
        self.pending = fragment.space;
    }

    /// The line as it is weighed when it ends after `fragment`, the last one added; `None` where it
    /// may not end there.
    pub fn candidate(
        &self,
        fragment: &Fragment,
        last: bool,
        page: &impl Page,
        line: Range<usize>,
    ) -> Option<Candidate> {
        let penalty = match fragment.end {
            End::May(penalty) if !last => penalty,
            End::Never if !last => return None,
            _ => 0.0,
        };
        let hyphen = if last { 0.0 } else { fragment.hyphen };
        let natural = self.natural + hyphen;
        Some(Candidate {
            natural,
            measure: self.measure,
            limit: self.limit(natural, page, line),
            stretch: self.space.stretch,
            shrink: self.space.shrink,
            penalty,
            hyphenated: hyphen > 0.0,
            last,
            slot: self.slot,
        })
    }

    /// The limit of a line, looked at closely only where the line comes near its measure.
    pub fn limit(&self, natural: f64, page: &impl Page, fragments: Range<usize>) -> f64 {
        if natural <= self.measure - page.overhang() {
            return self.measure;
        }
        page.limit(
            &Placed {
                slot: self.slot,
                fragments,
                ink: self.ink,
                measure: self.measure,
            },
            natural,
        )
    }
}
