//! One watch's screen: its shape and its lines, and the chords that they leave. Knows no text.

mod names;

pub use self::names::NoScreen;
use super::units::{Diameters, SAFETY_MARGIN};
use crate::font::{Ink, Typeface};

/// One watch's shape, text size and spacing, the strip that its browser takes, and the ground. Spelt `round-10` in
/// addresses, with what departs from [`Screen::DEFAULT`] behind it in this order: `round-10-wide-top12-light`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Screen {
    /// The shape of its glass.
    pub shape: Shape,
    /// The size of its text.
    pub lines: Lines,
    /// The white between its lines, letters and words.
    pub spacing: Spacing,
    /// What the browser's own bar takes of the disc; none where the whole disc is the page's.
    pub strip: Option<Strip>,
    /// What text stands on.
    pub ground: Ground,
}

/// The strip of a disc that the browser's own bar takes: no ink stands there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Strip {
    /// Where it is.
    pub edge: Edge,
    /// How high it is, in hundredths of the diameter: one of [`Strip::HUNDREDTHS`].
    hundredths: u8,
}

/// The end of a disc at which a strip is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Edge {
    /// Where the bar is above the page.
    Top,
    /// Where it is below.
    Bottom,
}

/// What text stands on. It moves nothing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Ground {
    /// Black: for a screen that shines by itself, and for the night.
    #[default]
    Dark,
    /// White: for bright sun, which outshines a dark screen.
    Light,
}

/// The shape of a watch's glass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Shape {
    /// A whole circle.
    Round,
}

/// The text sizes, called by the lines that a disc holds at the usual spacing. Sizes in between fill
/// the circle worse.
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

/// The white between lines, letters and words, at any size.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Spacing {
    /// As the typeface has it, at a line height of 1.25.
    #[default]
    Usual,
    /// For readers whom dense text slows: the line height, the letter spacing and the word spacing of
    /// WCAG 2.2, success criterion 1.4.12.
    Wide,
}

impl Lines {
    /// All sizes, the smallest text first.
    pub const ALL: [Self; 4] = [Self::Eleven, Self::Ten, Self::Eight, Self::Six];

    /// The number of lines at the usual spacing, which is the name of the size.
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

    /// The font size at which a typeface has this x-height, in diameters.
    pub fn em(self, typeface: &Typeface) -> Diameters {
        self.x_height() / typeface.x_height
    }
}

/// How much larger a line's text is than that of its screen, in steps of a tenth each. Nought is the
/// reader's own size, which all text but titles has. A tenth is about the least by which two sizes
/// are told apart: common practice, no source.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Step(i8);

impl Step {
    /// The reader's own size.
    pub const OWN: Self = Self(0);

    /// Every step that a screen of some size has, the largest first.
    pub fn all() -> impl Iterator<Item = Self> {
        (-5..=12).rev().map(Self)
    }

    /// The steps of titles beside text of a size, the largest first: the largest has at the most twice
    /// the x-height of the largest text, which two short words on two lines fill beside four lines of
    /// particulars; the smallest is still read fluently (see [`Lines::x_height`]).
    pub fn of_titles(lines: Lines) -> impl Iterator<Item = Self> {
        let range = LEAST_X_HEIGHT..=2.0 * Lines::Six.x_height();
        Self::all().filter(move |step| range.contains(&(step.factor() * lines.x_height())))
    }

    /// By how much the text is larger, in whole hundredths, which the style sheet says in few bytes. It is
    /// multiplied out, so that it is the same on every machine.
    pub fn factor(self) -> f64 {
        let times = usize::from(self.0.unsigned_abs());
        let larger = std::iter::repeat_n(1.1, times).product::<f64>();
        let exact = if self.0 < 0 { 1.0 / larger } else { larger };
        (exact * 100.0).round() / 100.0
    }

    /// How many steps there are below it.
    pub fn number(self) -> usize {
        Self::all().filter(|&other| other < self).count()
    }
}

/// The least x-height that is read fluently: 0.2 degrees at 30 cm on a disc of 30.5 mm (Legge and
/// Bigelow, Journal of Vision 11(5):8, 2011).
const LEAST_X_HEIGHT: Diameters = 0.0343;

