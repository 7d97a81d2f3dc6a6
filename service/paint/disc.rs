//! One disc into a picture: where each glyph stands, and what is drawn beside the text. It takes
//! the lines as they are; never decides where they stand.

use std::ops::Range;

use tiny_skia::{Color, LineCap, Path, PathBuilder, Rect, Stroke};

use super::PaintError;
use super::look::{Stretch, stretches, stretches_of};
use super::outlines::{Outlines, Pen};
use super::picture::{Picture, colour};
use crate::font::{FontError, Typeface};
use crate::palette::PALETTE;
use crate::typeset::{Cell, Disc, Line, Mark, Spacing, shown, spacing_after};

/// The dots under a link, in em of their text, as `templates/disc.css` sets them: how thick they
/// are, and how far below the baseline they begin.
const DOT: f64 = 0.06;
const DOT_OFFSET: f64 = 0.12;
/// Dots of fewer pixels than this are squares, as browsers draw them.
const ROUND_DOT_PIXELS: f64 = 3.0;
/// The white between the dots and a descender that crosses them, in em: as browsers leave.
const DOT_WHITE: f64 = 0.09;

/// The frame that stands for a character that the font lacks, in em: the white beside it, and its
/// stroke.
const FRAME_WHITE: f64 = 0.08;
const FRAME_STROKE: f64 = 0.04;

/// The mark along the rim, in hundredths of the diameter, as `templates/disc.css` draws it: its
/// length, its thickness, and how far its middle is from the disc's.
const RIM_LENGTH: f64 = 5.0;
const RIM_THICKNESS: f64 = 0.5;
const RIM_RADIUS: f64 = 49.05;

/// The rule between two rows: how far below the upper end of its row it begins, in places, and in
/// hundredths of the diameter its thickness and its length, as `templates/disc.css` draws it.
const RULE_PLACE: f64 = 0.2;
const RULE_THICKNESS: f64 = 0.3;
const RULE_LENGTH: f64 = 40.0;

/// Draws discs in one typeface.
pub struct Painter<'a> {
    typeface: &'a Typeface,
    outlines: Outlines<'a>,
}

/// What is drawn of one stretch, in pixels.
struct Drawn {
    colour: Color,
    stroke: f64,
    em: f64,
    linked: bool,
    glyphs: Option<Path>,
    frames: Option<Path>,
    dots: Option<Path>,
}

impl<'a> Painter<'a> {
    /// A painter with a typeface and the font file from which it was read.
    ///
    /// # Errors
    /// The bytes are no font.
    pub fn new(typeface: &'a Typeface, font: &'a [u8]) -> Result<Self, FontError> {
        let outlines = Outlines::read(font)?;
        Ok(Self { typeface, outlines })
    }

    /// Draws a disc that was set in this painter's typeface: a square of so many pixels,
    /// black where there is no ink, outside of the circle too. `rim` is the angle of the mark along
    /// the rim, in degrees clockwise from the top.
    ///
    /// # Errors
    /// No picture can have that size.
    pub fn disc(
        &self,
        disc: &Disc,
        rim: Option<usize>,
        pixels: u32,
    ) -> Result<Picture, PaintError> {
        let mut picture = Picture::new(pixels, pixels, colour(PALETTE.ground))?;
        let lines = disc.lines.iter();
        let drawn: Vec<Drawn> = lines
            .flat_map(|line| self.line(line, disc, f64::from(pixels)))
            .collect();
        for stretch in drawn.iter().filter(|stretch| stretch.linked) {
            draw_dots(stretch, &mut picture);
        }
        for stretch in &drawn {
            draw_ink(stretch, &mut picture);
        }
        draw_rules(disc, &mut picture);
        if let Some(degrees) = rim {
            draw_rim(degrees, &mut picture);
        }
        Ok(picture)
    }

    /// How wide a line is drawn, in diameters, reckoned from the font file alone where it has the
    /// characters.
    pub fn width(&self, line: &Line, disc: &Disc) -> f64 {
        let em = self.em(line, disc);
        let spacing = disc.screen.spacing;
        let own = |stretches: &[Stretch]| {
            let advances = stretches
                .iter()
                .map(|stretch| self.advance(stretch, spacing));
            advances.sum::<f64>() * em
        };
        let (Some(first), Some(last)) = (line.cells.first(), line.cells.last()) else {
            return own(&stretches(line, disc.kind)) - self.hang(line, spacing) * em;
        };
        // The outer ones are the first and the last, whichever way the columns run.
        let width = |cell: &Cell| {
            own(&stretches_of(
                &line.spans[cell.spans.clone()],
                line,
                disc.kind,
            ))
        };
        let right = (first.left + width(first)).max(last.left + width(last));
        right - first.left.min(last.left)
    }

