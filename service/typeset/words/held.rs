//! Where a line must not end although UAX #14 lets it: between a number and its unit, initials and
//! names, the groups of a number. Knows no language, and never says where a word is divided.
//!
//! It is sparing, since on lines of some twenty characters each held space costs rag: only what is
//! short and would be misread is held. The lists are common practice in English, German, French
//! and Spanish, no source; the units are those of the SI (from memory) and a few of daily life.

use super::{SOFT_HYPHEN, is_joint, may_extend};

/// The most characters that are held together, signs after them not counted: two thirds of a line.
const MOST_HELD: usize = 14;

/// The most characters of a day with its month: a longer month stands alone without being misread.
const LONGEST_DAY: usize = 9;

/// Whether a line must not end at a byte offset that UAX #14 gives as an opportunity, because what
/// stands on its two sides belongs together. Offsets that are no opportunity give `false`.
pub fn is_held(text: &str, at: usize) -> bool {
    let Some((before, after)) = text.split_at_checked(at) else {
        return false;
    };
    let (Some(left), Some(right)) = (before.chars().next_back(), after.chars().next()) else {
        return false;
    };
    match left {
        ' ' => {}
        SOFT_HYPHEN => return !parts_a_word(before, right),
        _ if is_joint(left) => return is_range(before, after, left),
        _ if is_space(left) => {}
        _ => return false,
    }
    let head = before.trim_end_matches(is_space);
    let Some(last) = head.chars().next_back() else {
        return false;
    };
    match (last, right) {
        ('«' | '‹', _) => return opens(head),
        (_, '»' | '›') => return closes(after),
        ('\n' | '\r', _) => return false,
        _ => {}
    }
    let may_bind = right.is_ascii_digit()
        || ends_number(last)
        || last == '.'
        || (right.is_uppercase() && last.is_lowercase() && is_short(head));
    may_bind && holds(head, after)
}

fn is_space(character: char) -> bool {
    character.is_whitespace() && !matches!(character, '\n' | '\r')
}

/// Whether a soft hyphen has letters on both sides; one at the edge of a word divides nothing.
fn parts_a_word(before: &str, right: char) -> bool {
    let letter = |character: char| character.is_alphanumeric() || may_extend(character);
    right.is_alphanumeric() && before.trim_end_matches(SOFT_HYPHEN).ends_with(letter)
}

/// Whether a dash stands between two numbers that are short enough to be held.
fn is_range(before: &str, after: &str, dash: char) -> bool {
    let head = &before[..before.len() - dash.len_utf8()];
    head.ends_with(ends_number)
        && after.starts_with(|next: char| next.is_ascii_digit())
        && match (last_token(head), first_token(after)) {
            (Some(left), Some(right)) => {
                count(left) + 1 + count(right.trim_end_matches(CLOSING)) <= MOST_HELD
            }
            _ => false,
        }
}

/// Whether the guillemet at the end of a text stands alone and opens, as in French.
fn opens(head: &str) -> bool {
    let before = head.chars().rev().nth(1);
    before.is_none_or(|before| before.is_whitespace() || OPENING.contains(&before))
}

/// Whether a closing guillemet stands alone after a space, as in French.
fn closes(after: &str) -> bool {
    after
        .chars()
        .nth(1)
        .is_none_or(|next| next.is_whitespace() || CLOSING.contains(&next))
}

/// Whether the last token of a text, at most six characters, may be a title or a word of measure.
fn is_short(head: &str) -> bool {
    head.chars().rev().take(7).any(char::is_whitespace) || head.len() <= 6
}

/// Whether the last token before a space is held to the first after it. The held tokens before it
/// count too: a chain that would grow too long is let go at its end.
fn holds(head: &str, after: &str) -> bool {
    let (Some(mut left), Some(right)) = (last_token(head), first_token(after)) else {
        return false;
    };
    if !binds(left, right) {
        return false;
    }
    let mut length = count(left) + 1 + count(right.trim_end_matches(CLOSING));
    let mut rest = &head[..head.len() - left.len()];
    while length <= MOST_HELD {
        let shorter = rest.trim_end_matches(is_space);
        let Some(token) = last_token(shorter) else {
            break;
        };
        if shorter.len() == rest.len() || !binds(token, left) {
            break;
        }
        length += count(token) + 1;
        rest = &shorter[..shorter.len() - token.len()];
        left = token;
    }
    length <= MOST_HELD
}

