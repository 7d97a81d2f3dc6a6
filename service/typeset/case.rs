//! The case of sorts: every character as it is set on one screen, with the chords that its ink
//! leaves at each height. Knows no words and no lines.

use std::cell::{Cell, Ref, RefCell};
use std::collections::HashMap;

use unicode_width::UnicodeWidthChar;

use super::screen::{Screen, Spacing, Step};
use super::units::Diameters;
use crate::distil::block::Script;
use crate::font::{Glyph, Ink, SUBSTITUTE_RAISE_EM, SUBSTITUTES, Typeface};

/// The size of raised and lowered text, and by how much it is moved up, in em of the text around it.
/// Common practice, no source; templates/disc.css says the same to the browser.
pub fn size_and_raise(script: Script) -> (f64, f64) {
    match script {
        Script::Baseline => (1.0, 0.0),
        Script::Superscript => (0.7, 0.35),
        Script::Subscript => (0.7, -0.15),
    }
}

/// How far the stroke that templates/disc.css draws around bold text and headings reaches beyond
/// their outlines, in em: half of the wider one.
const STROKE: f64 = 0.015;

/// How much higher a mark above another mark reaches, or lower below one, in em: more than in
/// DejaVu Sans, Liberation Sans and Noto Sans as browsers draw them.
const MARK_STEP: f64 = 0.25;

/// How far below the baseline the dots under a link reach, in em; templates/disc.css sets them.
const UNDERLINE_FALL: f64 = 0.25;

/// The most lines of a disc, in whole registers of four.
pub const MOST_PLACES: usize = 12;

/// A width in each of the substitute fonts.
pub type Widths = [f64; SUBSTITUTES];

/// Both widths together.
pub fn sum(one: Widths, other: Widths) -> Widths {
    std::array::from_fn(|font| one[font] + other[font])
}

/// Widths at places, one below the other.
pub type Column = [f32; MOST_PLACES];

/// The free widths of an ink at every whole place, and half a place below each; beyond the last
/// place of a disc there are none, but stacks that begin further down look there.
type Chords = [[f32; 2 * MOST_PLACES]; 2];

/// A character as it is set, in diameters.
#[derive(Clone, Debug)]
pub struct Sort {
    /// How far the pen moves.
    pub advance: Diameters,
    /// White before its ink.
    pub left: Diameters,
    /// White after its ink.
    pub right: Diameters,
    /// Its ink, from the line's own baseline.
    pub ink: Ink,
    /// How far the pen moves in substitute fonts.
    pub substitutes: Widths,
    /// The free widths that its ink has, and those that it has as high as a substitute font is set.
    chords: [Chords; 2],
}

/// A character in one look, as far as its look changes what is measured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Look {
    /// Whether it is raised or lowered.
    pub script: Script,
    /// Whether the dots of a link are under it.
    pub underlined: bool,
    /// Whether a stroke is drawn around it.
    pub stroked: bool,
    /// How many marks its letter has before it.
    pub stacked: u8,
}

/// The number of a sort in its case.
pub type SortId = u32;

/// The sorts of a typeface at one size, for places on one screen, made as they are asked for.
pub struct Case<'a> {
    /// The typeface.
    pub typeface: &'a Typeface,
    /// The screen.
    pub screen: Screen,
    /// The font size.
    pub em: Diameters,
    /// The distance from one line to the next.
    pitch: Diameters,
    /// How far below the disc's centre the middle of the first place stands.
    first: Diameters,
    /// The ink of plain text.
    pub plain: Ink,
    /// The hyphen that is drawn where a word is divided.
    pub hyphen: SortId,
    sorts: RefCell<Vec<Sort>>,
    latin: Box<[Cell<SortId>; LATIN]>,
    others: RefCell<HashMap<(char, Look), SortId>>,
}

/// Plain characters below this are looked up in a table.
const LATIN: usize = 0x180;
const NONE_YET: SortId = SortId::MAX;

