//! Items onto discs: which place each line takes, what stays together. Never measures text.

use std::mem::discriminant;

use super::disc::{Disc, DiscKind, Line, LineEnd, LineKind, Mark};
use super::hyphenate::Divider;
use super::linebreak::{self, break_lines};
use super::prepare::{Prepared, Setting};
use super::rag::{Look, OVERHANG_EM, PREFORMATTED_FILL, Ragged, Stack};
use super::rows::{Foot, Row, set_opening, set_rows};
use super::screen::Screen;
use super::units::Diameters;
use crate::distil::block::{Block, BlockKind, Marker};
use crate::font::{Ink, Typeface};

/// Something to be set.
#[derive(Clone, Debug)]
pub enum Item<'a> {
    /// A block of an article; blocks in a row share discs.
    Block(&'a Block),
    /// The title and particulars of an article: a disc of its own, as large as they go.
    Opening(Row<'a>),
    /// An index entry or a link. Entries in a row share discs, each whole; the foot of the disc
    /// stays free for going on.
    Entry(Row<'a>),
    /// What leads on from a page. Controls in a row share discs, each whole; the foot of the last
    /// of them is theirs too.
    Control(Row<'a>),
}

/// Sets items on the discs of a screen.
///
/// Every word of the items stands on the discs, in order, once, but for texts of rows that are
/// longer than a row holds. No line is wider than its chord. It cannot fail.
pub fn typeset(items: &[Item], screen: &Screen, typeface: &Typeface) -> Vec<Disc> {
    let mut discs = Vec::new();
    let mut at = 0;
    while at < items.len() {
        let alike = |item: &&Item| discriminant(*item) == discriminant(&items[at]);
        let run = &items[at..at + items[at..].iter().take_while(alike).count()];
        let rows: Vec<&Row> = run.iter().filter_map(Item::row).collect();
        match &items[at] {
            Item::Block(_) => {
                let blocks: Vec<&Block> = run.iter().filter_map(Item::block).collect();
                discs.extend(set_blocks(&blocks, at, screen, typeface));
            }
            Item::Opening(_) => {
                let openings = rows.iter().zip(at..);
                discs.extend(openings.map(|(row, item)| set_opening(row, item, screen, typeface)));
            }
            Item::Entry(_) => discs.extend(set_rows(&rows, at, Foot::Free, screen, typeface)),
            Item::Control(_) => {
                discs.extend(set_rows(&rows, at, Foot::TakenAtLast, screen, typeface));
            }
        }
        at += run.len();
    }
    discs
}

impl<'a> Item<'a> {
    fn block(&self) -> Option<&'a Block> {
        if let Self::Block(block) = self {
            Some(block)
        } else {
            None
        }
    }

    fn row(&self) -> Option<&Row<'a>> {
        match self {
            Self::Opening(row) | Self::Entry(row) | Self::Control(row) => Some(row),
            Self::Block(_) => None,
        }
    }
}

/// Lines of what follows that must stand on the disc on which a heading ends.
const LINES_AFTER_HEADING: usize = 2;

/// Where the next line of running text goes.
struct Column<'a> {
    screen: &'a Screen,
    typeface: &'a Typeface,
    em: Diameters,
    plain: Ink,
    discs: Vec<Disc>,
    slot: usize,
}

fn set_blocks(
    blocks: &[&Block],
    first_item: usize,
    screen: &Screen,
    typeface: &Typeface,
) -> Vec<Disc> {
    let em = screen.lines.em(typeface);
    let plain = typeface.plain_ink.scaled(em);
    let mut column = Column {
        screen,
        typeface,
        em,
        plain,
        discs: Vec::new(),
        slot: 0,
    };
    for (place, block) in blocks.iter().enumerate() {
        let before = place.checked_sub(1).map(|before| blocks[before].kind);
        column.set(block, before, &blocks[place + 1..], first_item + place);
    }
    column.discs
}

