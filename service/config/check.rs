//! The meaning of each value: turned into a plain type, or a fault with its line and the mend.

use std::collections::HashMap;
use std::net::{IpAddr, SocketAddr};
use std::path::{Path, PathBuf};

use ipnet::IpNet;
use jiff::tz::TimeZone;
use toml::Spanned;
use url::{Host, Url};

use super::raw::{RawConfig, RawFeed, line_of};
use super::{
    Allow, Config, DEFAULT_EVERY_MINUTES, EVERY_MINUTES, Fault, FullText, ReadEntries, Shelf,
    Subscription,
};

const DEFAULT_LISTEN: SocketAddr = SocketAddr::new(IpAddr::V4(std::net::Ipv4Addr::LOCALHOST), 8090);

/// Whether a config without a feed is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoFeed {
    /// It is a fault.
    Refused,
    /// It is one that feeds are about to be added to.
    Taken,
}

/// Checks everything and gathers all faults, so that one run shows them all.
pub(super) fn check(
    raw: &RawConfig,
    text: &str,
    folder: &Path,
    no_feed: NoFeed,
) -> Result<Config, Vec<Fault>> {
    let mut checker = Checker {
        text,
        faults: Vec::new(),
    };
    let shelves = checker.shelves(&raw.shelf);
    let config = Config {
        listen: checker.or_default(raw.listen.as_ref(), DEFAULT_LISTEN, read_listen),
        data: folder.join(checker.or_default(raw.data.as_ref(), "data".into(), read_folder)),
        time_zone: checker.or_default(raw.time_zone.as_ref(), TimeZone::UTC, read_zone),
        hosts: checker.each(&raw.hosts, read_host),
        screen: checker.screen(&raw.screen),
        allow_private: checker.each(&raw.gather.allow_private, read_allowance),
        read_entries: checker.or_default(raw.index.read.as_ref(), ReadEntries::Dimmed, |word| {
            read_read_entries(word)
        }),
        shelves,
        feeds: checker.feeds(&raw.feed, shelves.usual, no_feed),
    };
    checker.faults.sort();
    if checker.faults.is_empty() {
        Ok(config)
    } else {
        Err(checker.faults)
    }
}

pub(super) struct Checker<'a> {
    text: &'a str,
    faults: Vec<Fault>,
}

impl Checker<'_> {
    pub(super) fn line<T>(&self, value: &Spanned<T>) -> usize {
        line_of(self.text, value.span().start)
    }

    pub(super) fn fault(&mut self, line: usize, message: String) {
        self.faults.push(Fault { line, message });
    }

    /// The value as read, or nothing and a fault.
    pub(super) fn read<T, V>(
        &mut self,
        value: &Spanned<T>,
        read: impl FnOnce(&T) -> Result<V, String>,
    ) -> Option<V> {
        match read(value.get_ref()) {
            Ok(read) => Some(read),
            Err(message) => {
                self.fault(self.line(value), message);
                None
            }
        }
    }

    pub(super) fn or_default<T, V>(
        &mut self,
        value: Option<&Spanned<T>>,
        default: V,
        read: impl FnOnce(&T) -> Result<V, String>,
    ) -> V {
        value
            .and_then(|value| self.read(value, read))
            .unwrap_or(default)
    }

    fn each<V>(
        &mut self,
        values: &[Spanned<String>],
        read: impl Fn(&String) -> Result<V, String>,
    ) -> Vec<V> {
        values
            .iter()
            .filter_map(|value| self.read(value, &read))
            .collect()
    }

    fn feeds(
        &mut self,
        feeds: &[Spanned<RawFeed>],
        usual: Shelf,
        no_feed: NoFeed,
    ) -> Vec<Subscription> {
        if feeds.is_empty() && no_feed == NoFeed::Refused {
            let message = "there is no feed; add one with the lines [[feed]] and \
                           url = \"https://example.org/feed.xml\"";
            self.fault(line_of(self.text, self.text.len()), message.to_owned());
        }
        let mut starts: HashMap<Url, usize> = HashMap::new(); // Lines are counted for faults alone.
        let mut subscriptions = Vec::new();
        for feed in feeds {
            let Some(subscription) = self.feed(feed, usual) else {
                continue;
            };
            let url = feed.get_ref().url.as_ref();
            let start = url.map_or(0, |url| url.span().start);
            if let Some(first) = starts.insert(subscription.url.clone(), start) {
                let [line, other] = [start, first].map(|start| line_of(self.text, start));
                let message = format!(
                    "this is the same address as in line {other}; take one of the two feeds out"
                );
                self.fault(line, message);
                // A third one refers to the first as well.
                starts.insert(subscription.url.clone(), first);
            }
            subscriptions.push(subscription);
        }
        subscriptions
    }

    fn feed(&mut self, feed: &Spanned<RawFeed>, usual: Shelf) -> Option<Subscription> {
        let raw = feed.get_ref();
        let url = match &raw.url {
            Some(url) => self.read(url, |url| read_url(url)),
            None => {
                let message = "this feed has no url; add url = \"https://...\" below [[feed]]";
                self.fault(self.line(feed), message.to_owned());
                None
            }
        };
        let title = self.or_default(raw.title.as_ref(), None, |title| read_label(title));
        let group = self.or_default(raw.group.as_ref(), None, |group| read_label(group));
        let full_text = self.or_default(raw.full_text.as_ref(), FullText::Auto, |word| {
            read_full_text(word)
        });
        let every_minutes = self.or_default(raw.every.as_ref(), DEFAULT_EVERY_MINUTES, |minutes| {
            read_every(*minutes)
        });
        let headers = self.headers(&raw.headers);
        let shelf = self.shelf(&raw.shelf, usual);
        let outline = self.outline(&raw.outline);
        Some(Subscription {
            url: url?,
            title,
            group,
            full_text,
            every_minutes,
            headers,
            shelf,
            outline,
        })
    }
}

