//! The request headers of a feed: names and values that a request may carry. No fault repeats a value.

use super::Secret;
use super::check::Checker;
use super::raw::RawTable;

/// Header fields that describe the connection, the body or the conditions of a request. The
/// client sets them itself, and a second one would contradict it.
const RESERVED_HEADERS: [&str; 14] = [
    "accept-encoding",
    "connection",
    "content-length",
    "expect",
    "host",
    "if-match",
    "if-modified-since",
    "if-none-match",
    "if-range",
    "keep-alive",
    "range",
    "te",
    "transfer-encoding",
    "upgrade",
];

impl Checker<'_> {
    /// The headers that can be sent, a fault for each of the others.
    pub(super) fn headers(&mut self, headers: &RawTable) -> Vec<(String, Secret)> {
        let mut read: Vec<(String, Secret)> = Vec::new();
        for (name, value) in &headers.0 {
            let twice = read
                .iter()
                .any(|(known, _)| known.eq_ignore_ascii_case(name.get_ref()));
            if twice {
                let message = format!(
                    "the header {} stands here twice, since capitals make no difference; take \
                     one out",
                    name.get_ref()
                );
                self.fault(self.line(name), message);
                continue;
            }
            let good_name = self.read(name, |name| read_header_name(name));
            let good_value = self.read(value, |value| read_header_value(name.get_ref(), value));
            if let (Some(name), Some(value)) = (good_name, good_value) {
                read.push((name, value));
            }
        }
        read
    }
}

/// A name is a token of RFC 9110 section 5.6.2.
fn read_header_name(name: &str) -> Result<String, String> {
    let token = |byte: u8| byte.is_ascii_alphanumeric() || b"!#$%&'*+-.^_`|~".contains(&byte);
    if name.is_empty() || !name.bytes().all(token) {
        return Err(format!(
            "\"{}\" is no name of a header; write letters, digits and hyphens, as in \
             Authorization",
            name.escape_debug()
        ));
    }
    if RESERVED_HEADERS.contains(&name.to_ascii_lowercase().as_str()) {
        return Err(format!(
            "the header {name} is set by the service itself; take it out"
        ));
    }
    Ok(name.to_owned())
}

/// A value is what RFC 9110 section 5.5 allows: no control characters but the tab.
fn read_header_value(name: &str, value: &toml::Value) -> Result<Secret, String> {
    let name = name.escape_debug();
    let Some(value) = value.as_str() else {
        return Err(format!(
            "the value of the header {name} is not a text; put it in quotes"
        ));
    };
    if value
        .chars()
        .any(|character| character.is_control() && character != '\t')
    {
        return Err(format!(
            "the value of the header {name} holds a line break or another control character; \
             take it out"
        ));
    }
    Ok(Secret(value.to_owned()))
}
