//! How wide a browser may draw a character that the served files lack, from whatever fonts its
//! system has: a guess on the wide side. Never looks into a font.
//!
//! The figures are maxima, rounded up, over the hmtx tables of DejaVu Sans 2.37, DejaVu Math TeX
//! Gyre 2.37, Liberation Sans 1.07, the sans-serif fonts of Noto (Debian's fonts-noto-core 20201225,
//! Noto Sans CJK 2.004, Noto Color Emoji 2.042), Roboto 2.138 and Symbola 9.17. Chromium scales the
//! font that it takes for `sans-serif` by `font-size-adjust`, and leaves those that it finds by
//! character unscaled: both are reckoned with.

use unicode_normalization::char::{
    canonical_combining_class, decompose_compatible, is_combining_mark,
};
use unicode_width::UnicodeWidthChar;

/// By how much wider than ours other fonts draw letters: 99 in 100 of those in Latin Extended
/// Additional, 9 in 10 of those in Cyrillic beyond Russian and in the phonetic alphabet.
const OTHERS_WIDER: f64 = 1.15;

/// A letter of a script that is in no row below: over three quarters of the letters of Hebrew,
/// Arabic, Devanagari, Bengali, Gurmukhi, Oriya, Thai, Lao, Khmer, Armenian and Georgian, and more
/// than their means, which count where a line is full of them.
const LETTER: f64 = 0.75;

/// What has the width of two digits on a terminal (UAX #11): Chinese, Japanese and Korean.
const SQUARE: f64 = 1.0;

/// Pictures in colour: 2550 of 2048 units in Noto Color Emoji.
const PICTURE: f64 = 1.25;

/// A letter that has a mark of no width after it is drawn from another font, unscaled. Those of
/// DejaVu Sans are up to so much wider than ours.
const MARKED: f64 = 0.06;

/// The most that is reckoned for a character that is short for several: ligatures of whole Arabic
/// phrases are drawn smaller than their letters. The widest with letters of their own has 2.4.
const MOST_SHORTENED: f64 = 3.0;

/// The most advance of a character from fonts of the system, in em. `own` is what the typeface would
/// give it, and `served` the most that a character has which is served.
pub fn advance(character: char, own: Option<f64>, served: &dyn Fn(char) -> Option<f64>) -> f64 {
    let mut whole = 0.0;
    let mut itself = false;
    decompose_compatible(character, |part| {
        itself |= part == character || character == '\u{2011}';
        whole += served(part).unwrap_or_else(|| alone(part));
    });
    // A picture, an ideograph and a syllable are as wide as they are, whatever is in them.
    let made_of_others = !itself && character.width() == Some(1);
    let guess = match own {
        _ if made_of_others => (whole * OTHERS_WIDER)
            .min(MOST_SHORTENED)
            .max(least(character).unwrap_or(0.0)),
        Some(own) if own > 0.0 => least(character).unwrap_or(0.0),
        _ => alone(character),
    };
    guess.max(own.unwrap_or(0.0) * OTHERS_WIDER)
}

/// The most advance of a character that is not made of others.
fn alone(character: char) -> f64 {
    match character.width() {
        Some(0) if is_combining_mark(character) => MARKED,
        None | Some(0) => 0.0,
        Some(1) => least(character).unwrap_or(LETTER),
        Some(_) if is_symbol(character) => PICTURE,
        Some(_) => SQUARE,
    }
}

/// Whether a mark stands above or below all that its letter has there: its combining class says so
/// (Unicode Standard, section 4.3).
pub fn stacks(character: char) -> bool {
    // Nothing before the first block of marks is one.
    character >= '\u{300}' && matches!(canonical_combining_class(character), 220 | 230)
}

fn is_symbol(character: char) -> bool {
    matches!(character, '\u{2190}'..='\u{2bff}' | '\u{1f000}'..='\u{1fbff}')
}

