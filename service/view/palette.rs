//! The colours of the pages. Every one that text is set in has a contrast of 7:1 or better against
//! the ground (WCAG 2.2, success criterion 1.4.6). Never knows what it colours.

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
};

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance (WCAG 2.2, definition of the term).
    fn luminance(colour: &str) -> f64 {
        let digits = colour.trim_start_matches('#');
        let wide: String = if digits.len() == 3 {
            digits.chars().flat_map(|c| [c, c]).collect()
        } else {
            digits.into()
        };
        let channel = |at: usize| {
            let value = f64::from(u8::from_str_radix(&wide[at..at + 2], 16).unwrap()) / 255.0;
            if value <= 0.040_45 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * channel(0) + 0.7152 * channel(2) + 0.0722 * channel(4)
    }

    /// Contrast ratio (WCAG 2.2, definition of the term).
    fn contrast(one: &str, other: &str) -> f64 {
        let (a, b) = (luminance(one), luminance(other));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
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
        } = PALETTE;
        for colour in [
            text, title, label, emphasis, strong, code, link, quotation, mark, seen,
        ] {
            assert!(contrast(colour, ground) >= 7.0, "{colour}");
        }
        // Graphics need 3:1 (WCAG 2.2, success criterion 1.4.11).
        assert!(contrast(rule, ground) >= 3.0);
    }
}
