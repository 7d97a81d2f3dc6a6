//! How the argument `--spacing` is spelt. Knows what the typesetter calls it, and nothing else.

use clap::ValueEnum;

use crate::typeset::Spacing;

/// The white between letters, words and lines, as it is typed.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Spaced {
    /// As the typeface has it.
    Usual,
    /// More of it, for readers whom dense text slows.
    Wide,
}

impl From<Spaced> for Spacing {
    fn from(spaced: Spaced) -> Self {
        match spaced {
            Spaced::Usual => Self::Usual,
            Spaced::Wide => Self::Wide,
        }
    }
}
