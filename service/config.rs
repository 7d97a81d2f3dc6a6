//! The config file, parsed once into plain types. Every fault names its line and the mend.
//!
//! It imports no other room, and opens and writes nothing but the config file itself.

use std::fmt;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};

use ipnet::IpNet;
use jiff::tz::TimeZone;
use url::Url;

mod check;
mod edit;
mod headers;
mod outline;
mod raw;
mod screen;
mod shelf;
#[cfg(test)]
mod tests;

pub use edit::{Addition, Draft, EditError};
pub use outline::read_outline;
pub use shelf::{Shelf, Shelves};

use check::NoFeed;

/// A commented config file that parses as it stands.
pub const EXAMPLE: &str = include_str!("config/example.toml");

/// Lines a disc that the typesetter knows, smallest text first.
pub const LINES_A_DISC: [u8; 4] = [11, 10, 8, 6];

const DEFAULT_LINES: u8 = 10;

/// Heights of a browser's bar that the typesetter knows, in hundredths of the diameter.
pub const STRIP_HUNDREDTHS: [u8; 3] = [8, 12, 16];

/// How often a feed is asked where the config does not say, in minutes. Common practice, no
/// source: many publishers ask for an hour at the least between conditional requests.
pub const DEFAULT_EVERY_MINUTES: u32 = 60;

/// The shortest and the longest time between two requests for a feed, in minutes: a quarter of
/// an hour, below which publishers block readers (common practice, no source), and a week.
pub const EVERY_MINUTES: std::ops::RangeInclusive<u32> = 15..=10_080;

/// All that the operator has decided.
#[derive(Debug, Clone)]
pub struct Config {
    /// Where the service listens. Default 127.0.0.1:8090.
    pub listen: SocketAddr,
    /// The folder of the database. A relative one is taken from the config file's folder.
    /// Default `data`.
    pub data: PathBuf,
    /// In which zone times are shown. Default UTC.
    pub time_zone: TimeZone,
    /// Further host names under which the service answers, in lower case and without a port.
    pub hosts: Vec<String>,
    /// What a watch that has not chosen is offered first.
    pub screen: Screen,
    /// What may be fetched although it is not public.
    pub allow_private: Vec<Allow>,
    /// How the index shows entries that were read. Default dimmed.
    pub read_entries: ReadEntries,
    /// How many articles stay, and for how long.
    pub shelves: Shelves,
    /// The feeds in the file's order; at least one, no address twice.
    pub feeds: Vec<Subscription>,
}

/// The screen of a watch that has not chosen. Its glass is round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Screen {
    /// Lines a disc: one of [`LINES_A_DISC`]. Default 10.
    pub lines: u8,
    /// The white between letters, words and lines. Default usual.
    pub spacing: Spacing,
    /// What the browser's own bar takes of the disc. Default nothing.
    pub strip: Option<Strip>,
    /// What text stands on. Default dark.
    pub ground: Ground,
}

impl Default for Screen {
    fn default() -> Self {
        Self {
            lines: DEFAULT_LINES,
            spacing: Spacing::Usual,
            strip: None,
            ground: Ground::Dark,
        }
    }
}

/// The strip of a disc that the browser's own bar takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Strip {
    /// Where it is.
    pub edge: Edge,
    /// Its height in hundredths of the diameter: one of [`STRIP_HUNDREDTHS`].
    pub hundredths: u8,
}

/// The end of a disc at which a strip is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// Above.
    Top,
    /// Below.
    Bottom,
}

/// What text stands on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Ground {
    /// Black.
    #[default]
    Dark,
    /// White.
    Light,
}

/// The white between letters, words and lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Spacing {
    /// As the typeface has it.
    #[default]
    Usual,
    /// More of it, for readers whom dense text slows.
    Wide,
}

/// How the index shows entries that were read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ReadEntries {
    /// Less bright than the others.
    #[default]
    Dimmed,
    /// Not at all, but for what is kept and what its publisher has changed since.
    Gone,
}

/// One exception from the rule that only public addresses are fetched.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Allow {
    /// A range of addresses; a single address is a range of one.
    Range(IpNet),
    /// A host name, as the URL standard spells it.
    Host(String),
}

