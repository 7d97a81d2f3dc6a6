//! A disc with a picture in its middle, of which there are several for screens of several sizes. Never draws one.

use askama::Template;

use super::style::screen_class;
use crate::typeset::Screen;
use crate::words::Words;

/// The first disc of a page, with a picture.
#[derive(Template)]
#[template(path = "picture.html")]
pub struct Pictured<'a> {
    class: String,
    fittings: &'a [Fitting],
    address: &'a str,
    told: &'a str,
    next_disc: &'static str,
}

/// A picture for discs from a size on.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitting {
    /// The least diameter of the disc, in pixels of the screen.
    pub disc: u32,
    /// How many pixels of the screen are one of CSS, for screens that alone have this picture; none for all others.
    pub density: Option<f64>,
    /// The address of the picture, each of whose pixels is one of the screen.
    pub address: String,
}

impl Fitting {
    /// The least diameter in pixels of CSS.
    fn least(&self) -> f64 {
        f64::from(self.disc) / self.density.unwrap_or(1.0)
    }
}

impl<'a> Pictured<'a> {
    /// A picture of which `fittings` are for discs from a size on, the largest first, and the one at `address` for
    /// those below; `told` is said in its place. The disc leads on, which is said in `words`.
    pub fn new(
        screen: Screen,
        fittings: &'a [Fitting],
        address: &'a str,
        told: &'a str,
        words: Words,
    ) -> Self {
        Self {
            class: screen_class(screen),
            fittings,
            address,
            told,
            next_disc: words.next_disc(),
        }
    }
}
