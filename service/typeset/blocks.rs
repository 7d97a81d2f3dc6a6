//! Blocks onto discs: which are running text, and which tables stand as grids on discs of their own.
//! Never measures text.

use std::ops::Range;

use super::case::Case;
use super::disc::Disc;
use super::flow::{Text, set_above, set_text};
use super::grid::{Grid, MOST_HEAD_LINES, tables};
use super::paginate::Job;
use crate::distil::block::{Block, BlockKind};

/// Sets blocks; `None` where the discs are no longer wanted.
pub fn set_blocks(
    blocks: &[&Block],
    first_item: usize,
    case: &Case,
    job: &Job,
) -> Option<Vec<Disc>> {
    let text = Text {
        blocks,
        first_item,
        case,
        weights: &job.weights.at(case.em),
        wanted: job.wanted,
    };
    let mut discs = Vec::new();
    let mut from = 0;
    for table in tables(blocks) {
        if !(job.wanted)() {
            return None;
        }
        if let Some((lead, disc)) = set_grid(&text, from, &table)? {
            discs.extend(set_text(&text, from..lead)?);
            discs.push(disc);
            from = table.end;
        }
    }
    discs.extend(set_text(&text, from..blocks.len())?);
    Some(discs)
}

/// A table as a grid, below what goes along with it and is no earlier than a block: the first block
/// on its disc, and the disc. `None` within where the table is to be read out. Heads take more lines
/// where the grid is too wide with fewer.
fn set_grid(text: &Text, from: usize, table: &Range<usize>) -> Option<Option<(usize, Disc)>> {
    let item = text.first_item + table.start;
    let rows = &text.blocks[table.clone()];
    for head_lines in 1..=MOST_HEAD_LINES {
        let measured = Grid::measure(rows, item, head_lines, (text.case, text.weights));
        let Some(grid) = measured else { break };
        if grid.head_lines() < head_lines && head_lines > 1 {
            break;
        }
        if let Some(set) = set_with_lead(text, from, table, &grid)? {
            return Some(Some(set));
        }
    }
    Some(None)
}

/// A grid below what goes along with it.
fn set_with_lead(
    text: &Text,
    from: usize,
    table: &Range<usize>,
    grid: &Grid,
) -> Option<Option<(usize, Disc)>> {
    let before = (from..table.start).rev();
    let along = before.take_while(|&place| goes_along(text.blocks[place]));
    let lead = table.start - along.count();
    if let Some(disc) = set_above(text, lead..table.start, grid)? {
        return Some(Some((lead, disc)));
    }
    // A heading does not end a disc; a caption can.
    let heads = |block: &&Block| matches!(block.kind, BlockKind::Heading { .. });
    if lead == table.start || text.blocks[lead..table.start].iter().any(heads) {
        return Some(None);
    }
    let alone = set_above(text, table.start..table.start, grid)?;
    Some(alone.map(|disc| (table.start, disc)))
}

/// Whether a block before a table belongs to it: a heading, a caption, which is a label throughout,
/// a rule, or what says nothing.
fn goes_along(block: &Block) -> bool {
    let labels = block.runs.iter().all(|run| run.style.label);
    match block.kind {
        BlockKind::Heading { .. } | BlockKind::Rule => true,
        BlockKind::Paragraph => labels,
        _ => false,
    }
}
