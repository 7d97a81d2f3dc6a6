//! Small tables as grids: their cells in columns, on discs of their own. Never breaks lines, and
//! never sets a table that does not fit as it is: that is read out, row by row.

use std::ops::Range;

use super::case::{Case, Manner, Sort, Widths};
use super::disc::{Cell, Line, LineEnd, LineKind, Span};
use super::hyphenate::Divider;
use super::prepare::Setting;
use super::screen::Step;
use super::stack::SUBSTITUTE_MARGIN;
use super::units::Diameters;
use super::weights::Weights;
use crate::distil::block::{Block, BlockKind, Style};
use crate::distil::language::Direction;
use crate::font::SUBSTITUTES;

mod measured;
mod told;

use measured::Measured;
use told::Told;

/// The white between two columns, in em: more than three spaces, so that a cell of several words is
/// told from two. Common practice, no source; `templates/disc.css` has it as well.
pub const GUTTER_EM: f64 = 0.9;

/// How far the ends of a grid keep from the rim for each of its columns, beside the margin of all
/// text: older browsers put columns on whole pixels, which makes each up to a pixel of 192 wider,
/// and half of that comes at either end.
const COLUMN_MARGIN: Diameters = 0.0026;

/// The most lines that heads are set on. Common practice of setting tables, no source.
pub const MOST_HEAD_LINES: usize = 3;

/// A table that is measured and may stand as a grid.
pub struct Grid<'a> {
    case: &'a Case<'a>,
    rows: Vec<Row>,
    /// Whether the cells of each column stand at its right: those of numbers.
    numeric: Vec<bool>,
    /// Whether the first column stands at the right.
    mirrored: bool,
    /// Where columns lie in the typeface, and in each substitute font.
    own: Columns,
    substitutes: [Columns; SUBSTITUTES],
}

/// A row: the heads of the columns, or what a block tells.
struct Row {
    item: usize,
    kind: LineKind,
    characters: Range<usize>,
    /// One for each column; none where it is empty.
    cells: Vec<Option<Measured>>,
}

/// Where the columns of a grid lie in one font.
#[derive(Default)]
struct Columns {
    /// The left end of each, from the disc's middle.
    lefts: Vec<Diameters>,
    widths: Vec<Diameters>,
}

/// Which blocks are rows of one table each whose columns are plain.
pub fn tables(blocks: &[&Block]) -> Vec<Range<usize>> {
    let mut tables: Vec<Range<usize>> = Vec::new();
    let mut last = None;
    for (place, block) in blocks.iter().enumerate() {
        let row = row_of(block);
        match (tables.last_mut(), row) {
            (Some(table), Some(row)) if table.end == place && last < Some(row) => table.end += 1,
            (_, Some(_)) => tables.push(place..place + 1),
            (_, None) => {}
        }
        last = row;
    }
    tables
}

/// The number of the row that a block tells.
fn row_of(block: &Block) -> Option<u32> {
    let cells = block.runs.iter().filter_map(|run| run.cell);
    let rows = cells.map(|cell| cell.row).max();
    rows.filter(|_| block.kind == BlockKind::TableRow)
}

/// How cells are set: whole, whatever their width.
fn on_one_line<'a>(case: &'a Case<'a>, weights: &'a Weights) -> Setting<'a> {
    Setting {
        case,
        weights,
        divider: Divider::none(),
        narrowest: 1.0,
        mark: None,
        hangs: false,
        turned_over: None,
        keep_spaces: false,
        stroked: false,
    }
}

