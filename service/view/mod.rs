//! Discs into HTML: askama structs whose fields are ready to print. Never serves, stores or sets.

mod page;
mod palette;
mod style;

/// Why a page cannot be printed, which does not happen.
pub use askama::Error as PrintError;
pub use page::{PageView, Target};
pub use palette::{PALETTE, Palette};
pub use style::Style;
