//! The style sheets of all pages, one for each strip, ground and kind of page: what one needs burdens no other. Never
//! prints a page.

use askama::Template;

use super::style::{Stack, Style, hash_of, palette, text_sheet};
use crate::font::{FontFiles, Typeface};
use crate::palette::Palette;
use crate::typeset::{Edge, Ground, Screen, Strip};

/// What a page needs beside the look of its discs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Needs {
    /// Nothing.
    Discs,
    /// An opening, and the running text of an article.
    Text,
    /// Buttons side by side.
    Choice,
    /// The same, and a field for words.
    Field,
    /// The same buttons, on the pages of a first visit.
    First,
}

/// The style sheets, made once.
#[derive(Clone, Debug)]
pub struct Styles {
    sheets: Vec<Dressed>,
    /// A digest of all of them.
    pub digest: String,
}

/// The hash of the style sheet in a printed page, as a content policy spells it.
pub fn style_hash(page: &str) -> Option<String> {
    let (_, rest) = page.split_once("<style>")?;
    let (text, _) = rest.split_once("</style>")?;
    Some(hash_of(text))
}

/// Which pages have a style sheet.
#[derive(Clone, Debug)]
struct Dressed {
    strip: Option<Strip>,
    ground: Ground,
    needs: Needs,
    style: Style,
}

impl Styles {
    /// Makes all style sheets of the served pages, which take the fonts from the service.
    ///
    /// # Errors
    /// A template cannot be printed, which does not happen.
    pub fn make(typeface: &Typeface, files: &FontFiles) -> Result<Self, askama::Error> {
        let mut sheets = Vec::new();
        for ground in Ground::ALL {
            let plain = Style::make(typeface, files, ground)?;
            for (needs, more) in additions(typeface, ground)? {
                let whole = plain.with_more(&more);
                for strip in Screen::strips() {
                    let style = match strip {
                        Some(strip) => whole.with_more(&StripSheet::of(strip).render()?),
                        None => whole.clone(),
                    };
                    sheets.push(Dressed {
                        strip,
                        ground,
                        needs,
                        style,
                    });
                }
            }
        }
        Ok(Self::of_sheets(sheets))
    }

    fn of_sheets(sheets: Vec<Dressed>) -> Self {
        let mut hasher = blake3::Hasher::new();
        for sheet in &sheets {
            hasher.update(sheet.style.hash.as_bytes());
        }
        let digest = hasher.finalize().to_hex()[..20].to_owned();
        Self { sheets, digest }
    }

    /// The style sheet of a page that is set for a screen. Of a single sheet it is that one.
    pub(super) fn of(&self, screen: Screen, needs: Needs) -> Option<&Style> {
        let found = self.sheets.iter().find(|sheet| {
            (sheet.strip, sheet.ground, sheet.needs) == (screen.strip, screen.ground, needs)
        });
        found.or(self.sheets.first()).map(|sheet| &sheet.style)
    }

    /// Whether one of them has this hash, as a content policy spells it.
    pub fn has(&self, hash: &str) -> bool {
        self.sheets.iter().any(|sheet| sheet.style.hash == hash)
    }
}

impl From<Style> for Styles {
    /// A style sheet that every page has.
    fn from(style: Style) -> Self {
        Self::of_sheets(vec![Dressed {
            strip: None,
            ground: Ground::Dark,
            needs: Needs::Discs,
            style,
        }])
    }
}

/// What pages need beside the look of discs, as CSS.
fn additions(typeface: &Typeface, ground: Ground) -> Result<[(Needs, String); 5], askama::Error> {
    let palette_of_other = match ground {
        Ground::Dark => palette(Ground::Light),
        Ground::Light => palette(Ground::Dark),
    };
    let palette = palette(ground);
    let choice = ChoiceSheet {
        palette,
        other: palette_of_other,
    }
    .render()?;
    let field = FieldSheet { palette }.render()?;
    let first = FirstSheet.render()?;
    Ok([
        (Needs::Discs, String::new()),
        (Needs::Text, text_sheet(typeface, ground)?),
        (Needs::Field, choice.clone() + &field),
        (Needs::First, choice.clone() + &first),
        (Needs::Choice, choice),
    ])
}

#[derive(Template)]
#[template(path = "choice.css", escape = "none")]
struct ChoiceSheet<'a> {
    palette: &'a Palette,
    /// Those of the other ground.
    other: &'a Palette,
}

#[derive(Template)]
#[template(path = "field.css", escape = "none")]
struct FieldSheet<'a> {
    palette: &'a Palette,
}

#[derive(Template)]
#[template(path = "first.css", escape = "none")]
struct FirstSheet;

/// How discs stand beside a strip. Lengths are hundredths of the diameter.
///
/// The page is as high as the browser leaves it, be it that the bar stands beside it or over it, and the whole disc
/// reaches to the page's end at the other side of the bar.
#[derive(Template)]
#[template(path = "strip.css", escape = "none")]
struct StripSheet {
    /// Whether the strip is at the top.
    top: bool,
    /// How many times the height of what the bar leaves is the diameter.
    share: f64,
    /// How far above and below its centre the disc is not covered.
    rise: f64,
    reach: f64,
    /// How far below it what has three buttons side by side may end.
    low: f64,
    stacks: Vec<Stack>,
}

/// Where the corners of three buttons side by side are inside the disc still.
const LOWEST_OF_THREE: f64 = 33.0;

impl StripSheet {
    fn of(strip: Strip) -> Self {
        let hundredths = f64::from(strip.hundredths());
        let free = |edge| {
            if strip.edge == edge {
                50.0 - hundredths
            } else {
                50.0
            }
        };
        let stacks = Screen::all().map(|screen| {
            Stack::of(Screen {
                strip: Some(strip),
                ..screen
            })
        });
        Self {
            top: strip.edge == Edge::Top,
            share: (1_000_000.0 / (100.0 - hundredths)).round() / 10_000.0,
            rise: free(Edge::Top),
            reach: free(Edge::Bottom),
            low: (free(Edge::Bottom) - 1.0).min(LOWEST_OF_THREE),
            stacks: stacks.collect(),
        }
    }
}
