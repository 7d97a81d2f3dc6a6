//! Blocks onto discs: all their lines and all turns of the disc are chosen together, then discs that
//! are not full are set once more in their middle. Never measures text.

use std::ops::Range;

use super::case::Case;
use super::disc::{Disc, DiscKind, Line, LineEnd, LineKind, Mark};
use super::grid::Grid;
use super::linebreak::{self, Breaker, Paragraph};
use super::passage::Passage;
use super::rag::Ragged;
use super::screen::Step;
use super::stack::{Places, Rim, Stack};
use super::weights::Weights;
use crate::distil::block::{Block, BlockKind};

/// Blocks that are to be set.
pub struct Text<'a> {
    /// All of them.
    pub blocks: &'a [&'a Block],
    /// The item that the first of them is.
    pub first_item: usize,
    /// The sorts of the screen's size.
    pub case: &'a Case<'a>,
    /// What faults cost.
    pub weights: &'a Weights,
    /// Asked again and again whether the discs are still wanted.
    pub wanted: &'a dyn Fn() -> bool,
}

/// Sets some of the blocks on discs of running text; `None` where they are no longer wanted.
pub fn set_text(text: &Text, blocks: Range<usize>) -> Option<Vec<Disc>> {
    let flow = Flow::prepare(text, blocks)?;
    let mut breaker = Breaker::new(flow.places());
    for passage in &flow.passages {
        if !(text.wanted)() {
            return None;
        }
        flow.add(
            &mut breaker,
            passage,
            &flow.part(passage),
            flow.whole(),
            true,
        );
    }
    let lines = breaker.best().unwrap_or_default();
    let pages: Vec<&[linebreak::Line]> = lines
        .chunk_by(|one, other| one.page == other.page)
        .collect();
    let set =
        |(number, page): (usize, &&[linebreak::Line])| flow.disc(page, number + 1 == pages.len());
    Some(pages.iter().enumerate().map(set).collect())
}

/// Sets some of the blocks above a grid, all on one disc; `None` within where they have no room there.
pub fn set_above(text: &Text, blocks: Range<usize>, grid: &Grid) -> Option<Option<Disc>> {
    Some(Flow::prepare(text, blocks)?.above(grid))
}

/// Running text on its way onto discs.
struct Flow<'a> {
    case: &'a Case<'a>,
    weights: &'a Weights,
    passages: Vec<Passage<'a>>,
}

/// The lines of a passage that stand on one disc.
#[derive(Clone)]
struct Part {
    passage: usize,
    pieces: Range<usize>,
}

impl<'a> Flow<'a> {
    fn prepare(text: &Text<'a>, blocks: Range<usize>) -> Option<Self> {
        let Text { case, weights, .. } = *text;
        let mut passages: Vec<Passage> = Vec::new();
        let mut rule = None;
        for place in blocks {
            if !(text.wanted)() {
                return None;
            }
            let (block, item) = (text.blocks[place], text.first_item + place);
            if block.kind == BlockKind::Rule {
                rule = Some(item).filter(|_| !passages.is_empty());
                continue;
            }
            let before = place.checked_sub(1).map(|before| text.blocks[before].kind);
            if let Some(mut passage) = Passage::prepare(block, before, item, case, weights) {
                passage.number = passages.len();
                passage.rule = rule.take();
                passage.spaced |= passage.rule.is_some();
                passage.spaced &= !passages.is_empty();
                passages.push(passage);
            }
        }
        Some(Self {
            case,
            weights,
            passages,
        })
    }

    fn places(&self) -> usize {
        self.case.screen.places()
    }

    /// All places of a disc.
    fn whole(&self) -> Range<f64> {
        0.0..self.places() as f64
    }

    fn part(&self, passage: &Passage) -> Part {
        Part {
            passage: passage.number,
            pieces: 0..passage.prepared.fragments.len(),
        }
    }

