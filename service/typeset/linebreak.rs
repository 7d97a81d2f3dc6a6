//! Chooses the line breaks and the page breaks of a text together. Knows fragments and widths, never
//! text.
//!
//! The state of the optimum is (break, places used on the page): where the lines of a page differ in
//! width, keeping the best way to a break alone is wrong, since two ways to it go on with lines of
//! other widths. The pages repeat, so that there are as many states a break as a page has places.

use std::ops::Range;

use super::search::{EMPTY, NO_WAY, Search, Ways};

/// A piece of a paragraph that is never broken within. Widths are in any one unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fragment {
    /// Its own width.
    pub width: f64,
    /// The white space after it, when the line goes on.
    pub space: Space,
    /// What a line gains in width when it begins here.
    pub lead: f64,
    /// What a line gains in width when it ends here: a hyphen's width.
    pub hyphen: f64,
    /// Whether the line may end here.
    pub end: End,
    /// What it costs that a page ends here.
    pub turn: f64,
    /// How many characters it has, without the space after it.
    pub characters: u32,
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

impl Space {
    /// Whether it can grow or shrink.
    pub fn gives(&self) -> bool {
        self.stretch > 0.0 || self.shrink > 0.0
    }
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
    /// By how much its spaces can grow in all.
    pub stretch: f64,
    /// By how much they can shrink in all.
    pub shrink: f64,
    /// The penalty of its end.
    pub penalty: f64,
    /// Whether the author ended it: a paragraph's last line, or one before a set line end.
    pub last: bool,
    /// Whether it begins within a word, after a hyphen that was drawn.
    pub divided: bool,
    /// How many characters it has, spaces with them.
    pub characters: u32,
}

/// What lines and pages cost. The sum over a text is made least.
pub trait Cost {
    /// The cost of a line, not negative; `None` where it cannot be set so.
    fn line(&self, line: &Candidate) -> Option<f64>;

    /// What no line costs less than, beside its penalty, that falls short of its measure by that much,
    /// not below nought, and was not ended by its author. Never falls as `rag` grows.
    fn least(&self, rag: f64) -> f64 {
        let _ = rag;
        0.0
    }

    /// Whether text goes on on a next page.
    fn turns(&self) -> bool {
        true
    }

    /// The cost of leaving a place of that measure empty at the foot or the head of a page; `None`
    /// where that is not done.
    fn empty(&self, measure: f64) -> Option<f64> {
        let _ = measure;
        None
    }

    /// What it costs that a paragraph's first line is the last of a page and the paragraph goes on.
    fn stranded_at_foot(&self) -> f64 {
        0.0
    }

    /// What it costs that a paragraph's last line is the first of a page and not its only one.
    fn stranded_at_head(&self) -> f64 {
        0.0
    }
}

/// The page that lines are set on, for one paragraph.
pub trait Page {
    /// The width that a line should fill at a place of the page.
    fn measure(&self, slot: usize) -> f64;

    /// The width beyond which no line fits at a place.
    fn widest(&self, slot: usize) -> f64 {
        self.measure(slot)
    }

    /// The width that a line may have at the most at a place for how it begins.
    fn limit_from(&self, slot: usize, start: usize) -> f64 {
        let _ = start;
        self.widest(slot)
    }

    /// The width that a line may have at the most at a place for how it ends.
    fn limit_to(&self, slot: usize, end: usize) -> f64 {
        let _ = end;
        self.widest(slot)
    }

    /// Another width of a line that [`Self::fits`] wants to know, as in a second font; it is asked for
    /// once a line, not once a place.
    fn second_width(&self, line: Range<usize>) -> f64 {
        let _ = line;
        0.0
    }

    /// Whether a line of some fragments fits at a place, if its width is within its limits. It is
    /// told its natural width and its second one.
    fn fits(&self, slot: usize, line: Range<usize>, natural: f64, second: f64) -> bool {
        let _ = (slot, line, natural, second);
        true
    }
}

