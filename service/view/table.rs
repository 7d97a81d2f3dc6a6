//! A grid's rows as those of a table: which element each cell is. Never decides where it stands; the
//! style sheet and the browser's own columns do.

use super::printed::{PrintedSpan, printed_span};
use crate::typeset::{Cell, Line, LineKind, Span};

/// A cell, ready to print.
pub(super) struct PrintedCell<'a> {
    /// `td`, or `th` where it is a head.
    pub tag: &'static str,
    /// Of what it is a head.
    pub scope: Option<&'static str>,
    /// Whether it stands at the right.
    pub numeric: bool,
    /// Its text, line by line.
    pub lines: Vec<Vec<PrintedSpan<'a>>>,
}

/// The cells of a grid's rows, the empty ones with them; the lines of heads are one row.
pub(super) fn table_rows(lines: &[Line]) -> Vec<Vec<PrintedCell<'_>>> {
    let cells = lines.iter().flat_map(|line| &line.cells);
    let columns = cells.map(|cell| cell.column + 1).max().unwrap_or(0);
    let heads = |line: &Line| line.kind == LineKind::TableHead;
    let rows = lines.chunk_by(|one, other| heads(one) && heads(other));
    rows.map(|lines| (0..columns).map(|column| cell(lines, column)).collect())
        .collect()
}

/// A cell of a row whose lines these are.
fn cell(lines: &[Line], column: usize) -> PrintedCell<'_> {
    let found = lines.iter().filter_map(|line| {
        let cell = line.cells.iter().find(|cell| cell.column == column)?;
        Some((line, cell, &line.spans[cell.spans.clone()]))
    });
    let found: Vec<(&Line, &Cell, &[Span])> = found.collect();
    // A row's own head is a label throughout.
    let labels =
        |(_, _, spans): &(&Line, &Cell, &[Span])| spans.iter().all(|span| span.style.label);
    let (tag, scope) = match found.first() {
        Some((line, ..)) if line.kind == LineKind::TableHead => ("th", Some("col")),
        Some(cell) if labels(cell) => ("th", Some("row")),
        _ => ("td", None),
    };
    PrintedCell {
        tag,
        scope,
        numeric: found.iter().any(|(_, cell, _)| cell.numeric),
        lines: found
            .into_iter()
            .map(|(line, _, spans)| printed(line, spans))
            .collect(),
    }
}

fn printed<'a>(line: &Line, spans: &'a [Span]) -> Vec<PrintedSpan<'a>> {
    let spans = spans.iter();
    spans.map(|span| printed_span(span, line.kind)).collect()
}
