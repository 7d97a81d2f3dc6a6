//! What stands before the discs of a page and is none that was set: a picture, or a field. Never prints a page.

use std::fmt;

use super::form::{Field, FieldDisc};
use super::pictured::Pictured;

/// The first disc of a page, of another kind than those behind it.
pub enum First<'a> {
    /// A picture.
    Picture(Pictured<'a>),
    /// A field that words are typed in.
    Field(&'a Field<'a>),
}

impl fmt::Display for First<'_> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Picture(picture) => picture.fmt(formatter),
            Self::Field(field) => FieldDisc::of(field).fmt(formatter),
        }
    }
}
