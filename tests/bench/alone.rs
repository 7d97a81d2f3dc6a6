//! The line breaker by itself, for `speed`: fragments that were measured before, on the chords of a
//! disc. Times nothing.

use tondo::distil::block::{Block, BlockKind};
use tondo::font::Typeface;
use tondo::typeset::hyphenate::Divider;
use tondo::typeset::linebreak::{
    Breaker, Candidate, Cost, End, Fragment, Line, Page, Paragraph, Space,
};
use tondo::typeset::{Lines, Screen, Weights};

/// A text cut into fragments, one paragraph a block.
pub struct Text {
    paragraphs: Vec<(Vec<Fragment>, bool)>,
    chords: Chords,
}

struct Chords(Vec<f64>);

impl Page for Chords {
    fn measure(&self, slot: usize) -> f64 {
        self.0[slot]
    }
}

/// What ragged lines and discs cost as they are usually set.
struct Ragged;

impl Cost for Ragged {
    fn line(&self, line: &Candidate) -> Option<f64> {
        let rag = (line.measure - line.natural).max(0.0);
        Some(if line.last {
            0.0
        } else {
            rag * rag + line.penalty
        })
    }

    fn least(&self, rag: f64) -> f64 {
        rag.max(0.0) * rag.max(0.0)
    }

    fn empty(&self, measure: f64) -> Option<f64> {
        Some(Weights::USUAL.empty * measure * measure)
    }

    fn stranded_at_foot(&self) -> f64 {
        Weights::USUAL.stranded_at_foot
    }

    fn stranded_at_head(&self) -> f64 {
        Weights::USUAL.stranded_at_head
    }
}

impl Text {
    /// Cuts words at their points, and measures.
    pub fn new(blocks: &[Block], lines: Lines, typeface: &Typeface) -> Self {
        let em = lines.em(typeface);
        let plain = typeface.plain_ink.scaled(em);
        let screen = Screen {
            lines,
            ..Screen::DEFAULT
        };
        let chord = |slot: usize| screen.free_width(screen.middle(slot as f64), plain, plain);
        let paragraph = |block: &Block| {
            let heading = matches!(block.kind, BlockKind::Heading { .. });
            (fragments(block, em, typeface), heading)
        };
        Self {
            paragraphs: blocks
                .iter()
                .map(paragraph)
                .filter(|(fragments, _)| !fragments.is_empty())
                .collect(),
            chords: Chords((0..lines.count()).map(chord).collect()),
        }
    }

    /// The breaks of all lines and discs.
    pub fn breaks(&self) -> Vec<Line> {
        let mut breaker = Breaker::new(self.chords.0.len());
        for (fragments, spaced) in &self.paragraphs {
            let paragraph = Paragraph {
                fragments,
                spaced: *spaced,
                begun: false,
                open: false,
            };
            breaker.add(&paragraph, &self.chords, &Ragged);
        }
        breaker.best().expect("every text has lines")
    }
}

fn fragments(block: &Block, em: f64, typeface: &Typeface) -> Vec<Fragment> {
    let weights = Weights::USUAL;
    let divider = Divider::of(&block.language);
    let (space, hyphen) = (typeface.width(" ") * em, typeface.width("-") * em);
    let mut fragments = Vec::new();
    for word in block.text().split_whitespace() {
        let points = divider.points_within(word);
        let sentence = word.ends_with(['.', '!', '?']);
        let mut from = 0;
        for point in points.into_iter().chain([word.len()]) {
            let divided = point < word.len();
            let part = &word[from..point];
            let turn = if divided { weights.split_word } else { 0.0 };
            fragments.push(Fragment {
                width: typeface.width(part) * em,
                space: Space {
                    width: if divided { 0.0 } else { space },
                    ..Space::default()
                },
                lead: 0.0,
                hyphen: if divided { hyphen } else { 0.0 },
                end: End::May(if divided { weights.hyphen } else { 0.0 }),
                turn: turn
                    + if sentence && !divided {
                        0.0
                    } else {
                        weights.split_sentence
                    },
                characters: part.chars().count() as u32 + u32::from(!divided),
            });
            from = point;
        }
    }
    fragments
}
