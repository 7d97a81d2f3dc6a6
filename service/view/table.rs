//! A grid's rows as those of a table: which element each cell is. Never decides where it stands; the
//! style sheet and the browser's own columns do.

use super::page::{PrintedSpan, printed_span};
use crate::typeset::{Cell, Line, LineKind};

/// A cell, ready to print.
pub(super) struct PrintedCell<'a> {
    /// `td`, or `th` where it is a head.
    pub tag: &'static str,
    /// Of what it is a head.
    pub scope: Option<&'static str>,
    /// Whether it stands at the right.
    pub numeric: bool,
    /// Its text.
    pub spans: Vec<PrintedSpan<'a>>,
}

/// The cells of a grid's rows, the empty ones with them.
pub(super) fn table_rows(lines: &[Line]) -> Vec<Vec<PrintedCell<'_>>> {
    let cells = lines.iter().flat_map(|line| &line.cells);
    let columns = cells.map(|cell| cell.column + 1).max().unwrap_or(0);
    let row = |line| (0..columns).map(|column| cell(line, column)).collect();
    lines.iter().map(row).collect()
}

fn cell(line: &Line, column: usize) -> PrintedCell<'_> {
    let found = line.cells.iter().find(|cell| cell.column == column);
    let spans = |cell: &Cell| &line.spans[cell.spans.clone()];
    // A row's own head is a label throughout.
    let names_row = found.is_some_and(|cell| spans(cell).iter().all(|span| span.style.label));
    let (tag, scope) = match (line.kind, found) {
        (_, None) => ("td", None),
        (LineKind::TableHead, _) => ("th", Some("col")),
        _ if names_row => ("th", Some("row")),
        _ => ("td", None),
    };
    let printed = |cell| {
        let spans = spans(cell).iter();
        spans.map(|span| printed_span(span, line.kind)).collect()
    };
    PrintedCell {
        tag,
        scope,
        numeric: found.is_some_and(|cell| cell.numeric),
        spans: found.map_or_else(Vec::new, printed),
    }
}
