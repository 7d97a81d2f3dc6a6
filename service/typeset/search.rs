//! The search through one paragraph for the least cost of every state at every break. Traces no way.

use super::linebreak::{Candidate, Cost, End, Page, Paragraph};
use super::window::{Positions, Window};

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
    /// The least cost of each state: by places used, then by breaks.
    states: Vec<Vec<f64>>,
    ways: Ways,
    windows: Vec<Window>,
}

/// The best line to a state, for going on and for turning the page after it.
#[derive(Clone, Copy)]
struct Best {
    cost: f64,
    start: u32,
    turning: f64,
    turning_start: u32,
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
        let window = |slot| Window::new(page.measure(slot), page.widest(slot));
        Self {
            slots,
            paragraph,
            page,
            cost,
            positions: Positions::of(paragraph.fragments),
            empty_head: empty(0),
            empties,
            states: vec![vec![NO_WAY; breaks]; slots + 1],
            ways: Ways {
                spaced: paragraph.spaced,
                lines: vec![0; breaks * (slots + 1)],
                turns: vec![(0, 0); breaks],
            },
            windows: (0..slots).map(window).collect(),
        }
    }

    /// Takes over the states at which the paragraph begins.
    pub fn begin(&mut self, row: &[f64]) {
        for (used, &cost) in row.iter().enumerate() {
            let used = used + usize::from(self.paragraph.spaced && used > 0);
            if let Some(states) = self.states.get_mut(used) {
                states[0] = cost;
            }
        }
        self.leave_head_empty(0);
    }

    /// Lets a page begin at its second place, where that costs less.
    fn leave_head_empty(&mut self, end: usize) {
        let left = self.states[0][end] + self.empty_head;
        if self.slots > 1 && left < self.states[1][end] {
            self.states[1][end] = left;
            self.ways.lines[end * (self.slots + 1) + 1] = EMPTY;
        }
    }

    /// Finds the least cost of every state at a break; those before it are known.
    pub fn reach(&mut self, end: usize) {
        for (window, states) in self.windows.iter_mut().zip(&self.states) {
            window.offer(end - 1, states[end - 1]);
        }
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
        let ending = Ending {
            end,
            reached: self.positions.end(end) + hyphen,
            penalty,
            last,
            closes,
        };
        let mut turned = NO_WAY;
        for slot in 0..self.slots {
            let best = self.best_line(slot, ending);
            self.states[slot + 1][end] = best.cost;
            self.ways.lines[end * (self.slots + 1) + slot + 1] = best.start;
            let turning = best.turning + self.empties[slot + 1] + closing.turn;
            if turning < turned {
                turned = turning;
                self.ways.turns[end] = (best.turning_start, slot as u8 + 1);
            }
        }
        if self.cost.turns() {
            self.states[0][end] = turned;
        }
        if closing.end == End::Must {
            for window in &mut self.windows {
                window.restart(end);
            }
        }
        if !ends_here {
            self.leave_head_empty(end);
        }
    }

    /// The best of the lines that end at a break and stand at a place. The fullest are weighed
    /// first; where even a line to which it were cheapest to come would cost more, all others do.
    fn best_line(&mut self, slot: usize, ending: Ending) -> Best {
        let mut best = Best {
            cost: NO_WAY,
            start: 0,
            turning: NO_WAY,
            turning_start: 0,
        };
        let first = self.windows[slot].narrow(&self.positions, ending.end);
        let window = &self.windows[slot];
        let mut cheapest = window.cheapest();
        if cheapest.is_empty() {
            return best;
        }
        let limit = self.page.limit_to(slot, ending.end) + TOLERANCE + self.positions.most_shrink;
        let full = window.measure - ending.reached - self.positions.most_lead;
        let begins = &self.positions.starts()[first..ending.end];
        let spents = &self.states[slot][first..ending.end];
        for (number, (begin, spent)) in begins.iter().zip(spents).enumerate() {
            if *spent == NO_WAY || ending.reached - begin > limit {
                continue;
            }
            let least = if ending.last {
                0.0
            } else {
                self.cost.least((full + begin).max(0.0)) + ending.penalty
            };
            if spent + least >= best.turning {
                while cheapest.len() > 1 && (cheapest[0].0 as usize) <= first + number {
                    cheapest = &cheapest[1..];
                }
                if cheapest[0].1 + least >= best.turning {
                    break;
                }
                continue;
            }
            self.weigh(slot, first + number, ending, &mut best);
        }
        best
    }

    /// Weighs one line, and keeps it where it is better.
    #[inline]
    fn weigh(&self, slot: usize, start: usize, ending: Ending, best: &mut Best) {
        let natural = ending.reached - self.positions.start(start);
        let (stretch, shrink) = self.positions.give(start, ending.end);
        let limit = self.page.limits_from(slot).get(start);
        let limit = limit
            .map_or(NO_WAY, |limit| *limit)
            .min(self.page.limit_to(slot, ending.end));
        if natural - shrink > limit + TOLERANCE {
            return;
        }
        let line = Candidate {
            natural,
            measure: self.windows[slot].measure,
            stretch,
            shrink,
            penalty: ending.penalty,
            last: ending.last,
            divided: self.paragraph.divides_before(start),
            characters: self.positions.characters(start, ending.end),
        };
        let Some(price) = self.cost.line(&line) else {
            return;
        };
        let mut cost = self.states[slot][start] + price;
        if ending.closes && slot == 0 && (start > 0 || self.paragraph.begun) {
            cost += self.cost.stranded_at_head();
        }
        let mut turning = cost;
        if !ending.closes && start == 0 && !self.paragraph.begun {
            turning += self.cost.stranded_at_foot();
        }
        let better = cost < best.cost || turning < best.turning;
        if better && self.page.fits(slot, start..ending.end, natural) {
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
        let row = self.states.iter().map(|states| states[end]).collect();
        (row, self.ways)
    }
}

/// Rounding of sums: a line that is wider than its limit by no more than this is not wider.
const TOLERANCE: f64 = 1e-9;
