//! Rows that can be tapped, and an article's opening: short texts, each whole on its disc, in a
//! stack in the disc's middle. Never sets running text.

use super::disc::{Disc, DiscKind, Line, LineKind};
use super::hyphenate::Divider;
use super::linebreak::{self, Page, break_lines};
use super::prepare::{Prepared, Setting};
use super::rag::{Ragged, Stack};
use super::screen::{Lines, Screen};
use super::units::Diameters;
use crate::distil::block::Run;
use crate::distil::language::Language;
use crate::font::Typeface;

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

/// The most rows of one disc.
const MOST_ROWS: usize = 3;

/// Sets rows, as many whole ones a disc as fit.
pub fn set_rows(
    rows: &[&Row],
    first_item: usize,
    screen: &Screen,
    typeface: &Typeface,
) -> Vec<Disc> {
    let mut discs = Vec::new();
    let mut at = 0;
    while at < rows.len() {
        let most = MOST_ROWS.min(rows.len() - at);
        let fitting = (1..=most).rev().find_map(|count| {
            let composer = Composer {
                screen,
                typeface,
                rows: &rows[at..at + count],
                first_item: first_item + at,
            };
            composer.compose().map(|disc| (count, disc))
        });
        // One row alone always fits: its texts end where the disc does.
        let (count, disc) = fitting.unwrap_or_else(|| (1, blank(screen.lines)));
        discs.push(disc);
        at += count;
    }
    discs
}

/// Sets an article's opening in the largest size in which its texts stand whole, at least in that
/// of the screen.
pub fn set_opening(row: &Row, item: usize, screen: &Screen, typeface: &Typeface) -> Disc {
    let sizes = Lines::ALL
        .into_iter()
        .rev()
        .filter(|&size| size > screen.lines)
        .chain([screen.lines]);
    let mut disc = sizes
        .filter_map(|lines| {
            let sized = Screen { lines, ..*screen };
            let whole = Composer {
                screen: &sized,
                typeface,
                rows: &[row],
                first_item: item,
            };
            let disc = whole.compose()?;
            (lines == screen.lines || is_whole(&disc, row)).then_some(disc)
        })
        .next()
        .unwrap_or_else(|| blank(screen.lines));
    disc.kind = DiscKind::Opening;
    disc
}

fn blank(size: Lines) -> Disc {
    Disc {
        kind: DiscKind::Rows,
        size,
        places: 0,
        lines: Vec::new(),
    }
}

/// Whether all words of the row stand on the disc, none of them divided.
fn is_whole(disc: &Disc, row: &Row) -> bool {
    let set = disc
        .lines
        .iter()
        .flat_map(|line| &line.spans)
        .flat_map(|span| span.text.split_whitespace());
    set.eq(row
        .texts
        .iter()
        .flat_map(|text| text.text.split_whitespace()))
}

struct Composer<'a> {
    screen: &'a Screen,
    typeface: &'a Typeface,
    rows: &'a [&'a Row<'a>],
    first_item: usize,
}

