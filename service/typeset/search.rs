//! The search through one paragraph for the least cost of every state at every break. Traces no way.

use std::ops::Range;

use super::linebreak::{Candidate, Cost, End, Page, Paragraph};
use super::window::{Floor, Positions};

/// The ways through a paragraph.
pub struct Ways {
    /// Whether a place stays empty before it.
    pub spaced: bool,
    /// Where the line begins that ends at a break and uses a page up to a place.
    pub lines: Vec<u32>,
    /// Where the last line of a page begins that ends at a break, and how many places are used.
    pub turns: Vec<(u32, u8)>,
}

/// No line leads here: the first place of a page was left empty.
pub const EMPTY: u32 = u32::MAX;
/// What cannot be costs.
pub const NO_WAY: f64 = f64::INFINITY;

/// The search through one paragraph.
pub struct Search<'a, P, C> {
    slots: usize,
    paragraph: &'a Paragraph<'a>,
    page: &'a P,
    cost: &'a C,
    positions: Positions,
    /// What leaving the first place of a page empty costs.
    empty_head: f64,
    /// What leaving the places of a page from one on empty costs.
    empties: Vec<f64>,
    /// The least cost of each state: a row a break, by places used.
    states: Vec<f64>,
    /// From which to which place each break can be come to, by places used.
    reached: Vec<Range<usize>>,
    ways: Ways,
    /// The first fragment with which a line to the break that is being reached may begin.
    first: usize,
    places: Vec<Place>,
    floors: Vec<Floor>,
}

/// A place of the page, as the lines to one break come to it.
#[derive(Clone, Copy)]
struct Place {
    /// What a line should fill.
    measure: f64,
    /// No line to the break is wider here when its spaces have shrunk, whatever it begins with.
    limit: f64,
    best: Best,
}

/// The best line to a state, for going on and for turning the page after it.
#[derive(Clone, Copy)]
struct Best {
    cost: f64,
    start: u32,
    turning: f64,
    turning_start: u32,
}

impl Best {
    const NONE: Self = Self {
        cost: NO_WAY,
        start: 0,
        turning: NO_WAY,
        turning_start: 0,
    };
}

/// How a line ends at a break.
#[derive(Clone, Copy)]
struct Ending {
    end: usize,
    /// Where its ink ends, a hyphen with it.
    reached: f64,
    penalty: f64,
    /// Whether the author ended it.
    last: bool,
    /// Whether the paragraph ends with it.
    closes: bool,
}

impl<'a, P: Page, C: Cost> Search<'a, P, C> {
    /// Before the paragraph.
    pub fn new(slots: usize, paragraph: &'a Paragraph<'a>, page: &'a P, cost: &'a C) -> Self {
        let breaks = paragraph.fragments.len() + 1;
        let empty = |slot| cost.empty(page.measure(slot)).unwrap_or(NO_WAY);
        let mut empties = vec![0.0; slots + 1];
        for slot in (0..slots).rev() {
            empties[slot] = empties[slot + 1] + empty(slot);
        }
        let place = |slot| Place {
            measure: page.measure(slot),
            limit: page.widest(slot),
            best: Best::NONE,
        };
        Self {
            slots,
            paragraph,
            page,
            cost,
            positions: Positions::of(paragraph.fragments),
            empty_head: empty(0),
            empties,
            states: vec![NO_WAY; breaks * (slots + 1)],
            reached: vec![0..0; breaks],
            ways: Ways {
                spaced: paragraph.spaced,
                lines: vec![0; breaks * (slots + 1)],
                turns: vec![(0, 0); breaks],
            },
            first: 0,
            places: (0..slots).map(place).collect(),
            floors: vec![Floor::default(); slots],
        }
    }

    /// The number of the first state at a break.
    fn row(&self, at: usize) -> usize {
        at * (self.slots + 1)
    }

    /// Takes over the states at which the paragraph begins.
    pub fn begin(&mut self, row: &[f64]) {
        for (used, &cost) in row.iter().enumerate() {
            let used = used + usize::from(self.paragraph.spaced && used > 0);
            if used <= self.slots {
                self.states[used] = cost;
            }
        }
        self.leave_head_empty(0);
    }

