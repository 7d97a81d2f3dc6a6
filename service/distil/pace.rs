//! How long a text takes to read. Never counts words itself.

use super::language::Language;

/// Words a minute of silent reading of English non-fiction, the mean of 190 studies (Brysbaert 2019,
/// J. Mem. Lang. 109:104047).
const ENGLISH_SILENT: f64 = 238.0;

/// Words a minute of the same English texts read aloud as those of the table below.
const ENGLISH_ALOUD: f64 = 228.0;

/// Words a minute of texts of one difficulty read aloud (Trauzettel-Klosinski and Dietz 2012, IOVS 53:5452);
/// Portuguese, Russian, Slovenian, Swedish and Turkish from memory.
const WORDS_ALOUD: [(&str, f64); 15] = [
    ("ar", 138.0),
    ("de", 179.0),
    ("en", ENGLISH_ALOUD),
    ("es", 218.0),
    ("fi", 161.0),
    ("fr", 195.0),
    ("he", 187.0),
    ("it", 188.0),
    ("nl", 202.0),
    ("pl", 166.0),
    ("pt", 181.0),
    ("ru", 184.0),
    ("sl", 180.0),
    ("sv", 199.0),
    ("tr", 166.0),
];

/// Characters a minute where a word of UAX #29 is a character, of the same study.
const CHARACTERS_ALOUD: [(&str, f64); 2] = [("ja", 357.0), ("zh", 255.0)];

/// Languages whose letters spell words without spaces between them; to UAX #29 a letter with its marks is
/// a word (from memory).
const LETTERS_UNSPACED: [&str; 6] = ["bo", "dz", "km", "lo", "my", "th"];

/// The study's means over its 17 languages, in words and in characters a minute.
const MEAN_WORDS_ALOUD: f64 = 184.0;
const MEAN_CHARACTERS_ALOUD: f64 = 863.0;

/// How many words of a language are read in a minute, without a sound; of one without spaces between words,
/// how many characters. They are those of an article's count of words.
///
/// What is read aloud is slower. The study compares languages by the same texts, so each has its rate there
/// times the ratio of the two rates of English. One that it does not have has the study's mean.
fn a_minute(language: &Language) -> f64 {
    let primary = match language.primary() {
        "cmn" | "yue" => "zh",
        primary => primary,
    };
    let rates = WORDS_ALOUD.iter().chain(&CHARACTERS_ALOUD);
    let known = rates.copied().find(|(tag, _)| *tag == primary);
    let aloud = match known {
        Some((_, rate)) => rate,
        None if LETTERS_UNSPACED.contains(&primary) => MEAN_CHARACTERS_ALOUD,
        None => MEAN_WORDS_ALOUD,
    };
    aloud * ENGLISH_SILENT / ENGLISH_ALOUD
}

/// How many minutes a text of so many words takes to read in its language, rounded up, at least 1. In a
/// language without spaces its words are its characters, as `count_words` counts them.
pub fn reading_minutes(words: u32, language: &Language) -> u32 {
    let minutes = (f64::from(words) / a_minute(language)).ceil();
    // A float beyond the integer's range becomes its end.
    (minutes as u32).max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(words: u32, tag: &str, minutes: u32) {
        let language = Language::parse(tag).unwrap_or_else(Language::unknown);
        assert_eq!(
            reading_minutes(words, &language),
            minutes,
            "{words} words, {tag}"
        );
    }

    // 238 words a minute (Brysbaert 2019): 60.0, 75.6, 151.3 and 252.1 seconds.
    #[test]
    fn reading_minutes_are_rounded_up() {
        for (words, minutes) in [
            (0, 1),
            (1, 1),
            (238, 1),
            (239, 2),
            (300, 2),
            (600, 3),
            (1_000, 5),
        ] {
            check(words, "en-GB", minutes);
        }
        check(u32::MAX, "en", 18_046_082);
    }

    // The same text in minutes: Finnish has 161 words where English has 228 (Trauzettel-Klosinski and Dietz
    // 2012), so that as long takes as long.
    #[test]
    fn texts_that_take_as_long_aloud_take_as_long_in_silence() {
        for (words, tag) in [(228, "en"), (161, "fi"), (179, "de-at"), (138, "ar")] {
            check(10 * words, tag, 10);
            check(10 * words + words / 2, tag, 11);
        }
    }

    // 255 and 357 characters a minute aloud (the same), times 238/228: 266.2 and 372.7.
    #[test]
    fn chinese_and_japanese_are_read_by_characters() {
        check(266, "zh-Hans", 1);
        check(267, "zh", 2);
        check(267, "cmn", 2);
        check(372, "ja", 1);
        check(373, "ja", 2);
        check(900, "th", 1);
        check(901, "th", 2);
    }

    // 184 words a minute in the mean of 17 languages (the same), times 238/228: 192.07.
    #[test]
    fn other_languages_are_read_at_the_mean_rate() {
        for tag in ["cy", "und", "ko"] {
            check(192, tag, 1);
            check(193, tag, 2);
        }
    }
}
