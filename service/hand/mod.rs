//! Handing an article over to a larger screen: what the code says, and how large it is drawn. Never serves,
//! stores or prints a page.

mod code;
mod passage;
mod size;

pub use code::{Code, MOST_SHORT_VERSION, MOST_VERSION};
pub use passage::{opening_at, passage};
pub use size::{Step, smallest_pixels, steps};
