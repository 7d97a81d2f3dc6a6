//! How a piece of text ends where a line does: by a space, a hyphen or nothing. Knows no text.

use super::disc::LineEnd;
use super::linebreak::End;
use super::prepare::Setting;
use super::weights::Weights;

/// What a line may end with after a piece.
#[derive(Clone, Copy)]
pub enum Ending {
    /// A space.
    Space {
        /// Whether a sentence ends there.
        sentence: bool,
    },
    /// A point at which the word may be divided.
    Hyphen {
        /// Whether that is within a compound, which has a hyphen of its own to be divided at.
        compound: bool,
    },
    /// A dash of the author's, which parts two words.
    Dash,
    /// Nothing.
    Bare {
        /// Whether what the author joined goes on: after a hyphen, a slash, within an address.
        join: bool,
    },
    /// No point of the word's, but it is too wide for a line.
    Emergency {
        /// Whether it is a word, and gets a hyphen.
        hyphen: bool,
    },
    /// The author's line end.
    Set,
}

impl Ending {
    /// The width of the hyphen that is drawn where a line ends here.
    pub fn hyphen(self, setting: &Setting) -> f64 {
        match self {
            Self::Hyphen { .. } | Self::Emergency { hyphen: true } => {
                setting.case.sorts()[setting.case.hyphen as usize].advance
            }
            _ => 0.0,
        }
    }

    /// Whether a line may end here.
    pub fn end(self, weights: &Weights) -> End {
        match self {
            Self::Space { .. } | Self::Bare { join: false } => End::May(0.0),
            Self::Hyphen { compound: false } => End::May(weights.hyphen),
            Self::Hyphen { compound: true } => End::May(weights.hyphen_in_compound),
            Self::Bare { join: true } | Self::Dash => End::May(weights.bare),
            Self::Emergency { .. } => End::May(weights.emergency),
            Self::Set => End::Must,
        }
    }

    /// What it costs that a disc ends here.
    pub fn turn(self, weights: &Weights) -> f64 {
        match self {
            Self::Space { sentence: true } | Self::Set => 0.0,
            Self::Space { sentence: false } | Self::Bare { join: false } | Self::Dash => {
                weights.split_sentence
            }
            Self::Bare { join: true } => weights.split_sentence + weights.split_compound,
            Self::Hyphen { .. } | Self::Emergency { .. } => {
                weights.split_sentence + weights.split_word
            }
        }
    }

    /// How a line that ends here ends.
    pub fn line_end(self) -> LineEnd {
        match self {
            Self::Space { .. } => LineEnd::Space,
            Self::Hyphen { .. } | Self::Emergency { hyphen: true } => LineEnd::Hyphen,
            Self::Bare { .. } | Self::Dash | Self::Emergency { hyphen: false } => LineEnd::Bare,
            Self::Set => LineEnd::Set,
        }
    }
}
