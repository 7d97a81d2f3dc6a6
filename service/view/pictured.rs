//! A disc with a picture in its middle, of which there are several for screens of several sizes. Never draws one.

use askama::Template;

use super::style::screen_class;
use crate::typeset::Screen;

/// The first disc of a page, with a picture.
#[derive(Template)]
#[template(path = "picture.html")]
pub struct Pictured<'a> {
    class: String,
    fittings: &'a [Fitting],
    address: &'a str,
    told: &'a str,
}

/// A picture for discs from a size on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fitting {
    /// The least diameter of the disc, in CSS pixels.
    pub disc: u32,
    /// The address of the picture, which is shown in its own size.
    pub address: String,
}

impl<'a> Pictured<'a> {
    /// A picture of which `fittings` are for discs from a size on, the largest first, and the one at `address` for
    /// those below; `told` is said in its place.
    pub fn new(screen: Screen, fittings: &'a [Fitting], address: &'a str, told: &'a str) -> Self {
        Self {
            class: screen_class(screen),
            fittings,
            address,
            told,
        }
    }
}
