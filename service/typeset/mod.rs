//! The typesetter: items and a screen into discs. PURE: it knows no HTML, no files and no network.
//!
//! Text becomes fragments (`prepare`), fragments become lines ([`linebreak`]) as wide as the
//! circle's chords ([`screen`]), and lines become discs (`paginate`).

mod disc;
mod ending;
mod glyphs;
mod hyphenate;
pub mod linebreak;
mod paginate;
mod prepare;
mod rag;
mod reach;
mod rows;
pub mod screen;
#[cfg(test)]
mod test_support;
pub mod units;
mod words;

pub use disc::{Disc, DiscKind, Line, LineEnd, LineKind, Mark, Span};
pub use glyphs::{SCRIPT_SCALE, SUBSCRIPT_DROP, SUPERSCRIPT_RAISE, shown};
pub use paginate::{Item, typeset};
pub use rows::{Row, RowText, foot_places};
pub use screen::{Lines, Screen, Shape};
