//! Tables as rows that can be read out, with which cells they tell where the columns are plain.
//! Never reads other blocks.

use dom_query::NodeRef;

use super::context::Context;
use super::inline::{Links, runs_of};
use super::{Block, BlockKind, Run};
use crate::distil::language::Language;

mod told;

use told::{label_of, labelled, leave_columns, read_heads, read_row};

/// The most columns that a row is read to, and rows that a cell may span; spans are strangers'
/// numbers and would multiply the text.
const MAXIMUM_COLUMNS: usize = 50;
const MAXIMUM_SPAN: usize = 100;
/// The most bytes of a cell that is told again in each row that it spans.
const MOST_SPANNING: usize = 200;

/// The most rows that are told of a table: they fill some sixty discs. What is beyond is counted, but for
/// a few, which take no more room than that.
const MOST_ROWS: usize = 60;
const FEW_ROWS: usize = 3;

/// Elements that no table of data has in its cells; with one of them it is there for layout.
const LAYOUT: [&str; 16] = [
    "table",
    "ul",
    "ol",
    "dl",
    "h1",
    "h2",
    "h3",
    "h4",
    "h5",
    "h6",
    "blockquote",
    "pre",
    "figure",
    "hr",
    "img",
    "article",
];

#[derive(Clone, Default)]
struct Cell {
    runs: Vec<Run>,
    header: bool,
}

/// Reads a table as rows: each cell a line, its column's label before its value. `None` if it is
/// there for layout: if a cell holds blocks of other kinds, or no row has two cells. Ends where
/// `room`, in bytes, is used up.
pub(super) fn read(
    table: NodeRef<'_>,
    outer: &Context,
    links: &mut Links,
    room: usize,
) -> Option<Rows> {
    let rows = rows(table)?;
    let context = outer.inside("table", table, 0);
    let mut blocks: Vec<Block> = children(table, "caption")
        .map(|caption| {
            let context = context.inside("caption", caption, 0);
            context.block(BlockKind::Paragraph, runs_of(caption, &context, links))
        })
        .filter(|block| !block.runs.is_empty())
        .collect();
    let captions = blocks.len();
    let mut heads = Heads::default();
    let mut plain_columns = !has_wide_cells(table);
    let mut spanning: Vec<(usize, Cell)> = Vec::new();
    let (mut taken, mut cut) = (0, false);
    let count = rows.len();
    for (index, (row, in_head)) in rows.into_iter().enumerate() {
        if taken > room {
            cut = true;
            break;
        }
        if index == MOST_ROWS && count - index > FEW_ROWS {
            heads.finish(&mut blocks);
            blocks.push(rest(count - index));
            break;
        }
        let context = context.inside("tr", row, 0);
        let cells = cells(row, &context, links, &mut spanning);
        let header = in_head || index == 0 && cells.iter().all(|cell| cell.header);
        if header {
            plain_columns &= blocks.len() == captions && heads.context.is_none();
            heads.hand_on(&cells);
            taken += heads.finish(&mut blocks);
            heads = Heads::new(cells, blocks.len(), context);
            continue;
        }
        heads.tell(&cells);
        let runs = read_row(&cells, &heads.labels, index as u32 + 1);
        taken += bytes(&runs);
        if !runs.is_empty() {
            blocks.push(context.block(BlockKind::TableRow, runs));
        }
    }
    heads.finish(&mut blocks);
    if !plain_columns {
        leave_columns(&mut blocks[captions..]);
    }
    Some(Rows { blocks, cut })
}

/// The heads of columns, until others follow or the table ends.
#[derive(Default)]
struct Heads {
    cells: Vec<Cell>,
    /// As they stand before values.
    labels: Vec<Vec<Run>>,
    /// Whether a head has been told, whole.
    told: Vec<bool>,
    /// The place of the block that follows them.
    at: usize,
    context: Option<Context>,
}

impl Heads {
    fn new(cells: Vec<Cell>, at: usize, context: Context) -> Self {
        Self {
            labels: cells.iter().map(|cell| label_of(&cell.runs)).collect(),
            told: cells.iter().map(|cell| cell.runs.is_empty()).collect(),
            cells,
            at,
            context: Some(context),
        }
    }

    /// Notes which heads a row tells: those before its values.
    fn tell(&mut self, row: &[Cell]) {
        for (column, told) in self.told.iter_mut().enumerate() {
            let value = row.get(column).filter(|cell| !cell.header);
            *told |= value.is_some_and(|cell| !cell.runs.is_empty())
                && self.labels[column] == self.cells[column].runs;
        }
    }

    /// Leaves those that span down into the next row of heads to it.
    fn hand_on(&mut self, next: &[Cell]) {
        for (column, told) in self.told.iter_mut().enumerate() {
            let same = |cell: &Cell| cell.runs == self.cells[column].runs;
            *told |= next.get(column).is_some_and(same);
        }
    }

