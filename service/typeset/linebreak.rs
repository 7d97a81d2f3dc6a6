//! Chooses the line breaks of a paragraph together. Knows fragments and widths, never text.
//!
//! The state of the optimum is (break, line on the page): where the lines of a page differ in
//! width, keeping the best way to a break alone is wrong, since two ways to it go on with lines of
//! other widths. The pages repeat, so that there are as many states a break as a page has lines.

use std::ops::Range;

use super::reach::Reach;
use crate::font::Ink;

/// A piece of a paragraph that is never broken within. Widths are in any one unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fragment {
    /// Its own width.
    pub width: f64,
    /// The white space after it, when the line goes on.
    pub space: Space,
    /// What a line gains in width when it ends here: a hyphen's width.
    pub hyphen: f64,
    /// Whether the line may end here.
    pub end: End,
    /// Its ink.
    pub ink: Ink,
}

impl Fragment {
    /// Whether a line that ends here ends within a word: not at a space, and not for nothing.
    pub fn is_within_a_word(&self) -> bool {
        self.space.width == 0.0 && matches!(self.end, End::May(penalty) if penalty > 0.0)
    }
}

/// White space between two fragments of a line. Ragged setting uses the width alone.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Space {
    /// Its natural width.
    pub width: f64,
    /// By how much it can grow.
    pub stretch: f64,
    /// By how much it can shrink.
    pub shrink: f64,
}

/// Whether a line may end after a fragment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum End {
    /// It may not.
    Never,
    /// It may, at this penalty.
    May(f64),
    /// It must.
    Must,
}

/// A line that is being weighed.
#[derive(Clone, Copy, Debug)]
pub struct Candidate {
    /// Its width with natural spaces and, where it ends in one, its hyphen.
    pub natural: f64,
    /// The width that it should fill.
    pub measure: f64,
    /// The width that it may have at the most.
    pub limit: f64,
    /// By how much its spaces can grow in all.
    pub stretch: f64,
    /// By how much they can shrink in all.
    pub shrink: f64,
    /// The penalty of its end.
    pub penalty: f64,
    /// Whether it ends in a hyphen.
    pub hyphenated: bool,
    /// Whether the author ended it: a paragraph's last line, or one before a set line end.
    pub last: bool,
    /// Its place on the page, from nought.
    pub slot: usize,
}

/// What lines cost. The sum over a paragraph is made least.
pub trait Cost {
    /// The cost of a line, not negative but for `None`: it cannot be set so.
    fn line(&self, line: &Candidate) -> Option<f64>;

    /// The cost of leaving a place of the page empty, `None` where that is not done. The line
    /// before it may end within a word.
    fn empty(&self, slot: usize, measure: f64, divided: bool) -> Option<f64>;
}

/// The page that lines are set on.
pub trait Page {
    /// How many lines a page has; the next page has the same.
    fn slots(&self) -> usize;

    /// The width that a line of that ink should fill at a place of the page. Never greater for
    /// more ink.
    fn measure(&self, slot: usize, ink: Ink) -> f64;

    /// The width beyond which no line fits at a place.
    fn widest(&self, slot: usize) -> f64 {
        self.measure(slot, Ink::default())
    }

    /// By how much the ink of any line's ends may hang over them together at the most.
    fn overhang(&self) -> f64 {
        0.0
    }

    /// The width that the line of those fragments may have at the most, by the ink of its ends. It
    /// is asked for a line of the width `natural`: a limit that is below that need not be exact.
    fn limit(&self, line: &Placed, natural: f64) -> f64 {
        let _ = natural;
        line.measure
    }
}

/// A line at its place, as far as it is known.
#[derive(Clone, Debug)]
pub struct Placed {
    /// Its place on the page.
    pub slot: usize,
    /// Its fragments.
    pub fragments: Range<usize>,
    /// The ink of all of them.
    pub ink: Ink,
    /// The width that it should fill.
    pub measure: f64,
}

/// One line of a broken paragraph.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Its first fragment.
    pub start: usize,
    /// The one after its last.
    pub end: usize,
    /// How many lines after the paragraph's first place it stands; places left empty count.
    pub offset: usize,
    /// Its width.
    pub width: f64,
    /// The free width of its place: what it should fill, or where it fills more, what it may.
    pub measure: f64,
}

/// A way to a break: what it cost, and the way it came.
#[derive(Clone, Copy)]
struct Way {
    cost: f64,
    from: usize,
    from_slot: usize,
    /// Places left empty before the line that ends here.
    empty: usize,
}

const NO_WAY: Way = Way {
    cost: f64::INFINITY,
    from: 0,
    from_slot: 0,
    empty: 0,
};

/// Breaks a paragraph that starts at a place of the page, so that the cost of its lines together
/// is least. Returns `None` where no choice of breaks keeps every line within its measure.
///
/// Takes time in proportion to fragments, places and fragments a line; memory to fragments and
/// places.
pub fn break_lines(
    fragments: &[Fragment],
    start_slot: usize,
    page: &impl Page,
    cost: &impl Cost,
) -> Option<Vec<Line>> {
    let breaker = Breaker::new(fragments, page, cost);
    let slots = breaker.slots.len();
    // What costs more than first fit is no way to the least; the slack is for rounding.
    let bound = breaker
        .first_fit(start_slot)
        .map_or(f64::MAX, |bound| bound + 1e-9);
    let mut ways = vec![NO_WAY; (fragments.len() + 1) * slots];
    ways[start_slot].cost = 0.0;
    for start in 0..fragments.len() {
        for slot in 0..slots {
            let reached = ways[start * slots + slot].cost;
            if reached <= bound {
                breaker.extend(start, slot, bound, &mut ways);
            }
        }
    }
    let last = &ways[fragments.len() * slots..];
    let end_slot = (0..slots).min_by(|&a, &b| last[a].cost.total_cmp(&last[b].cost))?;
    (last[end_slot].cost < f64::INFINITY || fragments.is_empty())
        .then(|| breaker.trace(&ways, start_slot, end_slot))
}

