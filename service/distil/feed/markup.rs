//! XML into tags and text, leniently: what is malformed is passed, never an error. Knows no feeds.

use std::collections::HashMap;

/// How many attributes of one tag are read. Parsers compare each with all before it.
const MAXIMUM_ATTRIBUTES: usize = 64;

/// The longest name of a reference that is looked up. The longest that HTML has is 31 characters.
const MAXIMUM_REFERENCE: usize = 32;

/// How many different names are looked up, each of which costs a call of the HTML parser. HTML has 2,231.
const MAXIMUM_NAMES: usize = 4_096;

pub(super) struct Attribute<'a> {
    pub name: &'a str,
    pub value: &'a str,
}

pub(super) enum Token<'a> {
    /// Text with references.
    Text(&'a str),
    /// Text without references.
    Literal(&'a str),
    Start {
        name: &'a str,
        attributes: Vec<Attribute<'a>>,
        empty: bool,
        source: &'a str,
    },
    End {
        name: &'a str,
        source: &'a str,
    },
}

/// Declarations, comments, instructions and document types are left out: with the last go the
/// entities that a hostile feed would expand.
pub(super) struct Tokens<'a> {
    xml: &'a str,
    at: usize,
    last_comment_end: Option<usize>,
    last_subset_end: Option<usize>,
}

impl<'a> Tokens<'a> {
    pub fn new(xml: &'a str) -> Self {
        Self {
            xml,
            at: 0,
            last_comment_end: xml.rfind("-->"),
            last_subset_end: xml.rfind(']'),
        }
    }

    fn take(&mut self, length: usize) -> &'a str {
        let taken = &self.xml[self.at..self.at + length];
        self.at += length;
        taken
    }

    /// Passes everything up to the end of `close`.
    fn skip_past(&mut self, from: usize, close: &str) {
        let rest = &self.xml[self.at..];
        let length = rest[from..]
            .find(close)
            .map_or(rest.len(), |at| from + at + close.len());
        self.at += length;
    }

    /// Passes a document type with its internal subset. It looks no further than it passes, since a
    /// hostile feed may have a million of them.
    fn skip_document_type(&mut self) {
        let rest = &self.xml[self.at..];
        let open = rest
            .find(['[', '>'])
            .filter(|at| rest[*at..].starts_with('['));
        let open = open.filter(|open| self.last_subset_end > Some(self.at + open));
        match open.and_then(|open| rest[open..].find(']').map(|close| open + close)) {
            Some(close) => self.skip_past(close, ">"),
            None => self.skip_past(0, ">"),
        }
    }

    fn tag(&mut self) -> Option<Token<'a>> {
        let rest = &self.xml[self.at..];
        let bytes = rest.as_bytes();
        let end = tag_end(bytes)?;
        let source = &rest[..=end];
        if bytes[1] == b'/' {
            self.at += end + 1;
            return Some(Token::End {
                name: rest[2..end].trim(),
                source,
            });
        }
        let empty = bytes[end - 1] == b'/';
        let inner = &rest[1..if empty { end - 1 } else { end }];
        let name_end = inner
            .find(|c: char| c.is_whitespace() || c == '/')
            .unwrap_or(inner.len());
        self.at += end + 1;
        let attributes = attributes(&inner[name_end..]);
        Some(Token::Start {
            name: &inner[..name_end],
            attributes,
            empty,
            source,
        })
    }
}

impl<'a> Iterator for Tokens<'a> {
    type Item = Token<'a>;

    fn next(&mut self) -> Option<Token<'a>> {
        loop {
            let rest = &self.xml[self.at..];
            let bytes = rest.as_bytes();
            if bytes.first()? != &b'<' {
                let end = rest.find('<').unwrap_or(rest.len());
                return Some(Token::Text(self.take(end)));
            }
            if rest.starts_with("<!--") {
                // One that nothing ends is not the rest of the feed.
                let ends = self.last_comment_end.is_some_and(|end| end >= self.at + 4);
                self.skip_past(4, if ends { "-->" } else { ">" });
            } else if rest.starts_with("<![CDATA[") {
                let end = rest.find("]]>").unwrap_or(rest.len());
                let literal = &rest[9..end];
                self.at += (end + 3).min(rest.len());
                return Some(Token::Literal(literal));
            } else if rest.starts_with("<!") {
                self.skip_document_type();
            } else if rest.starts_with("<?") {
                self.skip_past(2, "?>");
            } else {
                let named = begins_tag(bytes);
                match named.then(|| self.tag()).flatten() {
                    Some(token) => return Some(token),
                    // A bare `<`, or a tag that the end of the text cuts.
                    None if named => self.at = self.xml.len(),
                    None => return Some(Token::Literal(self.take(1))),
                }
            }
        }
    }
}

/// Where the `>` of a tag stands, outside quotes. A quote that nothing closes before the next tag is
/// taken for none, or the rest of the feed would be lost in it.
fn tag_end(bytes: &[u8]) -> Option<usize> {
    let mut quote = None;
    let mut within = None;
    for (at, byte) in bytes.iter().enumerate().skip(1) {
        match (quote, byte) {
            (None, b'>') => return Some(at),
            (None, b'"' | b'\'')
                if bytes[at - 1] == b'=' || bytes[at - 1].is_ascii_whitespace() =>
            {
                quote = Some(*byte);
                within = None;
            }
            (Some(open), byte) if open == *byte => quote = None,
            (Some(_), b'>') => within = within.or(Some(at)),
            (Some(_), b'<') if within.is_some() && begins_tag(&bytes[at..]) => return within,
            _ => {}
        }
    }
    within
}

