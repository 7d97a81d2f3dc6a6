//! The opening of an article: its title and particulars, as large as they stand whole. Never sets
//! running text.

use super::case::Case;
use super::disc::{Disc, DiscKind};
use super::paginate::Job;
use super::rows::{Composer, Row};
use super::screen::{Lines, Screen};

/// Sets an article's opening in the largest size in which its texts stand whole; where they do in
/// none, in the largest in which the first of them does; else in that of the screen, shortened.
pub fn set_opening(row: &Row, item: usize, case: &Case, job: &Job) -> Disc {
    let set = |lines: Lines| {
        let sized = Screen {
            lines,
            ..case.screen
        };
        Composer {
            case: &Case::new(&sized, case.typeface),
            weights: job.weights.at(lines.em(case.typeface)),
            rows: &[row],
            first_item: item,
            foot: 0,
        }
        .compose()
    };
    let largest = |texts: usize| {
        let whole = |lines: Lines| set(lines).filter(|disc| is_whole(disc, row, texts));
        Lines::ALL.into_iter().rev().find_map(whole)
    };
    let mut disc = largest(row.texts.len())
        .or_else(|| largest(1))
        .or_else(|| set(case.screen.lines))
        .unwrap_or_else(|| Disc::blank(case.screen));
    disc.kind = DiscKind::Opening;
    disc
}

/// Whether all words of a row's first so many texts stand on the disc, none of them divided.
fn is_whole(disc: &Disc, row: &Row, texts: usize) -> bool {
    let set = disc
        .lines
        .iter()
        .filter(|line| line.part < texts)
        .flat_map(|line| &line.spans)
        .flat_map(|span| span.text.split_whitespace());
    set.eq(row
        .texts
        .iter()
        .take(texts)
        .flat_map(|text| text.text.split_whitespace()))
}
