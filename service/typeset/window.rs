//! Where the fragments of a paragraph lie, and which of them can begin a line. Chooses nothing.

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

    /// The left ends of the lines that begin with each fragment.
    pub fn starts(&self) -> &[f64] {
        &self.starts
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
}

/// The fragments that can begin a line at one place of the page, as the end of the line moves on.
pub struct Window {
    /// The width that a line should fill.
    pub measure: f64,
    /// The width beyond which no line fits.
    pub widest: f64,
    first: usize,
    /// Fragments with the costs of coming to them, each cheaper than all that follow but for the
    /// next of them; those before `head` are out.
    queue: Vec<(u32, f64)>,
    head: usize,
}

impl Window {
    /// A window before any fragment.
    pub fn new(measure: f64, widest: f64) -> Self {
        Self {
            measure,
            widest,
            first: 0,
            queue: Vec::new(),
            head: 0,
        }
    }

    /// Lets lines begin with a further fragment, to which it costs that much to come.
    pub fn offer(&mut self, start: usize, cost: f64) {
        if cost == f64::INFINITY {
            return;
        }
        while self.queue.len() > self.head && self.queue[self.queue.len() - 1].1 >= cost {
            self.queue.pop();
        }
        self.queue.push((start as u32, cost));
    }

    /// Lets lines begin no earlier than a fragment.
    pub fn restart(&mut self, first: usize) {
        self.first = first;
        self.queue.clear();
        self.head = 0;
    }

    /// Leaves out the fragments from which a line to that end is too wide, and every later one too;
    /// gives the first that is left.
    pub fn narrow(&mut self, positions: &Positions, end: usize) -> usize {
        let reached = positions.end(end);
        let farthest = reached - self.widest - positions.most_lead - positions.most_shrink;
        while self.first + 1 < end && positions.start(self.first) < farthest {
            self.first += 1;
        }
        while self
            .queue
            .get(self.head)
            .is_some_and(|&(start, _)| (start as usize) < self.first)
        {
            self.head += 1;
        }
        self.first
    }

    /// Fragments, each with what it costs at the least to come to it or a later one, and that is the
    /// least from the one before it on.
    pub fn cheapest(&self) -> &[(u32, f64)] {
        &self.queue[self.head..]
    }
}
