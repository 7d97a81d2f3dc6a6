//! What stands before the discs of a page and is none that was set: a picture, a field, or a question of a first visit.
//! Never prints a page.

use std::fmt;

use super::asking::{ReadsDisc, WholeDisc};
use super::form::{Field, FieldDisc};
use super::pictured::Pictured;
use super::styles::Needs;
use crate::typeset::Screen;

/// The first disc of a page, of another kind than those behind it.
pub enum First<'a> {
    /// A picture.
    Picture(Pictured<'a>),
    /// A field that words are typed in.
    Field(&'a Field<'a>),
    /// Which disc is whole.
    Whole(WholeDisc<'a>),
    /// Which text reads well.
    Reads(ReadsDisc<'a>),
}

impl First<'_> {
    /// The screen that it is for.
    pub(super) fn screen(&self) -> Screen {
        match self {
            Self::Picture(picture) => picture.screen(),
            Self::Field(field) => field.screen,
            Self::Whole(whole) => whole.screen(),
            Self::Reads(reads) => reads.screen(),
        }
    }

    /// What its page needs.
    pub(super) fn needs(&self) -> Needs {
        match self {
            Self::Picture(_) => Needs::Discs,
            Self::Field(_) => Needs::Field,
            Self::Whole(_) | Self::Reads(_) => Needs::First,
        }
    }
}

impl fmt::Display for First<'_> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Picture(picture) => picture.fmt(formatter),
            Self::Field(field) => FieldDisc::of(field).fmt(formatter),
            Self::Whole(whole) => whole.fmt(formatter),
            Self::Reads(reads) => reads.fmt(formatter),
        }
    }
}