impl<'a> Column<'a> {
    fn set(&mut self, block: &Block, before: Option<BlockKind>, after: &[&Block], item: usize) {
        let kind = LineKind::of(block.kind);
        let mark = mark(block.kind, before);
        if block.kind == BlockKind::Rule {
            self.rule(item);
            return;
        }
        let prepared = self.prepare(block, mark);
        if prepared.fragments.is_empty() {
            return;
        }
        let lines = match block.kind {
            BlockKind::Heading { .. } => self.heading(&prepared, before.is_some(), after),
            BlockKind::Preformatted => self.break_at(&prepared, self.slot, Look::Preformatted),
            _ => self.break_at(&prepared, self.slot, Look::Running),
        };
        self.place(&prepared, &lines, kind, mark, item);
    }

    /// Cuts a block into fragments; a heading's words are divided only where they must be.
    fn prepare(&self, block: &Block, mark: Option<Mark>) -> Prepared<'a> {
        let narrowest = self.narrowest()
            * if block.kind == BlockKind::Preformatted {
                PREFORMATTED_FILL
            } else {
                1.0
            };
        let setting = Setting {
            typeface: self.typeface,
            em: self.em,
            divider: Divider::of(&block.language),
            narrowest,
            mark,
            keep_spaces: block.kind == BlockKind::Preformatted,
        };
        if matches!(block.kind, BlockKind::Heading { .. }) {
            let whole = Prepared::new(
                &block.runs,
                &Setting {
                    divider: Divider::none(),
                    ..setting
                },
            );
            if whole
                .fragments
                .iter()
                .all(|fragment| fragment.width <= narrowest)
            {
                return whole;
            }
        }
        Prepared::new(&block.runs, &setting)
    }

    /// The narrowest line that there can be: with an accented capital and a descender, and with ink
    /// that hangs over its ends.
    fn narrowest(&self) -> Diameters {
        let tall = Ink {
            rise: self.plain.rise.max(self.em),
            ..self.plain
        };
        let free = |place: usize| {
            self.screen
                .free_width(self.screen.lines.middle(place as f64), self.plain, tall)
        };
        (0..self.screen.lines.count()).map(free).fold(1.0, f64::min) - 2.0 * OVERHANG_EM * self.em
    }

    fn break_at(&self, prepared: &Prepared, slot: usize, look: Look) -> Vec<linebreak::Line> {
        let slots = self.screen.lines.count();
        let fill = if look == Look::Preformatted {
            PREFORMATTED_FILL
        } else {
            1.0
        };
        let stack = Stack {
            screen: self.screen,
            plain: self.plain,
            em: self.em,
            first: 0.0,
            slots,
            fill,
            text: prepared,
        };
        let cost = Ragged {
            look,
            em: self.em,
            final_slot: Some(slots - 1),
        };
        // Runs wider than the narrowest line are divided at every grapheme, so that there is
        // always a way.
        break_lines(&prepared.fragments, slot, &stack, &cost).unwrap_or_default()
    }

    /// A heading has an empty line before it, and stays with what follows.
    fn heading(
        &mut self,
        prepared: &Prepared,
        spaced: bool,
        after: &[&Block],
    ) -> Vec<linebreak::Line> {
        let places = self.screen.lines.count();
        if spaced && self.slot > 0 {
            self.slot = (self.slot + 1) % places;
        }
        let lines = self.break_at(prepared, self.slot, Look::Balanced);
        let end = self.slot + lines.last().map_or(0, |line| line.offset + 1);
        if self.slot == 0 || self.end_with(after, end) <= places {
            return lines;
        }
        self.slot = 0;
        self.break_at(prepared, 0, Look::Balanced)
    }

    /// The place after what must stand on the disc on which a heading ends before the place
    /// `end`: further headings, and lines of the text that follows them.
    fn end_with(&self, after: &[&Block], mut end: usize) -> usize {
        let places = self.screen.lines.count();
        for block in after {
            if end >= places {
                return places + 1;
            }
            match block.kind {
                BlockKind::Heading { .. } => {
                    let slot = (end + 1) % places;
                    let lines = self.break_at(&self.prepare(block, None), slot, Look::Balanced);
                    end += 1 + lines.last().map_or(0, |line| line.offset + 1);
                }
                BlockKind::Rule => end += 1,
                _ => return end + LINES_AFTER_HEADING,
            }
        }
        end
    }

    fn place(
        &mut self,
        prepared: &Prepared,
        lines: &[linebreak::Line],
        kind: LineKind,
        mark: Option<Mark>,
        item: usize,
    ) {
        let places = self.screen.lines.count();
        let start = self.slot;
        // How many discs the lines have gone on to; what starts at the top starts a disc.
        let mut gone_on = if start == 0 { None } else { Some(0) };
        let (mut byte, mut character) = (0, 0);
        for (number, line) in lines.iter().enumerate() {
            let (spans, end, bytes) = prepared.line(line.start, line.end);
            character += prepared.characters(byte..bytes.start);
            let length = prepared.characters(bytes.clone());
            byte = bytes.end;
            let slot = (start + line.offset) % places;
            let onto = Some((start + line.offset) / places);
            if onto > gone_on {
                gone_on = onto;
                self.discs.push(Disc {
                    kind: DiscKind::Text,
                    size: self.screen.lines,
                    rows: Vec::new(),
                    lines: Vec::new(),
                });
            }
            if let Some(disc) = self.discs.last_mut() {
                disc.lines.push(Line {
                    item,
                    part: 0,
                    kind,
                    mark: mark.filter(|_| number == 0),
                    spans,
                    end,
                    place: slot as f64,
                    width: line.width,
                    chord: line.measure,
                    characters: character..character + length,
                });
            }
            character += length;
            self.slot = (slot + 1) % places;
        }
    }

    fn rule(&mut self, item: usize) {
        let places = self.screen.lines.count();
        if self.slot == 0 {
            return;
        }
        let chord = self.screen.free_width(
            self.screen.lines.middle(self.slot as f64),
            self.plain,
            self.plain,
        );
        let width = self.typeface.width(&Mark::Rule.drawn()) * self.em;
        if let Some(disc) = self.discs.last_mut() {
            disc.lines.push(Line {
                item,
                part: 0,
                kind: LineKind::Rule,
                mark: Some(Mark::Rule),
                spans: Vec::new(),
                end: LineEnd::Set,
                place: self.slot as f64,
                width,
                chord,
                characters: 0..0,
            });
        }
        self.slot = (self.slot + 1) % places;
    }
}

