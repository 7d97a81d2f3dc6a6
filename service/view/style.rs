//! The style sheet of a page, and the hash by which the content policy knows it. Never decides which a page has.

use askama::Template;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

use super::rim;
use crate::font::{FontFile, FontFiles, Typeface};
use crate::palette::{LIGHT, PALETTE, Palette};
use crate::typeset::{
    GUTTER_EM, Ground, Lines, Mark, Screen, Spacing, Step, TITLE_GAP, foot_places, spacing_after,
};

/// The style sheet, made once for a typeface. Lengths of discs are multiples of its `--v`, a hundredth
/// of a disc's diameter; `--h` is the height of the screen on which a disc stands.
#[derive(Clone, Debug)]
pub struct Style {
    /// The text of the style element.
    pub text: String,
    /// Its SHA-256 in base64, as a content security policy spells it.
    pub hash: String,
    /// The name of the font file that every page needs.
    pub font: String,
}

/// The colours of a ground.
pub(super) fn palette(ground: Ground) -> &'static Palette {
    match ground {
        Ground::Dark => &PALETTE,
        Ground::Light => &LIGHT,
    }
}

/// The hash of a style sheet, as a content policy spells it.
pub(super) fn hash_of(text: &str) -> String {
    STANDARD.encode(Sha256::digest(text.as_bytes()))
}

/// The classes of what is set for a screen: its size, and the wide spacing. What else a screen is its page's style sheet
/// says.
pub fn screen_class(screen: Screen) -> String {
    let spacing = match screen.spacing {
        Spacing::Usual => "",
        Spacing::Wide => " j",
    };
    format!("s{}{spacing}", screen.lines.count())
}

/// The class of an opening by the size of its title beside that of its particulars; none where they
/// are alike.
pub fn title_class(size: Step) -> Option<String> {
    (size != Step::OWN).then(|| format!("u{}", size.number()))
}

/// The class of each drawn mark but the numbers.
pub fn mark_class(mark: Mark) -> Option<&'static str> {
    match mark {
        Mark::Paragraph => Some("m"),
        Mark::Bullet { depth: 1 } => Some("b"),
        Mark::Bullet { depth: 2 } => Some("d"),
        Mark::Bullet { .. } => Some("e"),
        Mark::Quotation => Some("q m"),
        Mark::TableRow => Some("w"),
        Mark::Picture => Some("f"),
        Mark::Rule => Some("h"),
        Mark::Number { .. } | Mark::TurnedOver => None,
    }
}

/// The class by which a mark hangs out at the left of its line, as wide as it is.
pub fn hang_class(mark: Mark) -> String {
    match mark {
        Mark::Number { depth: 1, .. } => "j1".to_owned(),
        Mark::Number { .. } => "j2".to_owned(),
        _ => mark_class(mark).map_or_else(String::new, |class| format!("j{class}")),
    }
}

/// The width of a mark as it is drawn, in em.
fn width_of(mark: Mark, spacing: Spacing, typeface: &Typeface) -> f64 {
    let drawn = mark.drawn();
    let advances = drawn.chars().map(|character| {
        let advance = typeface.glyph(character).advance;
        advance + spacing_after(character, advance, spacing)
    });
    advances.sum()
}

/// A mark of each class that hangs out: bullets, and numbers of one figure at the two outer levels.
/// Wider ones hang at no size.
const HANGING: [Mark; 5] = [
    Mark::Bullet { depth: 1 },
    Mark::Bullet { depth: 2 },
    Mark::Bullet { depth: 3 },
    Mark::Number {
        number: 1,
        depth: 1,
    },
    Mark::Number {
        number: 1,
        depth: 2,
    },
];

impl Style {
    /// Makes the style sheet of plain pages on a ground, which takes the fonts from the service.
    ///
    /// # Errors
    /// The template cannot be printed, which does not happen.
    pub fn make(
        typeface: &Typeface,
        files: &FontFiles,
        ground: Ground,
    ) -> Result<Self, askama::Error> {
        Self::with(typeface, files, ground, |file| {
            format!("/font/{}", file.name)
        })
    }

    /// Makes a style sheet that holds the fonts, for a page that loads nothing.
    ///
    /// # Errors
    /// The template cannot be printed, which does not happen.
    pub fn self_contained(typeface: &Typeface, files: &FontFiles) -> Result<Self, askama::Error> {
        let discs = Self::with(typeface, files, Ground::Dark, |file| {
            format!("data:font/woff2;base64,{}", STANDARD.encode(&file.bytes))
        })?;
        Ok(discs.with_more(&text_sheet(typeface, Ground::Dark)?))
    }

    /// This one with more behind it.
    pub(super) fn with_more(&self, more: &str) -> Self {
        let text = self.text.clone() + &more.replace('\n', "");
        Self::of(text, self.font.clone())
    }

    fn of(text: String, font: String) -> Self {
        let hash = hash_of(&text);
        Self { text, hash, font }
    }

