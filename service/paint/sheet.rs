//! A contact sheet: pictures of discs in round frames side by side, on the wall of a gallery. It
//! takes pictures as they are.

use tiny_skia::PathBuilder;

use super::PaintError;
use super::picture::{Picture, colour};
use crate::palette::PALETTE;

/// How many discs hang side by side.
pub const COLUMNS: usize = 6;

/// The white around a disc and the thickness of its frame, as shares of its diameter.
const GAP: f64 = 0.075;
const FRAME: f64 = 0.007;

/// A sheet on which discs are hung one after another.
pub struct Sheet {
    picture: Picture,
    pixels: u32,
    hung: usize,
}

impl Sheet {
    /// A sheet with room for `count` discs of so many pixels, one at least.
    ///
    /// # Errors
    /// No picture can have that size.
    pub fn new(count: usize, pixels: u32) -> Result<Self, PaintError> {
        let length = |discs: usize| {
            let discs = u32::try_from(discs).unwrap_or(u32::MAX);
            let step = pixels.saturating_add(gap(pixels));
            discs.saturating_mul(step).saturating_add(gap(pixels))
        };
        let count = count.max(1);
        let (width, height) = (length(count.min(COLUMNS)), length(count.div_ceil(COLUMNS)));
        Ok(Self {
            picture: Picture::new(width, height, colour(PALETTE.wall))?,
            pixels,
            hung: 0,
        })
    }

    /// Hangs the next disc, as the glass of a round watch shows it.
    #[must_use]
    pub fn hang(mut self, round: &Picture) -> Self {
        let corner = |place: usize| {
            let step = i64::from(self.pixels) + i64::from(gap(self.pixels));
            let place = i64::try_from(place).unwrap_or(i64::MAX);
            let corner = place.saturating_mul(step) + i64::from(gap(self.pixels));
            i32::try_from(corner).unwrap_or(i32::MAX)
        };
        let (left, top) = (corner(self.hung % COLUMNS), corner(self.hung / COLUMNS));
        let half = self.pixels as f32 / 2.0;
        let (x, y) = (left as f32 + half, top as f32 + half);
        let frame = f64::from(self.pixels) * FRAME;
        if let Some(frame) = PathBuilder::from_circle(x, y, half + frame.max(1.0) as f32) {
            self.picture.fill(&frame, colour(PALETTE.rule));
        }
        self.picture.lay(round, left, top);
        self.hung += 1;
        self
    }

    /// The sheet with what hangs on it.
    pub fn picture(self) -> Picture {
        self.picture
    }
}

fn gap(pixels: u32) -> u32 {
    (f64::from(pixels) * GAP).ceil() as u32
}