impl LineKind {
    fn of(kind: BlockKind) -> Self {
        match kind {
            BlockKind::Paragraph => Self::Paragraph,
            BlockKind::Heading { level } => Self::Heading { level },
            BlockKind::ListItem { .. } => Self::ListItem,
            BlockKind::Quotation => Self::Quotation,
            BlockKind::Preformatted => Self::Preformatted,
            BlockKind::TableRow => Self::TableRow,
            BlockKind::Picture => Self::Picture,
            BlockKind::Rule => Self::Rule,
        }
    }
}

/// What is drawn before a block. A paragraph gets its mark only after running text: after a
/// heading, a rule or nothing it is plain where it begins.
fn mark(kind: BlockKind, before: Option<BlockKind>) -> Option<Mark> {
    match kind {
        BlockKind::Paragraph => match before {
            None | Some(BlockKind::Heading { .. } | BlockKind::Rule) => None,
            Some(_) => Some(Mark::Paragraph),
        },
        BlockKind::ListItem { depth, marker } => match marker {
            Marker::Bullet => Some(Mark::Bullet { depth }),
            Marker::Number(number) => Some(Mark::Number(number)),
            Marker::None => Some(Mark::Paragraph),
        },
        BlockKind::Quotation => Some(Mark::Quotation),
        BlockKind::TableRow => Some(Mark::TableRow),
        BlockKind::Picture => Some(Mark::Picture),
        BlockKind::Heading { .. } | BlockKind::Preformatted | BlockKind::Rule => None,
    }
}

#[cfg(test)]
#[path = "paginate_tests.rs"]
mod tests;
