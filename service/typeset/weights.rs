//! What each fault of a page counts beside the others. Reckons nothing.
//!
//! The unit is the squared diameter: a line that falls short of its measure by a tenth of the
//! diameter costs 0.01. DEVELOPERS.md has a table of what each of them costs and buys.

/// The weights of all that lines and pages are chosen by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weights {
    /// A drawn hyphen: as much as a rag of 14 % of the diameter, some four letters. TeX counts a
    /// hyphen against justified lines by 50 of its units; ragged lines have none to compare with.
    pub hyphen: f64,
    /// A drawn hyphen within a compound: its own hyphen comes first.
    pub hyphen_in_compound: f64,
    /// A line that ends at the author's own hyphen, dash or slash.
    pub bare: f64,
    /// Dividing a run that has no place to be divided at: more than any rag.
    pub emergency: f64,
    /// A last line that is shorter than a fifth of its measure.
    pub stub: f64,
    /// A line of running text of fewer than [`LEAST_CHARACTERS`].
    pub short_line: f64,
    /// A place that is left empty at the foot or the head of a disc, beside its squared measure.
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
        hyphen: 0.02,
        hyphen_in_compound: 0.04,
        bare: 0.004,
        emergency: 1.5,
        stub: 0.01,
        short_line: 0.5,
        empty: 1.0,
        split_sentence: 0.05,
        stranded_at_foot: 1.0,
        stranded_at_head: 1.0,
        heading_at_foot: 20.0,
        split_compound: 1.0,
        split_word: 100.0,
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
}
