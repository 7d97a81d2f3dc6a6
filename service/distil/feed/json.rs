//! JSON Feeds mended before the parser reads them. Never reads XML.

use serde_json::{Map, Value};

use super::FeedError;
use super::entry::MAXIMUM_WARNINGS;
use super::repair::{MAXIMUM_DEPTH, MAXIMUM_ELEMENTS};

/// A JSON Feed as written anew, with what the parser does not hand on, item by item.
pub(super) struct Mended {
    pub json: String,
    pub items: Vec<Extra>,
    pub warnings: Vec<String>,
}

/// What an item says beside the parser's model.
#[derive(Default)]
pub(super) struct Extra {
    pub language: Option<String>,
    /// For each attachment, its length in seconds.
    pub durations: Vec<Option<u64>>,
}

/// Writes a JSON Feed anew.
///
/// # Errors
/// If it nests too deeply or holds too much, or is no JSON, or no feed.
pub(super) fn mend(json: &str) -> Result<Mended, FeedError> {
    check_limits(json)?;
    let mut feed: Map<String, Value> = serde_json::from_str(json)
        .map_err(|error| FeedError::Unreadable(format!("it is not sound JSON: {error}")))?;
    let version = feed.get("version").and_then(Value::as_str).unwrap_or("");
    if !version.contains("jsonfeed.org/version/1") {
        return Err(FeedError::NotAFeed(
            "it is JSON, but does not say that it is a JSON Feed of version 1; look at its address in a browser",
        ));
    }
    feed.insert("version".into(), "https://jsonfeed.org/version/1.1".into());
    if !feed.get("title").is_some_and(Value::is_string) {
        feed.insert("title".into(), "".into());
    }
    keep_strings(
        &mut feed,
        &[
            "home_page_url",
            "feed_url",
            "language",
            "description",
            "icon",
            "favicon",
        ],
    );
    mend_authors(&mut feed);
    let mut warnings = Vec::new();
    let (mut items, mut extras) = (Vec::new(), Vec::new());
    let source = match feed.remove("items") {
        Some(Value::Array(items)) => items,
        _ => Vec::new(),
    };
    for item in source {
        let mut item = match item {
            Value::Object(item) => item,
            _ => Map::new(),
        };
        if mend_id(&mut item) {
            extras.push(mend_item(&mut item));
            items.push(Value::Object(item));
        } else if warnings.len() < MAXIMUM_WARNINGS {
            warnings.push(
                "an item without an id was left out, as JSON Feed 1.1 requires of readers"
                    .to_owned(),
            );
        }
    }
    feed.insert("items".into(), Value::Array(items));
    Ok(Mended {
        json: Value::Object(feed).to_string(),
        items: extras,
        warnings,
    })
}

/// Counts brackets and commas outside strings, before a parser recurses into them and keeps each value.
fn check_limits(json: &str) -> Result<(), FeedError> {
    let (mut depth, mut quoted, mut escaped) = (0usize, false, false);
    let mut values = 0;
    for byte in json.bytes() {
        match byte {
            _ if escaped => escaped = false,
            b'\\' if quoted => escaped = true,
            b'"' => quoted = !quoted,
            b'{' | b'[' if !quoted => depth += 1,
            b'}' | b']' if !quoted => depth = depth.saturating_sub(1),
            b',' if !quoted => values += 1,
            _ => {}
        }
        if values > MAXIMUM_ELEMENTS {
            return Err(FeedError::TooMuch);
        }
        if depth > MAXIMUM_DEPTH {
            return Err(FeedError::TooDeep);
        }
    }
    Ok(())
}

/// Numbers are taken as their digits (JSON Feed 1.1, "Suggestions for Feed Readers"); false where
/// there is no identity.
fn mend_id(item: &mut Map<String, Value>) -> bool {
    let id = match item.get("id") {
        Some(Value::String(id)) => id.trim().to_owned(),
        Some(Value::Number(id)) => id.to_string(),
        _ => String::new(),
    };
    let sound = !id.is_empty();
    item.insert("id".into(), id.into());
    sound
}

fn mend_item(item: &mut Map<String, Value>) -> Extra {
    keep_strings(
        item,
        &[
            "url",
            "external_url",
            "title",
            "content_html",
            "content_text",
            "summary",
            "date_published",
            "date_modified",
            "language",
        ],
    );
    item.remove("tags");
    mend_authors(item);
    let language = item
        .get("language")
        .and_then(Value::as_str)
        .map(str::to_owned);
    let durations = mend_attachments(item);
    Extra {
        language,
        durations,
    }
}

/// Removes what should be a string and is none.
fn keep_strings(object: &mut Map<String, Value>, names: &[&str]) {
    object.retain(|name, value| value.is_string() || !names.contains(&name.as_str()));
}

/// Turns `author` of version 1.0 and `authors` into a list of names.
fn mend_authors(object: &mut Map<String, Value>) {
    let old = object
        .remove("author")
        .filter(|_| !object.contains_key("authors"));
    let authors: Vec<Value> = match object.remove("authors") {
        Some(Value::Array(authors)) => authors,
        _ => old.into_iter().collect(),
    };
    let named: Vec<Value> = authors
        .iter()
        .filter_map(|author| author.get("name")?.as_str())
        .map(|name| serde_json::json!({ "name": super::mend::mend_person(name) }))
        .collect();
    if !named.is_empty() {
        object.insert("authors".into(), Value::Array(named));
    }
}

/// Leaves attachments that have an address; gives the seconds of each.
fn mend_attachments(item: &mut Map<String, Value>) -> Vec<Option<u64>> {
    let Some(Value::Array(attachments)) = item.remove("attachments") else {
        return Vec::new();
    };
    let mut durations = Vec::new();
    let mut kept = Vec::new();
    for attachment in attachments {
        let Some(url) = attachment.get("url").and_then(Value::as_str) else {
            continue;
        };
        let kind = attachment
            .get("mime_type")
            .and_then(Value::as_str)
            .unwrap_or("application/octet-stream");
        let size = attachment.get("size_in_bytes").and_then(Value::as_u64);
        let seconds = attachment.get("duration_in_seconds");
        durations.push(
            seconds
                .and_then(Value::as_f64)
                .filter(|s| (0.0..1e9).contains(s))
                .map(|s| s as u64),
        );
        kept.push(serde_json::json!({ "url": url, "mime_type": kind, "size_in_bytes": size }));
    }
    item.insert("attachments".into(), Value::Array(kept));
    durations
}