impl<'a> Grid<'a> {
    /// Measures the blocks of a table, the first of which is an item, with heads of so many lines at
    /// the most; `None` where they make no grid.
    pub fn measure(
        blocks: &[&Block],
        first_item: usize,
        head_lines: usize,
        (case, weights): (&'a Case<'a>, &'a Weights),
    ) -> Option<Self> {
        let told = Told::read(blocks, case.screen.places())?;
        let setting = on_one_line(case, weights);
        let whole = |place: usize| 0..blocks[place].text().chars().count();
        let mut rows = Vec::new();
        for (cells, &place) in told.rows.iter().zip(&told.places) {
            let cells = cells.iter().map(|runs| Measured::of(runs, &setting));
            rows.push(Row {
                item: first_item + place,
                kind: LineKind::TableRow,
                characters: whole(place),
                cells: cells.collect::<Option<_>>()?,
            });
        }
        let mut heads = told.head_rows(first_item, head_lines, &rows, &setting)?;
        // Heads that are told with the values alone stand before the first of them.
        if let (Some(last), 1..) = (heads.last_mut(), told.places[0]) {
            last.characters = whole(0);
        }
        heads.append(&mut rows);
        // Rows of what is never seen.
        heads.retain(|row| row.cells.iter().any(Option::is_some));
        let mut grid = Self {
            case,
            rows: heads,
            numeric: (0..told.columns)
                .map(|column| told.is_numeric(column))
                .collect(),
            mirrored: blocks[0].direction == Direction::Rtl,
            own: Columns::default(),
            substitutes: Default::default(),
        };
        grid.own = grid.columns(|cell| cell.width);
        grid.substitutes = std::array::from_fn(|font| grid.columns(|cell| cell.substitutes[font]));
        Some(grid)
    }

    /// How many of its rows are lines of heads.
    pub fn head_lines(&self) -> usize {
        let heads = |row: &&Row| row.kind == LineKind::TableHead;
        self.rows.iter().take_while(heads).count()
    }

    /// How many places its rows take.
    pub fn count(&self) -> usize {
        self.rows.len()
    }

    /// Each column is as wide as its widest cell; all of them together stand in the middle.
    fn columns(&self, width: impl Fn(&Measured) -> Diameters) -> Columns {
        let count = self.numeric.len();
        let gutter = GUTTER_EM * self.case.em;
        let widest = |column: usize| {
            let cells = self
                .rows
                .iter()
                .filter_map(|row| row.cells[column].as_ref());
            cells.map(&width).fold(0.0, f64::max)
        };
        let widths: Vec<f64> = (0..count).map(widest).collect();
        let whole = widths.iter().sum::<f64>() + gutter * (count - 1) as f64;
        let mut lefts = vec![0.0; count];
        let mut at = -whole / 2.0;
        for place in 0..count {
            let column = if self.mirrored {
                count - 1 - place
            } else {
                place
            };
            lefts[column] = at;
            at += widths[column] + gutter;
        }
        Columns { lefts, widths }
    }

    /// Where a cell of a width begins in its column.
    fn left(&self, columns: &Columns, column: usize, width: Diameters) -> Diameters {
        let right = self.numeric[column] || self.mirrored;
        let spare = if right {
            columns.widths[column] - width
        } else {
            0.0
        };
        columns.lefts[column] + spare
    }

    /// Whether all ink is inside where the first row stands at a place, in the substitute fonts too.
    pub fn fits(&self, first: f64) -> bool {
        self.rows.iter().enumerate().all(|(number, row)| {
            let place = first + number as f64;
            let cells = row.cells.iter().enumerate();
            let mut cells = cells.filter_map(|(column, cell)| Some((column, cell.as_ref()?)));
            cells.all(|(column, cell)| self.cell_fits(column, cell, place))
        })
    }

    fn cell_fits(&self, column: usize, cell: &Measured, place: f64) -> bool {
        let margin = COLUMN_MARGIN * self.numeric.len() as f64;
        let is_inside = |sort: &Sort, manner, left: f64, right: f64, margin: f64| {
            let free = f64::from(sort.chords(place, manner)[0]) / 2.0;
            -free <= left - margin && right + margin <= free
        };
        let sorts = self.case.sorts();
        let mut pen = self.left(&self.own, column, cell.width);
        let mut pens: Widths = std::array::from_fn(|font| {
            self.left(&self.substitutes[font], column, cell.substitutes[font])
        });
        cell.sorts.iter().all(|&id| {
            let sort = &sorts[id as usize];
            let (left, right) = (pen + sort.left, pen + sort.advance - sort.right);
            pen += sort.advance;
            let mut inside = is_inside(sort, Manner::Own, left, right, margin);
            for (pen, advance) in pens.iter_mut().zip(sort.substitutes) {
                let (left, right) = (
                    *pen + sort.left.min(0.0),
                    *pen + advance - sort.right.min(0.0),
                );
                *pen += advance;
                let margin = margin + SUBSTITUTE_MARGIN / 2.0;
                inside &= is_inside(sort, Manner::Substitute, left, right, margin);
            }
            inside
        })
    }

    /// Its lines, the first of them at a place.
    pub fn lines(&self, first: f64) -> Vec<Line> {
        let rows = self.rows.iter().enumerate();
        rows.map(|(number, row)| self.line(row, first + number as f64))
            .collect()
    }

    fn line(&self, row: &Row, place: f64) -> Line {
        let mut spans: Vec<Span> = Vec::new();
        let mut cells: Vec<Cell> = Vec::new();
        for (column, cell) in row.cells.iter().enumerate() {
            let Some(cell) = cell else { continue };
            if !spans.is_empty() {
                spans.push(Span {
                    text: " ".to_owned(),
                    style: Style::default(),
                    linked: false,
                });
            }
            let from = spans.len();
            spans.extend(cell.spans.iter().cloned());
            cells.push(Cell {
                column,
                spans: from..spans.len(),
                left: self.left(&self.own, column, cell.width),
                width: cell.width,
                numeric: self.numeric[column],
            });
        }
        let left = cells.iter().map(|cell| cell.left).fold(1.0, f64::min);
        let right = cells.iter().map(|cell| cell.left + cell.width);
        let width = right.fold(-1.0, f64::max) - left;
        Line {
            item: row.item,
            part: 0,
            kind: row.kind,
            size: Step::OWN,
            mark: None,
            hang: 0.0,
            spans,
            cells,
            end: LineEnd::Set,
            place,
            width,
            chord: self.case.free_width(place, self.case.plain, 0.0).max(width),
            characters: row.characters.clone(),
        }
    }
}

#[cfg(test)]
#[path = "grid_tests.rs"]
mod tests;
