//! Cuts a font down to what pages use and compresses it. Never reads metrics.

use allsorts::binary::read::ReadScope;
use allsorts::font_data::FontData;
use allsorts::subset::{CmapTarget, SubsetProfile, subset};
use ttf_parser::Face;
use ttf2woff2::{BrotliQuality, encode};

use super::FontError;

/// One font file for the watch, in WOFF2.
#[derive(Clone, Debug)]
pub struct FontFile {
    /// The file's name, made of its content: a name never stands for other bytes.
    pub name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// The characters that it is for, in CSS's `unicode-range` form.
    pub unicode_range: String,
}

/// The files that a typeface is served as.
#[derive(Clone, Debug)]
pub struct FontFiles(pub Vec<FontFile>);

/// The Latin file: Basic Latin, Latin-1, Latin Extended-A, and the punctuation and signs that
/// articles use beyond them. Kept within 14 KB, the first flight of a connection.
const LATIN: &[(u32, u32)] = &[
    (0x20, 0x7e),
    (0xa0, 0x17f),
    (0x192, 0x192),
    (0x218, 0x21b),
    (0x2012, 0x2015),
    (0x2018, 0x201e),
    (0x2020, 0x2022),
    (0x2026, 0x2026),
    (0x2030, 0x2030),
    (0x2032, 0x2033),
    (0x2039, 0x203a),
    (0x2044, 0x2044),
    (0x20ac, 0x20ac),
    (0x2122, 0x2122),
    (0x2212, 0x2212),
    (0x2248, 0x2248),
    (0x2260, 0x2265),
];

/// The Greek and Cyrillic file, which a browser fetches only for pages that hold such letters.
const GREEK_AND_CYRILLIC: &[(u32, u32)] = &[(0x370, 0x3ff), (0x400, 0x45f), (0x490, 0x491)];

/// Whether one of the files has a character, where the font has it.
pub fn is_served(character: char) -> bool {
    let within = |&(first, last): &(u32, u32)| (first..=last).contains(&u32::from(character));
    LATIN.iter().chain(GREEK_AND_CYRILLIC).any(within)
}

impl FontFiles {
    /// Makes the files of a font.
    ///
    /// # Errors
    /// The font's tables cannot be rewritten.
    pub fn make(bytes: &[u8]) -> Result<Self, FontError> {
        let face = Face::parse(bytes, 0)?;
        let mut files = Vec::new();
        for ranges in [LATIN, GREEK_AND_CYRILLIC] {
            let mut glyphs: Vec<u16> = ranges
                .iter()
                .flat_map(|&(first, last)| first..=last)
                .filter_map(char::from_u32)
                .filter_map(|character| face.glyph_index(character))
                .map(|id| id.0)
                .collect();
            if glyphs.is_empty() {
                continue;
            }
            glyphs.push(0);
            // CSS's `font-size-adjust` scales each file by its own digit nought, and one without it
            // as if that were half an em wide. The ranges keep the digit from being drawn from it.
            glyphs.extend(face.glyph_index('0').map(|id| id.0));
            glyphs.sort_unstable();
            glyphs.dedup();
            files.push(FontFile::make(bytes, &glyphs, ranges)?);
        }
        Ok(Self(files))
    }

    /// The file of that name.
    pub fn find(&self, name: &str) -> Option<&FontFile> {
        self.0.iter().find(|file| file.name == name)
    }
}

impl FontFile {
    fn make(bytes: &[u8], glyphs: &[u16], ranges: &[(u32, u32)]) -> Result<Self, FontError> {
        let font = ReadScope::new(bytes)
            .read::<FontData<'_>>()
            .map_err(|fault| FontError::Subset(fault.to_string()))?;
        let provider = font
            .table_provider(0)
            .map_err(|fault| FontError::Subset(fault.to_string()))?;
        let small = subset(
            &provider,
            glyphs,
            &SubsetProfile::Minimal,
            CmapTarget::Unicode,
        )
        .map_err(|fault| FontError::Subset(fault.to_string()))?;
        let bytes = encode(&small, BrotliQuality::default())
            .map_err(|fault| FontError::Subset(fault.to_string()))?;
        let range = |&(first, last): &(u32, u32)| match first == last {
            true => format!("U+{first:X}"),
            false => format!("U+{first:X}-{last:X}"),
        };
        Ok(Self {
            name: format!("{}.woff2", &blake3::hash(&bytes).to_hex()[..16]),
            bytes,
            unicode_range: ranges.iter().map(range).collect::<Vec<_>>().join(","),
        })
    }
}

#[cfg(test)]
mod tests {
    use allsorts::Font;
    use allsorts::font::MatchingPresentation;

    use super::*;

    #[test]
    fn each_file_is_within_its_budget() {
        let files = FontFiles::make(notosans::REGULAR_TTF).unwrap();
        assert_eq!(files.0.len(), 2);
        for file in &files.0 {
            assert_eq!(&file.bytes[..4], b"wOF2");
            assert!(file.bytes.len() <= 14_000, "{} bytes", file.bytes.len());
            assert!(files.find(&file.name).is_some());
        }
    }

    /// Without it browsers drew Greek and Cyrillic a seventh too wide.
    #[test]
    fn each_file_has_the_digit_by_which_browsers_scale_it() {
        let advance = |bytes: &[u8]| {
            let data = ReadScope::new(bytes).read::<FontData<'_>>().unwrap();
            let mut font = Font::new(data.table_provider(0).unwrap()).unwrap();
            let (glyph, _) = font.lookup_glyph_index('0', MatchingPresentation::NotRequired, None);
            assert_ne!(glyph, 0);
            font.horizontal_advance(glyph)
        };
        for file in FontFiles::make(notosans::REGULAR_TTF).unwrap().0 {
            let own = advance(notosans::REGULAR_TTF);
            assert_eq!(advance(&file.bytes), own, "{}", file.unicode_range);
        }
    }

    #[test]
    fn the_same_font_gives_the_same_names() {
        let names = |files: FontFiles| {
            files
                .0
                .into_iter()
                .map(|file| file.name)
                .collect::<Vec<_>>()
        };
        let once = names(FontFiles::make(notosans::REGULAR_TTF).unwrap());
        assert_eq!(once, names(FontFiles::make(notosans::REGULAR_TTF).unwrap()));
    }
}