fn count(text: &str) -> usize {
    text.chars().count()
}

/// What follows the last space of a text; `None` where that is nothing, or too long to be held.
fn last_token(text: &str) -> Option<&str> {
    let reach = text.char_indices().rev().take(MOST_HELD + 1);
    let token = reach.take_while(|&(_, character)| !character.is_whitespace());
    let (number, (start, _)) = token.enumerate().last()?;
    (number < MOST_HELD).then(|| &text[start..])
}

/// What precedes the first space of a text; `None` where that is nothing, or too long to be held.
fn first_token(text: &str) -> Option<&str> {
    let reach = text.char_indices().take(MOST_HELD + 4);
    let token = reach.take_while(|&(_, character)| !character.is_whitespace());
    let (number, (at, last)) = token.enumerate().last()?;
    (number < MOST_HELD + 3).then(|| &text[..at + last.len_utf8()])
}

/// Signs that may stand before a token and are no part of it.
const OPENING: [char; 10] = ['(', '[', '“', '"', '‘', '\'', '„', '«', '»', '–'];

/// Signs that may stand after a token and are no part of it.
const CLOSING: [char; 15] = [
    '.', ',', ';', ':', '!', '?', ')', ']', '”', '“', '"', '’', '\'', '»', '…',
];

/// Whether two tokens belong together.
fn binds(left: &str, right: &str) -> bool {
    let left = left.trim_start_matches(OPENING);
    let core = right.trim_end_matches(CLOSING);
    if right.starts_with(|next: char| next.is_ascii_digit()) {
        return MEASURES.contains(&left)
            || (is_number(left) && is_group(left, core))
            || (is_month(left) && is_day(core) && fits_day(left, core));
    }
    if is_number(left) {
        return is_unit(left, core) || (is_day(left) && is_month(core) && fits_day(left, core));
    }
    if let Some(day) = left.strip_suffix('.')
        && is_day(day)
    {
        return is_month(core) && fits_day(left, core);
    }
    let name = right.starts_with(char::is_uppercase);
    (name && TITLES.contains(&left)) || binds_initials(left, right, name)
}

fn fits_day(left: &str, right: &str) -> bool {
    count(left) + 1 + count(right) <= LONGEST_DAY
}

fn ends_number(character: char) -> bool {
    character.is_ascii_digit() || matches!(character, '½' | '¼' | '¾' | '⅓' | '⅔' | '⅛')
}

fn is_number(token: &str) -> bool {
    token.ends_with(ends_number)
        && token.chars().all(|character| {
            ends_number(character) || character.is_ascii_punctuation() || SIGNS.contains(&character)
        })
}

/// Signs within numbers, beyond those of ASCII.
const SIGNS: [char; 9] = ['’', '−', '–', '±', '≈', '×', '£', '€', '¥'];

/// Whether a group of three digits goes on with a number: `12 000`.
fn is_group(left: &str, right: &str) -> bool {
    let digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    digits(right) == 3
        && matches!(
            left.len() - left.trim_end_matches(|d: char| d.is_ascii_digit()).len(),
            1..=3
        )
}

fn is_day(token: &str) -> bool {
    (1..=2).contains(&token.len()) && token.parse::<u8>().is_ok_and(|day| (1..=31).contains(&day))
}

fn is_month(token: &str) -> bool {
    (3..=7).contains(&count(token)) && MONTHS.split_ascii_whitespace().any(|month| month == token)
}

