//! The form of words in which articles are looked for, and how what a reader types becomes a query of FTS5. Never
//! touches the database.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// The version of the form. Raise it when [`searchable`] gives another text: all articles are then written anew, in
/// small steps, while the service runs.
pub(super) const FORM: u32 = 1;

/// Words of a search at the most, and its characters: more than anybody types on a watch.
pub const MOST_WORDS: usize = 8;
/// See [`MOST_WORDS`].
pub const MOST_CHARACTERS: usize = 100;

/// From so many letters on, the last word stands for all words that begin with it. Shorter beginnings are those of
/// half the words of a language, and take as long.
const LEAST_BEGINNING: usize = 3;

/// What a reader looks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sought {
    /// The words as they were typed, white space as single spaces.
    pub words: String,
    /// The words in the form of [`searchable`], so that the same words are one search.
    pub(in crate::store) key: String,
    /// The query in the syntax of FTS5 (<https://www.sqlite.org/fts5.html#full_text_query_syntax>).
    pub(super) query: String,
}

/// Why there is nothing to look for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unsought {
    /// Nothing was typed.
    Nothing,
    /// Neither letters nor digits were typed.
    SignsAlone,
    /// More words than [`MOST_WORDS`], or more than [`MOST_CHARACTERS`].
    TooMuch,
}

impl Sought {
    /// Reads what a reader has typed. Articles are wanted that have all its words, the last of which may be the
    /// beginning of one.
    ///
    /// # Errors
    /// [`Unsought`].
    pub fn parse(typed: &str) -> Result<Self, Unsought> {
        let words: Vec<&str> = typed.split_whitespace().collect();
        if words.is_empty() {
            return Err(Unsought::Nothing);
        }
        if words.len() > MOST_WORDS || typed.chars().count() > MOST_CHARACTERS {
            return Err(Unsought::TooMuch);
        }
        let forms: Vec<String> = words.iter().filter_map(|word| phrase(word)).collect();
        let Some(last) = forms.last() else {
            return Err(Unsought::SignsAlone);
        };
        // Within quotation marks nothing is syntax, and no mark of the reader's has come so far.
        let quoted: Vec<String> = forms.iter().map(|form| format!("\"{form}\"")).collect();
        let letters = last.rsplit(' ').next().map_or(0, |end| end.chars().count());
        let beginning = if letters < LEAST_BEGINNING { "" } else { "*" };
        Ok(Self {
            words: words.join(" "),
            key: forms.join(" ").to_lowercase(),
            query: quoted.join(" ") + beginning,
        })
    }
}

/// A word as the phrase that it is looked for by, parts of it with single spaces between; `None` where it is made of
/// signs alone.
fn phrase(word: &str) -> Option<String> {
    let is_sign = |character: char| !character.is_alphanumeric() && !is_combining_mark(character);
    let form = searchable(word);
    let parts: Vec<&str> = form
        .split(is_sign)
        .filter(|part| part.contains(char::is_alphanumeric))
        .collect();
    (!parts.is_empty()).then(|| parts.join(" "))
}

/// A text in the form in which it is looked for. FTS5's own tokenizer parts its words and folds their case; what it
/// would not do is done here, to texts and to queries alike:
///
/// - forms of compatibility are written as what they stand for (ligatures, letters of full width), by NFKC;
/// - accents are left out in all scripts, points of Hebrew and vowel signs of Arabic too, which most texts leave out;
///   a sharp s is a double one, and other letters that few keyboards have are spelt out;
/// - characters that are not seen, such as a soft hyphen, are left out, since they would part words;
/// - where a script has no spaces between words, each character is a word, so that any part of a sentence is found.
pub(super) fn searchable(text: &str) -> String {
    let plain = text.nfkd().filter(|character| !is_left_out(*character));
    let mut form = String::with_capacity(text.len());
    let mut before = false;
    for character in plain.nfc() {
        // A mark belongs to the letter before it.
        if is_combining_mark(character) {
            form.push(character);
            continue;
        }
        let unspaced = is_unspaced(character);
        if unspaced || before {
            form.push(' ');
        }
        before = unspaced;
        match spelt_out(character) {
            Some(letters) => form.push_str(letters),
            None => form.push(character),
        }
    }
    form
}

/// What a letter is typed as where a keyboard lacks it (common practice, no source); and a space for a nought, which
/// FTS5 takes for the end of a query.
fn spelt_out(character: char) -> Option<&'static str> {
    Some(match character {
        'ß' | 'ẞ' => "ss",
        'ø' | 'Ø' => "o",
        'æ' | 'Æ' => "ae",
        'œ' | 'Œ' => "oe",
        'ł' | 'Ł' => "l",
        'đ' | 'Đ' => "d",
        'ħ' | 'Ħ' => "h",
        'ı' => "i",
        '\0' => " ",
        _ => return None,
    })
}