    /// Puts the heads that stand before no value into a row of their own, before the rows below
    /// them, and gives its bytes. Heads of nothing at all are values.
    fn finish(&mut self, blocks: &mut Vec<Block>) -> usize {
        let Some(context) = self.context.take() else {
            return 0;
        };
        let alone = blocks.len() == self.at;
        let cells = std::mem::take(&mut self.cells).into_iter();
        let lost: Vec<Cell> = cells
            .zip(&self.told)
            .map(|(cell, told)| Cell {
                runs: match (told, alone) {
                    (true, _) => Vec::new(),
                    (false, true) => cell.runs,
                    (false, false) => labelled(&cell.runs).collect(),
                },
                header: false,
            })
            .collect();
        let runs = match alone {
            true => read_row(&lost, &[], 0),
            false => read_heads(&lost),
        };
        let taken = bytes(&runs);
        if !runs.is_empty() {
            blocks.insert(self.at, context.block(BlockKind::TableRow, runs));
        }
        taken
    }
}

/// The line that says how many rows are not told, in the service's own words.
fn rest(count: usize) -> Block {
    let text = format!("{count} more rows of this table are not shown.");
    let run = Run {
        text,
        ..Run::default()
    };
    let language = Language::parse("en").unwrap_or_else(Language::unknown);
    Context::new(&language).block(BlockKind::Paragraph, vec![run])
}

fn bytes(runs: &[Run]) -> usize {
    runs.iter().map(|run| run.text.len()).sum()
}

/// The rows of a table of data, and whether they stand in its head.
fn rows(table: NodeRef<'_>) -> Option<Vec<(NodeRef<'_>, bool)>> {
    let layout = table.descendants_it().any(|node| {
        node.node_name()
            .is_some_and(|name| LAYOUT.contains(&&*name))
    });
    if layout {
        return None;
    }
    let mut rows = Vec::new();
    for part in table.children_it(false) {
        if part.has_name("tr") {
            rows.push((part, false));
        }
        let head = part.has_name("thead");
        if head || part.has_name("tbody") || part.has_name("tfoot") {
            rows.extend(children(part, "tr").map(|row| (row, head)));
        }
    }
    let wide = rows
        .iter()
        .any(|(row, _)| row.children_it(false).filter(NodeRef::is_element).count() > 1);
    wide.then_some(rows)
}

/// Whether a cell lies over several columns.
fn has_wide_cells(table: NodeRef<'_>) -> bool {
    let wide = |node: NodeRef<'_>| span_of(node, "colspan") > 1;
    table.descendants_it().any(wide)
}

/// Over how many columns or rows a cell lies.
fn span_of(cell: NodeRef<'_>, attribute: &str) -> usize {
    let value = cell.attr(attribute);
    let value = value.and_then(|value| value.trim().parse().ok());
    value.unwrap_or(1).clamp(1, MAXIMUM_SPAN)
}

fn children<'a>(node: NodeRef<'a>, name: &'static str) -> impl Iterator<Item = NodeRef<'a>> {
    node.children_it(false)
        .filter(move |child| child.has_name(name))
}

/// The cells of a row, one for each column, those that span down from rows above among them.
fn cells(
    row: NodeRef<'_>,
    context: &Context,
    links: &mut Links,
    spanning: &mut Vec<(usize, Cell)>,
) -> Vec<Cell> {
    let mut cells: Vec<Cell> = Vec::new();
    let mut own = row.children_it(false).filter(NodeRef::is_element);
    while cells.len() < MAXIMUM_COLUMNS {
        if let Some((left, cell)) = spanning.get_mut(cells.len()).filter(|(left, _)| *left > 0) {
            *left -= 1;
            cells.push(cell.clone());
            continue;
        }
        let Some(node) = own.next() else {
            if spanning
                .iter()
                .skip(cells.len())
                .all(|(left, _)| *left == 0)
            {
                break;
            }
            cells.push(Cell::default());
            continue;
        };
        let name = if node.has_name("th") { "th" } else { "td" };
        let runs = runs_of(node, &context.inside(name, node, 0), links);
        let down = span_of(node, "rowspan") - 1;
        for repeat in 0..span_of(node, "colspan").min(MAXIMUM_COLUMNS - cells.len()) {
            // The text stands in the first of the columns that it spans.
            let runs = if repeat == 0 {
                runs.clone()
            } else {
                Vec::new()
            };
            let cell = Cell {
                runs,
                header: name == "th",
            };
            if spanning.len() <= cells.len() {
                spanning.resize(cells.len() + 1, (0, Cell::default()));
            }
            // A long text that spans rows is told in the first of them alone.
            let short = bytes(&cell.runs) <= MOST_SPANNING;
            let again = if short { cell.clone() } else { Cell::default() };
            spanning[cells.len()] = (down, again);
            cells.push(cell);
        }
    }
    // More cells than are laid out in columns still have their say.
    for node in own {
        cells.push(Cell {
            runs: runs_of(node, &context.inside("td", node, 0), links),
            header: false,
        });
    }
    cells
}

/// The rows of a table.
pub(super) struct Rows {
    /// A block each, after the caption's.
    pub blocks: Vec<Block>,
    /// Whether rows were left out.
    pub cut: bool,
}