/// Whether a token is the unit of a number. Halves of the day follow hours only, and what is a
/// common word too follows no number that may be a year.
fn is_unit(number: &str, token: &str) -> bool {
    if matches!(token, "am" | "pm" | "a.m" | "p.m" | "AM" | "PM") {
        let hour = number.split(['.', ':']).next().unwrap_or_default();
        return hour.parse::<u8>().is_ok_and(|hour| hour <= 12);
    }
    if matches!(token, "ha" | "mi" | "bar" | "s" | "l") {
        let year = number.len() == 4 && number.parse::<u16>().is_ok_and(|year| year < 2_200);
        return !year;
    }
    // The longest is `Mbit/s`.
    token.len() <= 6 && UNITS.split_ascii_whitespace().any(|unit| unit == token)
}

/// Whether a token is initials, and the other a name, further initials, or the end of a short form
/// such as `z. B.`.
fn binds_initials(left: &str, right: &str, name: bool) -> bool {
    let mut letters = 0;
    let mut capital = true;
    for part in left.split_inclusive('.') {
        let mut inner = part.trim_start_matches('-').chars();
        match (inner.next(), inner.next(), inner.next()) {
            (Some(letter), Some('.'), None) if letter.is_alphabetic() => {
                letters += 1;
                capital &= letter.is_uppercase();
            }
            _ => return false,
        }
    }
    let short = || right.len() <= 5 && right.trim_end_matches(',').ends_with('.');
    letters > 0 && ((capital && name) || (letters == 1 && short()))
}

/// Words and signs before a number.
const MEASURES: [&str; 72] = [
    "No", "No.", "Nos.", "no.", "nos.", "Nr.", "Nr", "nr.", "N°", "n°", "Nº", "nº", "n.º", "№",
    "p.", "pp.", "P.", "S.", "s.", "pág.", "págs.", "ch.", "Ch.", "chap.", "Chap.", "cap.", "Cap.",
    "Kap.", "§", "§§", "¶", "Fig.", "Figs.", "fig.", "figs.", "Abb.", "Tab.", "tab.", "Eq.", "eq.",
    "Art.", "art.", "vol.", "Vol.", "Bd.", "Sec.", "sec.", "Abs.", "Op.", "op.", "c.", "ca.", "£",
    "$", "€", "¥", "US$", "CHF", "EUR", "USD", "GBP", "+", "−", "±", "≈", "~", "<", ">", "≤", "≥",
    "×", "#",
];

/// Titles before a name.
const TITLES: [&str; 36] = [
    "Mr", "Mr.", "Mrs", "Mrs.", "Ms", "Ms.", "Mx", "Dr", "Dr.", "Prof", "Prof.", "St", "St.",
    "Ste", "Sta.", "Sto.", "Hr.", "Fr.", "Frl.", "MM.", "Mme", "Mlle", "Mgr", "Sr", "Sr.", "Sra",
    "Sra.", "Srta.", "Dña.", "Lt", "Lt.", "Capt.", "Sgt.", "Col.", "Rev.", "Messrs",
];

/// Units and what else belongs to the number before it. `in` is left out, a common word.
const UNITS: &str = "% ‰ ° °C °F K m km cm mm µm μm nm ft yd m² km² cm² m³ cm³ L ml mL cl dl hl g \
    kg mg µg μg t lb lbs oz ms min h hr hrs Std Min Sek Uhr Hz kHz MHz GHz W kW MW GW Wh kWh MWh \
    GWh TWh V kV mV mA Ah mAh Ω kΩ J kJ MJ cal kcal N kN Nm Pa hPa kPa MPa mbar dB lm lx cd mol kB \
    KB MB GB TB kbit/s Mbit/s Gbit/s MB/s km/h m/s mph kn rpm dpi ppm px pt sq € $ £ ¥ ¢ EUR USD \
    GBP CHF Fr kr zł Kč Ft ct BC AD BCE CE bn mn Mio Mrd ′ ″ ×";

/// Months of at most seven letters: longer ones are not held to their days.
const MONTHS: &str = "January March April May June July August October Jan Feb Mar Apr Jun Jul Aug \
    Sep Sept Oct Nov Dec Januar Februar März Mai Juni Juli Oktober Okt Dez janvier février mars \
    avril mai juin juillet août octobre enero febrero marzo abril mayo junio julio agosto octubre";
