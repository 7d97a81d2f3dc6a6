//! Which words may be divided at all. Never says where.

/// A point at which the author lets a word be divided; never shown.
pub const SOFT_HYPHEN: char = '\u{ad}';

/// Whether words of this token may be divided: not within an address, a path, a number with its
/// unit, a formula, or where the author set the points.
pub fn is_plain_word(token: &str) -> bool {
    let inner = token.trim_matches(|character: char| !character.is_alphanumeric());
    let odd = |character: char| {
        !(character.is_alphabetic()
            || matches!(character, '-' | '\u{2010}' | '–' | '—' | '\'' | '’'))
    };
    !token.contains([SOFT_HYPHEN, '@', '\\', '_', '=']) && !inner.contains(odd)
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

/// Where a long stretch of an address or of computer text may go on on the next line, beyond what
/// UAX #14 allows: after a sign that joins its parts. Nothing is drawn there.
pub fn points_after_signs(segment: &str) -> Vec<usize> {
    if segment.chars().nth(LONG_STRETCH).is_none() {
        return Vec::new();
    }
    let signs = segment
        .char_indices()
        .filter(|(_, character)| matches!(character, '=' | '&' | '_' | '('));
    let joins = |&point: &usize| {
        segment[..point].len() > 1 && segment[point..].starts_with(char::is_alphanumeric)
    };
    signs
        .map(|(at, sign)| at + sign.len_utf8())
        .filter(joins)
        .collect()
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
