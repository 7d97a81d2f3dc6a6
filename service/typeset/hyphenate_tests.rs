//! Checks of where words may be divided.

use proptest::prelude::*;
use proptest::sample::select;

use super::*;

fn divider(tag: &str) -> Divider {
    Divider::of(&Language::parse(tag).expect("a tag"))
}

/// Whether a word, given with its points marked by hyphens, is divided so.
fn check(tag: &str, wanted: &str) {
    check_word(tag, &wanted.replace('-', ""), wanted);
}

fn check_word(tag: &str, word: &str, wanted: &str) {
    let mut found = String::new();
    let mut from = 0;
    for point in divider(tag).points(word) {
        found.push_str(&word[from..point]);
        found.push('-');
        from = point;
    }
    found.push_str(&word[from..]);
    assert_eq!(found, wanted, "{tag}");
}

#[test]
fn words_are_divided_by_their_language() {
    // The words that Liang's thesis (STAN-CS-83-977, 1983) and the TeXbook's appendix H work
    // through, as hyphen.tex divides them.
    for word in [
        "hy-phen-ation",
        "com-puter",
        "con-cate-na-tion",
        "al-go-rithm",
        "type-set-ting",
        "daugh-ters",
        "beau-ti-ful",
        "foun-tain",
        "demo-crat",
        "su-per-cal-ifrag-ilis-tic-ex-pi-ali-do-cious",
    ] {
        check("en", word);
    }
    // hyphen.tex has no point in it; the list of exceptions that comes with hyph-en-us has two.
    check("en-us", "man-u-script");
    // Outputs of the patterns hyph-de-1996, hyph-en-gb, hyph-fr and hyph-es.
    check("de", "Sil-ben-tren-nung");
    check("de", "do-nau-dampf-schiff-fahrt");
    check("de", "zu-cker");
    check("en-gb", "hy-phen-a-tion");
    check("fr", "ty-po-gra-phie");
    check("fr", "bi-blio-thèque");
    check("es", "or-de-na-dor");
    check("es", "bi-blio-te-ca");
}

#[test]
fn the_exceptions_of_english_are_kept_in_any_case() {
    // The 14 words of hyphen.tex, line "\hyphenation{".
    for word in [
        "as-so-ciate",
        "as-so-ciates",
        "dec-li-na-tion",
        "oblig-a-tory",
        "phil-an-thropic",
        "present",
        "presents",
        "project",
        "projects",
        "reci-procity",
        "re-cog-ni-zance",
        "ref-or-ma-tion",
        "ret-ri-bu-tion",
        "ta-ble",
    ] {
        check("en", word);
        check("en-us", &word.to_uppercase().replace("TA-BLE", "TABLE"));
        let mut capital = word.to_owned();
        capital[..1].make_ascii_uppercase();
        check("en", &capital);
    }
    // They are those of American English.
    check("en-gb", "table");
}

#[test]
fn the_minima_are_those_of_the_language() {
    // English needs three letters after a point, although the list of its exceptions has acad-e-my;
    // German, French and Greek need two, and no language fewer.
    check("en", "sil-ver-ware");
    check("en", "acad-emy");
    check("fr", "mi-nis-tère");
    check("de", "Bren-ne-rei-en");
    check("el", "οδύσ-σεια");
    check("af", "april");
}

#[test]
fn capitals_that_change_their_length_leave_the_points_in_place() {
    check("de", "STRA-\u{1e9e}EN-BAH-NEN");
    check("de", "Au-\u{1e9e}en-wirt-schaft");
    check("tr", "İS-TAN-BUL-LU-LAR");
    check("el", "ΟΔΥΣ-ΣΕ-ΑΣ");
    // The Kelvin sign is three bytes long, its lower case one.
    check("en", "\u{212a}alei-do-scope");
}

#[test]
fn marks_stay_with_their_letters() {
    check("fr", "bi-blio-the\u{300}que");
    check("de", "U\u{308}ber-set-zung");
    check("hi", "मुख्य-मंत्री");
    assert_eq!(
        divider("hi").points_within("विश्वविद्यालय"),
        divider("hi").points("विश्वविद्यालय")
    );
    check_word("fr", "\u{300}bibliotheque", "\u{300}bibliotheque");
}

