//! What each fault of a page counts beside the others. Reckons nothing.
//!
//! The unit is the squared em: a line that falls short of its measure by two em, some four letters,
//! costs 4. DEVELOPERS.md has a table of what each of them costs and buys.

use super::units::Diameters;

/// The weights of all that lines and pages are chosen by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weights {
    /// A drawn hyphen: as much as a rag of two em, some four letters. TeX counts a hyphen against
    /// justified lines by 50 of its units; ragged lines have none to compare with.
    pub hyphen: f64,
    /// A drawn hyphen within a compound: its own hyphen comes first.
    pub hyphen_in_compound: f64,
    /// A line that ends at the author's own hyphen, dash or slash.
    pub bare: f64,
    /// Dividing a run that has no place to be divided at: more than any rag, and than a line more.
    pub emergency: f64,
    /// A last line that is shorter than a fifth of its measure.
    pub stub: f64,
    /// A last line that begins within a word, beside the hyphen before it. TeX counts two hyphens more
    /// against it (\finalhyphendemerits; Knuth, The TeXbook, chapter 14, from memory); here it is five,
    /// since a line of a few words shows the piece of one more.
    pub divided_last: f64,
    /// A line of running text of fewer than nine characters.
    pub short_line: f64,
    /// A place that is left empty at the foot or the head of a disc, in its squared measures.
    pub empty: f64,
    /// A disc that ends within a sentence: readers page back more where sentences are split across
    /// screens (Dillon, Richardson and McKnight, Behaviour and Information Technology 9(3):215,
    /// 1990).
    pub split_sentence: f64,
    /// A paragraph's first line at the foot of a disc, the rest on the next: common practice of
    /// printing, no source.
    pub stranded_at_foot: f64,
    /// A paragraph's last line at the head of a disc, the rest on the one before.
    pub stranded_at_head: f64,
    /// A disc that ends after a heading, or after the one line that follows it.
    pub heading_at_foot: f64,
    /// A disc that ends at the author's own hyphen within a compound.
    pub split_compound: f64,
    /// A disc that ends within a word: more than any number of other faults.
    pub split_word: f64,
}

/// Reading slows where lines have fewer than 13 characters, and below 9 more (Atilgan, Xiong and
/// Legge, PNAS 117(48):30276, 2020, doi 10.1073/pnas.2007514117).
pub const LEAST_CHARACTERS: u32 = 9;

impl Weights {
    /// The weights that pages are set with.
    pub const USUAL: Self = Self {
        hyphen: 4.0,
        hyphen_in_compound: 8.0,
        bare: 0.8,
        emergency: 1_000.0,
        stub: 2.0,
        divided_last: 20.0,
        short_line: 40.0,
        empty: 1.0,
        split_sentence: 14.0,
        stranded_at_foot: 600.0,
        stranded_at_head: 600.0,
        heading_at_foot: 4_000.0,
        split_compound: 200.0,
        split_word: 20_000.0,
    };

    /// The same without a thought for where discs end: lines alone are chosen.
    pub const LINES_ALONE: Self = Self {
        split_sentence: 0.0,
        stranded_at_foot: 0.0,
        stranded_at_head: 0.0,
        heading_at_foot: 0.0,
        split_compound: 0.0,
        split_word: 0.0,
        ..Self::USUAL
    };

    /// The same in squared diameters, for text of a size.
    pub fn at(&self, em: Diameters) -> Self {
        let scaled = |weight: f64| weight * em * em;
        Self {
            hyphen: scaled(self.hyphen),
            hyphen_in_compound: scaled(self.hyphen_in_compound),
            bare: scaled(self.bare),
            emergency: scaled(self.emergency),
            stub: scaled(self.stub),
            divided_last: scaled(self.divided_last),
            short_line: scaled(self.short_line),
            empty: self.empty,
            split_sentence: scaled(self.split_sentence),
            stranded_at_foot: scaled(self.stranded_at_foot),
            stranded_at_head: scaled(self.stranded_at_head),
            heading_at_foot: scaled(self.heading_at_foot),
            split_compound: scaled(self.split_compound),
            split_word: scaled(self.split_word),
        }
    }
}