/// Whether a `<` is that of a tag.
fn begins_tag(bytes: &[u8]) -> bool {
    let named = match bytes.get(1) {
        Some(b'/') => bytes.get(2),
        other => other,
    };
    named.is_some_and(|c| c.is_ascii_alphabetic() || *c == b'_' || *c >= 0x80)
}

fn attributes(mut rest: &str) -> Vec<Attribute<'_>> {
    let mut attributes: Vec<Attribute<'_>> = Vec::new();
    while attributes.len() < MAXIMUM_ATTRIBUTES {
        let Some((name, after)) = rest.split_once('=') else {
            break;
        };
        let after = after.trim_start();
        let name = name
            .rsplit(char::is_whitespace)
            .find(|part| !part.is_empty())
            .unwrap_or("");
        let value;
        match after.chars().next() {
            Some(quote @ ('"' | '\'')) => {
                (value, rest) = after[1..].split_once(quote).unwrap_or((&after[1..], ""));
            }
            _ => (value, rest) = after.split_once(char::is_whitespace).unwrap_or((after, "")),
        }
        let sound = !name.is_empty()
            && name
                .bytes()
                .all(|byte| byte.is_ascii_alphanumeric() || b"-_:.".contains(&byte))
            && !name.as_bytes()[0].is_ascii_digit();
        if sound && attributes.iter().all(|other| other.name != name) {
            attributes.push(Attribute { name, value });
        }
    }
    attributes
}

/// Turns references into characters, each name looked up once.
#[derive(Default)]
pub(super) struct References {
    known: HashMap<String, Option<String>>,
}

impl References {
    /// The text that is meant. An ampersand that begins no known reference is itself.
    pub fn resolve(&mut self, text: &str) -> String {
        let mut pieces = text.split('&');
        let mut resolved = pieces.next().unwrap_or("").to_owned();
        for piece in pieces {
            let found = piece
                .find(';')
                .filter(|end| (1..=MAXIMUM_REFERENCE).contains(end))
                .and_then(|end| Some((self.look_up(&piece[..end])?, &piece[end + 1..])));
            match found {
                Some((character, rest)) => {
                    resolved.push_str(&character);
                    resolved.push_str(rest);
                }
                None => {
                    resolved.push('&');
                    resolved.push_str(piece);
                }
            }
        }
        resolved
    }

    fn look_up(&mut self, name: &str) -> Option<String> {
        let sound = name
            .strip_prefix('#')
            .unwrap_or(name)
            .bytes()
            .all(|b| b.is_ascii_alphanumeric());
        if !sound {
            return None;
        }
        if let Some(digits) = name.strip_prefix('#')
            && let Some(character) = numbered(digits)
        {
            return Some(character.into());
        }
        if let Some(known) = self.known.get(name) {
            return known.clone();
        }
        if self.known.len() >= MAXIMUM_NAMES {
            return None;
        }
        // The HTML parser knows all 2,231 names, and what the numbers 128 to 159 mean in practice.
        let source = format!("&{name};");
        let text = dom_query::Document::fragment(source.as_str())
            .text()
            .to_string();
        let known = (text != source).then_some(text);
        self.known.insert(name.to_owned(), known.clone());
        known
    }
}

/// The character of a number that means the same in XML and in HTML: those from 160 on, the others of which
/// stand for no character.
fn numbered(digits: &str) -> Option<char> {
    let code = match digits.strip_prefix(['x', 'X']) {
        Some(digits) => u64::from_str_radix(digits, 16).ok()?,
        None => digits.parse().ok()?,
    };
    let character = u32::try_from(code).ok().and_then(char::from_u32);
    (code >= 160).then(|| character.unwrap_or(char::REPLACEMENT_CHARACTER))
}

/// Appends an attribute of a tag that is being written.
pub(super) fn push_attribute(out: &mut String, key: &str, value: &str) {
    out.push(' ');
    out.push_str(key);
    out.push_str("=\"");
    push_escaped(out, value);
    out.push('"');
}

/// Appends an element with nothing but text in it.
pub(super) fn push_element(out: &mut String, name: &str, text: &str) {
    out.push('<');
    out.push_str(name);
    out.push('>');
    push_escaped(out, text);
    out.push_str("</");
    out.push_str(name);
    out.push('>');
}

/// Appends the text of an element, so that an XML parser reads back just this text. What would be full of
/// references stands in a CDATA section, which is no longer than the text and is parsed at once.
pub(super) fn push_text(out: &mut String, text: &str) {
    if !text.contains(['<', '&']) || text.contains("]]>") {
        return push_escaped(out, text);
    }
    out.push_str("<![CDATA[");
    // Without what XML 1.0 forbids, as below; what is left out must not bring an end about.
    let start = out.len();
    out.extend(text.chars().filter_map(allowed));
    if out[start..].contains("]]>") {
        out.truncate(start - "<![CDATA[".len());
        return push_escaped(out, text);
    }
    out.push_str("]]>");
}

/// A character as XML 1.0 has it; none that it forbids (sections 2.2 and 2.11).
fn allowed(character: char) -> Option<char> {
    match character {
        '\r' => Some('\n'),
        '\t' | '\n' => Some(character),
        '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => None,
        _ => Some(character),
    }
}

/// Appends text so that an XML parser reads back just this text, without what XML 1.0 forbids.
pub(super) fn push_escaped(out: &mut String, text: &str) {
    for character in text.chars() {
        match character {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '"' => out.push_str("&quot;"),
            _ => out.extend(allowed(character)),
        }
    }
}