/// What the signs of a block are reckoned at the least; `None` where letters are as wide as most.
#[expect(
    clippy::match_same_arms,
    reason = "the blocks stand in an order that narrows"
)]
fn least(character: char) -> Option<f64> {
    Some(match character {
        // Syriac; Telugu and Kannada; Burmese; Cherokee and Canadian syllables; Mongolian.
        '\u{700}'..='\u{74f}'
        | '\u{c00}'..='\u{cff}'
        | '\u{1000}'..='\u{109f}'
        | '\u{13a0}'..='\u{167f}'
        | '\u{1800}'..='\u{18af}' => 0.9,
        // Tamil and Malayalam; Sinhala.
        '\u{b80}'..='\u{bff}' | '\u{d00}'..='\u{d7f}' => 1.15,
        '\u{d80}'..='\u{dff}' => 1.0,
        // Hyphens, of which browsers draw the one that does not break as the other; punctuation,
        // with the sign for one in ten thousand.
        '\u{2010}' | '\u{2011}' => 0.38,
        '\u{2031}' => 1.75,
        '\u{2010}'..='\u{206f}' => 1.0,
        // Currencies; signs like letters, and numbers; mathematics.
        '\u{20a0}'..='\u{20cf}' => 1.1,
        '\u{2100}'..='\u{218f}' | '\u{2200}'..='\u{22ff}' => 1.05,
        '\u{27c0}'..='\u{27ef}' | '\u{2980}'..='\u{2aff}' => 1.15,
        // Frames and blocks; Braille; long arrows; all other arrows, signs and dingbats.
        '\u{2500}'..='\u{259f}' => 1.0,
        '\u{27f0}'..='\u{27ff}' => 1.5,
        '\u{2800}'..='\u{28ff}' => LETTER,
        '\u{2190}'..='\u{2bff}' => PICTURE,
        // Dashes of two and three em.
        '\u{2e3a}' => 2.05,
        '\u{2e3b}' => 3.05,
        // Private signs, mostly pictures; Arabic as it is joined, and its longest ligature.
        '\u{e000}'..='\u{f8ff}' => PICTURE,
        '\u{fdfd}' => 7.3,
        '\u{fb50}'..='\u{fdff}' => 1.0,
        // Letters of mathematics; scripts and signs beyond the first plane.
        '\u{1d400}'..='\u{1d7ff}' => 1.0,
        '\u{1f000}'..='\u{1fbff}' => PICTURE,
        '\u{10000}'.. => 1.0,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As if the letters of ASCII were served, each half an em wide.
    fn guess(character: char) -> f64 {
        advance(character, None, &|part| part.is_ascii().then_some(0.5))
    }

    /// Advances as Chromium draws them without the served font: each the widest of those that the
    /// fonts named at the top have.
    #[test]
    fn no_sign_is_drawn_wider_than_it_is_reckoned() {
        let drawn = [
            ('Ⅷ', 1.317),
            ('①', 0.896),
            ('⑳', 1.0),
            ('☂', 0.896),
            ('⚓', 1.248),
            ('→', 1.028),
            ('⟶', 1.434),
            ('∑', 0.733),
            ('★', 0.896),
            ('🌊', 1.248),
            ('☎', 1.246),
            ('א', 0.668),
            ('ש', 0.709),
            ('ก', 0.6),
            ('바', 0.92),
            ('日', 1.0),
            ('、', 0.55),
            ('ஔ', 1.15),
            ('㎢', 1.0),
            ('℡', 1.074),
            ('№', 1.103),
            ('⅓', 0.969),
            ('‱', 1.735),
            ('\u{2010}', 0.361),
            ('\u{2011}', 0.361),
            ('𝐀', 0.955),
            ('ﷺ', 1.105),
        ];
        for (character, advance) in drawn {
            let guess = guess(character);
            assert!(guess >= advance, "{character}: {guess} for {advance}");
        }
    }

    #[test]
    fn what_is_short_for_letters_is_as_wide_as_they_are() {
        let check = |character, expected: f64| {
            let guess = guess(character);
            assert!((guess - expected).abs() < 1e-9, "{character}: {guess}");
        };
        check('ﬁ', 2.0 * 0.5 * OTHERS_WIDER);
        check('ﬃ', 3.0 * 0.5 * OTHERS_WIDER);
        check('Ⅷ', 4.0 * 0.5 * OTHERS_WIDER);
        check('ế', (0.5 + 2.0 * MARKED) * OTHERS_WIDER);
        check('\u{fdfa}', MOST_SHORTENED);
        check('\u{301}', MARKED);
        check('\u{200b}', 0.0);
        check('\u{7}', 0.0);
    }

    #[test]
    fn a_letter_that_the_typeface_has_is_reckoned_by_its_own_width() {
        let guess = |character, own| advance(character, Some(own), &|_| None);
        assert_eq!(guess('ƕ', 0.9), 0.9 * OTHERS_WIDER);
        assert_eq!(guess('ı', 0.26), 0.26 * OTHERS_WIDER);
        assert_eq!(guess('→', 0.5), PICTURE);
        assert_eq!(guess('\u{301}', 0.0), MARKED);
    }
}