/// Accents, points, vowel signs, the Arabic stroke that stretches words, and what is not seen, by The Unicode
/// Standard's charts of these blocks.
fn is_left_out(character: char) -> bool {
    matches!(
        character,
        '\u{300}'..='\u{36F}'
            | '\u{591}'..='\u{5BD}' | '\u{5BF}' | '\u{5C1}' | '\u{5C2}' | '\u{5C4}' | '\u{5C5}' | '\u{5C7}'
            | '\u{610}'..='\u{61A}' | '\u{640}' | '\u{64B}'..='\u{65F}' | '\u{670}'
            | '\u{AD}' | '\u{200B}'..='\u{200F}' | '\u{2060}' | '\u{FE00}'..='\u{FE0F}' | '\u{FEFF}'
    )
}

/// Whether a character is of a script that is written without spaces between words, by the blocks of The Unicode
/// Standard: Thai, Lao, Myanmar and Khmer, Hiragana and Katakana, and Han.
fn is_unspaced(character: char) -> bool {
    matches!(
        character,
        '\u{E01}'..='\u{EFF}'
            | '\u{1000}'..='\u{109F}'
            | '\u{1780}'..='\u{17FF}'
            | '\u{3005}'..='\u{3007}'
            | '\u{3040}'..='\u{30FF}'
            | '\u{31F0}'..='\u{31FF}'
            | '\u{3400}'..='\u{4DBF}'
            | '\u{4E00}'..='\u{9FFF}'
            | '\u{F900}'..='\u{FAFF}'
            | '\u{20000}'..='\u{3FFFF}'
    )
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn check(typed: &str, query: &str) {
        let sought = Sought::parse(typed).unwrap();
        assert_eq!(sought.query, query, "{typed}");
    }

    #[test]
    fn each_word_is_a_quoted_phrase_and_the_last_a_beginning() {
        check("tide", "\"tide\"*");
        check("  ebb \t tide ", "\"ebb\" \"tide\"*");
        check("tide at", "\"tide\" \"at\"");
        check("don't", "\"don t\"");
        check("Cooper's-stair", "\"Cooper s stair\"*");
    }

    #[test]
    fn what_is_syntax_to_fts5_is_text() {
        check("NOT OR AND", "\"NOT\" \"OR\" \"AND\"*");
        check("title:tide", "\"title tide\"*");
        check("\"tide\" AND (ebb)", "\"tide\" \"AND\" \"ebb\"*");
        check("tide* NEAR(a", "\"tide\" \"NEAR a\"");
        check("^tide + {ebb}", "\"tide\" \"ebb\"*");
        check("ti\0de", "\"ti de\"");
    }

    #[test]
    fn without_a_letter_or_a_digit_there_is_nothing_to_look_for() {
        for (typed, why) in [
            ("", Unsought::Nothing),
            (" \t\n", Unsought::Nothing),
            ("!", Unsought::SignsAlone),
            ("\" ' -- 🌊 \u{301}", Unsought::SignsAlone),
            ("a b c d e f g h i", Unsought::TooMuch),
            (&"x".repeat(101), Unsought::TooMuch),
        ] {
            assert_eq!(Sought::parse(typed), Err(why), "{typed}");
        }
        assert!(Sought::parse("a b c d e f g h").is_ok());
        assert!(Sought::parse(&"ü".repeat(100)).is_ok());
    }

    #[test]
    fn the_same_words_are_one_search() {
        let key = |typed: &str| Sought::parse(typed).unwrap().key;
        assert_eq!(key("Café  bar"), key("cafe\u{301} Bar!"));
        assert_ne!(key("ebb"), key("ebb tide"));
    }

    #[test]
    fn texts_are_written_in_one_form() {
        for (text, form) in [
            ("Ærø Łódź Việt", "aero lodz Viet"),
            ("Straße", "Strasse"),
            ("ﬁne ＡＢＣ", "fine ABC"),
            ("Αθήνα ёлка", "Αθηνα елка"),
            ("co\u{AD}op", "coop"),
            ("שָׁלוֹם مُحَمَّد", "שלום محمد"),
            ("한국어", "한국어"),
            ("हिन्दी", "हिन्दी"),
            ("朝の運用", " 朝 の 運 用"),
            ("NHKの午後3", "NHK の 午 後 3"),
            ("ﾃｽﾄ", " テ ス ト"),
            ("ガ", " ガ"),
            ("\u{E19}\u{E49}\u{E33}", " \u{E19}\u{E49}\u{E4D} \u{E32}"),
        ] {
            assert_eq!(searchable(text), form, "{text}");
        }
    }

    proptest! {
        #[test]
        fn no_query_holds_what_could_end_its_quotation(typed in "\\PC{0,60}") {
            if let Ok(sought) = Sought::parse(&typed) {
                let inner = sought.query.trim_end_matches('*');
                let marks = inner.matches('"').count();
                prop_assert_eq!(marks % 2, 0);
                prop_assert_eq!(marks / 2, inner.split("\" \"").count());
                prop_assert!(!inner.contains(['(', ')', ':', '^', '*', '\0']));
            }
        }
    }
}
