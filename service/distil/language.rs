//! Which language a text is in and which way it runs. Never reads HTML.

/// A BCP 47 tag in lower case, such as `en-gb`; `und` where nothing is known.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Language(String);

/// The base direction of a block.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Direction {
    /// Left to right.
    #[default]
    Ltr,
    /// Right to left.
    Rtl,
}

impl Language {
    /// Nothing is known of the language (BCP 47's `und`).
    pub fn unknown() -> Self {
        Self("und".to_owned())
    }

    /// Reads a tag; anything that is not shaped like one gives `None`.
    pub fn parse(tag: &str) -> Option<Self> {
        let tag = tag.trim().replace('_', "-");
        let mut parts = tag.split('-');
        let primary = parts.next()?;
        let shaped = (2..=3).contains(&primary.len())
            && primary.bytes().all(|byte| byte.is_ascii_alphabetic())
            && parts.all(|part| {
                (1..=8).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_alphanumeric())
            });
        shaped.then(|| Self(tag.to_ascii_lowercase()))
    }

    /// Detects the language of a body of text; `None` where it is too short or too odd to tell.
    ///
    /// Texts in scripts of many languages need 200 letters: trigrams told 97 % of such texts right
    /// and 91 % of those with 20 to 90 characters (measured on whatlang 0.18).
    pub fn detect(text: &str) -> Option<Self> {
        let sample: String = text.chars().take(SAMPLE_CHARACTERS).collect();
        let letters = sample
            .chars()
            .filter(|character| character.is_alphabetic())
            .count();
        let found = whatlang::detect(&sample)?;
        let alone = found.script().langs().len() == 1 && letters >= LEAST_LETTERS;
        let long = letters >= 200 && found.is_reliable();
        if alone || long {
            Self::parse(primary_tag(found.lang())?)
        } else {
            None
        }
    }

    /// Whether a text cannot be in this language, which is written in Latin letters only, since most of its
    /// letters are of another script. Programs that publish declare English where nobody tells them.
    pub fn is_belied_by(&self, text: &str) -> bool {
        let latin = whatlang::Script::Latin.langs();
        let tags = || latin.iter().filter_map(|language| primary_tag(*language));
        if self.tag() != self.primary() && self.tag().split('-').any(|part| part.len() == 4)
            || ALSO_IN_OTHER_SCRIPTS.contains(&self.primary())
            || !tags().any(|tag| tag == self.primary())
        {
            return false;
        }
        let sample: String = text.chars().take(SAMPLE_CHARACTERS).collect();
        let letters = sample.chars().filter(|letter| letter.is_alphabetic());
        letters.count() >= LEAST_LETTERS
            && whatlang::detect_script(&sample)
                .is_some_and(|script| script != whatlang::Script::Latin)
    }

    /// The whole tag.
    pub fn tag(&self) -> &str {
        &self.0
    }

    /// The primary subtag, such as `en` of `en-gb`.
    pub fn primary(&self) -> &str {
        self.0.split('-').next().unwrap_or("und")
    }
}

/// The letters that show which script a text is in.
const LEAST_LETTERS: usize = 20;

/// Languages that the detector knows in Latin letters, and that are written in others too (from memory).
const ALSO_IN_OTHER_SCRIPTS: [&str; 5] = ["az", "jv", "ro", "tk", "uz"];

/// How much of a text is looked at, in characters.
const SAMPLE_CHARACTERS: usize = 4_000;

/// Languages written from right to left unless the tag names another script (the scripts' default
/// by CLDR, from memory).
const RIGHT_TO_LEFT: [&str; 14] = [
    "ar", "arc", "ckb", "dv", "fa", "he", "iw", "nqo", "ps", "sd", "syr", "ug", "ur", "yi",
];

/// Scripts written from right to left (ISO 15924 codes).
const RIGHT_TO_LEFT_SCRIPTS: [&str; 9] = [
    "adlm", "arab", "hebr", "mand", "nkoo", "rohg", "samr", "syrc", "thaa",
];

impl Direction {
    /// The way a language is written; `None` if nothing is known of the language.
    pub fn of_language(language: &Language) -> Option<Self> {
        if language.primary() == "und" {
            return None;
        }
        let script = language
            .tag()
            .split('-')
            .skip(1)
            .find(|part| part.len() == 4);
        let leftward = match script {
            Some(script) => RIGHT_TO_LEFT_SCRIPTS.contains(&script),
            None => RIGHT_TO_LEFT.contains(&language.primary()),
        };
        Some(if leftward { Self::Rtl } else { Self::Ltr })
    }