#[test]
fn what_is_no_plain_word_is_left_whole() {
    check_word("en", "a1gorithm", "a1gorithm");
    check_word("en", "\u{ad}algorithm", "\u{ad}algorithm");
    check_word("en", "into", "into");
    check_word("en", "UNESCO", "UNESCO");
    check_word("en", "HARBOURS", "HAR-BOURS");
    check_word("tlh", "anything", "anything");
    check_word("en", "", "");
    let points = divider("en").points_within("well-typesetting, a1gorithm’s");
    assert_eq!(points, [9, 12]);
}

const CODES: &[&str] = &[
    "af",
    "as",
    "be",
    "bg",
    "bn",
    "ca",
    "cop",
    "cs",
    "cu",
    "cy",
    "da",
    "de-1901",
    "de-1996",
    "de-ch-1901",
    "el-monoton",
    "el-polyton",
    "en-gb",
    "en-us",
    "eo",
    "es",
    "et",
    "eu",
    "fi",
    "fi-x-school",
    "fr",
    "fur",
    "ga",
    "gl",
    "grc",
    "gu",
    "hi",
    "hr",
    "hsb",
    "hu",
    "hy",
    "ia",
    "id",
    "is",
    "it",
    "ka",
    "kmr",
    "kn",
    "la",
    "la-x-classic",
    "la-x-liturgic",
    "lt",
    "lv",
    "mk",
    "ml",
    "mn-cyrl",
    "mr",
    "mul-ethi",
    "nb",
    "nl",
    "nn",
    "oc",
    "or",
    "pa",
    "pi",
    "pl",
    "pms",
    "pt",
    "rm",
    "ro",
    "ru",
    "sa",
    "sh-cyrl",
    "sh-latn",
    "sk",
    "sl",
    "sq",
    "sr-cyrl",
    "sv",
    "ta",
    "te",
    "th",
    "tk",
    "tr",
    "uk",
    "zh-latn-pinyin",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn points_lie_within_the_word_between_its_clusters(
        code in select(CODES),
        word in prop_oneof![
            "\\p{L}{1,20}",
            "[\\p{L}\\p{M}]{1,20}",
            "[a-zA-ZäöüßẞİıÅKΣσſ]{1,24}",
            "[a-zA-Z]{1,6}[\u{300}-\u{36f}]{0,3}[a-z]{1,9}[\u{300}-\u{303}\u{ad}\u{200d}]?[a-z]{0,4}",
            "[अ-ह\u{93e}-\u{94d}]{1,14}",
            "[α-ωΑ-Ωά-ώ]{1,16}",
            "[а-яА-Я]{1,16}",
        ],
    ) {
        let divider = divider(code);
        let starts: Vec<usize> = word.grapheme_indices(true).map(|(at, _)| at).collect();
        for points in [divider.points(&word), divider.points_within(&word)] {
            prop_assert!(points.is_sorted_by(|a, b| a < b), "{points:?}");
            for point in points {
                prop_assert!(0 < point && point < word.len(), "{point}");
                prop_assert!(starts.binary_search(&point).is_ok(), "{point}");
                let before = starts.partition_point(|&start| start < point);
                prop_assert!(before >= 2 && starts.len() - before >= 2, "{point}");
            }
        }
    }

    #[test]
    fn a_word_is_divided_alike_composed_and_decomposed_small_and_capital(
        word in "[a-zàâçéèêëîïôûü]{7,16}",
    ) {
        let divider = divider("fr");
        let numbers = |text: &str| -> Vec<usize> {
            let points = divider.points(text);
            points.iter().map(|&point| text[..point].graphemes(true).count()).collect()
        };
        let decomposed: String = word.nfd().collect();
        prop_assert_eq!(numbers(&word), numbers(&decomposed));
        prop_assert_eq!(numbers(&word), numbers(&word.to_uppercase()));
    }
}
