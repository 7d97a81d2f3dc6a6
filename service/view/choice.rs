//! The discs on which a wearer chooses a screen, ready to print. Never decides which is chosen.

use super::style::screen_class;
use crate::typeset::{Edge, Ground, Lines, Screen, Spacing, Strip};
use crate::words::Words;

/// The discs on which a wearer chooses the size of the text, then its spacing and the ground, then what the
/// browser's own bar takes. Each leaves the others as they are.
pub(super) struct Choice {
    pub(super) sets: [Offers; 3],
    /// What leads from one to the next is called.
    pub(super) next_disc: &'static str,
}

/// What is offered on one disc.
pub(super) struct Offers {
    pub(super) class: String,
    pub(super) number: usize,
    /// What it is about, where the buttons do not say so.
    pub(super) name: Option<&'static str>,
    pub(super) offers: Vec<Offer>,
    /// The disc to which it leads on.
    pub(super) onward: Option<usize>,
}

/// A button that chooses a screen.
pub(super) struct Offer {
    pub(super) class: String,
    pub(super) screen: Screen,
    /// What stands on it.
    pub(super) name: String,
    /// What it is called where that cannot be seen.
    pub(super) told: Option<String>,
    pub(super) current: bool,
}

impl Choice {
    /// How many discs it takes.
    pub(super) const DISCS: usize = 3;

    /// The choice for the wearer of a screen, after so many discs.
    pub(super) fn of(words: Words, screen: Screen, discs: usize) -> Self {
        let size = format!("s{}", screen.lines.count());
        let set = |number: usize, class: &str, name, offers| Offers {
            class: format!("{size} z{class}"),
            number: discs + number,
            name,
            offers,
            onward: (number < Self::DISCS).then_some(discs + number + 1),
        };
        Self {
            sets: [
                set(1, "", None, sizes(words, screen, "Aa")),
                set(2, "", None, looks(words, screen)),
                set(3, " x3", Some(words.bar()), strips(words, screen)),
            ],
            next_disc: words.next_disc(),
        }
    }
}

/// The sizes of text, each with a sample in its own size.
pub(super) fn sizes(words: Words, screen: Screen, sample: &str) -> Vec<Offer> {
    let size = |lines: Lines| {
        let offered = Screen { lines, ..screen };
        // Beside a strip two sizes can hold as many lines, and are told apart by those of a whole disc.
        let whole = Screen {
            strip: None,
            ..offered
        };
        Offer {
            class: format!("s{}", lines.count()),
            name: sample.to_owned(),
            told: Some(words.lines_a_disc(whole.places())),
            current: offered == screen,
            screen: offered,
        }
    };
    Lines::ALL.map(size).into()
}

/// The spacings, each set so, and the grounds, each in its own colours.
fn looks(words: Words, screen: Screen) -> Vec<Offer> {
    let spacings = Spacing::ALL.map(|spacing| {
        let offered = Screen { spacing, ..screen };
        let name = match spacing {
            Spacing::Usual => words.spacing_usual(),
            Spacing::Wide => words.spacing_wide(),
        };
        Offer {
            class: format!("{} a", screen_class(offered)),
            name: name.to_owned(),
            told: None,
            current: offered == screen,
            screen: offered,
        }
    });
    let grounds = Ground::ALL.map(|ground| {
        let offered = Screen { ground, ..screen };
        let (name, current) = match ground {
            Ground::Dark => (words.ground_dark(), offered == screen),
            Ground::Light => (words.ground_light(), offered == screen),
        };
        Offer {
            class: if current { "a" } else { "a lt" }.to_owned(),
            name: name.to_owned(),
            told: None,
            current,
            screen: offered,
        }
    });
    spacings.into_iter().chain(grounds).collect()
}

/// Whether there is a bar and where, and beside a strip how high it is.
fn strips(words: Words, screen: Screen) -> Vec<Offer> {
    let usual = Strip::HUNDREDTHS[1];
    let hundredths = screen.strip.map_or(usual, Strip::hundredths);
    let kinds = std::iter::once(None).chain(Edge::ALL.map(|edge| Strip::new(edge, hundredths)));
    let kinds = kinds.map(|strip| pictured(words, screen, strip, ""));
    let heights = screen.strip.iter().flat_map(|strip| Strip::all(strip.edge));
    let heights = heights.map(|strip| {
        let offered = Screen {
            strip: Some(strip),
            ..screen
        };
        Offer {
            class: "a".to_owned(),
            name: format!("{} %", strip.hundredths()),
            told: None,
            current: offered == screen,
            screen: offered,
        }
    });
    kinds.chain(heights).collect()
}

/// A button with a small picture of a disc and of the bar that takes a strip of it.
pub(super) fn pictured(words: Words, screen: Screen, strip: Option<Strip>, more: &str) -> Offer {
    let offered = Screen { strip, ..screen };
    let (class, told) = match strip.map(|strip| strip.edge) {
        None => ("i", words.whole_disc()),
        Some(Edge::Top) => ("i it", words.bar_above()),
        Some(Edge::Bottom) => ("i ib", words.bar_below()),
    };
    Offer {
        class: format!("{class}{more}"),
        name: String::new(),
        told: Some(told.to_owned()),
        current: offered == screen,
        screen: offered,
    }
}