    /// Lets a page begin at its second place, where that costs less.
    fn leave_head_empty(&mut self, end: usize) {
        let row = self.row(end);
        let left = self.states[row] + self.empty_head;
        if self.slots > 1 && left < self.states[row + 1] {
            self.states[row + 1] = left;
            self.ways.lines[row + 1] = EMPTY;
        }
    }

    /// Finds the least cost of every state at a break; those before it are known.
    pub fn reach(&mut self, end: usize) {
        self.offer(end - 1);
        let closing = &self.paragraph.fragments[end - 1];
        let ends_here = end == self.paragraph.fragments.len();
        if closing.end == End::Never && !ends_here {
            return;
        }
        let closes = ends_here && !self.paragraph.open;
        let last = closes || closing.end == End::Must;
        let (hyphen, penalty) = match closing.end {
            End::May(penalty) if !last => (closing.hyphen, penalty),
            _ => (0.0, 0.0),
        };
        self.weigh_lines(Ending {
            end,
            reached: self.positions.end(end) + hyphen,
            penalty,
            last,
            closes,
        });
        let row = self.row(end) + 1;
        let states = &mut self.states[row..row + self.slots];
        let lines = &mut self.ways.lines[row..row + self.slots];
        let mut turned = NO_WAY;
        for (slot, Place { best, .. }) in self.places.iter().enumerate() {
            (states[slot], lines[slot]) = (best.cost, best.start);
            let turning = best.turning + self.empties[slot + 1] + closing.turn;
            if turning < turned {
                turned = turning;
                self.ways.turns[end] = (best.turning_start, slot as u8 + 1);
            }
        }
        if self.cost.turns() {
            self.states[row - 1] = turned;
        }
        if closing.end == End::Must {
            self.first = end;
            self.floors.iter_mut().for_each(Floor::clear);
        }
        if !ends_here {
            self.leave_head_empty(end);
        }
    }

    /// Lets lines begin at a break.
    fn offer(&mut self, start: usize) {
        let row = self.row(start);
        let costs = &self.states[row..row + self.slots];
        let mut reached = 0..0;
        for (slot, cost) in costs.iter().enumerate() {
            if *cost < NO_WAY {
                let first = if reached.is_empty() {
                    slot
                } else {
                    reached.start
                };
                reached = first..slot + 1;
                self.floors[slot].offer(start, *cost);
            }
        }
        self.reached[start] = reached;
    }

    /// Finds the best of the lines to a break at every place: of each line all places are looked at
    /// together, since what they see of it differs by their measures alone. The fullest are weighed
    /// first, and a line only where it may be better than those before.
    fn weigh_lines(&mut self, ending: Ending) {
        let mut places = std::mem::take(&mut self.places);
        let mut widest = 0.0_f64;
        for (slot, place) in places.iter_mut().enumerate() {
            widest = widest.max(self.page.widest(slot));
            place.limit = self.page.limit_to(slot, ending.end) + TOLERANCE;
            place.best = Best::NONE;
        }
        self.first = self.positions.narrow(self.first..ending.end, widest);
        for start in self.first..ending.end {
            let weighed = start - self.first;
            let asks = weighed > 0 && weighed.is_multiple_of(STRIDE);
            if asks && !self.is_open(start, ending, &places) {
                break;
            }
            self.weigh_line(start, ending, &mut places);
        }
        self.places = places;
    }