    /// The font size of a line, in diameters.
    fn em(&self, line: &Line, disc: &Disc) -> f64 {
        disc.screen.lines.em(self.typeface) * line.size.factor()
    }

    /// How far a mark hangs out at the left of its line, in em.
    fn hang(&self, line: &Line, spacing: Spacing) -> f64 {
        let hanging = line.mark.filter(|_| line.hang > 0.0).map(Mark::drawn);
        let steps = hanging.iter().flat_map(|mark| mark.chars());
        steps
            .map(|character| {
                let advance = self.step(character).0;
                advance + spacing_after(character, advance, spacing)
            })
            .sum()
    }

    /// How far the pen moves over a stretch, in em of its line.
    fn advance(&self, stretch: &Stretch, spacing: Spacing) -> f64 {
        let characters = stretch.text.chars().map(shown);
        let advances = characters.map(|character| {
            let advance = self.step(character).0;
            advance * stretch.scale + spacing_after(character, advance, spacing)
        });
        advances.sum()
    }

    /// How far the pen moves over a character, in em, and whether the font has it.
    fn step(&self, character: char) -> (f64, bool) {
        match self.outlines.advance(character) {
            Some(advance) => (advance, true),
            None => (self.typeface.glyph(character).advance, false),
        }
    }

    fn line(&self, line: &Line, disc: &Disc, pixels: f64) -> Vec<Drawn> {
        let spacing = disc.screen.spacing;
        let em = self.em(line, disc);
        let plain = self.typeface.plain_ink.scaled(em);
        let middle = 0.5 + disc.screen.middle(line.place);
        // Letters have their spacing after them, the last one too: half of it goes to the left.
        let half = spacing.letter() * em / 2.0;
        let pen = |left: f64| Pen {
            x: (0.5 + half + left) * pixels,
            baseline: (middle + (plain.rise - plain.fall) / 2.0) * pixels,
            em: em * pixels,
        };
        if line.cells.is_empty() {
            let left = -self.width(line, disc) / 2.0 - self.hang(line, spacing) * em;
            return self.row(&stretches(line, disc.kind), pen(left), spacing);
        }
        let cells = line.cells.iter().flat_map(|cell| {
            let stretches = stretches_of(&line.spans[cell.spans.clone()], line, disc.kind);
            self.row(&stretches, pen(cell.left), spacing)
        });
        cells.collect()
    }

    /// Stretches side by side, the pen at the left end of the first of them.
    fn row(&self, stretches: &[Stretch], mut pen: Pen, spacing: Spacing) -> Vec<Drawn> {
        let drawn = stretches.iter().map(|stretch| {
            let start = pen;
            pen.x += self.advance(stretch, spacing) * pen.em;
            self.stretch(stretch, start, spacing)
        });
        drawn.collect()
    }

    /// A stretch whose line's pen stands where it begins.
    fn stretch(&self, stretch: &Stretch, line: Pen, spacing: Spacing) -> Drawn {
        let (mut glyphs, mut frames, mut dots) =
            (PathBuilder::new(), PathBuilder::new(), PathBuilder::new());
        let em = line.em * stretch.scale;
        let mut pen = Pen {
            x: line.x,
            baseline: line.baseline - stretch.raise * line.em,
            em,
        };
        for character in stretch.text.chars().map(shown) {
            let (advance, known) = self.step(character);
            if known {
                self.outlines.add(character, pen, &mut glyphs);
            } else if advance > 2.0 * FRAME_WHITE {
                self.frame(advance, pen, &mut frames);
            }
            pen.x += advance * em + spacing_after(character, advance, spacing) * line.em;
        }
        if stretch.linked {
            add_dots(line.x..pen.x, pen, &mut dots);
        }
        Drawn {
            colour: colour(stretch.colour),
            stroke: stretch.stroke * line.em,
            em,
            linked: stretch.linked,
            glyphs: glyphs.finish(),
            frames: frames.finish(),
            dots: dots.finish(),
        }
    }