impl Spacing {
    /// Both, the usual one first.
    pub const ALL: [Self; 2] = [Self::Usual, Self::Wide];

    /// The distance from one line to the next, in em. The usual one is common practice of setting
    /// small text, no source.
    pub fn line(self) -> f64 {
        match self {
            Self::Usual => 1.25,
            Self::Wide => 1.5,
        }
    }

    /// What is added after each letter, in em.
    pub fn letter(self) -> f64 {
        match self {
            Self::Usual => 0.0,
            Self::Wide => 0.12,
        }
    }

    /// What is added to each space beside that, in em.
    pub fn word(self) -> f64 {
        match self {
            Self::Usual => 0.0,
            Self::Wide => 0.16,
        }
    }
}

impl Strip {
    /// The heights that there are, in hundredths of the diameter. A line of text is five to sixteen of them; bars of 24
    /// to 32 pixels, as browsers of watches have, are 11 to 14 of a disc of 225. Common practice, no source.
    pub const HUNDREDTHS: [u8; 3] = [8, 12, 16];

    /// A strip of such a height; none where there is none such.
    pub fn new(edge: Edge, hundredths: u8) -> Option<Self> {
        let known = Self::HUNDREDTHS.contains(&hundredths);
        known.then_some(Self { edge, hundredths })
    }

    /// All strips at an edge, the lowest first.
    pub fn all(edge: Edge) -> [Self; 3] {
        Self::HUNDREDTHS.map(|hundredths| Self { edge, hundredths })
    }

    /// The height, in hundredths of the diameter.
    pub fn hundredths(self) -> u8 {
        self.hundredths
    }
}

impl Edge {
    /// Both, the upper one first.
    pub const ALL: [Self; 2] = [Self::Top, Self::Bottom];
}

impl Ground {
    /// Both, the dark one first.
    pub const ALL: [Self; 2] = [Self::Dark, Self::Light];
}

/// How far above and below the middle of its plain ink the ink of a line may reach, in em of the sizes: a capital with two
/// accents, and an accent below a descender. A place where a strip would cover that is not used; rarer stacks of accents
/// may come below the bar there.
const REACH_EM: (f64, f64) = (0.95, 0.75);

/// The x-height for which a line height is reckoned, in em: Noto Sans's. So lines are as far apart
/// whatever the typeface is.
const X_HEIGHT_EM: f64 = 0.536;

impl Screen {
    /// That of a browser of which nothing is known.
    pub const DEFAULT: Self = Self {
        shape: Shape::Round,
        lines: Lines::Ten,
        spacing: Spacing::Usual,
        strip: None,
        ground: Ground::Dark,
    };

    /// Every size and spacing on a whole disc with a dark ground, the usual spacing first, the smallest text first.
    pub fn all() -> impl Iterator<Item = Self> {
        let spaced = |spacing| Lines::ALL.map(|lines| (lines, spacing));
        Spacing::ALL
            .into_iter()
            .flat_map(spaced)
            .map(|(lines, spacing)| Self {
                lines,
                spacing,
                ..Self::DEFAULT
            })
    }

    /// Every strip that there is, none first.
    pub fn strips() -> impl Iterator<Item = Option<Strip>> {
        let strips = Edge::ALL.into_iter().flat_map(Strip::all);
        std::iter::once(None).chain(strips.map(Some))
    }

    /// How many lines of text a disc holds: of those of the whole disc as many as no strip covers.
    pub fn places(&self) -> usize {
        self.whole_places() - self.covered()
    }

    /// How many places stand above the disc's centre; a half where one stands on it.
    pub fn above(&self) -> f64 {
        self.whole_places() as f64 / 2.0 - self.covered_at(Edge::Top) as f64
    }

    /// How many places stand below the disc's centre.
    pub fn below(&self) -> f64 {
        self.whole_places() as f64 / 2.0 - self.covered_at(Edge::Bottom) as f64
    }

    /// How far below the disc's centre the middle of all its places is, in diameters.
    pub fn centre(&self) -> Diameters {
        (self.below() - self.above()) / 2.0 * self.pitch()
    }

