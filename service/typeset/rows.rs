//! Rows that can be tapped: short texts, each whole on its disc, in a stack in the disc's middle. Never
//! sets running text.

use unicode_segmentation::UnicodeSegmentation;

use super::case::Case;
use super::disc::{Disc, DiscKind, Line, LineKind};
use super::hyphenate::Divider;
use super::linebreak::{self, Breaker, Paragraph};
use super::paginate::Job;
use super::prepare::{Prepared, Setting};
use super::rag::{Look, Ragged};
use super::screen::{Edge, Screen, Step};
use super::stack::{OVERHANG_EM, Places, Rim, Stack};
use super::units::{Diameters, LEAST_TARGET};
use super::weights::Weights;
use crate::distil::block::Run;
use crate::distil::language::Language;

/// Short texts that stand together and are tapped as one.
#[derive(Clone, Debug, PartialEq)]
pub struct Row<'a> {
    /// Its texts from top to bottom.
    pub texts: Vec<RowText<'a>>,
    /// Its least height.
    pub height: Diameters,
}

/// One text of a row.
#[derive(Clone, Debug, PartialEq)]
pub struct RowText<'a> {
    /// The text.
    pub text: &'a str,
    /// Its language.
    pub language: &'a Language,
    /// What it is.
    pub kind: LineKind,
    /// After how many lines it ends, at a whole word.
    pub most_lines: usize,
}

impl<'a> Row<'a> {
    /// Its texts that say something, by their parts.
    pub(super) fn said(&self) -> impl Iterator<Item = (usize, &RowText<'a>)> {
        let texts = self.texts.iter().enumerate();
        texts.filter(|(_, text)| !text.text.trim().is_empty())
    }
}

/// The most rows of one disc.
const MOST_ROWS: usize = 3;

/// The line places at a disc's foot that rows leave free for going on to the next disc, so that
/// what is tapped there is at least [`LEAST_TARGET`] high with the segment below the last line.
pub fn foot_places(screen: &Screen) -> usize {
    let segment = 0.5 - screen.below() * screen.pitch() - screen.taken(Edge::Bottom);
    ((LEAST_TARGET - segment) / screen.pitch()).ceil().max(0.0) as usize
}

/// Whether rows leave the foot of their disc free.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Foot {
    /// On every disc.
    Free,
    /// On every disc but the last, from which nothing goes on.
    TakenAtLast,
}

/// Sets rows, as many whole ones a disc as fit.
pub fn set_rows(rows: &[&Row], first_item: usize, foot: Foot, case: &Case, job: &Job) -> Vec<Disc> {
    let mut discs = Vec::new();
    let mut at = 0;
    while at < rows.len() {
        let most = MOST_ROWS.min(rows.len() - at);
        let compose = |count: usize, foot: usize| {
            let rows = &rows[at..at + count];
            let composer = Composer {
                case,
                weights: job.weights.at(case.em),
                rows,
                first_item: first_item + at,
                foot,
            };
            composer.compose().map(|disc| (count, disc))
        };
        let ends = foot == Foot::TakenAtLast && at + most == rows.len();
        let at_last = if ends { compose(most, 0) } else { None };
        let (count, disc) = at_last
            .or_else(|| {
                (1..=most)
                    .rev()
                    .find_map(|count| compose(count, foot_places(&case.screen)))
            })
            // One row alone always fits: its texts end where the disc does.
            .unwrap_or_else(|| (1, Disc::blank(case.screen)));
        discs.push(disc);
        at += count;
    }
    discs
}

/// Rows that share one disc.
pub struct Composer<'a> {
    /// The sorts of its size.
    pub case: &'a Case<'a>,
    /// What faults cost, in squared diameters.
    pub weights: Weights,
    /// The rows.
    pub rows: &'a [&'a Row<'a>],
    /// The item that the first of them is.
    pub first_item: usize,
    /// How many places at the foot stay free.
    pub foot: usize,
}