    /// A hollow frame as high as a capital, for a character that the font lacks.
    fn frame(&self, advance: f64, pen: Pen, path: &mut PathBuilder) {
        let left = (pen.x + FRAME_WHITE * pen.em) as f32;
        let right = (pen.x + (advance - FRAME_WHITE) * pen.em) as f32;
        let top = (pen.baseline - self.typeface.cap_height * pen.em) as f32;
        let bottom = pen.baseline as f32;
        path.move_to(left, top);
        path.line_to(right, top);
        path.line_to(right, bottom);
        path.line_to(left, bottom);
        path.close();
    }
}

/// Dots as thick as whole pixels, with as much white between them, as browsers draw them.
fn add_dots(along: Range<f64>, pen: Pen, path: &mut PathBuilder) {
    let side = (DOT * pen.em).round().max(1.0);
    let top = (pen.baseline + DOT_OFFSET * pen.em).round();
    let count = ((along.end - along.start + side) / (2.0 * side)).floor();
    for dot in 0..count.max(0.0) as usize {
        let left = along.start + 2.0 * side * dot as f64;
        let square = Rect::from_xywh(left.round() as f32, top as f32, side as f32, side as f32);
        match square {
            Some(square) if side < ROUND_DOT_PIXELS => path.push_rect(square),
            Some(square) => path.push_oval(square),
            None => {}
        }
    }
}

/// The dots under a link, and white around the descenders that cross them.
fn draw_dots(stretch: &Drawn, picture: &mut Picture) {
    if let Some(dots) = &stretch.dots {
        picture.fill(dots, colour(PALETTE.link));
    }
    if let Some(glyphs) = &stretch.glyphs {
        let white = stroke(2.0 * DOT_WHITE * stretch.em);
        picture.stroke(glyphs, colour(PALETTE.ground), &white);
    }
}

fn draw_ink(stretch: &Drawn, picture: &mut Picture) {
    if let Some(glyphs) = &stretch.glyphs {
        picture.fill(glyphs, stretch.colour);
        if stretch.stroke > 0.0 {
            picture.stroke(glyphs, stretch.colour, &stroke(stretch.stroke));
        }
    }
    if let Some(frames) = &stretch.frames {
        let thin = stroke(FRAME_STROKE * stretch.em);
        picture.stroke(frames, stretch.colour, &thin);
    }
}

fn draw_rules(disc: &Disc, picture: &mut Picture) {
    let pixels = f64::from(picture.width());
    let hundredth = pixels / 100.0;
    let (mut row_place, mut path) = (0, PathBuilder::new());
    for (row, places) in disc.rows.iter().enumerate() {
        if row > 0 && disc.is_spare(row) {
            // The middle of a place is half a place below its upper end.
            let top = disc.screen.middle(row_place as f64 - 0.5 + RULE_PLACE);
            let y = (0.5 + top) * pixels + RULE_THICKNESS / 2.0 * hundredth;
            path.move_to(((50.0 - RULE_LENGTH / 2.0) * hundredth) as f32, y as f32);
            path.line_to(((50.0 + RULE_LENGTH / 2.0) * hundredth) as f32, y as f32);
        }
        row_place += places;
    }
    if let Some(path) = path.finish() {
        let thin = stroke(RULE_THICKNESS * hundredth);
        picture.stroke(&path, colour(PALETTE.rule), &thin);
    }
}

fn draw_rim(degrees: usize, picture: &mut Picture) {
    let hundredth = f64::from(picture.width()) / 100.0;
    let (sin, cos) = (degrees as f64).to_radians().sin_cos();
    let (middle_x, middle_y) = (50.0 + RIM_RADIUS * sin, 50.0 - RIM_RADIUS * cos);
    // Its ends are round and belong to its length.
    let half = (RIM_LENGTH - RIM_THICKNESS) / 2.0;
    let at = |along: f64| {
        let (x, y) = (middle_x + along * cos, middle_y + along * sin);
        ((x * hundredth) as f32, (y * hundredth) as f32)
    };
    let ((x1, y1), (x2, y2)) = (at(-half), at(half));
    let mut path = PathBuilder::new();
    path.move_to(x1, y1);
    path.line_to(x2, y2);
    if let Some(path) = path.finish() {
        let round = Stroke {
            line_cap: LineCap::Round,
            ..stroke(RIM_THICKNESS * hundredth)
        };
        picture.stroke(&path, colour(PALETTE.title), &round);
    }
}

fn stroke(width: f64) -> Stroke {
    Stroke {
        width: width as f32,
        ..Stroke::default()
    }
}
