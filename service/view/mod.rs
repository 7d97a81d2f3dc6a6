//! Discs into HTML: askama structs whose fields are ready to print. Never serves, stores or sets.

mod asking;
mod choice;
mod first;
mod form;
mod gallery;
mod page;
mod pictured;
mod printed;
mod rim;
mod script;
mod style;
mod styles;
mod table;
mod words;

/// Why a page cannot be printed, which does not happen.
pub use askama::Error as PrintError;
pub use asking::{ReadsDisc, WholeDisc};
pub use first::First;
pub use form::Field;
pub use gallery::{GalleryView, Hung};
pub use page::{PageView, Target};
pub use pictured::{Fitting, Pictured};
pub use rim::rim_degrees;
pub use script::Script;
pub use style::Style;
pub use styles::{Styles, style_hash};