impl Composer<'_> {
    /// Shares the places of the disc among the rows, giving more to one that does not fit into
    /// what it has, until all stand or no place is left.
    pub fn compose(&self) -> Option<Disc> {
        let places = self.case.screen.places() - self.foot;
        let mut needs: Vec<usize> = self.rows.iter().map(|row| self.least_places(row)).collect();
        while needs.iter().sum::<usize>() <= places {
            let shares = share(&needs, places);
            let mut lines = Vec::new();
            let mut at = 0;
            let failed = (0..self.rows.len()).find(|&number| {
                let set = self.row(number, at, shares[number]);
                at += shares[number];
                set.map(|set| lines.extend(set)).is_none()
            });
            match failed {
                None => {
                    return Some(Disc {
                        kind: DiscKind::Rows,
                        screen: self.case.screen,
                        rows: shares,
                        lines,
                    });
                }
                Some(number) => needs[number] = shares[number] + 1,
            }
        }
        None
    }

    fn least_places(&self, row: &Row) -> usize {
        let places = (row.height / self.case.screen.pitch() - 1e-9).ceil() as usize;
        places.max(row.said().count()).max(1)
    }

    /// Sets a row into the middle of the places that it takes, in as few lines as it goes.
    fn row(&self, number: usize, at: usize, taken: usize) -> Option<Vec<Line>> {
        let least = self.rows[number].said().count();
        let whole = |manner| {
            (least..=taken).find_map(|count| self.row_of(number, at, taken, count, manner))
        };
        let cramped = || {
            (least..=taken)
                .rev()
                .find_map(|count| self.row_of(number, at, taken, count, Manner::Cramped))
        };
        let alone = self.rows.len() == 1;
        whole(Manner::Whole)
            .or_else(|| whole(Manner::Divided))
            .or_else(|| if alone { cramped() } else { None })
    }

    /// Sets a row in so many lines, in the middle of the places that it takes.
    pub fn row_of(
        &self,
        number: usize,
        at: usize,
        taken: usize,
        count: usize,
        manner: Manner,
    ) -> Option<Vec<Line>> {
        let mut later = self.rows[number].said().count();
        let mut place = at as f64 + (taken - count) as f64 / 2.0;
        let end = place + count as f64;
        let mut lines = Vec::new();
        for (part, text) in self.rows[number].said() {
            later -= 1;
            let room = (end - place - later as f64).max(0.0) as usize;
            let set = self.text(text, place, room, manner)?;
            place += set.len() as f64;
            let item = self.first_item + number;
            lines.extend(set.into_iter().map(|line| Line { item, part, ..line }));
        }
        (place == end).then_some(lines)
    }

    /// Sets a text from a place on, shortened at a whole word where it is longer than it may be.
    fn text(&self, text: &RowText, place: f64, room: usize, manner: Manner) -> Option<Vec<Line>> {
        let most = text.most_lines.min(room);
        let whole = self.lines(text.text, text, place, most, manner);
        if whole.is_some() || most == 0 || (room < text.most_lines && manner != Manner::Cramped) {
            return whole;
        }
        let ends: Vec<usize> = text.text.match_indices(' ').map(|(at, _)| at).collect();
        // A line holds some thirty characters at the most, and a word has at least one.
        let ends = &ends[..ends.len().min(most * 20)];
        let at_a_word = ends
            .iter()
            .rev()
            .find_map(|&to| self.shortened(text, to, place, most, manner));
        // A label says most where it is cut within a word.
        let within = manner == Manner::Cramped || text.kind == LineKind::Label;
        if at_a_word.is_none() && !within || at_a_word.is_some() && text.kind != LineKind::Label {
            return at_a_word;
        }
        // So is a word that is wider than all its lines.
        let cuts: Vec<usize> = text
            .text
            .grapheme_indices(true)
            .map(|(to, _)| to)
            .skip(1)
            .take(most * 40)
            .collect();
        cuts.into_iter()
            .rev()
            .find_map(|to| self.shortened(text, to, place, most, manner))
    }

    fn shortened(
        &self,
        text: &RowText,
        to: usize,
        place: f64,
        most: usize,
        manner: Manner,
    ) -> Option<Vec<Line>> {
        let stop = [' ', ',', ';', ':', '.', '–', '—', '-'];
        let shortened = format!("{}…", text.text[..to].trim_end_matches(stop));
        self.lines(&shortened, text, place, most, manner)
    }

    /// Breaks a text into at most so many lines, as evenly as it goes.
    fn lines(
        &self,
        text: &str,
        like: &RowText,
        place: f64,
        most: usize,
        manner: Manner,
    ) -> Option<Vec<Line>> {
        if most == 0 {
            return None;
        }
        let runs = [Run {
            text: text.to_owned(),
            ..Run::default()
        }];
        let free = |slot: usize| {
            self.case
                .free_width(place + slot as f64, self.case.plain, 0.0)
        };
        let narrowest = (0..most).map(free).fold(1.0, f64::min) - 2.0 * OVERHANG_EM * self.case.em;
        let (divider, narrowest) = match manner {
            Manner::Whole => (Divider::none(), f64::INFINITY),
            Manner::Divided | Manner::Cramped => (Divider::of(like.language), narrowest),
        };
        let setting = Setting {
            case: self.case,
            weights: &self.weights,
            divider,
            narrowest,
            mark: None,
            hangs: false,
            turned_over: None,
            keep_spaces: false,
            stroked: like.kind == LineKind::Title,
        };
        self.broken(&Prepared::new(&runs, &setting), like, place, most)
    }

    fn broken(
        &self,
        prepared: &Prepared,
        like: &RowText,
        place: f64,
        most: usize,
    ) -> Option<Vec<Line>> {
        let places = Places {
            first: place,
            count: most,
            fill: 1.0,
        };
        let stack = Stack::new(places, prepared, &(0..prepared.fragments.len()));
        let paragraph = Paragraph {
            fragments: &prepared.fragments,
            spaced: false,
            begun: false,
            open: false,
        };
        let cost = Ragged {
            look: Look::Balanced,
            weights: &self.weights,
            turns: false,
            after_heading: false,
        };
        let mut breaker = Breaker::new(most);
        if prepared.fragments.is_empty() || !breaker.add(&paragraph, &stack, &cost) {
            return prepared.fragments.is_empty().then(Vec::new);
        }
        let broken = breaker.best()?;
        let lines = broken.iter();
        Some(
            lines
                .map(|line| self.line(prepared, &stack.rim, line, like, place))
                .collect(),
        )
    }

    fn line(
        &self,
        prepared: &Prepared,
        rim: &Rim,
        line: &linebreak::Line,
        like: &RowText,
        place: f64,
    ) -> Line {
        let (spans, end, bytes) = prepared.line(line.start, line.end);
        let start = prepared.characters(0..bytes.start);
        let width = prepared.width_of(&(line.start..line.end));
        Line {
            item: self.first_item,
            part: 0,
            kind: like.kind,
            size: Step::OWN,
            mark: None,
            hang: 0.0,
            spans,
            cells: Vec::new(),
            end,
            place: place + line.slot as f64,
            width,
            chord: rim.chord_of(&(line.start..line.end), line.slot, width),
            characters: start..start + prepared.characters(bytes),
        }
    }
}

/// How a row's texts are made to fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Manner {
    /// In whole words.
    Whole,
    /// With words divided.
    Divided,
    /// Shortened to whatever room there is, so that a row alone always has a disc.
    Cramped,
}

/// Shares out all places: each row what it needs, what is left evenly.
fn share(needs: &[usize], places: usize) -> Vec<usize> {
    let spare = places - needs.iter().sum::<usize>();
    let (each, rest) = (spare / needs.len(), spare % needs.len());
    needs
        .iter()
        .enumerate()
        .map(|(number, need)| need + each + usize::from(number < rest))
        .collect()
}

#[cfg(test)]
#[path = "rows_tests.rs"]
mod tests;
