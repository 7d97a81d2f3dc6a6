//! The served fonts: their metrics as a [`Typeface`], their subsets as files for the watch.
//!
//! Made once at the start. PURE: bytes in, values out. Never knows a page or a line.

mod missing;
mod subset;
mod substitute;

pub use missing::stacks;
pub use subset::{FontFile, FontFiles};
pub use substitute::{COUNT as SUBSTITUTES, RAISE_EM as SUBSTITUTE_RAISE_EM};

use std::collections::HashMap;

use ttf_parser::{Face, FaceParsingError, GlyphId, name_id};
use unicode_width::UnicodeWidthChar;

/// The font that pages are set in and served with: Noto Sans Regular.
pub const REGULAR: &[u8] = notosans::REGULAR_TTF;

/// The ink of a glyph or of a run of them: how far it reaches from the baseline, in em or, once
/// scaled, in fractions of the disc's diameter. Both are positive away from the baseline; a glyph
/// that does not reach it, such as a dash, falls by less than nought.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ink {
    /// Above the baseline.
    pub rise: f64,
    /// Below the baseline.
    pub fall: f64,
}

impl Ink {
    /// The ink of both together.
    pub fn union(self, other: Self) -> Self {
        Self {
            rise: self.rise.max(other.rise),
            fall: self.fall.max(other.fall),
        }
    }

    /// The same ink at another size.
    pub fn scaled(self, factor: f64) -> Self {
        Self {
            rise: self.rise * factor,
            fall: self.fall * factor,
        }
    }
}

/// What the typesetter needs to know of one character, in em.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Glyph {
    /// How far the pen moves.
    pub advance: f64,
    /// White between where the pen was and the ink; below nought where ink hangs over.
    pub left: f64,
    /// White between the ink and where the pen goes; below nought where ink hangs over.
    pub right: f64,
    /// Where its ink is.
    pub ink: Ink,
    /// How far the pen moves in fonts of a system that stand in for this one.
    pub substitutes: [f64; SUBSTITUTES],
}

/// A font with its metrics, all in em.
#[derive(Clone, Debug)]
pub struct Typeface {
    /// The family's own name.
    pub name: String,
    /// Its copyright and licence, as the font file states them.
    pub licence: Vec<String>,
    /// Height of a lower-case x.
    pub x_height: f64,
    /// Height of a capital.
    pub cap_height: f64,
    /// Advance of the digit nought: CSS's `ch`, by which a substitute font is scaled.
    pub ch_width: f64,
    /// The ink of plain text: the letters of the alphabet, their ascenders and descenders.
    pub plain_ink: Ink,
    /// How much lower than the middle of the plain ink a browser puts the middle of a line box,
    /// from the ascent and descent that the font declares.
    pub sink: f64,
    latin: Box<[Glyph; 0x180]>,
    others: HashMap<char, Glyph>,
    /// A digest of the font file.
    pub digest: String,
}

/// The ink of a character that the typeface lacks: the line box's share, as most fonts fill it.
const MISSING_INK: Ink = Ink {
    rise: 0.95,
    fall: 0.30,
};

impl Typeface {
    /// Reads the metrics of a TrueType or OpenType file.
    ///
    /// # Errors
    /// The file is no font, or lacks the letters of the alphabet.
    pub fn read(bytes: &[u8]) -> Result<Self, FontError> {
        let face = Face::parse(bytes, 0)?;
        let em = f64::from(face.units_per_em());
        let mut latin = Box::new([Glyph::default(); 0x180]);
        let mut others = HashMap::new();
        for character in covered(&face) {
            if let Some(id) = face.glyph_index(character) {
                let glyph = measure(&face, id, em);
                match latin.get_mut(character as usize) {
                    Some(place) => *place = glyph,
                    None => drop(others.insert(character, glyph)),
                }
            }
        }
        let ch_width = latin['0' as usize].advance;
        let first = (0_u32..).map_while(char::from_u32).zip(latin.iter_mut());
        for (character, glyph) in first.chain(
            others
                .iter_mut()
                .map(|(&character, glyph)| (character, glyph)),
        ) {
            glyph.substitutes = substitute::advances(character, glyph.advance, ch_width);
        }
        let of = |character: char| latin[character as usize];
        let plain_ink = ('a'..='z')
            .chain('A'..='Z')
            .map(|c| of(c).ink)
            .fold(Ink::default(), Ink::union);
        if plain_ink.rise <= 0.0 || of('0').advance <= 0.0 {
            return Err(FontError::NoLetters);
        }
        let ascent = f64::from(face.ascender()) / em;
        let descent = -f64::from(face.descender()) / em;
        Ok(Self {
            name: name(&face, name_id::FAMILY).unwrap_or_else(|| "unnamed".to_owned()),
            licence: [
                name_id::COPYRIGHT_NOTICE,
                name_id::VERSION,
                name_id::LICENSE,
                name_id::LICENSE_URL,
            ]
            .into_iter()
            .filter_map(|id| name(&face, id))
            .collect(),
            x_height: of('x').ink.rise,
            cap_height: of('H').ink.rise,
            ch_width: of('0').advance,
            sink: (ascent - descent) / 2.0 - (plain_ink.rise - plain_ink.fall) / 2.0,
            plain_ink,
            latin,
            others,
            digest: blake3::hash(bytes).to_hex()[..16].to_owned(),
        })
    }

