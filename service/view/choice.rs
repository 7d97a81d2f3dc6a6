//! The discs on which a wearer chooses a screen, ready to print. Never decides which is chosen.

use super::style::screen_class;
use crate::typeset::{Lines, Screen, Spacing};
use crate::words::Words;

/// The discs on which a wearer chooses the size of the text, then its spacing.
pub(super) struct Choice {
    pub(super) class: String,
    pub(super) sizes_number: usize,
    pub(super) sizes: [Offer; 4],
    pub(super) spacings_number: usize,
    pub(super) spacings: [Offer; 2],
    /// What leads from one to the other is called.
    pub(super) next_disc: &'static str,
}

/// A button that chooses a screen.
pub(super) struct Offer {
    pub(super) class: String,
    pub(super) screen: Screen,
    /// What it is called.
    pub(super) name: String,
    pub(super) current: bool,
}

impl Choice {
    /// How many discs it takes.
    pub(super) const DISCS: usize = 2;

    /// The choice for the wearer of a screen, after so many discs. Either leaves the other as it is.
    pub(super) fn of(words: Words, screen: Screen, discs: usize) -> Self {
        Self {
            class: format!("s{}", screen.lines.count()),
            sizes_number: discs + 1,
            sizes: Lines::ALL.map(|lines| {
                let offered = Screen { lines, ..screen };
                Offer {
                    class: format!("s{}", lines.count()),
                    name: words.lines_a_disc(offered.places()),
                    current: offered == screen,
                    screen: offered,
                }
            }),
            next_disc: words.next_disc(),
            spacings_number: discs + 2,
            spacings: Spacing::ALL.map(|spacing| {
                let offered = Screen { spacing, ..screen };
                let name = match spacing {
                    Spacing::Usual => words.spacing_usual(),
                    Spacing::Wide => words.spacing_wide(),
                };
                Offer {
                    class: screen_class(offered),
                    name: name.to_owned(),
                    current: offered == screen,
                    screen: offered,
                }
            }),
        }
    }
}
