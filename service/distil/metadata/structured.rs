//! schema.org in JSON-LD: the article that a page describes. Never fails on what is no JSON.
//!
//! JSON-LD may be written in many forms; those that pages use are read: an object, an array of them, or
//! a `@graph`, with the property names of schema.org as they are.

use dom_query::Document;
use serde_json::Value;

/// What the structured data of a page say of its article.
#[derive(Debug, Default)]
pub(in crate::distil) struct Structured {
    /// Its headline, and its name where that is another.
    pub titles: Vec<String>,
    pub authors: Vec<String>,
    pub published: Vec<String>,
    pub language: Option<String>,
    pub picture: Option<String>,
    pub site: Option<String>,
    pub description: Option<String>,
    pub paid: bool,
}

/// Limits on what is read: scripts of a page, bytes of one, objects in all. serde_json itself refuses
/// what is more than 128 deep.
const MOST_SCRIPTS: usize = 20;
const MOST_BYTES: usize = 500_000;
const MOST_OBJECTS: usize = 2_000;

impl Structured {
    pub fn read(document: &Document) -> Self {
        let scripts = document.select("script[type='application/ld+json' i]");
        let mut objects = Vec::new();
        for script in scripts.nodes().iter().take(MOST_SCRIPTS) {
            if let Some(value) = parse(&script.text()) {
                gather(value, &mut objects);
            }
        }
        let article = objects.iter().find(|object| is_article(object));
        article.map(Self::of).unwrap_or_default()
    }

    fn of(article: &Value) -> Self {
        let text = |name: &str| first_text(&article[name]);
        Self {
            titles: text("headline").into_iter().chain(text("name")).collect(),
            authors: names(&article["author"]),
            published: text("datePublished")
                .into_iter()
                .chain(text("dateCreated"))
                .collect(),
            language: first_text(&article["inLanguage"]),
            picture: address(&article["image"]).or_else(|| address(&article["thumbnailUrl"])),
            site: first_text(&article["publisher"]["name"]),
            description: text("description"),
            paid: matches!(&article["isAccessibleForFree"], Value::Bool(false))
                || text("isAccessibleForFree")
                    .is_some_and(|told| told.eq_ignore_ascii_case("false")),
        }
    }
}

/// The value that a script holds, within the wrappings that pages of XHTML put around it.
fn parse(text: &str) -> Option<Value> {
    let mut text = text.trim();
    if text.len() > MOST_BYTES {
        return None;
    }
    // `flatten` spells the sign in another way.
    let before = [
        "//",
        "/*",
        "*/",
        "<![CDATA[",
        "\\u003c![CDATA[",
        "<!--",
        "\\u003c!--",
    ];
    let after = ["//", "/*", "*/", "]]>", "-->", ";"];
    while let Some(rest) = before
        .iter()
        .find_map(|wrapping| text.strip_prefix(wrapping))
    {
        text = rest.trim();
    }
    while let Some(rest) = after
        .iter()
        .find_map(|wrapping| text.strip_suffix(wrapping))
    {
        text = rest.trim();
    }
    serde_json::from_str(text).ok().or_else(|| {
        // Line ends within strings are the commonest fault.
        serde_json::from_str(&text.replace(char::is_control, " ")).ok()
    })
}

/// The objects of a value: itself, those of an array, and those of a graph.
fn gather(value: Value, objects: &mut Vec<Value>) {
    let mut waiting = vec![value];
    while let Some(value) = waiting.pop() {
        match value {
            Value::Array(values) => waiting.extend(values.into_iter().rev()),
            Value::Object(mut object) if objects.len() < MOST_OBJECTS => {
                let graph = object.remove("@graph");
                objects.push(Value::Object(object));
                waiting.extend(graph);
            }
            _ => {}
        }
    }
}

/// Whether an object is of a type that schema.org derives from Article, or is read as one.
fn is_article(object: &Value) -> bool {
    let of_article = |kind: &str| {
        let kind = kind.rsplit(['/', ':', '#']).next().unwrap_or_default();
        kind.ends_with("Article")
            || kind.ends_with("Posting")
            || matches!(kind, "Report" | "Review" | "Recipe" | "HowTo" | "Chapter")
    };
    match &object["@type"] {
        Value::String(kind) => of_article(kind),
        Value::Array(kinds) => kinds.iter().filter_map(Value::as_str).any(of_article),
        _ => false,
    }
}

/// A text, or the first of several; a language may be an object with a name.
fn first_text(value: &Value) -> Option<String> {
    match value {
        Value::String(text) => Some(text.clone()).filter(|text| !text.trim().is_empty()),
        Value::Array(values) => values.iter().find_map(scalar),
        other => scalar(other),
    }
}

fn scalar(value: &Value) -> Option<String> {
    let text = match value {
        Value::Object(object) => object
            .get("@value")
            .or_else(|| object.get("alternateName"))
            .or_else(|| object.get("name"))?,
        other => other,
    };
    let text = text.as_str()?;
    (!text.trim().is_empty()).then(|| text.to_owned())
}

/// Names of persons or organisations.
fn names(value: &Value) -> Vec<String> {
    match value {
        Value::Array(values) => values.iter().flat_map(name).collect(),
        other => name(other),
    }
}

/// The names of one of them; some publishers put a list into it.
fn name(value: &Value) -> Vec<String> {
    match &value["name"] {
        Value::Array(values) => values.iter().filter_map(scalar).collect(),
        Value::String(name) => vec![name.clone()],
        _ => scalar(value).into_iter().collect(),
    }
}

/// The address of a picture: a text, an object with one, or the first of several.
fn address(value: &Value) -> Option<String> {
    let one = |value: &Value| match value {
        Value::String(address) => Some(address.clone()),
        Value::Object(object) => {
            let told = object.get("url").or_else(|| object.get("contentUrl"))?;
            told.as_str().map(str::to_owned)
        }
        _ => None,
    };
    match value {
        Value::Array(values) => values.iter().find_map(one),
        other => one(other),
    }
}
