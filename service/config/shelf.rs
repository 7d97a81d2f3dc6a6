//! How many articles stay, and for how long: the limits and their defaults. Sweeps nothing.

use std::ops::RangeInclusive;

use toml::{Spanned, Value};

use super::check::Checker;
use super::raw::{RawShelf, RawShelves};

/// The newest articles of a feed that stay where the config does not say. The index is turned through 24
/// entries a page, so that nobody comes to the end of forty pages of one feed by hand. Common practice, no source.
const DEFAULT_ARTICLES: u32 = 1_000;

/// The days for which an article stays where the config does not say: a year, so that what belongs to a season
/// is there until it comes round again. Common practice, no source.
const DEFAULT_DAYS: u32 = 365;

/// The newest articles of all feeds that stay where the config does not say: 25 of each of 2,000 feeds, on a
/// disk that a small home server has to spare. Common practice, no source.
const DEFAULT_IN_ALL: u32 = 50_000;

/// What a number of articles may be.
const COUNTS: RangeInclusive<u32> = 1..=10_000_000;

/// What a number of days may be: up to a century.
const DAYS: RangeInclusive<u32> = 1..=36_500;

/// The word for a limit that does not exist.
const NO_LIMIT: &str = "no limit";

/// How many articles of a feed stay, and for how long. `None` is no limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shelf {
    /// So many of the newest by date. Default 1,000.
    pub articles: Option<u32>,
    /// For so many days since they were first seen. Default 365.
    pub days: Option<u32>,
}

/// The limits of a household.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shelves {
    /// For each feed that says nothing else, and for those that the config no longer names.
    pub usual: Shelf,
    /// So many of the newest by date stay of all feeds together; `None` is no limit. Default 50,000.
    pub in_all: Option<u32>,
}

impl Default for Shelf {
    fn default() -> Self {
        Self {
            articles: Some(DEFAULT_ARTICLES),
            days: Some(DEFAULT_DAYS),
        }
    }
}

impl Default for Shelves {
    fn default() -> Self {
        Self {
            usual: Shelf::default(),
            in_all: Some(DEFAULT_IN_ALL),
        }
    }
}

impl Checker<'_> {
    /// The limits of the household.
    pub(super) fn shelves(&mut self, raw: &RawShelves) -> Shelves {
        let default = Shelves::default();
        Shelves {
            usual: Shelf {
                articles: self.articles(raw.articles.as_ref(), default.usual.articles),
                days: self.days(raw.days.as_ref(), default.usual.days),
            },
            in_all: self.or_default(raw.in_all.as_ref(), default.in_all, |value| {
                read_limit("in_all", value, COUNTS)
            }),
        }
    }

    /// The limits of a feed; what it does not say is as usual.
    pub(super) fn shelf(&mut self, raw: &RawShelf, usual: Shelf) -> Shelf {
        Shelf {
            articles: self.articles(raw.articles.as_ref(), usual.articles),
            days: self.days(raw.days.as_ref(), usual.days),
        }
    }

    fn articles(&mut self, value: Option<&Spanned<Value>>, default: Option<u32>) -> Option<u32> {
        self.or_default(value, default, |value| {
            read_limit("articles", value, COUNTS)
        })
    }

    fn days(&mut self, value: Option<&Spanned<Value>>, default: Option<u32>) -> Option<u32> {
        self.or_default(value, default, |value| read_limit("days", value, DAYS))
    }
}

/// A number of the range, or the word for none. Nought is a fault, since it could mean all as well as nothing.
fn read_limit(key: &str, value: &Value, range: RangeInclusive<u32>) -> Result<Option<u32>, String> {
    if value.as_str() == Some(NO_LIMIT) {
        return Ok(None);
    }
    value
        .as_integer()
        .and_then(|number| u32::try_from(number).ok())
        .filter(|number| range.contains(number))
        .map(Some)
        .ok_or_else(|| {
            format!(
                "{key} = {value} is no limit that can be kept; write a whole number from {} to {}, \
                 or \"{NO_LIMIT}\"",
                range.start(),
                range.end()
            )
        })
}

