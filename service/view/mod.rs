//! Discs into HTML: askama structs whose fields are ready to print. Never serves, stores or sets.

mod choice;
mod form;
mod gallery;
mod page;
mod rim;
mod style;
mod table;

/// Why a page cannot be printed, which does not happen.
pub use askama::Error as PrintError;
pub use form::{Deed, Field};
pub use gallery::{GalleryView, Hung};
pub use page::{PageView, Target};
pub use rim::rim_degrees;
pub use style::Style;
