//! Chooses the line breaks of a paragraph together. Knows fragments and widths, never text.
//!
//! The state of the optimum is (break, line on the page): where the lines of a page differ in
//! width, keeping the best way to a break alone is wrong, since two ways to it go on with lines of
//! other widths. The pages repeat, so that there are as many states a break as a page has lines.

use std::ops::Range;

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
    /// before it may end within a word, with a hyphen.
    fn empty(&self, slot: usize, measure: f64, hyphenated: bool) -> Option<f64>;
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
    let slots = page.slots();
    let mut ways = vec![NO_WAY; (fragments.len() + 1) * slots];
    ways[start_slot].cost = 0.0;
    for start in 0..fragments.len() {
        for slot in 0..slots {
            let reached = ways[start * slots + slot].cost;
            if reached < f64::INFINITY {
                let origin = Origin {
                    start,
                    slot,
                    cost: reached,
                };
                extend(fragments, &origin, page, cost, &mut ways);
            }
        }
    }
    let last = &ways[fragments.len() * slots..];
    let end_slot = (0..slots).min_by(|&a, &b| last[a].cost.total_cmp(&last[b].cost))?;
    (last[end_slot].cost < f64::INFINITY || fragments.is_empty())
        .then(|| trace(fragments, &ways, page, start_slot, end_slot))
}

#[derive(Clone, Copy)]
struct Origin {
    start: usize,
    slot: usize,
    cost: f64,
}

/// Weighs every line that can start at a state, at its place or, where places may be left empty,
/// at the ones after it.
fn extend(
    fragments: &[Fragment],
    origin: &Origin,
    page: &impl Page,
    cost: &impl Cost,
    ways: &mut [Way],
) {
    let slots = page.slots();
    let before = origin.start.checked_sub(1).map(|before| fragments[before]);
    let hyphenated = before.is_some_and(|before| before.hyphen > 0.0 && before.end != End::Must);
    let mut slot = origin.slot;
    let mut spent = origin.cost;
    for empty in 0..slots {
        extend_at(fragments, origin, (slot, empty, spent), page, cost, ways);
        match cost.empty(slot, page.measure(slot, Ink::default()), hyphenated) {
            Some(price) => spent += price,
            None => break,
        }
        slot = (slot + 1) % slots;
    }
}

fn extend_at(
    fragments: &[Fragment],
    origin: &Origin,
    (slot, empty, spent): (usize, usize, f64),
    page: &impl Page,
    cost: &impl Cost,
    ways: &mut [Way],
) {
    let slots = page.slots();
    let next_slot = (slot + 1) % slots;
    let mut reach = Reach::new(page, slot);
    let widest = page.widest(slot);
    for (end, fragment) in (origin.start + 1..).zip(&fragments[origin.start..]) {
        reach.add(fragment, page);
        if reach.natural - reach.space.shrink > widest {
            break;
        }
        let last = end == fragments.len() || fragment.end == End::Must;
        if let Some(candidate) = reach.candidate(fragment, last, page, origin.start..end)
            && let Some(price) = cost.line(&candidate)
        {
            let way = &mut ways[end * slots + next_slot];
            if spent + price < way.cost {
                *way = Way {
                    cost: spent + price,
                    from: origin.start,
                    from_slot: origin.slot,
                    empty,
                };
            }
        }
        if last {
            break;
        }
        reach.go_on(fragment);
    }
}

/// A line that grows fragment by fragment.
struct Reach {
    natural: f64,
    space: Space,
    pending: Space,
    ink: Ink,
    measure: f64,
    slot: usize,
}

impl Reach {
    fn new(page: &impl Page, slot: usize) -> Self {
        Self {
            natural: 0.0,
            space: Space::default(),
            pending: Space::default(),
            ink: Ink::default(),
            measure: page.measure(slot, Ink::default()),
            slot,
        }
    }

    fn add(&mut self, fragment: &Fragment, page: &impl Page) {
        self.natural += self.pending.width + fragment.width;
        self.space.stretch += self.pending.stretch;
        self.space.shrink += self.pending.shrink;
        let ink = self.ink.union(fragment.ink);
        if ink != self.ink {
            self.ink = ink;
            self.measure = page.measure(self.slot, ink);
        }
    }

    fn go_on(&mut self, fragment: &Fragment) {
        self.pending = fragment.space;
    }

    fn candidate(
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
            limit: self.limit(natural, page, &line),
            stretch: self.space.stretch,
            shrink: self.space.shrink,
            penalty,
            hyphenated: hyphen > 0.0,
            last,
            slot: self.slot,
        })
    }

    fn limit(&self, natural: f64, page: &impl Page, line: &Range<usize>) -> f64 {
        let fragments = line.clone();
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

/// Follows the ways back from the end and measures the lines again.
fn trace(
    fragments: &[Fragment],
    ways: &[Way],
    page: &impl Page,
    start_slot: usize,
    end_slot: usize,
) -> Vec<Line> {
    let slots = page.slots();
    let mut breaks = Vec::new();
    let (mut end, mut slot) = (fragments.len(), end_slot);
    while end > 0 {
        let way = ways[end * slots + slot];
        breaks.push((way.from, end, way.empty));
        (end, slot) = (way.from, way.from_slot);
    }
    let mut offset = 0;
    let mut lines = Vec::with_capacity(breaks.len());
    for (start, end, empty) in breaks.into_iter().rev() {
        offset += empty;
        let mut reach = Reach::new(page, (start_slot + offset) % slots);
        for (place, fragment) in fragments[start..end].iter().enumerate() {
            reach.add(fragment, page);
            if start + place + 1 < end {
                reach.go_on(fragment);
            }
        }
        let last = end == fragments.len() || fragments[end - 1].end == End::Must;
        let hyphen = if last { 0.0 } else { fragments[end - 1].hyphen };
        let width = reach.natural + hyphen;
        let limit = reach.limit(width, page, &(start..end));
        let measure = if width > reach.measure {
            limit
        } else {
            reach.measure
        };
        lines.push(Line {
            start,
            end,
            offset,
            width,
            measure,
        });
        offset += 1;
    }
    lines
}

#[cfg(test)]
#[path = "linebreak_tests.rs"]
mod tests;
