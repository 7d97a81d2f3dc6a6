//! How large a code is drawn on which screen: whole pixels, and none too small for a camera. Never knows what a code
//! says.

use std::f64::consts::SQRT_2;

/// The diameter of the disc that lengths in millimetres are for.
const DISC_MM: f64 = 30.5;

/// The least width of a module that a telephone reads from the hand (common practice in print, no source); at retail
/// the least is 0.396 mm (GS1 General Specifications, from memory).
const LEAST_MODULE_MM: f64 = 0.4;

/// The disc of the fewest pixels for which codes are reckoned: from here on, version 3 always fits.
const LEAST_DISC: u32 = 157;

/// The disc of the most pixels: on larger ones a code is as large as here. Watches have 480 at the most (common
/// practice, no source).
const MOST_DISC: u32 = 480;

/// From which diameter on a code is drawn how large.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    /// The least diameter, in pixels.
    pub disc: u32,
    /// Which of the codes.
    pub code: usize,
    /// How many pixels wide a module is.
    pub pixels: u32,
}

/// The most whole pixels that a module may have on a disc, so that a square of so many modules lies within it.
fn most_pixels(disc: u32, side: usize) -> u32 {
    (f64::from(disc) / SQRT_2 / side as f64) as u32
}

/// The same, where that is large enough to be read.
fn readable_pixels(disc: u32, side: usize) -> Option<u32> {
    let pixels = most_pixels(disc, side);
    (f64::from(pixels) * DISC_MM >= LEAST_MODULE_MM * f64::from(disc)).then_some(pixels)
}

/// Which code is drawn how large from which diameter on, the largest first. `sides` are those of codes in the order in
/// which they are wanted: the first that can be read is shown.
pub fn steps(sides: &[usize]) -> Vec<Step> {
    let mut steps: Vec<Step> = Vec::new();
    for disc in LEAST_DISC..=MOST_DISC {
        let shown = sides
            .iter()
            .enumerate()
            .find_map(|(code, &side)| Some((code, readable_pixels(disc, side)?)));
        let before = steps.last().map(|step| (step.code, step.pixels));
        if let Some((code, pixels)) = shown.filter(|_| shown != before) {
            steps.push(Step { disc, code, pixels });
        }
    }
    steps.reverse();
    steps
}

/// The pixels of a module of the last code on discs that are smaller than all steps.
pub fn smallest_pixels(side: usize) -> u32 {
    most_pixels(LEAST_DISC - 1, side).max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The side of a version: 17 modules and four for each, and both quiet zones (ISO/IEC 18004:2015, 6.3.1 and 6.3.8).
    fn side(version: usize) -> usize {
        17 + 4 * version + 8
    }

    /// What is shown on a disc.
    fn shown(steps: &[Step], disc: u32) -> Option<(usize, u32)> {
        let step = steps.iter().find(|step| step.disc <= disc)?;
        Some((step.code, step.pixels))
    }

    #[test]
    fn each_disc_shows_the_versions_that_it_can() {
        // Reckoned by hand: whole pixels of at least 0.4 mm in 30.5 mm, in a square of 0.7071 of the diameter.
        for (disc, expected) in [
            (192, [4, 4, 3, 3, 3, 0, 0]),
            (225, [5, 4, 4, 3, 3, 3, 3]),
            (240, [5, 5, 4, 4, 0, 0, 0]),
            (320, [7, 6, 6, 5, 5, 0, 0]),
            (454, [11, 9, 8, 7, 7, 6, 6]),
        ] {
            for (version, pixels) in (1..).zip(expected) {
                let expected = (pixels > 0).then_some(pixels);
                assert_eq!(
                    readable_pixels(disc, side(version)),
                    expected,
                    "{version} on {disc}"
                );
            }
        }
    }

    #[test]
    fn short_codes_are_readable_on_every_disc() {
        for version in 1..=3 {
            let steps = steps(&[side(version)]);
            for disc in LEAST_DISC..=MOST_DISC {
                let (_, pixels) = shown(&steps, disc).unwrap();
                let millimetres = f64::from(pixels) / f64::from(disc) * 30.5;
                assert!(millimetres >= 0.4, "{version} on {disc}: {millimetres} mm");
                let diagonal = f64::from(pixels) * side(version) as f64 * SQRT_2;
                assert!(diagonal <= f64::from(disc), "{version} on {disc}");
            }
        }
        assert_eq!(readable_pixels(LEAST_DISC - 1, side(3)), None);
        assert_eq!(readable_pixels(230, side(4)), None);
    }

    #[test]
    fn a_long_code_gives_way_to_the_short_one_where_it_cannot_be_read() {
        let steps = steps(&[side(5), side(2)]);
        for (disc, expected) in [
            (168, (1, 3)),
            (192, (0, 3)),
            (225, (0, 3)),
            (240, (1, 5)),
            (320, (0, 5)),
            (454, (0, 7)),
            (1_000, (0, 7)),
        ] {
            assert_eq!(shown(&steps, disc), Some(expected), "{disc}");
        }
        assert_eq!(shown(&steps, LEAST_DISC - 1), None);
    }

    #[test]
    fn smaller_discs_have_the_code_within_them_too() {
        assert_eq!(smallest_pixels(side(3)), 2);
        assert_eq!(smallest_pixels(side(1)), 3);
    }
}