    /// How much of the diameter a strip takes at an edge.
    pub fn taken(&self, edge: Edge) -> Diameters {
        match self.strip {
            Some(strip) if strip.edge == edge => f64::from(strip.hundredths) / 100.0,
            _ => 0.0,
        }
    }

    /// How many lines of text a whole disc holds: as many as have the longest chords taken together, among
    /// those counts of which the first line holds nine characters of running text still. Fewer
    /// slow reading (Atilgan, Xiong and Legge, PNAS 117(48):30276, 2020).
    fn whole_places(&self) -> usize {
        match (self.spacing, self.lines) {
            (Spacing::Usual, lines) => lines.count(),
            (Spacing::Wide, Lines::Eleven) => 9,
            (Spacing::Wide, Lines::Ten) => 8,
            (Spacing::Wide, Lines::Eight) => 7,
            (Spacing::Wide, Lines::Six) => 5,
        }
    }

    fn covered(&self) -> usize {
        self.covered_at(Edge::Top) + self.covered_at(Edge::Bottom)
    }

    /// How many places of the whole disc a strip covers at an edge, or what may stand on them.
    fn covered_at(&self, edge: Edge) -> usize {
        let taken = self.taken(edge);
        if taken == 0.0 {
            return 0;
        }
        let em = self.lines.x_height() / X_HEIGHT_EM;
        let reach = em
            * match edge {
                Edge::Top => REACH_EM.0,
                Edge::Bottom => REACH_EM.1,
            };
        let whole = self.whole_places();
        let from_edge = |place: usize| {
            let outermost = (whole as f64 - 1.0) / 2.0 * self.pitch();
            0.5 - outermost + place as f64 * self.pitch() - reach
        };
        (0..whole)
            .take_while(|&place| from_edge(place) < taken)
            .count()
    }

    /// The distance from one line to the next, in diameters, whatever font it is.
    pub fn pitch(&self) -> Diameters {
        self.lines.x_height() * self.spacing.line() / X_HEIGHT_EM
    }

    /// How far below the disc's centre the middle of the plain ink of a line stands: in diameters,
    /// for a place counted from nought at the top. All the lines of a whole disc together stand in the middle.
    pub fn middle(&self, place: f64) -> Diameters {
        (place + 0.5 - self.above()) * self.pitch()
    }

    /// The place of a line whose plain ink has its middle so far below the disc's centre.
    pub fn place(&self, middle: Diameters) -> f64 {
        middle / self.pitch() + self.above() - 0.5
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
        let mut spelt: Vec<String> = Screen::all().map(|screen| screen.to_string()).collect();
        for (screen, name) in Screen::all().zip(&spelt) {
            assert_eq!(name.parse(), Ok(screen));
        }
        assert_eq!(spelt[1], "round-10");
        assert_eq!(spelt[5], "round-10-wide");
        spelt.sort_unstable();
        spelt.dedup();
        assert_eq!(spelt.len(), 8);
        for no_screen in [
            "round-9",
            "square-10",
            "round-+10",
            "round-010",
            "round-10-",
            "round-10-usual",
            "round-10-wide-wide",
            "round-wide-10",
            "ROUND-10",
            "",
        ] {
            assert_eq!(no_screen.parse::<Screen>(), Err(NoScreen), "{no_screen}");
        }
    }

    #[test]
    fn wide_spacing_is_that_of_the_guidelines() {
        // WCAG 2.2, success criterion 1.4.12: 1.5 times the font size between lines, 0.12 between
        // letters, 0.16 between words.
        let typeface = Typeface::read(notosans::REGULAR_TTF).unwrap();
        let wide: Screen = "round-8-wide".parse().unwrap();
        close(wide.pitch(), 1.5 * Lines::Eight.em(&typeface));
        assert_eq!((wide.spacing.letter(), wide.spacing.word()), (0.12, 0.16));
        // The text stays as large as it is.
        let usual: Screen = "round-8".parse().unwrap();
        close(usual.pitch(), 1.25 * Lines::Eight.em(&typeface));
        close(wide.middle(0.0), -3.0 * wide.pitch());
        close(wide.middle(6.0), 3.0 * wide.pitch());
    }

    /// The mean advance of a character in em: 71,000 characters of the demo's English articles, the
    /// spaces with them, which are 18 in a hundred.
    const MEAN_ADVANCE_EM: f64 = 0.464;
    const SPACES: f64 = 0.18;
    const LEAST_CHARACTERS: f64 = 9.0;

