//! HTML into tags and text, by the tokeniser rules of the HTML Living Standard as far as they
//! decide where a tag ends. Never fails, never looks back further than the present tag.

/// How many attributes of one tag are read. Parsers compare each with all before it.
const MAXIMUM_ATTRIBUTES: usize = 64;

/// Longer names are of no element that matters here.
const MAXIMUM_NAME: usize = 32;

pub(super) struct Attribute<'a> {
    pub name: String,
    pub value: &'a str,
}

pub(super) enum Token<'a> {
    /// Text as written, references and all.
    Text(&'a str),
    Start {
        name: String,
        attributes: Vec<Attribute<'a>>,
        /// Written as `<name/>`, which means something in foreign elements alone.
        empty: bool,
    },
    End {
        name: String,
    },
}

#[derive(Clone)]
pub(super) struct Tokens<'a> {
    html: &'a str,
    at: usize,
}

impl<'a> Tokens<'a> {
    pub fn new(html: &'a str) -> Self {
        Self { html, at: 0 }
    }

    pub fn next(&mut self) -> Option<Token<'a>> {
        loop {
            let rest = &self.html[self.at..];
            let bytes = rest.as_bytes();
            let first = *bytes.first()?;
            if first != b'<' {
                let end = rest.find('<').unwrap_or(rest.len());
                self.at += end;
                return Some(Token::Text(&rest[..end]));
            }
            match (bytes.get(1), bytes.get(2)) {
                (Some(letter), _) if letter.is_ascii_alphabetic() => {
                    if let Some(token) = self.tag(1) {
                        return Some(token);
                    }
                }
                (Some(b'/'), Some(letter)) if letter.is_ascii_alphabetic() => {
                    if let Some(token) = self.tag(2) {
                        return Some(token);
                    }
                }
                (Some(b'!'), _) if rest.starts_with("<!--") => self.skip_comment(),
                (Some(b'!' | b'?'), _) | (Some(b'/'), Some(_)) => {
                    self.at += rest.find('>').map_or(rest.len(), |end| end + 1);
                }
                _ => {
                    self.at += 1;
                    return Some(Token::Text(&rest[..1]));
                }
            }
        }
    }

    /// The text up to the end tag of a raw text element, which is passed.
    pub fn raw_text(&mut self, name: &str) -> &'a str {
        let rest = &self.html[self.at..];
        let bytes = rest.as_bytes();
        let mut from = 0;
        while let Some(found) = rest[from..].find("</") {
            let start = from + found;
            let after = start + 2 + name.len();
            let named = bytes
                .get(start + 2..after)
                .is_some_and(|found| found.eq_ignore_ascii_case(name.as_bytes()));
            let ended = bytes
                .get(after)
                .is_none_or(|byte| byte.is_ascii_whitespace() || b"/>".contains(byte));
            if named && ended {
                self.at += rest[after..]
                    .find('>')
                    .map_or(rest.len(), |end| after + end + 1);
                return &rest[..start];
            }
            from = start + 2;
        }
        self.at = self.html.len();
        rest
    }

    /// Passes a comment by the standard's rules, `<!-->` and `--!>` among them.
    fn skip_comment(&mut self) {
        let rest = &self.html[self.at + 4..];
        let mut length = rest.len();
        if rest.starts_with('>') {
            length = 1;
        } else if rest.starts_with("->") {
            length = 2;
        } else {
            let mut from = 0;
            while let Some(dashes) = rest[from..].find("--") {
                let after = from + dashes + 2;
                if let Some(close) = [">", "!>"]
                    .iter()
                    .find(|close| rest[after..].starts_with(**close))
                {
                    length = after + close.len();
                    break;
                }
                from = after - 1;
            }
        }
        self.at += 4 + length;
    }

    /// Reads a tag whose name begins `skip` bytes on. `None` if its name is of no use, or if the
    /// text ends within it, which browsers leave out too.
    fn tag(&mut self, skip: usize) -> Option<Token<'a>> {
        let rest = &self.html[self.at..];
        let bytes = rest.as_bytes();
        let name_end = end_of(bytes, skip, |byte| {
            byte.is_ascii_whitespace() || b"/>".contains(&byte)
        });
        let name = rest[skip..name_end].to_ascii_lowercase();
        let mut attributes = Vec::new();
        let mut at = name_end;
        loop {
            at = end_of(bytes, at, |byte| {
                !byte.is_ascii_whitespace() && byte != b'/'
            });
            match bytes.get(at) {
                None => {
                    self.at = self.html.len();
                    return None;
                }
                Some(b'>') => break,
                Some(_) => {}
            }
            let (attribute, end) = attribute(rest, at);
            at = end;
            attributes.extend(attribute.filter(|_| attributes.len() < MAXIMUM_ATTRIBUTES));
        }
        let empty = at > name_end && bytes[at - 1] == b'/';
        self.at += at + 1;
        let known = name.len() <= MAXIMUM_NAME
            && name
                .bytes()
                .all(|byte| byte.is_ascii_alphanumeric() || byte == b'-');
        known.then_some(if skip == 1 {
            Token::Start {
                name,
                attributes,
                empty,
            }
        } else {
            Token::End { name }
        })
    }
}

/// Reads the attribute at `at`: its name and value if the name is of any use, and where it ends.
fn attribute(rest: &str, at: usize) -> (Option<Attribute<'_>>, usize) {
    let bytes = rest.as_bytes();
    // A name may begin with an equals sign, but not hold one.
    let name_end = end_of(bytes, at + 1, |byte| {
        byte.is_ascii_whitespace() || b"/>=".contains(&byte)
    });
    // The first byte may be the start of a longer character, which the search passes over.
    let name = rest[at..name_end].to_ascii_lowercase();
    let mut value = "";
    let mut end = name_end;
    let equals = end_of(bytes, name_end, |byte| !byte.is_ascii_whitespace());
    if bytes.get(equals) == Some(&b'=') {
        let start = end_of(bytes, equals + 1, |byte| !byte.is_ascii_whitespace());
        match bytes.get(start) {
            Some(quote @ (b'"' | b'\'')) => {
                let close = end_of(bytes, start + 1, |byte| byte == *quote);
                value = &rest[start + 1..close.max(start + 1)];
                end = (close + 1).min(bytes.len());
            }
            _ => {
                end = end_of(bytes, start, |byte| {
                    byte.is_ascii_whitespace() || byte == b'>'
                });
                value = &rest[start..end];
            }
        }
    }
    let useful = name
        .bytes()
        .all(|byte| byte.is_ascii_alphanumeric() || b"-_:.".contains(&byte));
    (useful.then_some(Attribute { name, value }), end)
}

/// Where the first byte from `from` on stands that satisfies `stop`, or the end. ASCII bytes never
/// stand inside a character, so the answer is a character's boundary.
fn end_of(bytes: &[u8], from: usize, stop: impl Fn(u8) -> bool) -> usize {
    let from = from.min(bytes.len());
    bytes[from..]
        .iter()
        .position(|byte| stop(*byte))
        .map_or(bytes.len(), |at| from + at)
}
