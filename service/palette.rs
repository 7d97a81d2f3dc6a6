//! PURE: the colours of pages and pictures, on a dark ground and on a light one. Every one that text is set in has a contrast of 7:1 or
//! better against its ground (WCAG 2.2, success criterion 1.4.6). Never knows what it colours.

/// The colours, as CSS writes them.
pub struct Palette {
    /// Behind everything.
    pub ground: &'static str,
    /// Running text.
    pub text: &'static str,
    /// Titles, headings and the mark along the rim.
    pub title: &'static str,
    /// Sources, dates, lengths, labels.
    pub label: &'static str,
    /// Stressed words.
    pub emphasis: &'static str,
    /// Important words.
    pub strong: &'static str,
    /// Computer text.
    pub code: &'static str,
    /// The dots under linked words.
    pub link: &'static str,
    /// Quoted paragraphs.
    pub quotation: &'static str,
    /// What is drawn before a paragraph or an item.
    pub mark: &'static str,
    /// Entries that were opened.
    pub seen: &'static str,
    /// Thin rules and rings, which carry no text.
    pub rule: &'static str,
    /// Around the frames of a gallery.
    pub wall: &'static str,
}

/// Lamplight over a dark harbour.
pub const PALETTE: Palette = Palette {
    ground: "#000",
    text: "#ede8de",
    title: "#ffc978",
    label: "#a9bcc4",
    emphasis: "#ffdfae",
    strong: "#fff",
    code: "#b5e2b0",
    link: "#6fd0c4",
    quotation: "#c6d8ee",
    mark: "#8fb9c9",
    seen: "#9c9a95",
    rule: "#5a6468",
    wall: "#16191c",
};

/// Ink on a chart in the sun.
pub const LIGHT: Palette = Palette {
    ground: "#fff",
    text: "#16181a",
    title: "#7a3b00",
    label: "#3c4a52",
    emphasis: "#6b3d00",
    strong: "#000",
    code: "#1d4d1a",
    link: "#005a52",
    quotation: "#1c3f66",
    mark: "#2b5468",
    seen: "#555350",
    rule: "#7d878b",
    wall: "#f4f6f7",
};

/// Red, green and blue of a colour as CSS writes it, with three digits or six; none of other forms.
pub fn channels(colour: &str) -> Option<[u8; 3]> {
    let digits: Vec<u8> = colour
        .strip_prefix('#')?
        .chars()
        .map(|digit| {
            digit
                .to_digit(16)
                .and_then(|digit| u8::try_from(digit).ok())
        })
        .collect::<Option<_>>()?;
    match digits[..] {
        [red, green, blue] => Some([red * 17, green * 17, blue * 17]),
        [r1, r2, g1, g2, b1, b2] => Some([r1 * 16 + r2, g1 * 16 + g2, b1 * 16 + b2]),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance (WCAG 2.2, definition of the term).
    fn luminance(colour: &str) -> f64 {
        let [red, green, blue] = channels(colour).unwrap().map(|channel| {
            let value = f64::from(channel) / 255.0;
            if value <= 0.040_45 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        });
        0.2126 * red + 0.7152 * green + 0.0722 * blue
    }

    /// Contrast ratio (WCAG 2.2, definition of the term).
    fn contrast(one: &str, other: &str) -> f64 {
        let (a, b) = (luminance(one), luminance(other));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn colours_are_read_as_css_writes_them() {
        assert_eq!(channels("#fa0"), Some([255, 170, 0]));
        assert_eq!(channels("#12aBff"), Some([0x12, 0xab, 0xff]));
        for other in ["", "#", "fff", "#ffff", "#ggg", "#é00", "#-1-1-1", "red"] {
            assert_eq!(channels(other), None, "{other}");
        }
    }

    #[test]
    fn the_formula_gives_the_worked_pairs() {
        // Computed from WCAG 2.2's formula: the darkest greys that pass on black at AA and AAA.
        for (one, other, wanted) in [
            ("#000", "#fff", 21.0),
            ("#777", "#fff", 4.4781),
            ("#757575", "#000", 4.5578),
            ("#959595", "#000", 7.0109),
            ("#949494", "#000", 6.9228),
            ("#f00", "#fff", 3.9985),
        ] {
            assert!(
                (contrast(one, other) - wanted).abs() < 0.000_06,
                "{one} on {other}"
            );
        }
    }

    #[test]
    fn text_stands_out_from_the_ground_sevenfold() {
        check(&PALETTE);
        check(&LIGHT);
    }

    fn check(palette: &Palette) {
        let Palette {
            ground,
            text,
            title,
            label,
            emphasis,
            strong,
            code,
            link,
            quotation,
            mark,
            seen,
            rule,
            wall,
        } = palette;
        for colour in [
            text, title, label, emphasis, strong, code, link, quotation, mark, seen,
        ] {
            assert!(contrast(colour, ground) >= 7.0, "{colour}");
        }
        // Graphics need 3:1 (WCAG 2.2, success criterion 1.4.11).
        assert!(contrast(rule, ground) >= 3.0);
        // Headings and facts of a gallery stand on its wall.
        for colour in [text, title, label] {
            assert!(contrast(colour, wall) >= 7.0, "{colour} on the wall");
        }
    }
}
