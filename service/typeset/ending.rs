//! How a piece of text ends where a line does: by a space, a hyphen or nothing. Knows no text.

use super::disc::LineEnd;
use super::linebreak::End;
use super::prepare::Setting;
use super::rag::{EMERGENCY_PENALTY, HYPHEN_PENALTY};

/// What a line may end with after a piece.
#[derive(Clone, Copy)]
pub enum Ending {
    /// A space of that width.
    Space(f64),
    /// A point at which the word may be divided.
    Hyphen,
    /// Nothing, at that penalty.
    Bare(f64),
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
            Self::Hyphen | Self::Emergency { hyphen: true } => {
                setting.typeface.glyph('-').advance * setting.em
            }
            _ => 0.0,
        }
    }

    /// Whether a line may end here.
    pub fn end(self) -> End {
        match self {
            Self::Space(_) => End::May(0.0),
            Self::Hyphen => End::May(HYPHEN_PENALTY),
            Self::Bare(penalty) => End::May(penalty),
            Self::Emergency { .. } => End::May(EMERGENCY_PENALTY),
            Self::Set => End::Must,
        }
    }

    /// How a line that ends here ends.
    pub fn line_end(self) -> LineEnd {
        match self {
            Self::Space(_) => LineEnd::Space,
            Self::Hyphen | Self::Emergency { hyphen: true } => LineEnd::Hyphen,
            Self::Bare(_) | Self::Emergency { hyphen: false } => LineEnd::Bare,
            Self::Set => LineEnd::Set,
        }
    }
}