/// One feed.
#[derive(Debug, Clone)]
pub struct Subscription {
    /// Its address: http or https, without credentials and fragment.
    pub url: Url,
    /// The name to show instead of the feed's own.
    pub title: Option<String>,
    /// The group that it is listed in.
    pub group: Option<String>,
    /// Whether articles are fetched from their web pages. Default automatic.
    pub full_text: FullText,
    /// Minutes between two requests, within [`EVERY_MINUTES`].
    pub every_minutes: u32,
    /// Request headers, such as credentials.
    pub headers: Vec<(String, Secret)>,
    /// How many of its articles stay, and for how long.
    pub shelf: Shelf,
    /// What a list of feeds said of it beside its address, its title and its group: attributes, in the list's
    /// order, that are handed on and mean nothing here.
    pub outline: Vec<(String, String)>,
}

/// Whether an article's web page is fetched for its full text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum FullText {
    /// Where the feed gives a teaser only.
    #[default]
    Auto,
    /// For every entry.
    Always,
    /// For none.
    Never,
}

/// A value that is never shown.
#[derive(Clone, PartialEq, Eq)]
pub struct Secret(String);

impl Secret {
    /// The value, for the request that it is meant for.
    pub fn reveal(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Secret {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("(hidden)")
    }
}

/// Why a config file cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum ConfigError {
    /// The file cannot be opened or is no UTF-8.
    #[error("{} cannot be read ({cause}); name an existing file, or write one from the example", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        #[source]
        cause: std::io::Error,
    },
    /// Something in it is wrong. One line for each fault.
    #[error("{}", print_faults(name, faults))]
    Faulty {
        /// The file as it was named.
        name: String,
        /// The faults by line; never empty.
        faults: Vec<Fault>,
    },
}

/// One thing that is wrong in a config file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// The line, counted from 1.
    pub line: usize,
    /// What is wrong and what to write instead. It never repeats a header's value or the
    /// credentials of an address.
    pub message: String,
}

/// Reads a feed's address as the config takes it: http or https, without credentials; its fragment
/// is taken off.
///
/// # Errors
/// What is wrong with it and what to write instead. The address itself is not repeated, since it
/// may hold credentials.
pub fn read_address(address: &str) -> Result<Url, String> {
    check::read_url(address)
}

fn print_faults(name: &str, faults: &[Fault]) -> String {
    let lines: Vec<String> = faults
        .iter()
        .map(|fault| format!("{name}:{}: {}", fault.line, fault.message))
        .collect();
    lines.join("\n")
}

impl Config {
    /// Reads a config file.
    ///
    /// # Errors
    /// [`ConfigError`], with all faults of the file where its syntax could be read.
    pub fn read(path: impl AsRef<Path>) -> Result<Self, ConfigError> {
        Self::read_with_text(path).map(|(config, _)| config)
    }

    /// Reads a config file, and hands out the text that it was read from, to tell a change by.
    ///
    /// # Errors
    /// As [`Config::read`].
    pub fn read_with_text(path: impl AsRef<Path>) -> Result<(Self, String), ConfigError> {
        let path = path.as_ref();
        let text = std::fs::read_to_string(path).map_err(|cause| ConfigError::Unreadable {
            path: path.to_owned(),
            cause,
        })?;
        Ok((Self::parse(&text, path)?, text))
    }

    /// Reads the text of a config file; `name` is the file that faults and relative folders
    /// refer to.
    ///
    /// # Errors
    /// [`ConfigError::Faulty`].
    pub fn parse(text: &str, name: impl AsRef<Path>) -> Result<Self, ConfigError> {
        Self::parse_with(text, name.as_ref(), NoFeed::Refused)
    }

    fn parse_with(text: &str, name: &Path, no_feed: NoFeed) -> Result<Self, ConfigError> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let folder = name.parent().unwrap_or(Path::new(""));
        raw::read(text)
            .map_err(|fault| vec![fault])
            .and_then(|raw| check::check(&raw, text, folder, no_feed))
            .map_err(|faults| ConfigError::Faulty {
                name: name.display().to_string(),
                faults,
            })
    }
}
