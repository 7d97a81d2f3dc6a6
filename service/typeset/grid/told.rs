//! The cells of a table as its blocks tell them, column by column. Never measures them.

use super::{Measured, Row};
use crate::distil::block::{Block, Run};
use crate::typeset::disc::LineKind;
use crate::typeset::prepare::Setting;

/// The fewest rows below the heads, and columns: what has fewer is a list, and reads as one.
const LEAST_ROWS: usize = 2;
const LEAST_COLUMNS: usize = 2;

/// A longer head is none of a small table. Common practice, no source.
const MOST_HEAD_CHARACTERS: usize = 40;

/// What is known of a table before it is measured.
pub struct Told {
    /// The head of each column.
    pub heads: Vec<Vec<Run>>,
    /// The cells of each row.
    pub rows: Vec<Vec<Vec<Run>>>,
    /// The blocks of the rows.
    pub places: Vec<usize>,
    /// How many columns there are.
    pub columns: usize,
}

impl Told {
    /// Reads the cells of a table's blocks; `None` where it has too few for a grid, or more rows
    /// than there are places.
    pub fn read(blocks: &[&Block], most_rows: usize) -> Option<Self> {
        if blocks.len() > most_rows + 1 {
            return None;
        }
        let runs = || blocks.iter().flat_map(|block| &block.runs);
        let mut columns: Vec<u32> = runs()
            .filter_map(|run| run.cell)
            .map(|cell| cell.column)
            .collect();
        columns.sort_unstable();
        columns.dedup();
        let mut told = Self {
            heads: vec![Vec::new(); columns.len()],
            rows: Vec::new(),
            places: Vec::new(),
            columns: columns.len(),
        };
        for (place, block) in blocks.iter().enumerate() {
            let mut row = vec![Vec::new(); columns.len()];
            // Heads are told before many values, and are the same each time.
            let known: Vec<bool> = told.heads.iter().map(|head| !head.is_empty()).collect();
            for run in &block.runs {
                let Some(cell) = run.cell else { continue };
                let column = columns.partition_point(|&other| other < cell.column);
                match cell.head {
                    true if known[column] => {}
                    true => told.heads[column].push(run.clone()),
                    false => row[column].push(run.clone()),
                }
            }
            if row.iter().any(|cell| !cell.is_empty()) {
                told.rows.push(row);
                told.places.push(place);
            }
        }
        let alike = |block: &&Block| {
            (&block.language, block.direction) == (&blocks[0].language, blocks[0].direction)
        };
        let heads = told.heads.iter().map(|head| text_of(head).chars().count());
        let longest = heads.max().unwrap_or(0);
        let count = told.rows.len() + usize::from(longest > 0);
        let sound = told.rows.len() >= LEAST_ROWS
            && told.columns >= LEAST_COLUMNS
            && count <= most_rows
            && longest <= MOST_HEAD_CHARACTERS
            && blocks.iter().all(alike);
        sound.then_some(told)
    }

    /// The lines of the heads, the last line of each on the last of them; `rows` are those below.
    pub fn head_rows(
        &self,
        item: usize,
        most: usize,
        rows: &[Row],
        setting: &Setting,
    ) -> Option<Vec<Row>> {
        let mut columns = Vec::new();
        for (column, runs) in self.heads.iter().enumerate() {
            let cells = rows.iter().filter_map(|row| row.cells[column].as_ref());
            let width = cells.map(|cell| cell.width).fold(0.0, f64::max);
            columns.push(Measured::lines_of(runs, width, most, setting)?);
        }
        let count = columns.iter().map(Vec::len).max().unwrap_or(0);
        let mut heads: Vec<Row> = Vec::new();
        // From the last of them up.
        for _ in 0..count {
            heads.push(Row {
                item,
                kind: LineKind::TableHead,
                characters: 0..0,
                cells: columns.iter_mut().map(Vec::pop).collect(),
            });
        }
        heads.reverse();
        Some(heads)
    }

    /// Whether a column has numbers below its head, and nothing else.
    pub fn is_numeric(&self, column: usize) -> bool {
        let texts = self.rows.iter().map(|row| text_of(&row[column]));
        let texts: Vec<String> = texts.filter(|text| !text.is_empty()).collect();
        texts.iter().all(|text| text.chars().all(is_of_number))
            && texts.iter().any(|text| text.chars().any(char::is_numeric))
    }
}

fn text_of(runs: &[Run]) -> String {
    runs.iter().map(|run| run.text.as_str()).collect()
}

/// Whether a character stands in numbers, times and sums: a figure, a sign, a point, a space.
fn is_of_number(character: char) -> bool {
    character.is_numeric() || " \u{a0}\u{202f}+-−–—.,:/%‰°′″'’€£$¥×~±()".contains(character)
}