impl Composer<'_> {
    /// Tries stacks of more and more places until all rows fit into one.
    fn compose(&self) -> Option<Disc> {
        let most = self.screen.lines.count();
        let least: usize = self.rows.iter().map(|row| self.least_places(row)).sum();
        (least..=most).find_map(|places| self.compose_in(places))
    }

    fn least_places(&self, row: &Row) -> usize {
        let places = (row.height / self.screen.lines.pitch() - 1e-9).ceil() as usize;
        places.max(row.texts.len()).max(1)
    }

    fn compose_in(&self, places: usize) -> Option<Disc> {
        let mut lines = Vec::new();
        let mut at = 0;
        for (number, row) in self.rows.iter().enumerate() {
            let later: usize = self.rows[number + 1..]
                .iter()
                .map(|row| self.least_places(row))
                .sum();
            let room = places.checked_sub(at + later)?;
            let (taken, set) = (self.least_places(row)..=room)
                .find_map(|taken| Some((taken, self.row(row, number, at, taken, places)?)))?;
            lines.extend(set);
            at += taken;
        }
        (at == places).then_some(Disc {
            kind: DiscKind::Rows,
            size: self.screen.lines,
            places,
            lines,
        })
    }

    /// Sets a row into the middle of the places that it takes.
    fn row(
        &self,
        row: &Row,
        number: usize,
        at: usize,
        taken: usize,
        places: usize,
    ) -> Option<Vec<Line>> {
        (row.texts.len()..=taken).find_map(|count| {
            let mut place = at as f64 + (taken - count) as f64 / 2.0;
            let end = place + count as f64;
            let mut lines = Vec::new();
            for (part, text) in row.texts.iter().enumerate() {
                let set = self.text(text, place, places)?;
                place += set.len() as f64;
                let item = self.first_item + number;
                lines.extend(set.into_iter().map(|line| Line { item, part, ..line }));
            }
            (place == end).then_some(lines)
        })
    }

    /// Sets a text from a place on, shortened at a whole word where it is longer than it may be.
    fn text(&self, text: &RowText, place: f64, places: usize) -> Option<Vec<Line>> {
        let whole = self.lines(text.text, text, place, places);
        if whole
            .as_ref()
            .is_some_and(|lines| lines.len() <= text.most_lines)
        {
            return whole;
        }
        let ends: Vec<usize> = text.text.match_indices(' ').map(|(at, _)| at).collect();
        // A line holds some thirty characters at the most, and a word has at least one.
        let most = ends.len().min(text.most_lines * 20);
        ends[..most].iter().rev().find_map(|&end| {
            let shortened = format!(
                "{}…",
                text.text[..end].trim_end_matches([' ', ',', ';', ':', '.', '–', '—', '-'])
            );
            self.lines(&shortened, text, place, places)
                .filter(|lines| lines.len() <= text.most_lines)
        })
    }

    fn lines(&self, text: &str, like: &RowText, place: f64, places: usize) -> Option<Vec<Line>> {
        let em = self.screen.lines.em(self.typeface);
        let plain = self.typeface.plain_ink.scaled(em);
        let stack = Stack {
            screen: self.screen,
            plain,
            places,
            first: place,
        };
        let runs = [Run {
            text: text.to_owned(),
            ..Run::default()
        }];
        let setting = Setting {
            typeface: self.typeface,
            em,
            divider: Divider::none(),
            narrowest: f64::INFINITY,
            mark: None,
            keep_spaces: false,
        };
        // Titles and labels are set in whole words where that goes.
        let undivided = Prepared::new(&runs, &setting);
        if let Some(lines) = self.broken(&undivided, &stack, like) {
            return Some(lines);
        }
        let widths = (0..places)
            .map(|slot| stack.measure(slot, plain))
            .filter(|&width| width > 0.0);
        let narrowest = widths.fold(1.0, f64::min);
        let divided = Prepared::new(
            &runs,
            &Setting {
                divider: Divider::of(like.language),
                narrowest,
                ..setting
            },
        );
        self.broken(&divided, &stack, like)
    }

    fn broken(&self, prepared: &Prepared, stack: &Stack, like: &RowText) -> Option<Vec<Line>> {
        let place = stack.first;
        let broken = break_lines(
            &prepared.fragments,
            0,
            stack,
            &Ragged {
                last_weight: 1.0,
                final_slot: None,
            },
        )?;
        let fits = broken
            .last()
            .is_none_or(|line| place + line.offset as f64 <= stack.places as f64 - 1.0);
        fits.then(|| {
            broken
                .iter()
                .map(|line| self.line(prepared, line, like, place))
                .collect()
        })
    }

    fn line(
        &self,
        prepared: &Prepared,
        line: &linebreak::Line,
        like: &RowText,
        place: f64,
    ) -> Line {
        let (spans, end, bytes) = prepared.line(line.start, line.end);
        let start = prepared.characters(0..bytes.start);
        Line {
            item: self.first_item,
            part: 0,
            kind: like.kind,
            mark: None,
            spans,
            end,
            place: place + line.offset as f64,
            width: line.width,
            chord: line.measure,
            characters: start..start + prepared.characters(bytes),
        }
    }
}

#[cfg(test)]
#[path = "rows_tests.rs"]
mod tests;