impl<'a> Case<'a> {
    /// An empty case.
    pub fn new(screen: &Screen, typeface: &'a Typeface) -> Self {
        Self::lowered(screen, typeface, Step::OWN, screen.middle(0.0))
    }

    /// An empty case for lines of another size, whose first place has its middle so far below the
    /// disc's centre.
    pub fn lowered(screen: &Screen, typeface: &'a Typeface, size: Step, first: Diameters) -> Self {
        let em = screen.lines.em(typeface) * size.factor();
        let mut case = Self {
            typeface,
            screen: *screen,
            em,
            pitch: screen.pitch() * size.factor(),
            first,
            plain: typeface.plain_ink.scaled(em),
            hyphen: 0,
            sorts: RefCell::default(),
            latin: Box::new([const { Cell::new(NONE_YET) }; LATIN]),
            others: RefCell::default(),
        };
        case.hyphen = case.id('-', Look::default());
        case
    }

    /// The sort of a character.
    #[inline]
    pub fn id(&self, character: char, look: Look) -> SortId {
        if let Some(kept) = self.latin.get(character as usize)
            && look == Look::default()
        {
            if kept.get() == NONE_YET {
                kept.set(self.cast(character, look));
            }
            return kept.get();
        }
        let known = self.others.borrow().get(&(character, look)).copied();
        known.unwrap_or_else(|| {
            let id = self.cast(character, look);
            self.others.borrow_mut().insert((character, look), id);
            id
        })
    }

    /// All sorts so far, by their numbers.
    pub fn sorts(&self) -> Ref<'_, [Sort]> {
        Ref::map(self.sorts.borrow(), Vec::as_slice)
    }

    /// The sorts of a text in its plain look.
    pub fn ids(&self, text: &str) -> Vec<SortId> {
        text.chars()
            .map(|character| self.id(character, Look::default()))
            .collect()
    }

    /// The width of a text in its plain look.
    pub fn width(&self, text: &str) -> Diameters {
        let ids = self.ids(text);
        let sorts = self.sorts();
        ids.into_iter().map(|id| sorts[id as usize].advance).sum()
    }

    /// The free width of an ink at a place, with the text higher than it should be by `raise`.
    pub fn free_width(&self, place: f64, ink: Ink, raise: Diameters) -> Diameters {
        let middle = self.first + place * self.pitch - raise;
        self.screen.free_width(middle, self.plain, ink)
    }

    fn cast(&self, character: char, look: Look) -> SortId {
        let glyph = self.typeface.glyph(shown(character));
        let spacing = spacing_after(character, glyph.advance, self.screen.spacing) * self.em;
        let sort = Sort::cast(glyph, look, spacing, self);
        let mut sorts = self.sorts.borrow_mut();
        sorts.push(sort);
        (sorts.len() - 1) as SortId
    }
}

impl Sort {
    /// Sets a glyph with so much more white than it has, in diameters. A browser adds it after the
    /// glyph, at the end of a line too, and the style sheet moves lines by half the spacing of a
    /// letter: so half of that stands at either side.
    fn cast(glyph: Glyph, look: Look, spacing: Diameters, case: &Case) -> Self {
        let (scale, raise) = size_and_raise(look.script);
        let (size, raise) = (scale * case.em, raise * case.em);
        let Ink { rise, fall } = glyph.ink.scaled(size);
        let mut ink = Ink {
            rise: rise + raise,
            fall: fall - raise,
        };
        let step = f64::from(look.stacked) * MARK_STEP * size;
        let stroke = if look.stroked { STROKE * size } else { 0.0 };
        ink.rise += stroke + if fall <= 0.0 { step } else { 0.0 };
        ink.fall += stroke + if fall < 0.0 { 0.0 } else { step };
        let before = spacing.min(case.screen.spacing.letter() * case.em) / 2.0;
        let (mut left, mut right) = (
            glyph.left * size - stroke + before,
            glyph.right * size - stroke + spacing - before,
        );
        if look.underlined {
            // The dots go from where the pen was to where it goes: in a line that was moved.
            (left, right) = (left.min(before), right.min(-before));
            ink.fall = ink.fall.max(UNDERLINE_FALL * case.em);
        }
        let chords = |raise| {
            [0.0, 0.5].map(|half| {
                std::array::from_fn(|place| match place {
                    ..MOST_PLACES => case.free_width(place as f64 + half, ink, raise) as f32,
                    _ => 0.0,
                })
            })
        };
        Self {
            advance: glyph.advance * size + spacing,
            left,
            right,
            ink,
            substitutes: glyph.substitutes.map(|advance| advance * size + spacing),
            chords: [chords(0.0), chords(SUBSTITUTE_RAISE_EM * case.em)],
        }
    }