    /// The way of the first letter that has one (UAX #9, rules P2 and P3, by blocks of scripts).
    pub fn of_text(text: &str) -> Self {
        match text.chars().find(|character| character.is_alphabetic()) {
            Some(
                '\u{590}'..='\u{8ff}'
                | '\u{fb1d}'..='\u{fdff}'
                | '\u{fe70}'..='\u{fefe}'
                | '\u{10800}'..='\u{10fff}'
                | '\u{1e800}'..='\u{1efff}',
            ) => Self::Rtl,
            _ => Self::Ltr,
        }
    }
}

/// BCP 47 prefers the codes of two letters (ISO 639-1); the detector gives those of three.
fn primary_tag(language: whatlang::Lang) -> Option<&'static str> {
    let code = language.code();
    let pairs = "\
        epo eo eng en rus ru cmn zh spa es por pt ita it ben bn fra fr deu de ukr uk kat ka ara ar \
        hin hi jpn ja heb he yid yi pol pl amh am jav jv kor ko nob nb dan da swe sv fin fi tur tr \
        nld nl hun hu ces cs ell el bul bg bel be mar mr kan kn ron ro slv sl hrv hr srp sr mkd mk \
        lit lt lav lv est et tam ta vie vi urd ur tha th guj gu uzb uz pan pa aze az ind id tel te \
        pes fa mal ml ori or mya my nep ne sin si khm km tuk tk aka ak zul zu sna sn afr af lat la \
        slk sk cat ca tgl tl hye hy cym cy";
    let mut words = pairs.split_ascii_whitespace();
    while let (Some(three), Some(two)) = (words.next(), words.next()) {
        if three == code {
            return Some(two);
        }
    }
    Some(code)
}

#[cfg(test)]
mod tests {
    use super::*;

    const ENGLISH: &str = "The harbour office opens the gates an hour before high water and closes \
        them again when the stream has turned, so that the boats which lie in the inner basin keep \
        enough water under their keels to float through the night and through the next morning.";
    const GERMAN: &str = "Die Bohnen stehen in diesem Jahr spät, aber die Beete am Deich sind schon \
        gehackt, und wer noch Saatgut braucht, findet am Schuppen eine Kiste mit Tüten, aus der sich \
        jeder bedienen darf, solange er im Herbst wieder etwas hineinlegt und es beschriftet.";

    #[test]
    fn long_texts_are_told_and_short_ones_are_not() {
        let check = |text: &str, expected: Option<&str>| {
            assert_eq!(
                Language::detect(text).as_ref().map(Language::tag),
                expected,
                "{text}"
            );
        };
        check(ENGLISH, Some("en"));
        check(GERMAN, Some("de"));
        check("Ebb and flood", None);
        check("", None);
        check("ᎣᏏᏲ ᎢᎬᏱ ᏗᏓᎴᎲᏍᎬ ᎠᎹ ᎤᏂᎩᏒ", None);
        check("Σήμερα η θάλασσα είναι ήρεμη στο λιμάνι", Some("el"));
    }

    #[test]
    fn a_language_in_latin_letters_is_belied_by_a_text_in_others() {
        let check = |tag: &str, text: &str, expected: bool| {
            let language = Language::parse(tag).expect("a tag");
            assert_eq!(language.is_belied_by(text), expected, "{tag}: {text}");
        };
        let greek = "Σήμερα η θάλασσα είναι ήρεμη στο λιμάνι";
        check("en-us", greek, true);
        check("el", greek, false);
        check("el-latn", greek, false);
        check("ro", greek, false);
        check("en", "Σήμερα", false);
        check("en", ENGLISH, false);
        check("en", &format!("{ENGLISH} {greek}"), false);
        check("de", ENGLISH, false);
    }

    #[test]
    fn every_language_of_the_detector_has_a_tag() {
        for language in whatlang::Lang::all() {
            let tag = primary_tag(*language).expect("a tag");
            assert_eq!(tag.len(), 2, "{tag}");
            assert!(Language::parse(tag).is_some());
        }
    }

    #[test]
    fn direction_comes_from_language_script_or_text() {
        let check = |tag: &str, expected: Option<Direction>| {
            let language = Language::parse(tag).expect("a tag");
            assert_eq!(Direction::of_language(&language), expected, "{tag}");
        };
        check("en-GB", Some(Direction::Ltr));
        check("ar", Some(Direction::Rtl));
        check("he-IL", Some(Direction::Rtl));
        check("ur-Latn", Some(Direction::Ltr));
        check("az-Arab-IR", Some(Direction::Rtl));
        check("und", None);
        assert_eq!(Direction::of_text("12: שלום"), Direction::Rtl);
        assert_eq!(Direction::of_text("…"), Direction::Ltr);
    }
}
