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

/// Languages that are read as Chinese is.
const CHINESE: [&str; 2] = ["cmn", "yue"];

/// The study's means over its 17 languages, in words and in characters a minute.
const MEAN_WORDS_ALOUD: f64 = 184.0;
const MEAN_CHARACTERS_ALOUD: f64 = 863.0;

/// How many words of a language are read in a minute, without a sound; of one without spaces between words,
/// how many characters. They are those of an article's count of words.
///
/// What is read aloud is slower. The study compares languages by the same texts, so each has its rate there
/// times the ratio of the two rates of English. One that it does not have has the study's mean.
fn a_minute(language: &Language) -> f64 {
    let primary = language.primary();
    let primary = if CHINESE.contains(&primary) {
        "zh"
    } else {
        primary
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

/// How many minutes a text of so many words takes to read in its language at the published rate, rounded up, at least 1.
/// In a language without spaces its words are its characters, as `count_words` counts them.
pub fn reading_minutes(words: u32, language: &Language) -> u32 {
    Pace::PUBLISHED.minutes(words, language)
}

/// How fast somebody reads, as a multiple of the published rate, which is the same in every language.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Pace(f64);

/// How many words are read in a time, by the primary tag of their language.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MostWords {
    /// Of each language that has a rate of its own.
    pub of: Vec<(&'static str, u32)>,
    /// Of every other.
    pub others: u32,
}

impl Pace {
    /// That of the studies.
    pub const PUBLISHED: Self = Self(1.0);

    /// The slowest and the fastest that count as reading: a quarter of the published rate and four times it, some 60
    /// and 950 words of English a minute, far from the 175 to 300 of most adults (Brysbaert 2019). What lies beyond is a
    /// pause, or discs that were turned without reading. The factors are common practice, no source.
    pub const SLOWEST: Self = Self(0.25);
    /// See [`Pace::SLOWEST`].
    pub const FASTEST: Self = Self(4.0);

    /// A multiple of the published rate; `None` where nobody reads so slowly or so fast.
    pub fn times(published: f64) -> Option<Self> {
        (Self::SLOWEST.0..=Self::FASTEST.0)
            .contains(&published)
            .then_some(Self(published))
    }

    /// That of reading so many words of a language in so many seconds; `None` where that is no reading.
    pub fn of(words: u32, language: &Language, seconds: f64) -> Option<Self> {
        Self::times(f64::from(words) * 60.0 / seconds / a_minute(language))
    }

    /// The multiple of the published rate.
    pub fn ratio(self) -> f64 {
        self.0
    }

    /// How many words of a language it reads in a minute, to the nearest ten: it is known no better.
    pub fn words_a_minute(self, language: &Language) -> u32 {
        ((self.0 * a_minute(language) / 10.0).round() * 10.0) as u32
    }

    /// How many seconds a text of so many words of a language takes.
    pub fn seconds(self, words: u32, language: &Language) -> f64 {
        self.parts_of_minutes(words, language) * 60.0
    }

    fn parts_of_minutes(self, words: u32, language: &Language) -> f64 {
        f64::from(words) / (self.0 * a_minute(language))
    }

    /// How many minutes a text of so many words of a language takes, rounded up, at least 1.
    pub fn minutes(self, words: u32, language: &Language) -> u32 {
        let minutes = self.parts_of_minutes(words, language).ceil();
        // A float beyond the integer's range becomes its end.
        (minutes as u32).max(1)
    }

    /// The most words that take no more than so many minutes, of each language.
    pub fn most_words(self, minutes: u32) -> MostWords {
        let of = |language: &Language| {
            let mut words = (f64::from(minutes) * self.0 * a_minute(language)) as u32;
            // What floats round is set right by the very rule that it must agree with.
            while words > 0 && self.minutes(words, language) > minutes {
                words -= 1;
            }
            while words < u32::MAX && self.minutes(words + 1, language) <= minutes {
                words += 1;
            }
            words
        };
        let rated = WORDS_ALOUD.iter().chain(&CHARACTERS_ALOUD);
        let tags = rated.map(|(tag, _)| *tag).chain(LETTERS_UNSPACED);
        let tags = tags.chain(CHINESE);
        MostWords {
            of: tags
                .filter_map(|tag| Some((tag, of(&Language::parse(tag)?))))
                .collect(),
            others: of(&Language::unknown()),
        }
    }
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

    #[test]
    fn the_most_words_of_a_time_are_those_that_take_no_longer_in_every_language() {
        for ratio in [0.25, 0.7, 1.0, 1.3, 4.0] {
            let pace = Pace::times(ratio).unwrap();
            for minutes in [1, 3, 8] {
                let most = pace.most_words(minutes);
                let others = ["und", "cy", "ko"].map(|tag| (tag, most.others));
                for (tag, words) in most.of.iter().copied().chain(others) {
                    let language = Language::parse(tag).unwrap_or_else(Language::unknown);
                    assert_eq!(language.primary(), tag);
                    assert_eq!(pace.minutes(words, &language), minutes, "{tag} {ratio}");
                    assert_eq!(pace.minutes(words + 1, &language), minutes + 1, "{tag}");
                }
            }
        }
        // 238 words a minute (Brysbaert 2019).
        let most = Pace::PUBLISHED.most_words(3).of;
        assert!(most.contains(&("en", 714)), "{most:?}");
    }

    #[test]
    fn a_pace_is_a_multiple_of_the_published_rate_in_every_language() {
        // 190 words of English a minute are 0.798 of 238, and 0.798 of German's 186.9 are 149.
        let english = Language::parse("en-gb").unwrap();
        let german = Language::parse("de").unwrap();
        let pace = Pace::of(95, &english, 30.0).unwrap();
        assert_eq!(pace.words_a_minute(&english), 190);
        assert_eq!(pace.words_a_minute(&german), 150);
        assert_eq!(pace.minutes(190, &english), 1);
        assert_eq!(pace.minutes(191, &english), 2);
    }

    #[test]
    fn what_is_too_slow_or_too_fast_is_no_reading() {
        let english = Language::parse("en").unwrap();
        let is_reading = |seconds| Pace::of(238, &english, seconds).is_some();
        let judged = [14.9, 15.0, 60.0, 240.0, 240.1, 0.0, -5.0].map(is_reading);
        assert_eq!(judged, [false, true, true, true, false, false, false]);
        assert_eq!(Pace::times(f64::NAN), None);
    }
}
