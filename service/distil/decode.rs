//! Bytes of the network into text. The only user of the encoding crates; never looks at structure.

use chardetng::{EncodingDetector, Iso2022JpDetection, Utf8Detection};
use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252, X_USER_DEFINED};

mod ebcdic;

/// How far into a document its own declaration of an encoding is looked for, in bytes
/// (HTML Living Standard, "prescan a byte stream": the first 1024).
const PRESCAN_BYTES: usize = 1024;

/// Decodes a feed or a page.
///
/// Text in 32 bits or in EBCDIC, which the Encoding Standard does not have, is told by how it begins.
/// Else a byte order mark decides. Else each of these is tried in order, and the first that decodes
/// without an error is taken: the charset of the HTTP header, the XML declaration, the `meta`
/// element, what the bytes look like. If none does, the first of them decodes as well as it can,
/// and windows-1252 where there is none.
pub fn decode(bytes: &[u8], content_type: Option<&str>) -> String {
    if let Some(text) = utf_32(bytes).or_else(|| ebcdic::decode(bytes)) {
        return text;
    }
    if let Some((encoding, length)) = Encoding::for_bom(bytes) {
        let (text, _) = encoding.decode_without_bom_handling(&bytes[length..]);
        return text.into_owned();
    }
    let candidates = candidates(bytes, content_type);
    for encoding in &candidates {
        if let Some(text) = encoding.decode_without_bom_handling_and_without_replacement(bytes) {
            return text.into_owned();
        }
    }
    let encoding = candidates.first().copied().unwrap_or(WINDOWS_1252);
    encoding.decode_without_bom_handling(bytes).0.into_owned()
}

/// Text in 32 bits, by its byte order mark or its `<` (XML 1.0, appendix F). What is no character is
/// replaced.
fn utf_32(bytes: &[u8]) -> Option<String> {
    let big = match bytes.get(..4)? {
        [0, 0, 0xfe, 0xff] | [0, 0, 0, b'<'] => true,
        [0xff, 0xfe, 0, 0] | [b'<', 0, 0, 0] => false,
        _ => return None,
    };
    let (units, _) = bytes.as_chunks::<4>();
    let character = |unit: &[u8; 4]| {
        let code = if big {
            u32::from_be_bytes(*unit)
        } else {
            u32::from_le_bytes(*unit)
        };
        char::from_u32(code).unwrap_or(char::REPLACEMENT_CHARACTER)
    };
    let text: String = units.iter().map(character).collect();
    Some(text.trim_start_matches('\u{feff}').to_owned())
}

fn candidates(bytes: &[u8], content_type: Option<&str>) -> Vec<&'static Encoding> {
    let head = &bytes[..bytes.len().min(PRESCAN_BYTES)];
    [
        content_type.and_then(charset_of_header),
        utf_16_declaration(head),
        charset_after(head, b"encoding").filter(|_| head.trim_ascii_start().starts_with(b"<?xml")),
        charset_after(head, b"charset"),
        Some(guess(bytes)),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// The charset parameter of a `Content-Type` (RFC 9110, section 8.3).
fn charset_of_header(content_type: &str) -> Option<&'static Encoding> {
    content_type.split(';').skip(1).find_map(|parameter| {
        let (name, value) = parameter.split_once('=')?;
        name.trim()
            .eq_ignore_ascii_case("charset")
            .then(|| encoding_for(value.trim().trim_matches(['"', '\'']).as_bytes()))?
    })
}

/// `<?` in 16 bits, without a mark (XML 1.0, appendix F).
fn utf_16_declaration(head: &[u8]) -> Option<&'static Encoding> {
    match head {
        [b'<', 0, b'?', 0, ..] => Some(UTF_16LE),
        [0, b'<', 0, b'?', ..] => Some(UTF_16BE),
        _ => None,
    }
}

/// The encoding named after `key=` near the start of the document. A document whose declaration
/// can be read byte by byte is not in 16 bits, so such a claim means UTF-8 (HTML Living Standard).
fn charset_after(head: &[u8], key: &[u8]) -> Option<&'static Encoding> {
    let mut rest = head;
    while let Some(at) = rest
        .windows(key.len())
        .position(|part| part.eq_ignore_ascii_case(key))
    {
        rest = &rest[at + key.len()..];
        let Some(value) = rest.trim_ascii_start().strip_prefix(b"=") else {
            continue;
        };
        let value = value.trim_ascii_start();
        let value = value
            .strip_prefix(b"\"")
            .or_else(|| value.strip_prefix(b"'"))
            .unwrap_or(value);
        let end = value
            .iter()
            .position(|byte| !byte.is_ascii_alphanumeric() && !b"-_:.".contains(byte))
            .unwrap_or(value.len());
        if let Some(encoding) = encoding_for(&value[..end]) {
            let wide = encoding == UTF_16LE || encoding == UTF_16BE;
            return Some(if wide { UTF_8 } else { encoding });
        }
    }
    None
}

