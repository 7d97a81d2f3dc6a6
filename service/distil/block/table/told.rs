//! How a row of a table is told: its cells one after the other, labels before values. Never reads HTML.

use super::Cell;
use crate::distil::block::{Block, Run, Style, TableCell};
use crate::distil::plain::shortened;

/// The most characters of a label: it stands before a value in every row.
const MOST_LABEL: usize = 60;

/// A column's head as it stands before each value: whole, or where that is long, cut.
pub(super) fn label_of(runs: &[Run]) -> Vec<Run> {
    let text: String = runs.iter().map(|run| run.text.as_str()).collect();
    if text.chars().count() <= MOST_LABEL {
        return runs.to_vec();
    }
    vec![plain(&shortened(&text, MOST_LABEL), true)]
}

/// One row: each cell that has text on a line, after its label.
pub(super) fn read_row(cells: &[Cell], labels: &[Vec<Run>], row: u32) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    let mut awaiting = false;
    for (column, cell) in cells
        .iter()
        .enumerate()
        .filter(|(_, cell)| !cell.runs.is_empty())
    {
        if !runs.is_empty() {
            runs.push(plain(if awaiting { ": " } else { "\n" }, awaiting));
        }
        awaiting = false;
        let place = |head| TableCell {
            row,
            column: column as u32,
            head,
        };
        let label = labels.get(column).filter(|label| !label.is_empty());
        if cell.header {
            runs.extend(placed(labelled(&cell.runs), place(false)));
            // Without labels of columns, a row's own label goes with its first value.
            awaiting = labels.is_empty();
            continue;
        }
        if let Some(label) = label {
            runs.extend(placed(labelled(label), place(true)));
            runs.push(plain(": ", true));
        }
        runs.extend(placed(cell.runs.iter().cloned(), place(false)));
    }
    merged(runs)
}

/// Heads that stand before no value, each on a line.
pub(super) fn read_heads(cells: &[Cell]) -> Vec<Run> {
    let mut runs = read_row(cells, &[], 0);
    for cell in runs.iter_mut().filter_map(|run| run.cell.as_mut()) {
        cell.head = true;
    }
    runs
}

/// Takes away which cells the runs of rows are of.
pub(super) fn leave_columns(rows: &mut [Block]) {
    for row in rows {
        for run in &mut row.runs {
            run.cell = None;
        }
        row.runs = merged(std::mem::take(&mut row.runs));
    }
}

fn plain(text: &str, label: bool) -> Run {
    Run {
        text: text.to_owned(),
        style: Style {
            label,
            ..Style::default()
        },
        ..Run::default()
    }
}

pub(super) fn labelled(runs: &[Run]) -> impl Iterator<Item = Run> {
    runs.iter().cloned().map(|mut run| {
        run.style.label = true;
        run
    })
}

fn placed(runs: impl Iterator<Item = Run>, cell: TableCell) -> impl Iterator<Item = Run> {
    runs.map(move |run| Run {
        cell: Some(cell),
        ..run
    })
}

fn merged(runs: Vec<Run>) -> Vec<Run> {
    let mut merged: Vec<Run> = Vec::new();
    for run in runs {
        match merged.last_mut() {
            Some(last) if (last.style, last.link, last.cell) == (run.style, run.link, run.cell) => {
                last.text.push_str(&run.text);
            }
            _ => merged.push(run),
        }
    }
    merged
}
