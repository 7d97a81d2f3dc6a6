//! A text as a QR code, and the code as a picture. The only user of qrcode. Never knows a screen.

use std::fmt::Write;

use qrcode::{Color, EcLevel, QrCode, Version};

/// The largest version that a disc can show: its 45 modules with both quiet zones are 53, which at 0.4 mm are 21.2 mm
/// of the 21.57 mm that the square within a disc of 30.5 mm has.
pub const MOST_VERSION: i16 = 7;

/// The largest version that every disc of 157 pixels or more shows in whole pixels of 0.4 mm or more.
pub const MOST_SHORT_VERSION: i16 = 3;

/// The light modules around a code, on each side (ISO/IEC 18004:2015, 6.3.8; the clause from memory).
const QUIET_ZONE: usize = 4;

/// The levels of error correction above the least, the strongest first.
const STRONGER: [EcLevel; 3] = [EcLevel::H, EcLevel::Q, EcLevel::M];

/// A code.
pub struct Code {
    version: i16,
    code: QrCode,
}

impl Code {
    /// The code of a text in the smallest version that holds it, with the strongest error correction that this version
    /// has room for; none where it would be larger than `most`.
    pub fn of(text: &str, most: i16) -> Option<Self> {
        let code = QrCode::with_error_correction_level(text, EcLevel::L).ok()?;
        let Version::Normal(version) = code.version() else {
            return None;
        };
        let stronger = STRONGER
            .into_iter()
            .find_map(|level| QrCode::with_version(text, code.version(), level).ok());
        (version <= most).then(|| Self {
            version,
            code: stronger.unwrap_or(code),
        })
    }

    /// Its version, 1 to 40: how large it is.
    pub fn version(&self) -> i16 {
        self.version
    }

    /// How many modules are side by side, the quiet zones with them.
    pub fn side(&self) -> usize {
        self.code.width() + 2 * QUIET_ZONE
    }

