//! Glyphs as they are set: how large and how high, and which of them stand at the ends of a line.
//! Knows no text.

use super::units::Diameters;
use crate::distil::block::Script;
use crate::font::{Glyph, Ink, SUBSTITUTES};

/// The size of raised and lowered text, and by how much it is moved, in em of the text around it.
/// Common practice, no source; templates/disc.css says the same to the browser.
pub const SCRIPT_SCALE: f64 = 0.7;
/// See [`SCRIPT_SCALE`].
pub const SUPERSCRIPT_RAISE: f64 = 0.35;
/// See [`SCRIPT_SCALE`].
pub const SUBSCRIPT_DROP: f64 = 0.15;

/// A glyph at an end of a line, in diameters.
#[derive(Clone, Copy, Debug, Default)]
pub struct EndGlyph {
    /// How far the pen moves over it.
    pub advance: Diameters,
    /// White between the line's end and its ink.
    pub bearing: Diameters,
    /// Its ink.
    pub ink: Ink,
}

/// The outermost glyphs of a line at one of its ends. Those further in are far enough from the rim
/// to be reckoned together.
#[derive(Clone, Copy, Debug, Default)]
pub struct LineEdge {
    glyphs: [EndGlyph; 4],
    count: usize,
}

impl LineEdge {
    /// The glyphs, the outermost first.
    pub fn glyphs(&self) -> &[EndGlyph] {
        &self.glyphs[..self.count]
    }

    /// How far the ink of the outermost glyph hangs over the end: nought or less.
    pub fn overhang(&self) -> Diameters {
        self.glyphs
            .first()
            .filter(|_| self.count > 0)
            .map_or(0.0, |glyph| glyph.bearing.min(0.0))
    }

    /// Gathers them from the glyphs of a line.
    pub fn gather(glyphs: impl Iterator<Item = EndGlyph>) -> Self {
        let mut edge = Self::default();
        for glyph in glyphs.take(edge.glyphs.len()) {
            edge.glyphs[edge.count] = glyph;
            edge.count += 1;
        }
        edge
    }
}

/// A glyph, in em of the text around it.
#[derive(Clone, Copy)]
pub struct PlacedGlyph {
    /// How far the pen moves.
    pub advance: f64,
    /// White before its ink.
    pub left: f64,
    /// White after its ink.
    pub right: f64,
    /// Its ink, from the line's own baseline.
    pub ink: Ink,
    /// How far the pen moves in substitute fonts.
    pub substitutes: Widths,
}

/// A width in each of the substitute fonts.
pub type Widths = [f64; SUBSTITUTES];

/// Both widths together.
pub fn sum(one: Widths, other: Widths) -> Widths {
    std::array::from_fn(|font| one[font] + other[font])
}

impl PlacedGlyph {
    /// A glyph of a run that is raised, lowered or neither.
    pub fn of(glyph: Glyph, script: Script) -> Self {
        let (scale, raise) = match script {
            Script::Baseline => (1.0, 0.0),
            Script::Superscript => (SCRIPT_SCALE, SUPERSCRIPT_RAISE),
            Script::Subscript => (SCRIPT_SCALE, -SUBSCRIPT_DROP),
        };
        let Ink { rise, fall } = glyph.ink.scaled(scale);
        let ink = Ink {
            rise: rise + raise,
            fall: fall - raise,
        };
        Self {
            advance: glyph.advance * scale,
            left: glyph.left * scale,
            right: glyph.right * scale,
            ink,
            substitutes: glyph.substitutes.map(|advance| advance * scale),
        }
    }

    /// The same glyph with the dots of a link under it, from where the pen was to where it goes.
    pub fn underlined(self) -> Self {
        let ink = Ink {
            fall: self.ink.fall.max(UNDERLINE_FALL),
            ..self.ink
        };
        Self {
            left: self.left.min(0.0),
            right: self.right.min(0.0),
            ink,
            ..self
        }
    }
}

/// How far below the baseline the dots under a link reach, in em; templates/disc.css sets them.
const UNDERLINE_FALL: f64 = 0.25;

/// The character that a browser draws for another one: a tab is drawn as a space.
pub fn shown(character: char) -> char {
    if character == '\t' { ' ' } else { character }
}