    /// Breaks a part of a passage, on a stack of places; returns whether that can be.
    fn add(
        &self,
        breaker: &mut Breaker,
        passage: &Passage,
        part: &Part,
        places: Range<f64>,
        turns: bool,
    ) -> bool {
        let fragments = &passage.prepared.fragments;
        let stack = self.stack(passage, part, &places);
        let paragraph = Paragraph {
            fragments: &fragments[part.pieces.clone()],
            spaced: passage.spaced && part.pieces.start == 0,
            begun: part.pieces.start > 0,
            open: part.pieces.end < fragments.len(),
        };
        let cost = Ragged {
            look: passage.look,
            weights: self.weights,
            turns,
            after_heading: passage.after_heading,
        };
        // Runs wider than the narrowest line are divided anywhere, and marks leave room beside them, so
        // that there is always a way.
        breaker.add(&paragraph, &stack, &cost)
    }

    fn stack<'b>(&self, passage: &'b Passage, part: &Part, places: &Range<f64>) -> Stack<'b> {
        Stack::new(places_for(passage, places), &passage.prepared, &part.pieces)
    }

    /// One disc. The lines of one that is not full stand in its middle, where they are longer: so
    /// they are broken once more, on as many places as cost least; on the last disc of a text those
    /// may be fewer than before.
    fn disc(&self, page: &[linebreak::Line], last: bool) -> Disc {
        let used = page.last().map_or(0, |line| line.slot + 1);
        let empty_head = page.first().is_some_and(|line| line.slot > 0);
        let places = self.places();
        let parts = parts(page);
        if used < places || empty_head {
            let most = used - usize::from(empty_head);
            let fewest = if last { 1 } else { most };
            let centred = (fewest..places.max(most + 1))
                .filter_map(|count| {
                    let first = (places - count) as f64 / 2.0;
                    self.reset(&parts, first..first + count as f64)
                })
                .min_by(|(one, ..), (other, ..)| one.total_cmp(other));
            if let Some((_, lines, places)) = centred {
                return self.compose(&parts, &lines, places);
            }
        }
        // The lines of a page count from its parts here, too.
        let lines: Vec<linebreak::Line> = page
            .iter()
            .map(|line| {
                let number = parts.iter().position(|part| part.passage == line.paragraph);
                let paragraph = number.unwrap_or_default();
                let start = parts[paragraph].pieces.start;
                linebreak::Line {
                    paragraph,
                    start: line.start - start,
                    end: line.end - start,
                    ..*line
                }
            })
            .collect();
        self.compose(&parts, &lines, self.whole())
    }

    /// Breaks what stands on a disc once more, on exactly so many places: what that costs, every
    /// place with it, the lines, and the places.
    fn reset(
        &self,
        parts: &[Part],
        places: Range<f64>,
    ) -> Option<(f64, Vec<linebreak::Line>, Range<f64>)> {
        let count = (places.end - places.start) as usize;
        let (cost, lines) = self.break_on(parts, places.clone())?;
        let alone = if count == 1 {
            self.weights.stranded_at_head
        } else {
            0.0
        };
        let cost = cost + alone + count as f64 * PLACE * self.case.em * self.case.em;
        Some((cost, lines, places))
    }

    /// Breaks what stands on a disc on exactly so many places: what its lines cost, and they.
    fn break_on(&self, parts: &[Part], places: Range<f64>) -> Option<(f64, Vec<linebreak::Line>)> {
        let count = (places.end - places.start) as usize;
        let mut breaker = Breaker::new(count);
        let set = parts.iter().all(|part| {
            let passage = &self.passages[part.passage];
            self.add(&mut breaker, passage, part, places.clone(), false)
        });
        let cost = breaker.costs().get(count).copied()?;
        (set && cost.is_finite()).then(|| (cost, breaker.trace(count)))
    }

    /// A disc with all of this text above a grid, as near to its middle as both stand whole. The
    /// text takes as many places as cost least.
    fn above(&self, grid: &Grid) -> Option<Disc> {
        let parts: Vec<Part> = self
            .passages
            .iter()
            .map(|passage| self.part(passage))
            .collect();
        let spare = self.places().checked_sub(grid.count())?;
        let counts = match parts.len() {
            0 => 0..=0,
            least => least..=spare,
        };
        let set = counts.filter_map(|count| {
            let middle = (spare - count) as f64 / 2.0;
            // Half places, from the middle on.
            let mut firsts: Vec<f64> = (0..=2 * (spare - count))
                .map(|half| half as f64 / 2.0)
                .filter(|first| grid.fits(first + count as f64))
                .collect();
            firsts.sort_by(|one, other| (one - middle).abs().total_cmp(&(other - middle).abs()));
            firsts.into_iter().find_map(|first| {
                let places = first..first + count as f64;
                let (cost, lines) = match count {
                    0 => (0.0, Vec::new()),
                    _ => self.break_on(&parts, places.clone())?,
                };
                let moved = MOVED * (first - middle).powi(2) + PLACE * count as f64;
                Some((cost + moved * self.case.em.powi(2), lines, places))
            })
        });
        let (_, lines, places) = set.min_by(|(one, ..), (other, ..)| one.total_cmp(other))?;
        let mut disc = self.compose(&parts, &lines, places.clone());
        disc.lines.extend(grid.lines(places.end));
        Some(disc)
    }

    fn compose(&self, parts: &[Part], lines: &[linebreak::Line], places: Range<f64>) -> Disc {
        let mut disc = Disc {
            kind: DiscKind::Text,
            screen: self.case.screen,
            rows: Vec::new(),
            lines: Vec::new(),
        };
        for of_part in lines.chunk_by(|one, other| one.paragraph == other.paragraph) {
            let part = &parts[of_part[0].paragraph];
            let passage = &self.passages[part.passage];
            let rim = Rim::new(places_for(passage, &places), &passage.prepared);
            let place = places.start + of_part[0].slot as f64;
            if let Some(item) = passage.rule
                && part.pieces.start == 0
                && !disc.lines.is_empty()
            {
                disc.lines.push(self.rule(item, place - 1.0));
            }
            let text = &passage.prepared;
            let mut byte = text.byte(part.pieces.start);
            let mut character = text.characters(0..byte);
            for line in of_part {
                let pieces = part.pieces.start + line.start..part.pieces.start + line.end;
                let (spans, end, bytes) = text.line(pieces.start, pieces.end);
                character += text.characters(byte..bytes.start);
                let length = text.characters(bytes.clone());
                byte = bytes.end;
                let width = text.width_of(&pieces);
                disc.lines.push(Line {
                    item: passage.item,
                    part: 0,
                    kind: passage.kind,
                    size: Step::OWN,
                    mark: text.mark(pieces.start),
                    hang: if pieces.start == 0 { text.hang } else { 0.0 },
                    spans,
                    cells: Vec::new(),
                    end,
                    place: places.start + line.slot as f64,
                    width,
                    chord: rim.chord_of(&pieces, line.slot, width),
                    characters: character..character + length,
                });
                character += length;
            }
        }
        disc
    }

    fn rule(&self, item: usize, place: f64) -> Line {
        Line {
            item,
            part: 0,
            kind: LineKind::Rule,
            size: Step::OWN,
            mark: Some(Mark::Rule),
            hang: 0.0,
            spans: Vec::new(),
            cells: Vec::new(),
            end: LineEnd::Set,
            place,
            width: self.case.width(&Mark::Rule.drawn()),
            chord: self.case.free_width(place, self.case.plain, 0.0),
            characters: 0..0,
        }
    }
}

/// What each place costs that a disc takes which is set once more, in squared em: fewer lines come
/// before a little rag.
const PLACE: f64 = 2.0;

/// What it costs that a grid with what is above it stands a place off the middle, in squared em: more
/// than a little rag of a heading.
const MOVED: f64 = 8.0;

/// The places of a disc for the lines of a passage.
fn places_for(passage: &Passage, places: &Range<f64>) -> Places {
    Places {
        first: places.start,
        count: (places.end - places.start) as usize,
        fill: passage.fill,
    }
}

/// What stands of which passage on a page.
fn parts(page: &[linebreak::Line]) -> Vec<Part> {
    page.chunk_by(|one, other| one.paragraph == other.paragraph)
        .map(|lines| Part {
            passage: lines[0].paragraph,
            pieces: lines[0].start..lines[lines.len() - 1].end,
        })
        .collect()
}

#[cfg(test)]
#[path = "articles_tests.rs"]
mod tests;