/// A stretch of text that ends a line where it ends.
#[derive(Clone, Copy, Debug)]
pub struct Paragraph<'a> {
    /// Its fragments.
    pub fragments: &'a [Fragment],
    /// Whether a place stays empty before it, but at the head of a page.
    pub spaced: bool,
    /// Whether lines of the same paragraph come before.
    pub begun: bool,
    /// Whether the same paragraph goes on after it.
    pub open: bool,
}

impl Paragraph<'_> {
    /// Whether a line that begins with a fragment begins within a word, after a drawn hyphen.
    pub fn divides_before(&self, start: usize) -> bool {
        let before = start.checked_sub(1).map(|before| &self.fragments[before]);
        before.is_some_and(|before| before.hyphen > 0.0 && matches!(before.end, End::May(_)))
    }
}

/// One line of a broken text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Line {
    /// Its paragraph, in the order in which they were added.
    pub paragraph: usize,
    /// Its first fragment.
    pub start: usize,
    /// The one after its last.
    pub end: usize,
    /// The page that it stands on.
    pub page: usize,
    /// Its place on the page.
    pub slot: usize,
}

/// Breaks paragraph after paragraph. What is kept of each is the way to every state, so that memory
/// grows with fragments and places, by some fifty bytes a fragment.
pub struct Breaker {
    /// The places of a page.
    slots: usize,
    /// The least cost of each state after all that was added, by places used.
    row: Vec<f64>,
    /// The ways through each paragraph.
    paragraphs: Vec<Ways>,
}

impl Breaker {
    /// An empty page of so many places, at most 255.
    pub fn new(slots: usize) -> Self {
        let mut row = vec![NO_WAY; slots + 1];
        row[0] = 0.0;
        Self {
            slots,
            row,
            paragraphs: Vec::new(),
        }
    }

    /// Adds a paragraph. Returns whether it could be set; where not, it has no lines, and what was
    /// added before stands as it did.
    ///
    /// Takes time in proportion to fragments, places, and the lines that come near their measure.
    pub fn add(&mut self, paragraph: &Paragraph, page: &impl Page, cost: &impl Cost) -> bool {
        let mut search = Search::new(self.slots, paragraph, page, cost);
        search.begin(&self.row);
        for end in 1..=paragraph.fragments.len() {
            search.reach(end);
        }
        let (row, ways) = search.finish();
        let set = row.iter().any(|cost| cost.is_finite());
        if set {
            self.row = row;
            self.paragraphs.push(ways);
        } else {
            self.paragraphs.push(Ways {
                spaced: false,
                lines: Vec::new(),
                turns: Vec::new(),
            });
        }
        set
    }

    /// The least cost of ending with so many places of the last page used, from none on.
    pub fn costs(&self) -> &[f64] {
        &self.row
    }

    /// The lines of the least cost; `None` where nothing was added that has lines.
    pub fn best(&self) -> Option<Vec<Line>> {
        let used = (1..=self.slots).min_by(|&a, &b| self.row[a].total_cmp(&self.row[b]))?;
        self.row[used].is_finite().then(|| self.trace(used))
    }

    /// The lines of the least cost that use so many places of the last page, at a finite cost.
    pub fn trace(&self, used: usize) -> Vec<Line> {
        let mut lines = Vec::new();
        let (mut used, mut page) = (used, 0);
        for (paragraph, ways) in self.paragraphs.iter().enumerate().rev() {
            let mut end = ways.turns.len().saturating_sub(1);
            while end > 0 {
                let (start, slots) = match used {
                    0 => {
                        page += 1;
                        let (start, used) = ways.turns[end];
                        (start, usize::from(used))
                    }
                    _ => (ways.lines[end * (self.slots + 1) + used], used),
                };
                if start == EMPTY {
                    used = 0;
                    continue;
                }
                let start = start as usize;
                used = slots - 1;
                lines.push(Line {
                    paragraph,
                    start,
                    end,
                    page,
                    slot: used,
                });
                end = start;
            }
            if used > 0 && !ways.lines.is_empty() && ways.lines[used] == EMPTY {
                used = 0;
            } else if ways.spaced && used > 0 {
                used -= 1;
            }
        }
        lines.reverse();
        for line in &mut lines {
            line.page = page - line.page;
        }
        lines
    }
}

#[cfg(test)]
#[path = "linebreak_tests.rs"]
mod tests;