    /// The free widths of its ink at a place, which is whole or half, and at each that follows.
    pub fn chords(&self, first: f64, manner: Manner) -> &Column {
        let halves = (2.0 * first) as usize;
        let from = &self.chords[manner as usize][halves % 2][halves / 2..];
        from.first_chunk().unwrap_or(&NO_CHORDS)
    }
}

/// The free widths beyond every disc.
const NO_CHORDS: Column = [0.0; MOST_PLACES];

/// Which font a line is looked at in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Manner {
    /// The typeface.
    Own = 0,
    /// A substitute, set as high as a browser sets it.
    Substitute = 1,
}

impl Manner {
    /// Both, in their order.
    pub const BOTH: [Self; 2] = [Self::Own, Self::Substitute];
}

/// How much white a spacing adds after a character with an advance, in em of the text around it: CSS
/// hands the computed length down, to raised text too. A mark that has no advance of its own stands
/// on the character before it, and gets none.
pub fn spacing_after(character: char, advance: f64, spacing: Spacing) -> f64 {
    match shown(character) {
        _ if advance <= 0.0 || character.width() == Some(0) => 0.0,
        ' ' | '\u{a0}' => spacing.letter() + spacing.word(),
        _ => spacing.letter(),
    }
}

/// The character that a browser draws for another one: a tab is drawn as a space.
pub fn shown(character: char) -> char {
    if character == '\t' { ' ' } else { character }
}

#[cfg(test)]
mod tests {
    use super::super::screen::Lines;
    use super::super::test_support::{screen, typeface};
    use super::*;

    fn sort(character: char, look: Look) -> Sort {
        let case = Case::new(&screen(Lines::Ten), typeface());
        let id = case.id(character, look) as usize;
        case.sorts()[id].clone()
    }

    #[test]
    fn a_mark_on_marks_reaches_further_on_its_own_side() {
        let stacked = |character, stacked| {
            let look = Look {
                stacked,
                ..Look::default()
            };
            sort(character, look).ink
        };
        let (acute, fourth) = (stacked('\u{301}', 0), stacked('\u{301}', 3));
        let em = Lines::Ten.em(typeface());
        assert!((fourth.rise - acute.rise - 3.0 * MARK_STEP * em).abs() < 1e-9);
        assert_eq!(fourth.fall, acute.fall);
        let (dot, second) = (stacked('\u{323}', 0), stacked('\u{323}', 1));
        assert!((second.fall - dot.fall - MARK_STEP * em).abs() < 1e-9);
        assert_eq!(second.rise, dot.rise);
        // Above a high letter it is as high as where the two are one glyph.
        let capital = typeface().glyph('É').ink.rise * em;
        assert!(acute.rise >= capital, "{} for {capital}", acute.rise);
    }

    #[test]
    fn the_stroke_of_bold_text_is_ink_and_moves_no_pen() {
        let plain = sort('H', Look::default());
        let look = Look {
            stroked: true,
            ..Look::default()
        };
        let bold = sort('H', look);
        let stroke = STROKE * Lines::Ten.em(typeface());
        assert_eq!(bold.advance, plain.advance);
        for grown in [
            bold.ink.rise - plain.ink.rise,
            bold.ink.fall - plain.ink.fall,
            plain.left - bold.left,
            plain.right - bold.right,
        ] {
            assert!((grown - stroke).abs() < 1e-9, "{grown}");
        }
    }
}
