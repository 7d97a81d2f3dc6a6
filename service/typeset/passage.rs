//! A block made ready for its discs: what is drawn before it, how its lines are to look, where its
//! words may be divided. Never breaks lines.

use super::case::Case;
use super::disc::{LineKind, Mark};
use super::hyphenate::Divider;
use super::prepare::{Prepared, SUBSTITUTE_MARK, Setting};
use super::rag::Look;
use super::stack::{KEPT_FILL, OVERHANG_EM};
use super::units::Diameters;
use super::weights::Weights;
use crate::distil::block::{Block, BlockKind, Marker};
use crate::font::Ink;

/// A block that is ready to be broken into lines.
pub struct Passage<'a> {
    /// Its text.
    pub prepared: Prepared<'a>,
    /// Its place among the passages.
    pub number: usize,
    /// The item that it is.
    pub item: usize,
    /// What its lines are of.
    pub kind: LineKind,
    /// What its lines are to look like.
    pub look: Look,
    /// How much of the chords is filled.
    pub fill: f64,
    /// Whether a place stays empty before it.
    pub spaced: bool,
    /// Whether a heading stands before it.
    pub after_heading: bool,
    /// The item of a rule that is drawn in the place before it.
    pub rule: Option<usize>,
}

/// How wide a mark may be to hang out at the left, its like in white at the right with it: wider
/// ones would leave the line too little.
const MOST_HANG: Diameters = 0.16;

/// The share of the chords that the lines of a list item stay free of, at both ends together, for
/// every level that it is below the outermost: a curve within the curve, in which nested items are seen
/// as a narrower column. DEVELOPERS.md says what it costs.
const INSET: f64 = 0.05;
/// Items below this level are set as those of it.
const DEEPEST: u8 = 3;

impl<'a> Passage<'a> {
    /// Makes a block ready; `None` where it says nothing.
    pub fn prepare(
        block: &Block,
        before: Option<BlockKind>,
        item: usize,
        case: &'a Case<'a>,
        weights: &'a Weights,
    ) -> Option<Self> {
        let heading = matches!(block.kind, BlockKind::Heading { .. });
        let look = look(block);
        let fill = match block.kind {
            BlockKind::Preformatted => KEPT_FILL,
            BlockKind::ListItem { depth, .. } => {
                1.0 - INSET * f64::from(depth.clamp(1, DEEPEST) - 1)
            }
            _ => 1.0,
        };
        let narrowest = narrowest(case) * fill;
        let mark = mark(block.kind, before).map(|mark| fitting(mark, case, narrowest));
        let listed = matches!(block.kind, BlockKind::ListItem { .. });
        let width = |mark: Mark| case.width(&mark.drawn());
        let setting = Setting {
            case,
            weights,
            // A turned-over line of verse or code begins with a whole word.
            divider: match look {
                Look::Kept => Divider::none(),
                _ => Divider::of(&block.language),
            },
            narrowest,
            mark,
            hangs: listed && mark.is_some_and(|mark| 2.0 * width(mark) <= MOST_HANG),
            turned_over: (look == Look::Kept).then_some(Mark::TurnedOver),
            keep_spaces: block.kind == BlockKind::Preformatted,
            stroked: heading,
        };
        let mut prepared = prepare(block, &setting, heading);
        if prepared.fragments.is_empty() {
            return None;
        }
        if heading {
            for fragment in &mut prepared.fragments {
                fragment.turn += weights.heading_at_foot;
            }
        }
        Some(Self {
            prepared,
            number: 0,
            item,
            kind: LineKind::of(block.kind),
            look,
            fill,
            spaced: heading,
            after_heading: matches!(before, Some(BlockKind::Heading { .. })),
            rule: None,
        })
    }
}

/// A mark, or a plainer one where it would leave no room on the narrowest line for a letter of an em: a
/// number of five digits at most sizes, of six at all, and of fewer where it is set wide.
fn fitting(mark: Mark, case: &Case, narrowest: Diameters) -> Mark {
    let wide = SUBSTITUTE_MARK * case.width(&mark.drawn()) + case.em > narrowest;
    match mark {
        Mark::Number { depth, .. } if wide => Mark::Bullet { depth },
        _ => mark,
    }
}

/// Cuts a block into fragments; a heading's words are divided only where they must be.
fn prepare<'a>(block: &Block, setting: &Setting<'a>, heading: bool) -> Prepared<'a> {
    if heading {
        let undivided = Setting {
            divider: Divider::none(),
            ..*setting
        };
        let whole = Prepared::new(&block.runs, &undivided);
        let fits = |width: Diameters| width <= setting.narrowest;
        if whole.fragments.iter().all(|fragment| fits(fragment.width)) {
            return whole;
        }
    }
    Prepared::new(&block.runs, setting)
}

fn look(block: &Block) -> Look {
    match block.kind {
        BlockKind::Heading { .. } => Look::Balanced,
        BlockKind::Preformatted => Look::Kept,
        BlockKind::Paragraph | BlockKind::Quotation if is_verse(block) => Look::Kept,
        _ => Look::Running,
    }
}

/// Whether a block is verse: three lines or more, none of them long, that its author ended.
fn is_verse(block: &Block) -> bool {
    let text = block.text();
    let mut lines = text.split('\n').map(|line| line.chars().count());
    text.matches('\n').count() + 1 >= LEAST_VERSES && lines.all(|length| length <= LONGEST_VERSE)
}

/// Fewer lines are an address or a signature as likely as verse. Common practice, no source.
const LEAST_VERSES: usize = 3;
/// Characters of a line; prose that is broken by hand is longer. Common practice, no source.
const LONGEST_VERSE: usize = 80;

/// The narrowest line that there can be: with an accented capital and a descender, and with ink
/// that hangs over its ends.
fn narrowest(case: &Case) -> Diameters {
    let tall = Ink {
        rise: case.plain.rise.max(case.em),
        ..case.plain
    };
    let places = 0..case.screen.places();
    let free = |place: usize| case.free_width(place as f64, tall, 0.0);
    places.map(free).fold(1.0, f64::min) - 2.0 * OVERHANG_EM * case.em
}

impl LineKind {
    fn of(kind: BlockKind) -> Self {
        match kind {
            BlockKind::Paragraph => Self::Paragraph,
            BlockKind::Heading { level } => Self::Heading { level },
            BlockKind::ListItem { .. } => Self::ListItem,
            BlockKind::Quotation => Self::Quotation,
            BlockKind::Preformatted => Self::Preformatted,
            BlockKind::Note => Self::Note,
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
            Marker::Number(number) => Some(Mark::Number { number, depth }),
            Marker::None => Some(Mark::Paragraph),
        },
        BlockKind::Quotation => Some(Mark::Quotation),
        BlockKind::TableRow => Some(Mark::TableRow),
        BlockKind::Picture => Some(Mark::Picture),
        // A note begins with what refers to it.
        BlockKind::Heading { .. } | BlockKind::Preformatted | BlockKind::Note | BlockKind::Rule => {
            None
        }
    }
}