    /// The metrics of a character as it is served; of one that is not, a guess on the wide side,
    /// since the browser takes it from whatever font it has.
    pub fn glyph(&self, character: char) -> Glyph {
        if let Some(glyph) = self.latin.get(character as usize) {
            return *glyph;
        }
        match self.others.get(&character) {
            Some(glyph) if subset::is_served(character) => *glyph,
            own => self.unserved(character, own),
        }
    }

    /// The width of a text in one size, in em.
    pub fn width(&self, text: &str) -> f64 {
        text.chars()
            .map(|character| self.glyph(character).advance)
            .sum()
    }

    /// A guess at a character that is not served, no narrower than the typeface has it.
    fn unserved(&self, character: char, own: Option<&Glyph>) -> Glyph {
        let served = |part: char| {
            let own = self.latin.get(part as usize);
            let glyph =
                own.or_else(|| self.others.get(&part).filter(|_| subset::is_served(part)))?;
            Some(glyph.substitutes.into_iter().fold(glyph.advance, f64::max))
        };
        let advance = missing::advance(character, own.map(|own| own.advance), &served);
        let mut ink = own.map_or_else(Ink::default, |own| own.ink);
        if stacks(character) && ink.fall < 0.0 {
            // Where it stands in its file, it is above a low letter.
            ink.rise += self.plain_ink.rise - self.x_height;
        }
        // A mark has no line box of its own to fill.
        let boxed = advance > 0.0 && character.width() != Some(0);
        Glyph {
            advance,
            substitutes: [advance; SUBSTITUTES],
            left: 0.0,
            right: 0.0,
            ink: if boxed { ink.union(MISSING_INK) } else { ink },
        }
    }
}

/// What can be wrong with a font file.
#[derive(Debug, thiserror::Error)]
pub enum FontError {
    /// It cannot be parsed.
    #[error("this is no TrueType or OpenType font: {0}; name another font file")]
    Parse(#[from] FaceParsingError),
    /// It has no Latin letters.
    #[error("the font lacks the letters a to z or the digit 0; name one that has them")]
    NoLetters,
    /// It cannot be made smaller.
    #[error("the font cannot be subset: {0}; name another font file")]
    Subset(String),
}

fn covered(face: &Face) -> Vec<char> {
    let mut characters = Vec::new();
    for table in face.tables().cmap.iter().flat_map(|cmap| cmap.subtables) {
        if table.is_unicode() {
            table.codepoints(|codepoint| characters.extend(char::from_u32(codepoint)));
        }
    }
    characters.sort_unstable();
    characters.dedup();
    characters
}

fn measure(face: &Face, id: GlyphId, em: f64) -> Glyph {
    let advance = f64::from(face.glyph_hor_advance(id).unwrap_or(0)) / em;
    let Some(bounds) = face.glyph_bounding_box(id) else {
        return Glyph {
            advance,
            substitutes: [advance; SUBSTITUTES],
            ..Glyph::default()
        };
    };
    Glyph {
        advance,
        substitutes: [advance; SUBSTITUTES],
        left: f64::from(bounds.x_min) / em,
        right: advance - f64::from(bounds.x_max) / em,
        ink: Ink {
            rise: f64::from(bounds.y_max) / em,
            fall: f64::from(-bounds.y_min) / em,
        },
    }
}

fn name(face: &Face, id: u16) -> Option<String> {
    face.names()
        .into_iter()
        .filter(|name| name.name_id == id)
        .find_map(|name| name.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn noto_sans_measures_as_its_tables_say() {
        // The font's own head, OS/2 and hmtx tables, read with fontTools: 2048 units an em,
        // sxHeight 1098, sCapHeight 1462, advance of 'a' 1149 and of 'W' 1904 or so.
        let face = Typeface::read(notosans::REGULAR_TTF).unwrap();
        assert_eq!(face.x_height, 1098.0 / 2048.0);
        assert_eq!(face.cap_height, 1462.0 / 2048.0);
        assert_eq!(face.glyph('a').advance, 1149.0 / 2048.0);
        assert_eq!(face.glyph('É').ink.rise, 1907.0 / 2048.0);
        assert_eq!(face.glyph('g').ink.fall, 492.0 / 2048.0);
        assert_eq!(face.ch_width, 1171.0 / 2048.0);
    }

    #[test]
    fn a_character_that_is_missing_is_guessed_wide() {
        let face = Typeface::read(notosans::REGULAR_TTF).unwrap();
        assert_eq!(face.glyph('日').advance, 1.0);
        assert_eq!(face.glyph('\u{200b}').advance, 0.0);
    }

    #[test]
    fn a_character_that_is_in_no_served_file_is_reckoned_as_other_fonts_draw_it() {
        // The typeface has these, but the browser takes them from DejaVu Sans, unscaled: advances
        // of 1260, 637 and 1411 in 2048 units, from its hmtx table.
        let face = Typeface::read(notosans::REGULAR_TTF).unwrap();
        for (character, units) in [('ế', 1260.0), ('ị', 569.0), ('ﬀ', 1411.0)] {
            let glyph = face.glyph(character);
            assert!(glyph.advance >= units / 2048.0, "{character}: {glyph:?}");
        }
        assert_eq!(face.glyph('ж').advance, face.others[&'ж'].advance);
    }

    #[test]
    fn bytes_that_are_no_font_are_refused() {
        assert!(matches!(
            Typeface::read(b"no font"),
            Err(FontError::Parse(_))
        ));
    }
}
