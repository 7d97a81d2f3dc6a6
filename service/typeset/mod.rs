//! The typesetter: items and a screen into discs. PURE: it knows no HTML, no files and no network.
//!
//! Text becomes fragments (`prepare`), fragments become lines ([`linebreak`]) as wide as the
//! circle's chords ([`screen`]), and lines become discs (`paginate`).

mod blocks;
mod case;
mod disc;
mod ending;
mod flow;
mod grid;
pub mod hyphenate;
pub mod linebreak;
mod opening;
mod paginate;
mod passage;
mod prepare;
mod rag;
mod rows;
pub mod screen;
mod search;
#[cfg(test)]
mod spacing_tests;
mod stack;
#[cfg(test)]
mod test_support;
pub mod units;
mod weights;
mod window;
mod words;

pub use case::{shown, size_and_raise, spacing_after};
pub use disc::{Cell, Disc, DiscKind, Line, LineEnd, LineKind, Mark, Span};
pub use grid::GUTTER_EM;
pub use opening::{MOST_TITLE_LINES, TITLE_GAP};
pub use paginate::{Item, Job, typeset};
pub use rows::{Row, RowText, foot_places};
pub use screen::{Edge, Ground, Lines, Screen, Shape, Spacing, Step, Strip};
pub use weights::Weights;
