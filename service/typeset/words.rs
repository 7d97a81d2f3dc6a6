//! Which words may be divided at all, and where else a long stretch may end. Never says where the
//! words of a language are divided.

use super::hyphenate::may_extend;

mod held;

pub use held::is_held;

/// A point at which the author lets a word be divided; never shown.
pub const SOFT_HYPHEN: char = '\u{ad}';

/// Whether words of this token may be divided: not within an address, a path, a number with its
/// unit, a formula, a name in computer text, or where the author set the points.
pub fn is_plain_word(token: &str) -> bool {
    let inner = token.trim_matches(|character: char| !character.is_alphanumeric());
    let odd = |character: char| {
        !(character.is_alphabetic()
            || may_extend(character)
            || matches!(character, '-' | '\u{2010}' | '–' | '—' | '\'' | '’'))
    };
    !token.contains([SOFT_HYPHEN, '@', '\\', '_', '=']) && !inner.contains(odd) && !is_humped(inner)
}

/// Whether a token has a hyphen or dash of its own between letters. It is to be broken there first:
/// a point within one of its parts is the dearer one.
pub fn is_compound(token: &str) -> bool {
    token.char_indices().any(|(at, sign)| {
        is_joint(sign)
            && token[..at].ends_with(char::is_alphabetic)
            && token[at + sign.len_utf8()..].starts_with(char::is_alphabetic)
    })
}

const fn is_joint(sign: char) -> bool {
    matches!(sign, '-' | '\u{2010}' | '–' | '—')
}

/// How many characters to either side a token is looked at: text without spaces has no end.
const TOKEN_REACH: usize = 80;

/// The text between the nearest spaces around a range of bytes.
pub fn token_around(text: &str, start: usize, end: usize) -> &str {
    let inside = |&(_, character): &(usize, char)| !character.is_whitespace();
    let before = text[..start]
        .char_indices()
        .rev()
        .take(TOKEN_REACH)
        .take_while(inside)
        .last();
    let after = text[end..]
        .char_indices()
        .take(TOKEN_REACH)
        .take_while(inside)
        .last();
    let to = after.map_or(end, |(at, character)| end + at + character.len_utf8());
    &text[before.map_or(start, |(at, _)| at)..to]
}

/// Whether a token is an address of the web or of mail, or a path. Of a long address only a part
/// may be seen, so several slashes are enough.
pub fn is_address(token: &str) -> bool {
    let inner = token.trim_matches(|character: char| !character.is_alphanumeric());
    let mail = |(name, host): (&str, &str)| !name.is_empty() && host.contains('.');
    let host = || inner.split(['/', ':', '?']).next().unwrap_or_default();
    inner.contains("://")
        || inner.starts_with("www.")
        || inner.starts_with("mailto:")
        || token.trim_start_matches('~').starts_with('/') && !inner.is_empty()
        || inner.split_once('@').is_some_and(mail)
        || inner.contains('/') && (host().contains('.') || inner.matches('/').count() >= 2)
}

/// Where a long stretch of an address may go on on the next line: after a sign that joins its
/// parts, and nowhere else. Nothing is drawn there, since a hyphen would be read as part of it.
///
/// The stretch is what lies between two opportunities of UAX #14, which has none after most signs.
pub fn address_points(segment: &str) -> Vec<usize> {
    points_after(segment, |sign, after| match sign {
        '/' | '?' | '&' | '=' | '_' | '-' | '~' | '#' | '@' | '.' | ':' => true,
        // Two digits of base 16 after it are one character with it (RFC 3986, section 2.1).
        '%' => !after.get(..2).is_some_and(is_hexadecimal),
        _ => false,
    })
}

fn is_hexadecimal(text: &str) -> bool {
    text.bytes().all(|byte| byte.is_ascii_hexdigit())
}

