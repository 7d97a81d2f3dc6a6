//! Which patterns a language has, their minima and the exceptions that they lack. Never divides.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use hyphenation::{Hyphenator, Language as Patterns, Load, Standard};

use crate::distil::language::Language;

/// The dictionary of a language, decoded on first use and kept for good: 0.1 to 0.4 ms each.
pub fn dictionary(language: &Language) -> Option<&'static Standard> {
    static LOADED: Mutex<BTreeMap<&str, Option<&Standard>>> = Mutex::new(BTreeMap::new());
    let patterns = patterns(language)?;
    let mut loaded = LOADED.lock().unwrap_or_else(PoisonError::into_inner);
    *loaded.entry(patterns.code()).or_insert_with(|| {
        let mut dictionary = Standard::from_embedded(patterns).ok()?;
        dictionary.minima = minima(patterns);
        if patterns == Patterns::EnglishUS {
            for word in ENGLISH_EXCEPTIONS.split_ascii_whitespace() {
                let (word, points) = read_exception(word);
                dictionary.add_exception(word, points);
            }
        }
        Some(&*Box::leak(Box::new(dictionary)))
    })
}

/// The regions whose English is divided as the British do.
const BRITISH: [&str; 6] = ["gb", "ie", "au", "nz", "za", "in"];

/// The patterns of a language. The crate names most of them by the primary subtag; the languages
/// whose patterns have a further part in their names are listed.
fn patterns(language: &Language) -> Option<Patterns> {
    let tag = language.tag();
    if let Some(patterns) = Patterns::try_from_code(tag) {
        return Some(patterns);
    }
    let has = |part: &str| tag.split('-').skip(1).any(|other| other == part);
    let code = match language.primary() {
        "en" if BRITISH.into_iter().any(has) => "en-gb",
        "en" => "en-us",
        "de" if has("1901") && has("ch") => "de-ch-1901",
        "de" if has("1901") => "de-1901",
        "de" => "de-1996",
        "el" if has("polyton") => "el-polyton",
        "el" => "el-monoton",
        "no" => "nb",
        "mn" => "mn-cyrl",
        "ku" => "kmr",
        "mo" => "ro",
        "sr" if has("latn") => "sh-latn",
        "sr" => "sr-cyrl",
        "bs" | "sh" | "cnr" if has("cyrl") => "sh-cyrl",
        "bs" | "sh" | "cnr" => "sh-latn",
        // The languages of the Ethiopic script that are written most.
        "am" | "ti" | "gez" => "mul-ethi",
        "zh" if has("latn") => "zh-latn-pinyin",
        primary => primary,
    };
    Patterns::try_from_code(code)
}

/// The fewest letters before and after a point.
///
/// The crate carries TeX's minima: 2 and 2 for most, 2 and 3 for English, Czech, Slovak, Estonian,
/// Irish, Portuguese, Thai and Welsh. They are those in the headers of hyph-utf8's pattern files
/// (`hyphenmins`, compared with TeX Live 2022, which has no Albanian), but for French. They are used
/// with two departures:
///
/// - French: 2 and 2, as the header of hyph-fr.tex says; the crate's is 2 and 3, which was TeX's.
/// - Never fewer than 2. TeX has a 1 where patterns allow it, and its list of languages
///   (`languages.rb` of hyph-utf8) notes that the author of the Greek patterns would keep 2 and 2 for
///   the looks, and that babel takes 2 for Afrikaans. A single letter gains nothing on a line: the
///   hyphen takes its place.
fn minima(patterns: Patterns) -> (usize, usize) {
    let (left, right) = match patterns {
        Patterns::French => (2, 2),
        _ => patterns.minima(),
    };
    (left.max(2), right.max(2))
}

/// The 14 words that hyphen.tex lists as exceptions to its patterns (D. E. Knuth, "The TeXbook",
/// appendix H; file hyphen.tex), which the crate leaves out, and three for which it carries other
/// points: "hyphenation", for which it has the dictionary's hy-phen-a-tion, as hyphen.tex divides
/// it (the same appendix), and "democrat", on which its patterns are known to go wrong.
const ENGLISH_EXCEPTIONS: &str = "as-so-ciate as-so-ciates dec-li-na-tion oblig-a-tory \
    phil-an-thropic present presents project projects reci-procity re-cog-ni-zance \
    ref-or-ma-tion ret-ri-bu-tion ta-ble \
    hy-phen-ation demo-crat demo-crats";

/// Reads a word with its points marked by hyphens.
fn read_exception(marked: &str) -> (String, Vec<usize>) {
    let mut word = String::with_capacity(marked.len());
    let mut points = Vec::new();
    for part in marked.split('-') {
        if !word.is_empty() {
            points.push(word.len());
        }
        word.push_str(part);
    }
    (word, points)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The codes that the crate names its patterns by.
    const CODES: &str = "af as be bg bn ca cop cs cu cy da de-1901 de-1996 de-ch-1901 el-monoton \
        el-polyton en-gb en-us eo es et eu fi fi-x-school fr fur ga gl grc gu hi hr hsb hu hy ia id \
        is it ka kmr kn la la-x-classic la-x-liturgic lt lv mk ml mn-cyrl mr mul-ethi nb nl nn oc \
        or pa pi pl pms pt rm ro ru sa sh-cyrl sh-latn sk sl sq sr-cyrl sv ta te th tk tr uk \
        zh-latn-pinyin";

    #[test]
    fn every_language_of_the_crate_loads_with_its_minima() {
        let codes: Vec<&str> = CODES.split_ascii_whitespace().collect();
        assert_eq!(codes.len(), 80);
        for code in codes {
            let language = Language::parse(code).expect("a tag");
            let found = patterns(&language).expect("patterns");
            assert_eq!(found.code(), code);
            let dictionary = dictionary(&language).expect("a dictionary");
            assert_eq!(dictionary.minima, minima(found), "{code}");
            let (left, right) = found.minima();
            assert!(dictionary.minima.0 >= left.max(2), "{code}");
            assert!(dictionary.minima.1 >= 2 && right <= 3, "{code}");
        }
    }

    #[test]
    fn a_tag_leads_to_the_patterns_of_its_language_region_and_script() {
        let check = |tag: &str, code: Option<&str>| {
            let found = patterns(&Language::parse(tag).expect("a tag"));
            assert_eq!(found.map(|patterns| patterns.code()), code, "{tag}");
        };
        check("en", Some("en-us"));
        check("en-CA", Some("en-us"));
        check("en-GB-oxendict", Some("en-gb"));
        check("de-AT", Some("de-1996"));
        check("de-CH-1901", Some("de-ch-1901"));
        check("de-DE-1901", Some("de-1901"));
        check("el-GR", Some("el-monoton"));
        check("el-polyton", Some("el-polyton"));
        check("no", Some("nb"));
        check("sr-Latn-RS", Some("sh-latn"));
        check("sr", Some("sr-cyrl"));
        check("bs", Some("sh-latn"));
        check("am", Some("mul-ethi"));
        check("zh", None);
        check("zh-Latn", Some("zh-latn-pinyin"));
        check("pt-BR", Some("pt"));
        check("ja", None);
        check("und", None);
    }
}