/// What the search needs at every step.
struct Breaker<'a, P, C> {
    fragments: &'a [Fragment],
    page: &'a P,
    cost: &'a C,
    slots: Vec<Slot>,
}

/// What is known of a place before any line stands there.
#[derive(Clone, Copy)]
struct Slot {
    measure: f64,
    widest: f64,
}

impl<P: Page, C: Cost> Breaker<'_, P, C> {
    fn new<'a>(fragments: &'a [Fragment], page: &'a P, cost: &'a C) -> Breaker<'a, P, C> {
        let slot = |slot| Slot {
            measure: page.measure(slot, Ink::default()),
            widest: page.widest(slot),
        };
        Breaker {
            fragments,
            page,
            cost,
            slots: (0..page.slots()).map(slot).collect(),
        }
    }

    /// The cost of setting each line as full as it goes; `None` where that leads nowhere.
    fn first_fit(&self, start_slot: usize) -> Option<f64> {
        let (mut start, mut slot, mut spent) = (0, start_slot, 0.0);
        while start < self.fragments.len() {
            let mut fullest = None;
            self.lines(start, slot, |end, price| fullest = Some((end, price)));
            let (end, price) = fullest?;
            spent += price;
            start = end;
            slot = (slot + 1) % self.slots.len();
        }
        Some(spent)
    }

    /// Weighs every line that can start at a state, at its place or, where places may be left
    /// empty, at the ones after it.
    fn extend(&self, start: usize, first_slot: usize, bound: f64, ways: &mut [Way]) {
        let slots = self.slots.len();
        let before = start.checked_sub(1).map(|before| &self.fragments[before]);
        let divided = before.is_some_and(Fragment::is_within_a_word);
        let mut spent = ways[start * slots + first_slot].cost;
        let mut slot = first_slot;
        for empty in 0..slots {
            let next_slot = (slot + 1) % slots;
            self.lines(start, slot, |end, price| {
                let cost = spent + price;
                let way = &mut ways[end * slots + next_slot];
                if cost < way.cost && cost <= bound {
                    *way = Way {
                        cost,
                        from: start,
                        from_slot: first_slot,
                        empty,
                    };
                }
            });
            match self.cost.empty(slot, self.slots[slot].measure, divided) {
                Some(price) if spent + price <= bound => spent += price,
                _ => break,
            }
            slot = next_slot;
        }
    }

    /// Tells the end and the price of each line that can stand at a place, the shortest first.
    fn lines(&self, start: usize, slot: usize, mut tell: impl FnMut(usize, f64)) {
        let widest = self.slots[slot].widest;
        let mut reach = Reach::new(self.slots[slot].measure, slot);
        for (end, fragment) in (start + 1..).zip(&self.fragments[start..]) {
            reach.add(fragment, self.page);
            if reach.natural - reach.space.shrink > widest {
                return;
            }
            let last = end == self.fragments.len() || fragment.end == End::Must;
            if let Some(candidate) = reach.candidate(fragment, last, self.page, start..end)
                && let Some(price) = self.cost.line(&candidate)
            {
                tell(end, price);
            }
            if last {
                return;
            }
            reach.go_on(fragment);
        }
    }
}

impl<P: Page, C: Cost> Breaker<'_, P, C> {
    /// Follows the ways back from the end and measures the lines again.
    fn trace(&self, ways: &[Way], start_slot: usize, end_slot: usize) -> Vec<Line> {
        let slots = self.slots.len();
        let mut breaks = Vec::new();
        let (mut end, mut slot) = (self.fragments.len(), end_slot);
        while end > 0 {
            let way = ways[end * slots + slot];
            breaks.push((way.from..end, way.empty));
            (end, slot) = (way.from, way.from_slot);
        }
        let mut offset = 0;
        let mut lines = Vec::with_capacity(breaks.len());
        for (fragments, empty) in breaks.into_iter().rev() {
            offset += empty;
            lines.push(self.line(fragments, (start_slot + offset) % slots, offset));
            offset += 1;
        }
        lines
    }

    fn line(&self, fragments: Range<usize>, slot: usize, offset: usize) -> Line {
        let (start, end) = (fragments.start, fragments.end);
        let mut reach = Reach::new(self.slots[slot].measure, slot);
        for fragment in &self.fragments[start..end] {
            reach.add(fragment, self.page);
            reach.go_on(fragment);
        }
        let closing = &self.fragments[end - 1];
        let last = end == self.fragments.len() || closing.end == End::Must;
        let width = reach.natural + if last { 0.0 } else { closing.hyphen };
        let limit = reach.limit(width, self.page, fragments);
        let measure = if width > reach.measure {
            limit
        } else {
            reach.measure
        };
        Line {
            start,
            end,
            offset,
            width,
            measure,
        }
    }
}

#[cfg(test)]
#[path = "linebreak_tests.rs"]
mod tests;
