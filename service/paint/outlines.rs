//! Outlines of glyphs, as the font file has them, at a place of a picture. Knows no colour and no
//! line.

use tiny_skia::PathBuilder;
use ttf_parser::{Face, OutlineBuilder};

use crate::font::FontError;

/// The outlines of a font.
pub struct Outlines<'a> {
    face: Face<'a>,
    units_per_em: f64,
}

/// Where a glyph stands, in pixels of the picture.
#[derive(Clone, Copy, Debug)]
pub struct Pen {
    /// Where its origin is, from the left.
    pub x: f64,
    /// Where its baseline is, from the top.
    pub baseline: f64,
    /// Its font size.
    pub em: f64,
}

impl<'a> Outlines<'a> {
    /// Reads a font file.
    ///
    /// # Errors
    /// The bytes are no font.
    pub fn read(font: &'a [u8]) -> Result<Self, FontError> {
        let face = Face::parse(font, 0)?;
        let units_per_em = f64::from(face.units_per_em());
        Ok(Self { face, units_per_em })
    }

    /// How far the pen moves over a character, in em; none of one that the font lacks.
    pub fn advance(&self, character: char) -> Option<f64> {
        let glyph = self.face.glyph_index(character)?;
        let units = self.face.glyph_hor_advance(glyph)?;
        Some(f64::from(units) / self.units_per_em)
    }

    /// Adds the outline of a character that the font has.
    pub fn add(&self, character: char, pen: Pen, path: &mut PathBuilder) {
        let scale = pen.em / self.units_per_em;
        if let Some(glyph) = self.face.glyph_index(character) {
            self.face
                .outline_glyph(glyph, &mut Placed { path, pen, scale });
        }
    }
}

/// Takes an outline in units of the font, whose y grows upwards.
struct Placed<'p> {
    path: &'p mut PathBuilder,
    pen: Pen,
    scale: f64,
}

impl Placed<'_> {
    fn x(&self, units: f32) -> f32 {
        (self.pen.x + f64::from(units) * self.scale) as f32
    }

    fn y(&self, units: f32) -> f32 {
        (self.pen.baseline - f64::from(units) * self.scale) as f32
    }
}

impl OutlineBuilder for Placed<'_> {
    fn move_to(&mut self, x: f32, y: f32) {
        self.path.move_to(self.x(x), self.y(y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.path.line_to(self.x(x), self.y(y));
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.path
            .quad_to(self.x(x1), self.y(y1), self.x(x), self.y(y));
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let (x1, y1, x2, y2) = (self.x(x1), self.y(y1), self.x(x2), self.y(y2));
        self.path.cubic_to(x1, y1, x2, y2, self.x(x), self.y(y));
    }

    fn close(&mut self) {
        self.path.close();
    }
}