    /// The code as SVG: dark on light, each module so many pixels wide. Edges are drawn without soft ones, so that no
    /// pixel is grey.
    ///
    /// An empty margin makes the picture a multiple of three pixels, so that it is of whole pixels of CSS too where those
    /// are one and a half of the screen: browsers round a picture's size to such.
    ///
    /// The corners of the ground are rounded by a module, so that they stay within the disc where the middle of the
    /// picture cannot be the disc's, by half a pixel. What they lose is further than four modules from the code.
    pub fn picture(&self, pixels: u32) -> String {
        let side = self.side();
        let size = (side as i64) * i64::from(pixels);
        let margin = size % 3;
        let (start, whole) = (-margin, size + 2 * margin);
        let mut drawn = String::new();
        for (row, colours) in self.code.to_colors().chunks(self.code.width()).enumerate() {
            let mut at = QUIET_ZONE;
            let mut pen = None;
            for stretch in colours.chunk_by(|one, other| one == other) {
                let length = stretch.len();
                if stretch.first() == Some(&Color::Dark) {
                    // Writing into memory cannot fail.
                    let _ = match pen {
                        None => write!(drawn, "M{at} {}.5h{length}", row + QUIET_ZONE),
                        Some(pen) => write!(drawn, "m{} 0h{length}", at - pen),
                    };
                    pen = Some(at + length);
                }
                at += length;
            }
        }
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{whole}\" height=\"{whole}\" \
             viewBox=\"{start} {start} {whole} {whole}\" shape-rendering=\"crispEdges\"><g \
             transform=\"scale({pixels})\"><rect width=\"{side}\" height=\"{side}\" rx=\"1\" fill=\"#fff\"/>\
             <path stroke=\"#000\" d=\"{drawn}\"/></g></svg>"
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// How many bytes each version holds in byte mode at the level L, and how many characters in alphanumeric mode
    /// (ISO/IEC 18004:2015, table 7).
    const CAPACITIES: [(i16, usize, usize); 7] = [
        (1, 17, 25),
        (2, 32, 47),
        (3, 53, 77),
        (4, 78, 114),
        (5, 106, 154),
        (6, 134, 195),
        (7, 154, 224),
    ];

    fn version(text: &str) -> i16 {
        Code::of(text, 40).unwrap().version()
    }

    #[test]
    fn the_smallest_version_that_holds_a_text_is_chosen() {
        for (expected, bytes, characters) in CAPACITIES {
            assert_eq!(version(&"a".repeat(bytes)), expected, "{bytes} bytes");
            assert_eq!(version(&"a".repeat(bytes + 1)), expected + 1);
            assert_eq!(version(&"A".repeat(characters)), expected, "{characters}");
            assert_eq!(version(&"A".repeat(characters + 1)), expected + 1);
        }
    }

    #[test]
    fn a_larger_code_than_asked_for_is_none() {
        assert!(Code::of(&"a".repeat(154), MOST_VERSION).is_some());
        assert!(Code::of(&"a".repeat(155), MOST_VERSION).is_none());
        assert!(Code::of(&"a".repeat(100_000), 40).is_none());
    }

    #[test]
    fn a_version_with_room_corrects_more_errors() {
        // ISO/IEC 18004:2015, table 7: version 2 holds 32, 26, 20 and 14 bytes at L, M, Q and H.
        for (bytes, level) in [
            (32, EcLevel::L),
            (26, EcLevel::M),
            (20, EcLevel::Q),
            (18, EcLevel::Q),
        ] {
            let code = Code::of(&"a".repeat(bytes), MOST_VERSION).unwrap();
            assert_eq!(
                (code.version(), code.code.error_correction_level()),
                (2, level)
            );
        }
        let shortest = Code::of("a", MOST_VERSION).unwrap();
        assert_eq!(shortest.code.error_correction_level(), EcLevel::H);
    }

    /// Every module of a code, read back from its picture's path.
    fn drawn(picture: &str, side: usize) -> Vec<bool> {
        let path = picture.split(" d=\"").nth(1).unwrap();
        let path = path.split('"').next().unwrap();
        let mut dark = vec![false; side * side];
        for row in path.split('M').skip(1) {
            let mut pen = 0;
            let mut line = 0;
            for (place, part) in row.split('m').enumerate() {
                let (to, length) = part.split_once('h').unwrap();
                let (x, y) = to.split_once(' ').unwrap();
                pen += x.parse::<usize>().unwrap();
                if place == 0 {
                    line = y.strip_suffix(".5").unwrap().parse().unwrap();
                }
                for _ in 0..length.parse().unwrap() {
                    dark[line * side + pen] = true;
                    pen += 1;
                }
            }
        }
        dark
    }

    #[test]
    fn a_picture_is_a_multiple_of_three_pixels_with_the_code_in_its_middle() {
        let code = Code::of("https://gazette.example/ebb/and/flow", MOST_VERSION).unwrap();
        assert_eq!(code.side(), 37);
        for (pixels, expected) in [
            (3, "width=\"111\" height=\"111\" viewBox=\"0 0 111 111\""),
            (4, "width=\"150\" height=\"150\" viewBox=\"-1 -1 150 150\""),
            (5, "width=\"189\" height=\"189\" viewBox=\"-2 -2 189 189\""),
        ] {
            let picture = code.picture(pixels);
            assert!(picture.contains(expected), "{picture}");
        }
    }

    #[test]
    fn the_picture_shows_each_module_within_its_quiet_zone() {
        let code = Code::of("https://gazette.example/ferry", MOST_VERSION).unwrap();
        let side = code.side();
        assert_eq!(side, 25 + 8);
        let picture = code.picture(4);
        assert!(picture.contains("width=\"132\" height=\"132\" viewBox=\"0 0 132 132\""));
        let dark = drawn(&picture, side);
        for (at, dark) in dark.iter().enumerate() {
            let (x, y) = (at % side, at / side);
            let within = |at: usize| (4..side - 4).contains(&at);
            let expected = within(x) && within(y) && code.code[(x - 4, y - 4)] == Color::Dark;
            assert_eq!(*dark, expected, "{x}, {y}");
        }
    }
}