#[cfg(test)]
mod tests {
    use super::super::{Config, ConfigError};
    use super::*;

    const FEED: &str = "[[feed]]\nurl = \"https://gazette.example.org/feed.xml\"\n";

    fn parse(text: &str) -> Config {
        Config::parse(text, "tondo.toml").unwrap_or_else(|fault| panic!("{fault}"))
    }

    fn shelf(articles: Option<u32>, days: Option<u32>) -> Shelf {
        Shelf { articles, days }
    }

    /// The text is refused for this line, and the fault says all of these.
    #[track_caller]
    fn check_fault(text: &str, line: usize, words: &[&str]) {
        let Err(ConfigError::Faulty { faults, .. }) = Config::parse(text, "tondo.toml") else {
            panic!("{text} is taken");
        };
        assert_eq!((faults.len(), faults[0].line), (1, line), "{faults:?}");
        for word in words {
            assert!(faults[0].message.contains(word), "{word}: {faults:?}");
        }
    }

    #[test]
    fn a_feed_has_the_usual_limits_but_for_those_of_its_own() {
        let config = parse(&format!(
            "[shelf]\narticles = 40\nin_all = 900\n{FEED}\
             [[feed]]\nurl = \"https://b.example/f\"\nshelf = {{ days = 7 }}\n\
             [[feed]]\nurl = \"https://c.example/f\"\n[feed.shelf]\narticles = 5\ndays = \"no limit\"\n"
        ));
        let usual = shelf(Some(40), Some(DEFAULT_DAYS));
        let in_all = Some(900);
        assert_eq!(config.shelves, Shelves { usual, in_all });
        let shelves: Vec<Shelf> = config.feeds.iter().map(|feed| feed.shelf).collect();
        assert_eq!(
            shelves,
            [usual, shelf(Some(40), Some(7)), shelf(Some(5), None)]
        );
    }

    #[test]
    fn every_limit_can_be_switched_off() {
        let none = "\"no limit\"";
        let config = parse(&format!(
            "[shelf]\narticles = {none}\ndays = {none}\nin_all = {none}\n{FEED}"
        ));
        let usual = shelf(None, None);
        let in_all = None;
        assert_eq!(config.shelves, Shelves { usual, in_all });
        assert_eq!(config.feeds[0].shelf, usual);
    }

    #[test]
    fn what_is_no_limit_is_a_fault_with_its_line_and_the_mend() {
        for value in ["0", "-1", "4294967297", "1.5", "true", "\"none\"", "[1]"] {
            for key in ["articles", "days", "in_all"] {
                let text = format!("[shelf]\n{key} = {value}\n{FEED}");
                check_fault(&text, 2, &[key, value, "from 1 to ", "\"no limit\""]);
            }
            let text = format!("{FEED}shelf = {{ articles = {value} }}\n");
            check_fault(&text, 3, &["articles", "from 1 to 10000000"]);
        }
        let text = format!("[shelf]\ndays = 36501\n{FEED}");
        check_fault(&text, 2, &["from 1 to 36500"]);
    }

    #[test]
    fn what_belongs_elsewhere_names_what_may_stand_there() {
        let text = format!("{FEED}shelf = {{ in_all = 5 }}\n");
        check_fault(&text, 3, &["`in_all`", "`articles`", "`days`"]);
        check_fault(
            &format!("{FEED}shelf = 5\n"),
            3,
            &["a table with articles and days"],
        );
        check_fault(
            &format!("shelf = 5\n{FEED}"),
            1,
            &["a table with articles, days and in_all", "change the value"],
        );
        check_fault(
            &format!("{FEED}[shelf]\nweeks = 5\n"),
            4,
            &["`weeks`", "`days`"],
        );
    }
}