    fn with(
        typeface: &Typeface,
        files: &FontFiles,
        ground: Ground,
        source: impl Fn(&FontFile) -> String,
    ) -> Result<Self, askama::Error> {
        let drawn = [
            Mark::Paragraph,
            Mark::Bullet { depth: 1 },
            Mark::Bullet { depth: 2 },
            Mark::Bullet { depth: 3 },
            Mark::Quotation,
            Mark::TableRow,
            Mark::Picture,
            Mark::Rule,
        ];
        let sheet = Sheet {
            faces: files
                .0
                .iter()
                .map(|file| FontFace {
                    source: source(file),
                    unicode_range: &file.unicode_range,
                })
                .collect(),
            scheme: match ground {
                Ground::Dark => "dark",
                Ground::Light => "light",
            },
            palette: palette(ground),
            ch_width: to_figures(typeface.ch_width, 4),
            sink: to_figures(typeface.sink, 4),
            ems: Lines::ALL.map(|lines| Em {
                lines: lines.count(),
                em: rounded(lines.em(typeface) * 100.0),
            }),
            stacks: Screen::all().map(Stack::of).collect(),
            letter: Spacing::Wide.letter(),
            word: Spacing::Wide.word(),
            marks: drawn
                .into_iter()
                .filter_map(|mark| {
                    Some(Drawn {
                        class: mark_class(mark)?.replace(' ', "."),
                        drawn: mark.drawn(),
                    })
                })
                .collect(),
            rim: Rim {
                steps: rim::STEPS_A_QUARTER,
                step: rim::STEP_DEGREES,
                place: rim::PLACE_DEGREES,
                length: rim::LENGTH,
                thickness: rim::THICKNESS,
                outer: rim::OUTER,
            },
        };
        let text = sheet.render()?.replace('\n', "");
        let font = files
            .0
            .first()
            .map(|file| file.name.clone())
            .unwrap_or_default();
        Ok(Self::of(text, font))
    }
}

/// What openings and the running text of articles need beside the look of discs, as CSS.
///
/// # Errors
/// The template cannot be printed, which does not happen.
pub(super) fn text_sheet(typeface: &Typeface, ground: Ground) -> Result<String, askama::Error> {
    let titles = Step::all().filter(|&size| size != Step::OWN);
    TextSheet {
        palette: palette(ground),
        sink: to_figures(typeface.sink, 4),
        letter: Spacing::Wide.letter(),
        gutter: GUTTER_EM,
        titles: titles
            .map(|size| Title {
                class: size.number(),
                factor: size.factor(),
            })
            .collect(),
        title_gap: TITLE_GAP,
        hangs: HANGING.map(|mark| Hang {
            class: hang_class(mark),
            width: rounded(width_of(mark, Spacing::Usual, typeface)),
            wide: rounded(width_of(mark, Spacing::Wide, typeface)),
        }),
        turned_over: Mark::TurnedOver.drawn(),
    }
    .render()
}

/// Three figures: a thousandth of a percent of the disc is far below a pixel.
fn rounded(value: f64) -> f64 {
    to_figures(value, 3)
}

fn to_figures(value: f64, figures: i32) -> f64 {
    let ten = 10_f64.powi(figures);
    (value * ten).round() / ten
}

#[derive(Template)]
#[template(path = "disc.css", escape = "none")]
struct Sheet<'a> {
    faces: Vec<FontFace<'a>>,
    scheme: &'static str,
    palette: &'a Palette,
    ch_width: f64,
    sink: f64,
    ems: [Em; 4],
    stacks: Vec<Stack>,
    letter: f64,
    word: f64,
    marks: Vec<Drawn>,
    rim: Rim,
}

#[derive(Template)]
#[template(path = "text.css", escape = "none")]
struct TextSheet<'a> {
    palette: &'a Palette,
    sink: f64,
    letter: f64,
    gutter: f64,
    titles: Vec<Title>,
    title_gap: f64,
    hangs: [Hang; 5],
    turned_over: String,
}

struct FontFace<'a> {
    source: String,
    unicode_range: &'a str,
}

struct Em {
    lines: usize,
    em: f64,
}

/// How the lines of a screen stand on each other, and how many places there are above and below the disc's centre.
pub(super) struct Stack {
    pub(super) selector: String,
    pitch: f64,
    pub(super) above: f64,
    pub(super) below: f64,
    pub(super) foot: usize,
}

impl Stack {
    pub(super) fn of(screen: Screen) -> Self {
        Self {
            selector: screen_class(screen).replace(' ', "."),
            pitch: rounded(screen.pitch() * 100.0),
            above: screen.above(),
            below: screen.below(),
            foot: foot_places(&screen),
        }
    }
}

/// How much larger a title is than its particulars.
struct Title {
    class: usize,
    factor: f64,
}

struct Hang {
    class: String,
    width: f64,
    wide: f64,
}

struct Drawn {
    class: String,
    drawn: String,
}

/// The mark along the rim: angles in degrees, lengths in hundredths of the diameter.
struct Rim {
    steps: usize,
    step: usize,
    place: usize,
    length: f64,
    thickness: f64,
    outer: f64,
}
