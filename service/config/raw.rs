//! The shape of the file: which keys there are and of which type, each value with its place.

use serde::Deserialize;
use serde::de::{Deserializer, Error, MapAccess, Visitor};
use toml::Spanned;

use super::Fault;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawConfig {
    pub(super) listen: Option<Spanned<String>>,
    pub(super) data: Option<Spanned<String>>,
    pub(super) time_zone: Option<Spanned<String>>,
    #[serde(default)]
    pub(super) hosts: Vec<Spanned<String>>,
    #[serde(default)]
    pub(super) screen: RawScreen,
    #[serde(default)]
    pub(super) gather: RawGather,
    #[serde(default)]
    pub(super) index: RawIndex,
    #[serde(default)]
    pub(super) shelf: RawShelves,
    #[serde(default)]
    pub(super) feed: Vec<Spanned<RawFeed>>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub(super) struct RawGather {
    #[serde(default)]
    pub(super) allow_private: Vec<Spanned<String>>,
}

#[derive(Deserialize, Default)]
#[serde(
    deny_unknown_fields,
    expecting = "a table with shape, lines, spacing, strip and ground"
)]
pub(super) struct RawScreen {
    pub(super) shape: Option<Spanned<String>>,
    pub(super) lines: Option<Spanned<i64>>,
    pub(super) spacing: Option<Spanned<String>>,
    pub(super) strip: Option<Spanned<String>>,
    pub(super) ground: Option<Spanned<String>>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, expecting = "a table with read")]
pub(super) struct RawIndex {
    pub(super) read: Option<Spanned<String>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawFeed {
    pub(super) url: Option<Spanned<String>>,
    pub(super) title: Option<Spanned<String>>,
    pub(super) group: Option<Spanned<String>>,
    pub(super) full_text: Option<Spanned<String>>,
    pub(super) every: Option<Spanned<i64>>,
    #[serde(default)]
    pub(super) headers: RawTable,
    #[serde(default)]
    pub(super) outline: RawTable,
    #[serde(default)]
    pub(super) shelf: RawShelf,
}

/// Limits of any type are taken here and checked later, since they are numbers or words.
#[derive(Deserialize, Default)]
#[serde(
    deny_unknown_fields,
    expecting = "a table with articles, days and in_all"
)]
pub(super) struct RawShelves {
    pub(super) articles: Option<Spanned<toml::Value>>,
    pub(super) days: Option<Spanned<toml::Value>>,
    pub(super) in_all: Option<Spanned<toml::Value>>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields, expecting = "a table with articles and days")]
pub(super) struct RawShelf {
    pub(super) articles: Option<Spanned<toml::Value>>,
    pub(super) days: Option<Spanned<toml::Value>>,
}

/// Names and values, in their order. Values of any type are taken here and checked later, since a
/// ready-made message about a wrong type would repeat the value, and those of headers may be secret.
#[derive(Default)]
pub(super) struct RawTable(pub(super) Vec<(Spanned<String>, Spanned<toml::Value>)>);

const TABLE_MEND: &str =
    "headers and outline are tables of names and values; write { Name = \"value\" }";

impl<'de> Deserialize<'de> for RawTable {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Table;
        impl<'de> Visitor<'de> for Table {
            type Value = RawTable;

            fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                formatter.write_str("a table of names and values")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut table: A) -> Result<RawTable, A::Error> {
                let mut members = Vec::new();
                while let Some(member) = table.next_entry()? {
                    members.push(member);
                }
                // The parser hands them over by the alphabet.
                members.sort_by_key(|(name, _): &(Spanned<String>, _)| name.span().start);
                Ok(RawTable(members))
            }

            fn visit_str<E: Error>(self, _: &str) -> Result<RawTable, E> {
                Err(E::custom(TABLE_MEND))
            }

            fn visit_i64<E: Error>(self, _: i64) -> Result<RawTable, E> {
                Err(E::custom(TABLE_MEND))
            }

            fn visit_f64<E: Error>(self, _: f64) -> Result<RawTable, E> {
                Err(E::custom(TABLE_MEND))
            }
        }
        deserializer.deserialize_any(Table)
    }
}

/// Reads the shape. The first fault ends it: what follows a broken line means nothing.
pub(super) fn read(text: &str) -> Result<RawConfig, Fault> {
    toml::from_str(text).map_err(|fault| {
        let offset = fault.span().map_or(0, |span| span.start);
        Fault {
            line: line_of(text, offset),
            // The library's full text would print the line itself, which may hold a password.
            message: mended(fault.message()),
        }
    })
}

/// The line of a byte, counted from 1.
pub(super) fn line_of(text: &str, offset: usize) -> usize {
    let before = text.as_bytes().iter().take(offset);
    1 + before.filter(|byte| **byte == b'\n').count()
}

/// Adds the mend to what the parser says, which names what it expected but not what to do.
fn mended(message: &str) -> String {
    let message = message
        .trim()
        .replace("expected i64", "expected a whole number");
    if message == TABLE_MEND {
        message
    } else if message.starts_with("unknown field") {
        format!("{message}; correct the key or take the line out")
    } else if message.starts_with("invalid type") {
        format!("{message}; change the value to that type")
    } else if message.starts_with("duplicate key") {
        format!("{message}; take one of the two out")
    } else {
        format!("{message}; correct the line as TOML, in which text stands in quotes")
    }
}
