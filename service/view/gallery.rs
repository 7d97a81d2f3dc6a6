//! A gallery: the discs of several pages side by side in round frames, on one page that loads nothing.
//! Every disc has the markup that it is served with. Never decides what hangs in it.

use askama::Template;

use super::page::{PageView, Section};
use super::style::Style;
use crate::distil::language::Direction;
use crate::palette::{PALETTE, Palette};

/// What a gallery is made of.
pub struct GalleryView<'a> {
    /// What hangs in it, in order.
    pub hung: &'a [Hung<'a>],
    /// A style sheet that holds its fonts.
    pub style: &'a Style,
    /// The diameter of a disc, in CSS pixels.
    pub pixels: u32,
}

/// A page whose discs hang in a gallery.
pub struct Hung<'a> {
    /// The page.
    pub page: PageView<'a>,
    /// What to know of it, for its heading.
    pub facts: &'a str,
}

impl GalleryView<'_> {
    /// Prints the gallery.
    ///
    /// # Errors
    /// The template cannot be printed, which does not happen.
    pub fn print(&self) -> Result<String, askama::Error> {
        let style = GallerySheet {
            palette: &PALETTE,
            hundredth: f64::from(self.pixels) / 100.0,
        };
        let mut count = 0;
        GalleryTemplate {
            style: &self.style.text,
            own_style: style.render()?.replace('\n', ""),
            rooms: self.hung.iter().map(|hung| hung.room(&mut count)).collect(),
        }
        .render()
    }
}

impl Hung<'_> {
    /// Its discs, each with its number on the page; `count` is of those before it in the gallery,
    /// whose sections have other ids.
    fn room<'a>(&'a self, count: &mut usize) -> Room<'a> {
        let page = &self.page;
        let frames = page.discs.iter().zip(1..).map(|(disc, number)| {
            *count += 1;
            let mut section = page.section(disc, number, None);
            section.number = *count;
            Frame { number, section }
        });
        Room {
            title: page.title,
            facts: self.facts,
            language: page.language.tag(),
            rtl: page.direction == Direction::Rtl,
            frames: frames.collect(),
        }
    }
}

#[derive(Template)]
#[template(path = "gallery.html")]
struct GalleryTemplate<'a> {
    style: &'a str,
    own_style: String,
    rooms: Vec<Room<'a>>,
}

#[derive(Template)]
#[template(path = "gallery.css", escape = "none")]
struct GallerySheet<'a> {
    palette: &'a Palette,
    hundredth: f64,
}

struct Room<'a> {
    title: &'a str,
    facts: &'a str,
    language: &'a str,
    rtl: bool,
    frames: Vec<Frame<'a>>,
}

struct Frame<'a> {
    number: usize,
    section: Section<'a>,
}
