//! Discs into pictures, for looking at them without a browser and for checking where their ink is.
//! PURE: it draws the outlines of the font itself, from the typesetter's lines alone. It never sets
//! a line, never serves, and writes no file.

mod disc;
mod look;
mod outlines;
mod picture;
mod sheet;

pub use disc::Painter;
pub use picture::Picture;
pub use sheet::{COLUMNS, Sheet};

/// Why there is no picture.
#[derive(Debug, thiserror::Error)]
pub enum PaintError {
    /// No picture can have that size.
    #[error("a picture of {width} by {height} pixels cannot be made; choose fewer pixels")]
    Size {
        /// In pixels.
        width: u32,
        /// In pixels.
        height: u32,
    },
    /// The picture cannot be written as PNG.
    #[error("a picture cannot be written as PNG ({0}); choose fewer pixels")]
    Encoding(String),
}

#[cfg(test)]
mod tests;
