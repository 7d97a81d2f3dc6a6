//! One watch's screen: its shape and its lines, and the chords that they leave. Knows no text.

use std::fmt;
use std::str::FromStr;

use super::units::{Diameters, SAFETY_MARGIN};
use crate::font::{Ink, Typeface};

/// One watch's shape and text size. Spelt `round-10` in addresses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Screen {
    /// The shape of its glass.
    pub shape: Shape,
    /// How many lines of running text a disc holds.
    pub lines: Lines,
}

/// The shape of a watch's glass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Shape {
    /// A whole circle.
    Round,
}

/// The text sizes, as lines a disc. Sizes in between fill the circle worse.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Lines {
    /// The smallest: an x-height of a little over 0.2 degrees at 30 cm on a disc of 30.5 mm.
    Eleven,
    /// The default.
    Ten,
    /// Large.
    Eight,
    /// Very large.
    Six,
}

impl Lines {
    /// All sizes, the smallest text first.
    pub const ALL: [Self; 4] = [Self::Eleven, Self::Ten, Self::Eight, Self::Six];

    /// The number of lines.
    pub fn count(self) -> usize {
        match self {
            Self::Eleven => 11,
            Self::Ten => 10,
            Self::Eight => 8,
            Self::Six => 6,
        }
    }

    /// The size of that many lines.
    pub fn from_count(count: usize) -> Option<Self> {
        Self::ALL.into_iter().find(|lines| lines.count() == count)
    }

    /// The height of a lower-case x, in diameters. 0.0343 would be 0.2 degrees at 30 cm on a disc
    /// of 30.5 mm, the least size that is read fluently (Legge and Bigelow, Journal of Vision
    /// 11(5):8, 2011); eleven lines fill the circle better a little above it, and so do the other
    /// sizes, which are steps upward from there.
    pub fn x_height(self) -> Diameters {
        match self {
            Self::Eleven => 0.035_5,
            Self::Ten => 0.038,
            Self::Eight => 0.046,
            Self::Six => 0.056_5,
        }
    }

    /// The distance from one line to the next, in diameters: a line height of 1.25 for an x-height
    /// of 0.536 em, whatever font it is.
    pub fn pitch(self) -> Diameters {
        self.x_height() * 1.25 / 0.536
    }

    /// The font size at which a typeface has this x-height, in diameters.
    pub fn em(self, typeface: &Typeface) -> Diameters {
        self.x_height() / typeface.x_height
    }

    /// How far below the disc's centre the middle of the plain ink of a line stands: in diameters,
    /// for a place counted from nought at the top. All the lines together stand in the middle.
    pub fn middle(self, place: f64) -> Diameters {
        (place - (self.count() as f64 - 1.0) / 2.0) * self.pitch()
    }
}

impl Screen {
    /// The free width of a line whose plain ink has its middle `middle` below the centre and whose
    /// ink reaches as far as `ink` from its baseline: the shorter of the chords at the top and the
    /// bottom of its ink, less the safety margin. All in diameters.
    pub fn free_width(&self, middle: Diameters, plain: Ink, ink: Ink) -> Diameters {
        let baseline = middle + (plain.rise - plain.fall) / 2.0;
        let farthest = (baseline - ink.rise).abs().max((baseline + ink.fall).abs());
        match self.shape {
            Shape::Round => chord(0.5 - SAFETY_MARGIN, farthest),
        }
    }
}

impl Screen {
    /// The free width where a line whose plain ink has its middle there is nearest to the centre:
    /// no line there is wider, whatever its ink.
    pub fn widest(&self, middle: Diameters, plain: Ink) -> Diameters {
        let baseline = middle + (plain.rise - plain.fall) / 2.0;
        let nearest = (baseline - plain.rise).max(0.0).max(-baseline);
        match self.shape {
            Shape::Round => chord(0.5 - SAFETY_MARGIN, nearest),
        }
    }
}

/// The length of the chord at a distance from the centre of a circle, both in the radius's unit;
/// nought outside the circle. c = 2 * sqrt(r^2 - y^2).
pub fn chord(radius: f64, distance: f64) -> f64 {
    2.0 * (radius * radius - distance * distance).max(0.0).sqrt()
}

impl fmt::Display for Screen {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.shape {
            Shape::Round => write!(formatter, "round-{}", self.lines.count()),
        }
    }
}