/// The encoding of a label, but for those that say nothing: `us-ascii` is what servers send that
/// were never told, and the replacement encoding would throw the text away.
fn encoding_for(label: &[u8]) -> Option<&'static Encoding> {
    if label.eq_ignore_ascii_case(b"us-ascii") || label.eq_ignore_ascii_case(b"ascii") {
        return None;
    }
    let encoding = Encoding::for_label_no_replacement(label)?;
    Some(if encoding == X_USER_DEFINED {
        WINDOWS_1252
    } else {
        encoding
    })
}

fn guess(bytes: &[u8]) -> &'static Encoding {
    let mut detector = EncodingDetector::new(Iso2022JpDetection::Allow);
    detector.feed(bytes, true);
    detector.guess(None, Utf8Detection::Allow)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(bytes: &[u8], content_type: Option<&str>, expected: &str) {
        assert_eq!(decode(bytes, content_type), expected);
    }

    #[test]
    fn a_byte_order_mark_beats_the_header() {
        check(
            "\u{feff}Gezeiten über".as_bytes(),
            Some("text/xml; charset=iso-8859-1"),
            "Gezeiten über",
        );
        check(&[0xff, 0xfe, b'h', 0, 0xe9, 0], None, "hé");
        check(
            &[0xfe, 0xff, 0, b'h', 0, 0xe9],
            Some("text/html; charset=utf-8"),
            "hé",
        );
    }

    #[test]
    fn the_header_beats_the_declaration_where_it_decodes() {
        let latin = b"<?xml version='1.0' encoding='utf-8'?><a>caf\xe9</a>";
        let text = decode(latin, Some("text/xml; Charset=\"ISO-8859-1\""));
        assert!(text.ends_with("<a>café</a>"));
        let cyrillic = b"<?xml version=\"1.0\" encoding=\"windows-1251\"?><a>\xcc\xee\xf0\xe5</a>";
        assert!(decode(cyrillic, Some("text/xml; charset=utf-8")).ends_with("<a>Море</a>"));
    }

    #[test]
    fn text_in_32_bits_is_told_by_its_first_bytes() {
        for (text, expected) in [("\u{feff}<a>é</a>", "<a>é</a>"), ("<a>é", "<a>é")] {
            let units = |bytes: fn(u32) -> [u8; 4]| -> Vec<u8> {
                text.chars().flat_map(|c| bytes(u32::from(c))).collect()
            };
            check(&units(u32::to_be_bytes), None, expected);
            check(
                &units(u32::to_le_bytes),
                Some("text/xml; charset=utf-8"),
                expected,
            );
        }
        check(b"<\0\0\0\0\xd8\0\0", None, "<\u{fffd}");
    }

    #[test]
    fn declarations_are_read_in_xml_and_in_html() {
        let xml = b"<?xml version=\"1.0\" encoding=\"windows-1251\"?><a>\xcc\xee\xf0\xe5</a>";
        assert!(decode(xml, None).ends_with("<a>Море</a>"));
        let html =
            b"<html><meta content='text/html; charset=Shift_JIS' http-equiv=content-type>\x8a\x43";
        assert!(decode(html, None).ends_with('海'));
        let wide: Vec<u8> = "<?xml version='1.0' encoding='utf-16'?><a>é</a>"
            .encode_utf16()
            .flat_map(u16::to_be_bytes)
            .collect();
        assert!(decode(&wide, None).ends_with("<a>é</a>"));
        check(
            b"<?xml encoding='utf-16'?>\xc3\xa9",
            None,
            "<?xml encoding='utf-16'?>é",
        );
    }

    #[test]
    fn undeclared_bytes_are_guessed() {
        check("Fähre nach Norden".as_bytes(), None, "Fähre nach Norden");
        check(
            b"Le caf\xe9 du quai est ferm\xe9 depuis l'\xe9t\xe9",
            None,
            "Le café du quai est fermé depuis l'été",
        );
        check(
            b"the tide\x92s out",
            Some("text/html; charset=us-ascii"),
            "the tide’s out",
        );
        check(b"", None, "");
    }
}