/// Where a long stretch of computer text may go on on the next line, beyond what UAX #14 allows:
/// after a sign that joins its parts, and before a capital within a name of several words. Nothing
/// is drawn there. Within an address [`address_points`] is the one to ask.
pub fn points_after_signs(segment: &str) -> Vec<usize> {
    let mut points = points_after(segment, |sign, _| {
        matches!(
            sign,
            '=' | '&' | '_' | '(' | ',' | ';' | '.' | ':' | '>' | '/' | '?' | '@' | '#' | '~' | '|'
        )
    });
    if is_humped(segment) && is_long(segment) {
        points.extend(humps(segment).filter(|&at| leaves_enough(segment, 0, at)));
        points.sort_unstable();
        // Of two points that are too near each other the first stays.
        let mut last = 0;
        points.retain(|&point| {
            let enough = leaves_enough(segment, last, point);
            if enough {
                last = point;
            }
            enough
        });
    }
    points
}

/// Stretches of at most so many characters stay whole: they fit on any line.
const LONG_STRETCH: usize = 9;

/// Whether a sentence ends between two stretches of text: the first ends with a full stop, a
/// question or exclamation mark or an ellipsis, behind which quotation marks and brackets may close,
/// and the second does not begin in lower case. So says Unicode Standard Annex #29 but for
/// abbreviations, which neither knows.
pub fn ends_sentence(before: &str, after: &str) -> bool {
    let closing = ['"', '\'', '”', '’', '»', '«', ')', ']', '“', '‘'];
    let said = before.trim_end_matches(closing);
    if !said.ends_with(['.', '!', '?', '…', '。', '！', '？']) {
        return false;
    }
    let opening = |character: &char| !character.is_alphanumeric();
    let next = after.chars().take(4).find(|character| !opening(character));
    !next.is_some_and(char::is_lowercase)
}

/// The fewest characters between two points of a stretch, and between them and its ends.
const LEAST_PART: usize = 3;

fn is_long(segment: &str) -> bool {
    segment.len() > LONG_STRETCH && segment.chars().nth(LONG_STRETCH).is_some()
}

/// The points of a long stretch after the signs that a rule allows, which is handed each sign and
/// the text after it. A sign between digits is part of their number, and a point never stands before
/// another sign.
fn points_after(segment: &str, allows: impl Fn(char, &str) -> bool) -> Vec<usize> {
    let mut points = Vec::new();
    if !is_long(segment) {
        return points;
    }
    let (mut last, mut before) = (0, ' ');
    for (at, sign) in segment.char_indices() {
        let point = at + sign.len_utf8();
        let rest = &segment[point..];
        let numbered = matches!(sign, '.' | ',' | ':' | '/' | '-')
            && before.is_ascii_digit()
            && rest.starts_with(|next: char| next.is_ascii_digit());
        if !sign.is_alphanumeric()
            && !numbered
            && rest.starts_with(char::is_alphanumeric)
            && allows(sign, rest)
            && leaves_enough(segment, last, point)
        {
            points.push(point);
            last = point;
        }
        before = sign;
    }
    points
}

/// Whether enough characters lie between two points, and between the later one and the end.
fn leaves_enough(segment: &str, last: usize, point: usize) -> bool {
    let counts = |part: &str| part.chars().nth(LEAST_PART - 1).is_some();
    counts(&segment[last..point]) && counts(&segment[point..])
}

/// The places before a capital that follows a small letter.
fn humps(text: &str) -> impl Iterator<Item = usize> {
    let mut small = false;
    text.char_indices().filter_map(move |(at, character)| {
        let hump = small && character.is_uppercase();
        small = character.is_lowercase();
        hump.then_some(at)
    })
}

/// Whether capitals divide a text into three words or more, as names in computer text are written.
/// With one such capital it may be a person's name.
fn is_humped(text: &str) -> bool {
    text.len() > LONG_STRETCH && humps(text).nth(1).is_some()
}

#[cfg(test)]
#[path = "words_tests.rs"]
mod tests;