impl FromStr for Screen {
    type Err = NoScreen;

    fn from_str(text: &str) -> Result<Self, NoScreen> {
        let lines = text
            .strip_prefix("round-")
            .and_then(|count| count.parse().ok());
        match lines.and_then(Lines::from_count) {
            Some(lines) => Ok(Self {
                shape: Shape::Round,
                lines,
            }),
            None => Err(NoScreen),
        }
    }
}

/// The text names no screen.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
#[error("no such screen; round-11, round-10, round-8 and round-6 are known")]
pub struct NoScreen;

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: f64, wanted: f64) {
        assert!((found - wanted).abs() < 0.000_06, "{found} is not {wanted}");
    }

    #[test]
    fn chords_follow_the_circle() {
        // Computed from c = 2 * sqrt(R^2 - y^2), elementary geometry, for a disc of 30.5 mm.
        for (distance_mm, chord_mm) in [
            (0.0, 30.5),
            (5.0, 28.814),
            (7.625, 26.414),
            (10.0, 23.027),
            (12.0, 18.822),
            (14.0, 12.093),
        ] {
            assert!((chord(15.25, distance_mm) - chord_mm).abs() < 0.000_6);
        }
        for (share, length) in [
            (0.1, 0.9798),
            (0.2, 0.9165),
            (0.25, 0.8660),
            (0.3, 0.8),
            (0.4, 0.6),
        ] {
            close(chord(0.5, share), length);
        }
        assert_eq!(chord(0.5, 0.6), 0.0);
    }

    #[test]
    fn a_stack_of_whole_line_boxes_has_the_widths_of_the_table() {
        // Widths of a stack with a line on the diameter, for a tenth of it a line: the inner of
        // the two chords of each box (elementary geometry).
        let widths = [
            0.4359, 0.7141, 0.8660, 0.9539, 0.9950, 0.9539, 0.8660, 0.7141, 0.4359,
        ];
        for (line, wanted) in widths.into_iter().enumerate() {
            let middle = (line as f64 - 4.0) * 0.1;
            close(chord(0.5, middle.abs() + 0.05), wanted);
        }
    }

    #[test]
    fn the_inscribed_square_is_two_over_pi_of_the_disc() {
        let side = chord(0.5, 0.5 / 2.0_f64.sqrt());
        close(side, std::f64::consts::FRAC_1_SQRT_2);
        close(
            side * side / (std::f64::consts::PI / 4.0),
            std::f64::consts::FRAC_2_PI,
        );
    }

    #[test]
    fn the_smallest_text_is_two_tenths_of_a_degree_at_thirty_centimetres() {
        // h = 2 * d * tan(theta / 2): Legge and Bigelow 2011 print 1.4 mm for 0.2 degrees at 40 cm.
        let height_mm = |distance_mm: f64| 2.0 * distance_mm * (0.2_f64.to_radians() / 2.0).tan();
        assert!((height_mm(400.0) - 1.396).abs() < 0.001);
        assert!(Lines::Eleven.x_height() * 30.5 >= height_mm(300.0));
        for pair in Lines::ALL.windows(2) {
            assert!(pair[0].x_height() < pair[1].x_height());
        }
    }

    #[test]
    fn a_line_is_as_wide_as_the_shorter_chord_of_its_ink() {
        let screen: Screen = "round-10".parse().unwrap();
        let plain = Ink {
            rise: 0.05,
            fall: 0.02,
        };
        let above = screen.free_width(-0.3, plain, plain);
        close(above, chord(0.5 - SAFETY_MARGIN, 0.335));
        close(above, screen.free_width(0.3, plain, plain));
        let tall = Ink {
            rise: 0.07,
            fall: 0.02,
        };
        close(
            screen.free_width(-0.3, plain, tall),
            chord(0.5 - SAFETY_MARGIN, 0.355),
        );
    }

    #[test]
    fn a_screen_is_spelt_as_it_is_read() {
        for lines in Lines::ALL {
            let screen = Screen {
                shape: Shape::Round,
                lines,
            };
            assert_eq!(screen.to_string().parse(), Ok(screen));
        }
        assert_eq!("round-9".parse::<Screen>(), Err(NoScreen));
        assert_eq!("square-10".parse::<Screen>(), Err(NoScreen));
    }
}
