//! Where the fragments of a paragraph lie, which of them can begin a line, and what it costs at the
//! least to come to them. Chooses nothing.

use std::ops::Range;

use super::linebreak::Fragment;

/// Sums over the fragments before each, so that any line is measured by a subtraction.
pub struct Positions {
    /// The left end of a line that begins with each fragment.
    starts: Vec<f64>,
    /// The right end of each fragment, by the number of the one after it.
    ends: Vec<f64>,
    /// The characters before each fragment, and those up to the end of the one before it.
    characters: Vec<(u32, u32)>,
    /// The give of all spaces before each fragment; none where no space gives.
    give: Vec<(f64, f64)>,
    /// The most that any line gains by where it begins.
    pub most_lead: f64,
    /// The most that all spaces together shrink by.
    pub most_shrink: f64,
}

impl Positions {
    /// Sums up.
    pub fn of(fragments: &[Fragment]) -> Self {
        let count = fragments.len() + 1;
        let mut sums = Self {
            starts: Vec::with_capacity(count),
            ends: Vec::with_capacity(count),
            characters: Vec::with_capacity(count),
            give: Vec::new(),
            most_lead: 0.0,
            most_shrink: 0.0,
        };
        let (mut at, mut end) = (0.0, 0.0);
        let mut characters = (0, 0);
        for fragment in fragments {
            sums.starts.push(at - fragment.lead);
            sums.ends.push(end);
            sums.characters.push(characters);
            sums.most_lead = sums.most_lead.max(fragment.lead);
            end = at + fragment.width;
            at = end + fragment.space.width;
            characters.1 = characters.0 + fragment.characters;
            characters.0 = characters.1 + u32::from(fragment.space.width > 0.0);
        }
        sums.starts.push(at);
        sums.ends.push(end);
        sums.characters.push(characters);
        if fragments.iter().any(|fragment| fragment.space.gives()) {
            let mut give = (0.0, 0.0);
            sums.give.push(give);
            for fragment in fragments {
                give.0 += fragment.space.stretch;
                give.1 += fragment.space.shrink;
                sums.give.push(give);
            }
            sums.most_shrink = give.1;
        }
        sums
    }

    /// The left end of a line that begins with a fragment.
    pub fn start(&self, start: usize) -> f64 {
        self.starts[start]
    }

    /// The right end of a line that ends before a fragment.
    pub fn end(&self, end: usize) -> f64 {
        self.ends[end]
    }

    /// By how much the spaces of a line can grow and shrink in all.
    pub fn give(&self, start: usize, end: usize) -> (f64, f64) {
        match (self.give.get(start), self.give.get(end - 1)) {
            (Some(start), Some(end)) => (end.0 - start.0, end.1 - start.1),
            _ => (0.0, 0.0),
        }
    }

    /// How many characters a line has.
    pub fn characters(&self, start: usize, end: usize) -> u32 {
        self.characters[end].1 - self.characters[start].0
    }

    /// Leaves out the first fragments from which a line to the end of the range is wider than the
    /// widest, and to every later end too; gives the first that is left.
    pub fn narrow(&self, starts: Range<usize>, widest: f64) -> usize {
        let farthest = self.ends[starts.end] - widest - self.most_lead - self.most_shrink;
        let mut first = starts.start;
        while first + 1 < starts.end && self.starts[first] < farthest {
            first += 1;
        }
        first
    }
}

/// What it costs at the least to come to a fragment or a later one, with the same places used.
#[derive(Clone, Default)]
pub struct Floor {
    /// Fragments with the costs of coming to them, each cheaper than all that follow but for the
    /// next of them.
    cheapest: Vec<(u32, f64)>,
}

impl Floor {
    /// Takes in a further fragment, to which it costs that much to come.
    pub fn offer(&mut self, start: usize, cost: f64) {
        while self.cheapest.last().is_some_and(|last| last.1 >= cost) {
            self.cheapest.pop();
        }
        self.cheapest.push((start as u32, cost));
    }

    /// Forgets all fragments so far.
    pub fn clear(&mut self) {
        self.cheapest.clear();
    }

    /// What it costs at the least to come to a fragment or a later one.
    pub fn from(&self, start: usize) -> f64 {
        let number = self
            .cheapest
            .partition_point(|&(at, _)| (at as usize) < start);
        let cheapest = self.cheapest.get(number);
        cheapest.map_or(f64::INFINITY, |&(_, cost)| cost)
    }
}