    #[test]
    fn a_disc_has_the_places_that_fill_its_circle_best() {
        let typeface = Typeface::read(notosans::REGULAR_TTF).unwrap();
        for screen in Screen::all() {
            let em = screen.lines.em(&typeface);
            let plain = typeface.plain_ink.scaled(em);
            let character =
                MEAN_ADVANCE_EM + screen.spacing.letter() + SPACES * screen.spacing.word();
            let chords = |count: usize| {
                (0..count).map(move |place| {
                    let middle = (place as f64 - (count as f64 - 1.0) / 2.0) * screen.pitch();
                    screen.free_width(middle, plain, plain)
                })
            };
            let holds = |count: &usize| {
                let first = chords(*count).fold(1.0, f64::min);
                first / em >= LEAST_CHARACTERS * character
            };
            let best = (1..=MOST).filter(holds).max_by(|&one, &other| {
                let total = |count| chords(count).sum::<f64>();
                total(one).total_cmp(&total(other))
            });
            assert_eq!(best, Some(screen.places()), "{screen}");
        }
    }

    /// All screens that there are.
    fn every() -> impl Iterator<Item = Screen> {
        let strips = |screen| Screen::strips().map(move |strip| Screen { strip, ..screen });
        let grounds = |screen| Ground::ALL.map(|ground| Screen { ground, ..screen });
        Screen::all().flat_map(strips).flat_map(grounds)
    }

    #[test]
    fn every_screen_is_spelt_as_it_is_read_and_has_one_spelling() {
        let mut spelt: Vec<String> = every().map(|screen| screen.to_string()).collect();
        for (screen, name) in every().zip(&spelt) {
            assert_eq!(name.parse(), Ok(screen));
        }
        assert!(spelt.contains(&"round-10-wide-top12-light".to_owned()));
        spelt.sort_unstable();
        spelt.dedup();
        assert_eq!(spelt.len(), 8 * 7 * 2);
        for no_screen in [
            "round-10-light-wide",
            "round-10-light-top12",
            "round-10-top12-wide",
            "round-10-top12-top12",
            "round-10-top12-bottom8",
            "round-10-top9",
            "round-10-top012",
            "round-10-dark",
            "round-10-none",
            "round-10-light-",
        ] {
            assert_eq!(no_screen.parse::<Screen>(), Err(NoScreen), "{no_screen}");
        }
    }

    #[test]
    fn no_line_of_a_screen_with_a_strip_is_under_the_strip_or_wasted() {
        let typeface = Typeface::read(notosans::REGULAR_TTF).unwrap();
        for screen in every().filter(|screen| screen.strip.is_some()) {
            let em = screen.lines.em(&typeface);
            let plain = typeface.plain_ink.scaled(em);
            let whole = Screen {
                strip: None,
                ..screen
            };
            let ends = |screen: &Screen, place: f64| {
                let baseline = screen.middle(place) + (plain.rise - plain.fall) / 2.0;
                // An accented capital is as high as an em, and a cedilla reaches as low as a descender.
                (baseline - em, baseline + plain.fall)
            };
            let last = screen.places() as f64 - 1.0;
            let (top, bottom) = (ends(&screen, 0.0).0, ends(&screen, last).1);
            assert!(top >= -0.5 + screen.taken(Edge::Top), "{screen}: {top}");
            assert!(
                bottom <= 0.5 - screen.taken(Edge::Bottom),
                "{screen}: {bottom}"
            );
            // The lines are some of the whole disc's, and where one fewer is there, it would not be free.
            let first = whole.place(screen.middle(0.0));
            close(first, first.round());
            let lost = screen.whole_places() - screen.places();
            assert!(
                lost as f64 * screen.pitch() < 0.16 + 1.5 * screen.pitch(),
                "{screen}"
            );
            close(screen.place(screen.middle(1.5)), 1.5);
            close(
                screen.centre(),
                (screen.middle(0.0) + screen.middle(last)) / 2.0,
            );
        }
    }

    /// More lines than any of these sizes has room for.
    const MOST: usize = 16;
}
