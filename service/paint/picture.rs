//! A picture and what is drawn on it: filled and stroked paths with soft edges. Knows no text.

use tiny_skia::{Color, FillRule, Mask, Paint, Path, PathBuilder, Pixmap, Stroke, Transform};

use super::PaintError;
use crate::palette::channels;

/// The most pixels of a picture: 400 MB of memory.
const MOST_PIXELS: u64 = 100_000_000;

/// A picture in red, green, blue and opacity, eight bits each.
pub struct Picture {
    pixmap: Pixmap,
}

/// A colour of the palette; white where that is none, so that a mistake is seen.
pub fn colour(css: &str) -> Color {
    let [red, green, blue] = channels(css).unwrap_or([u8::MAX; 3]);
    Color::from_rgba8(red, green, blue, u8::MAX)
}

impl Picture {
    /// A picture in one colour.
    ///
    /// # Errors
    /// No picture can have that size.
    pub(super) fn new(width: u32, height: u32, ground: Color) -> Result<Self, PaintError> {
        let within = u64::from(width) * u64::from(height) <= MOST_PIXELS;
        let pixmap = within.then(|| Pixmap::new(width, height)).flatten();
        let mut pixmap = pixmap.ok_or(PaintError::Size { width, height })?;
        pixmap.fill(ground);
        Ok(Self { pixmap })
    }

    /// Its width in pixels.
    pub fn width(&self) -> u32 {
        self.pixmap.width()
    }

    /// Its height in pixels.
    pub fn height(&self) -> u32 {
        self.pixmap.height()
    }

    /// Its pixels, row after row from the top: red, green, blue, opacity. Colours are multiplied by
    /// the opacity.
    pub fn bytes(&self) -> &[u8] {
        self.pixmap.data()
    }

    /// The picture as PNG.
    ///
    /// # Errors
    /// It cannot be written, which does not happen.
    pub fn png(&self) -> Result<Vec<u8>, PaintError> {
        let encoded = self.pixmap.encode_png();
        encoded.map_err(|fault| PaintError::Encoding(fault.to_string()))
    }

    /// Takes away what the glass of a round watch would not show: all that is outside of the circle
    /// within a square picture is left without colour.
    #[must_use]
    pub fn round(mut self) -> Self {
        let radius = self.width().min(self.height()) as f32 / 2.0;
        let glass = PathBuilder::from_circle(radius, radius, radius);
        let mask = Mask::new(self.width(), self.height());
        if let (Some(glass), Some(mut mask)) = (glass, mask) {
            mask.fill_path(&glass, FillRule::Winding, true, Transform::identity());
            self.pixmap.apply_mask(&mask);
        }
        self
    }

    /// Fills a path whose points are in pixels.
    pub(super) fn fill(&mut self, path: &Path, colour: Color) {
        self.pixmap.fill_path(
            path,
            &in_colour(colour),
            FillRule::Winding,
            Transform::identity(),
            None,
        );
    }

    /// Draws along a path, half of `stroke` on each side of it.
    pub(super) fn stroke(&mut self, path: &Path, colour: Color, stroke: &Stroke) {
        let paint = in_colour(colour);
        self.pixmap
            .stroke_path(path, &paint, stroke, Transform::identity(), None);
    }

    /// Lays another picture over this one, its left upper corner at a place in pixels.
    pub(super) fn lay(&mut self, other: &Self, left: i32, top: i32) {
        self.pixmap.draw_pixmap(
            left,
            top,
            other.pixmap.as_ref(),
            &tiny_skia::PixmapPaint::default(),
            Transform::identity(),
            None,
        );
    }
}

fn in_colour(colour: Color) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color(colour);
    paint.anti_alias = true;
    paint
}