    /// Weighs a line at each place where it may be better than those before. First all places are
    /// looked at, in a loop that has no branches: which of them are open is hard to foretell.
    fn weigh_line(&self, start: usize, ending: Ending, places: &mut [Place]) {
        let natural = ending.reached - self.positions.start(start);
        let narrowest = natural - self.positions.most_shrink;
        let Range {
            start: from,
            end: to,
        } = self.reached[start];
        let spents = self.states[self.row(start)..][from..to].chunks(CHUNK);
        for (number, (places, spents)) in places[from..to].chunks_mut(CHUNK).zip(spents).enumerate()
        {
            let mut open = 0_u64;
            for (at, (place, spent)) in places.iter().zip(spents).enumerate() {
                let least = self.least(place.measure - natural, ending);
                let may = (narrowest <= place.limit) & (spent + least < place.best.turning);
                open |= u64::from(may) << at;
            }
            if open == 0 {
                continue;
            }
            let line = self.line(start, ending);
            while open != 0 {
                let at = open.trailing_zeros() as usize;
                open &= open - 1;
                let slot = from + number * CHUNK + at;
                self.weigh(slot, start, ending, &line, spents[at], &mut places[at]);
            }
        }
    }

    /// What a line costs at the least that falls short of its measure by so much.
    #[inline]
    fn least(&self, rag: f64, ending: Ending) -> f64 {
        if ending.last {
            0.0
        } else {
            let rag = if rag > 0.0 { rag } else { 0.0 };
            self.cost.least(rag) + ending.penalty
        }
    }

    /// Whether any line that begins with a fragment or later may be better at any place: where even
    /// one to which it were cheapest to come would cost more, all do.
    fn is_open(&self, start: usize, ending: Ending, places: &[Place]) -> bool {
        let most = ending.reached - self.positions.start(start) + self.positions.most_lead;
        let mut places = places.iter().zip(&self.floors);
        places.any(|(place, floor)| {
            let least = self.least(place.measure - most, ending);
            floor.from(start) + least < place.best.turning
        })
    }

    /// The line from a fragment to a break, wherever it stands, and its second width.
    #[inline]
    fn line(&self, start: usize, ending: Ending) -> (Candidate, f64) {
        let (stretch, shrink) = self.positions.give(start, ending.end);
        let line = Candidate {
            natural: ending.reached - self.positions.start(start),
            measure: 0.0,
            stretch,
            shrink,
            penalty: ending.penalty,
            last: ending.last,
            divided: self.paragraph.divides_before(start),
            characters: self.positions.characters(start, ending.end),
        };
        (line, self.page.second_width(start..ending.end))
    }

    /// Weighs one line at one place to which it costs so much to come, and keeps it where it is
    /// better.
    #[inline]
    fn weigh(
        &self,
        slot: usize,
        start: usize,
        ending: Ending,
        (line, second): &(Candidate, f64),
        spent: f64,
        place: &mut Place,
    ) {
        let line = Candidate {
            measure: place.measure,
            ..*line
        };
        let shrunk = line.natural - line.shrink;
        if shrunk > place.limit || shrunk > self.page.limit_from(slot, start) + TOLERANCE {
            return;
        }
        let Some(price) = self.cost.line(&line) else {
            return;
        };
        let mut cost = spent + price;
        if ending.closes && slot == 0 && (start > 0 || self.paragraph.begun) {
            cost += self.cost.stranded_at_head();
        }
        let mut turning = cost;
        if !ending.closes && start == 0 && !self.paragraph.begun {
            turning += self.cost.stranded_at_foot();
        }
        let best = &mut place.best;
        let better = cost < best.cost || turning < best.turning;
        let width = line.natural;
        if better && self.page.fits(slot, start..ending.end, width, *second) {
            if cost < best.cost {
                (best.cost, best.start) = (cost, start as u32);
            }
            if turning < best.turning {
                (best.turning, best.turning_start) = (turning, start as u32);
            }
        }
    }

    /// The states at the paragraph's end, and the ways there.
    pub fn finish(self) -> (Vec<f64>, Ways) {
        let end = self.paragraph.fragments.len();
        (self.states[self.row(end)..].to_vec(), self.ways)
    }
}

/// Rounding of sums: a line that is wider than its limit by no more than this is not wider.
const TOLERANCE: f64 = 1e-9;

/// How many places are looked at together: one a bit.
const CHUNK: usize = u64::BITS as usize;

/// After how many lines it is asked whether a further one may be better. To ask costs as much as to
/// look at one or two.
const STRIDE: usize = 4;