fn read_listen(listen: &String) -> Result<SocketAddr, String> {
    listen.parse().map_err(|_| {
        format!(
            "listen = \"{listen}\" is no address to listen at; write an IP address and a port, \
             as in \"127.0.0.1:8090\", or \"0.0.0.0:8090\" for all of this machine's"
        )
    })
}

fn read_folder(folder: &String) -> Result<PathBuf, String> {
    if folder.trim().is_empty() {
        return Err("data is empty; write the folder for the database".to_owned());
    }
    if folder.starts_with('~') {
        return Err(
            "data starts with ~, which only a shell expands; write the folder in full, \
                    as in \"/home/...\""
                .to_owned(),
        );
    }
    Ok(PathBuf::from(folder))
}

fn read_zone(name: &String) -> Result<TimeZone, String> {
    TimeZone::get(name).map_err(|_| {
        format!(
            "there is no time zone \"{name}\"; write an IANA name, as in \"Europe/Berlin\", \
             \"America/Halifax\" or \"UTC\""
        )
    })
}

fn read_host(host: &String) -> Result<String, String> {
    if let Ok(ip) = host.parse::<IpAddr>() {
        return Ok(ip.to_string());
    }
    match Host::parse(host) {
        Ok(Host::Domain(name)) if is_plain_name(&name) => Ok(name),
        Ok(Host::Ipv6(ip)) => Ok(ip.to_string()),
        _ => Err(format!(
            "\"{host}\" in hosts is no host name; write the name alone, without http:// and \
             port, as in \"watch.home.arpa\""
        )),
    }
}

/// The URL standard lets a host name hold stars, commas and more; here they are slips.
fn is_plain_name(name: &str) -> bool {
    name.bytes()
        .all(|byte| byte.is_ascii_alphanumeric() || b"-_.".contains(&byte))
}

fn read_read_entries(word: &str) -> Result<ReadEntries, String> {
    match word {
        "dimmed" => Ok(ReadEntries::Dimmed),
        "gone" => Ok(ReadEntries::Gone),
        _ => Err(format!(
            "read = \"{word}\" is not known; write \"dimmed\" or \"gone\""
        )),
    }
}

fn read_allowance(entry: &String) -> Result<Allow, String> {
    if let Ok(ip) = entry.parse::<IpAddr>() {
        return Ok(Allow::Range(ip.into()));
    }
    if let Ok(range) = entry.parse::<IpNet>() {
        return match range.trunc() {
            exact if exact == range => Ok(Allow::Range(range)),
            exact => Err(format!(
                "\"{entry}\" in allow_private starts in the middle of its range; write \
                 \"{exact}\", or the one address without its /"
            )),
        };
    }
    match Host::parse(entry) {
        Ok(Host::Domain(name)) if is_plain_name(&name) => Ok(Allow::Host(name)),
        Ok(Host::Ipv6(ip)) => Ok(Allow::Range(IpAddr::V6(ip).into())),
        _ => Err(format!(
            "\"{entry}\" in allow_private is neither an address (\"192.168.1.5\") nor a range \
             (\"192.168.1.0/24\") nor a host name (\"wiki.home.arpa\"); write one of these, \
             without http:// and port"
        )),
    }
}

/// The text of a bad address is not repeated, since it may hold credentials.
pub(super) fn read_url(address: &str) -> Result<Url, String> {
    let mut url = Url::parse(address.trim()).map_err(|fault| {
        format!("this is no web address ({fault}); write it in full, as in \"https://example.org/feed.xml\"")
    })?;
    if !matches!(url.scheme(), "http" | "https") {
        return Err(format!(
            "{}: addresses are not fetched; write one that starts with http:// or https://",
            url.scheme()
        ));
    }
    if !url.username().is_empty() || url.password().is_some() {
        return Err(
            "this address holds a user name or a password, which would be logged wherever the \
             address is; take them out and write headers = { Authorization = \"Basic ...\" }"
                .to_owned(),
        );
    }
    url.set_fragment(None);
    Ok(url)
}

fn read_label(label: &str) -> Result<Option<String>, String> {
    match label.trim() {
        "" => Err("this text is empty; write some, or take the line out".to_owned()),
        label => Ok(Some(label.to_owned())),
    }
}

fn read_full_text(word: &str) -> Result<FullText, String> {
    match word {
        "auto" => Ok(FullText::Auto),
        "always" => Ok(FullText::Always),
        "never" => Ok(FullText::Never),
        _ => Err(format!(
            "full_text = \"{word}\" is not known; write \"auto\", \"always\" or \"never\""
        )),
    }
}

fn read_every(minutes: i64) -> Result<u32, String> {
    u32::try_from(minutes)
        .ok()
        .filter(|minutes| EVERY_MINUTES.contains(minutes))
        .ok_or_else(|| {
            format!(
                "every = {minutes} is out of range; write the minutes between two requests, \
                 from {} to {}",
                EVERY_MINUTES.start(),
                EVERY_MINUTES.end()
            )
        })
}
