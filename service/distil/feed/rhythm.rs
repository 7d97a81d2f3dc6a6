//! What a feed says of its own rhythm: how long it may be kept, how often it is made anew, and the hours and
//! days on which there is no need to ask. Knows no clock and no entry.

use super::markup::{Token, Tokens};

/// How often and when a feed wants to be asked, as far as it says so.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Rhythm {
    /// RSS 2.0's `ttl`: for how many minutes it may be kept.
    pub ttl_minutes: Option<u32>,
    /// The minutes between two of its editions by the RSS syndication module: its period divided by its
    /// frequency, a minute at the least.
    pub update_minutes: Option<u32>,
    /// RSS 2.0's `skipHours`: bit 0 is the hour from midnight GMT, bit 23 the last one.
    pub skip_hours: u32,
    /// RSS 2.0's `skipDays`, in GMT: bit 0 is Monday, bit 6 Sunday.
    pub skip_days: u8,
}

/// The days of the week as RSS 2.0 names them, in the order of the bits.
const DAYS: [&str; 7] = [
    "monday",
    "tuesday",
    "wednesday",
    "thursday",
    "friday",
    "saturday",
    "sunday",
];

/// An element whose text tells of the rhythm.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Said {
    Ttl,
    Period,
    Frequency,
    Hour,
    Day,
}

/// Reads the rhythm of a feed in XML. What cannot be read is as good as absent.
pub(super) fn read_rhythm(xml: &str) -> Rhythm {
    let mut rhythm = Rhythm::default();
    let (mut period_minutes, mut frequency) = (None, None);
    let mut in_item = false;
    let mut open: Option<(Said, String)> = None;
    for token in Tokens::new(xml) {
        match token {
            Token::Start { name, empty, .. } => {
                in_item |= !empty && is_item(name);
                open = Said::of(name)
                    .filter(|_| !empty && !in_item)
                    .map(|said| (said, String::new()));
            }
            Token::Text(text) | Token::Literal(text) => {
                if let Some((_, collected)) = &mut open {
                    collected.push_str(text);
                }
            }
            Token::End { name, .. } => {
                in_item &= !is_item(name);
                let Some((said, text)) = open.take() else {
                    continue;
                };
                let text = text.trim().to_ascii_lowercase();
                match said {
                    Said::Ttl => rhythm.ttl_minutes = number(&text).or(rhythm.ttl_minutes),
                    Said::Period => period_minutes = minutes_of(&text).or(period_minutes),
                    Said::Frequency => frequency = number(&text).or(frequency),
                    // Old feeds count the hours from 1 to 24, the last one being midnight's.
                    Said::Hour => {
                        let hour = text.parse::<u32>().ok().filter(|hour| *hour <= 24);
                        rhythm.skip_hours |= hour.map_or(0, |hour| 1 << (hour % 24));
                    }
                    Said::Day => {
                        let day = DAYS.iter().position(|day| *day == text);
                        rhythm.skip_days |= day.map_or(0, |day| 1 << day);
                    }
                }
            }
        }
    }
    // The module's own defaults: daily, once.
    if period_minutes.is_some() || frequency.is_some() {
        let period = period_minutes.unwrap_or(24 * 60);
        rhythm.update_minutes = Some((period / frequency.unwrap_or(1)).max(1));
    }
    rhythm
}

impl Said {
    /// By the name as written, whatever its prefix and case.
    fn of(name: &str) -> Option<Self> {
        let local = name.rsplit(':').next().unwrap_or(name);
        [
            ("ttl", Self::Ttl),
            ("updatePeriod", Self::Period),
            ("updateFrequency", Self::Frequency),
            ("hour", Self::Hour),
            ("day", Self::Day),
        ]
        .into_iter()
        .find(|(known, _)| known.eq_ignore_ascii_case(local))
        .map(|(_, said)| said)
    }
}

fn is_item(name: &str) -> bool {
    name.eq_ignore_ascii_case("item") || name.eq_ignore_ascii_case("entry")
}

/// A whole number that is not nought; one that is too large says "very long" still.
fn number(text: &str) -> Option<u32> {
    let digits = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let number = digits.then(|| text.parse().unwrap_or(u32::MAX))?;
    (number > 0).then_some(number)
}

/// The periods of the RSS syndication module (RSS 1.0 modules, 2000); a month and a year in the mean.
fn minutes_of(period: &str) -> Option<u32> {
    let hours = match period {
        "hourly" => 1,
        "daily" => 24,
        "weekly" => 7 * 24,
        "monthly" => 30 * 24,
        "yearly" => 365 * 24,
        _ => return None,
    };
    Some(hours * 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(inner: &str) -> Rhythm {
        read_rhythm(&format!("<rss><channel>{inner}</channel></rss>"))
    }

    /// RSS 2.0.11 (2009): ttl in minutes, hours 0 to 23 and days in GMT.
    #[test]
    fn ttl_and_what_is_skipped_are_read() {
        let rhythm = read(
            "<ttl> 60 </ttl><skipHours><hour>0</hour><hour>5</hour><hour>23</hour></skipHours>\
             <skipDays><day>Saturday</day><day>sunday</day></skipDays>",
        );
        let expected = Rhythm {
            ttl_minutes: Some(60),
            skip_hours: 1 | 1 << 5 | 1 << 23,
            skip_days: 1 << 5 | 1 << 6,
            ..Rhythm::default()
        };
        assert_eq!(rhythm, expected);
        assert_eq!(read("<skipHours><hour>24</hour></skipHours>").skip_hours, 1);
    }

    #[test]
    fn the_syndication_module_divides_its_period_by_its_frequency() {
        let minutes = |inner: &str| read(inner).update_minutes;
        let period = |name| format!("<sy:updatePeriod>{name}</sy:updatePeriod>");
        assert_eq!(minutes(&period("hourly")), Some(60));
        assert_eq!(minutes(&period("\n weekly\n")), Some(10_080));
        let twice = format!(
            "{}<sy:updateFrequency>2</sy:updateFrequency>",
            period("daily")
        );
        assert_eq!(minutes(&twice), Some(720));
        assert_eq!(
            minutes("<sy:updateFrequency>2</sy:updateFrequency>"),
            Some(720)
        );
        assert_eq!(minutes(&period("often")), None);
        let hasty = format!(
            "{}<sy:updateFrequency>99</sy:updateFrequency>",
            period("hourly")
        );
        assert_eq!(minutes(&hasty), Some(1));
    }

    #[test]
    fn what_cannot_be_read_or_belongs_to_an_entry_counts_for_nothing() {
        for inner in [
            "",
            "<ttl/>",
            "<ttl>0</ttl>",
            "<ttl>-5</ttl>",
            "<ttl>soon</ttl>",
            "<skipHours><hour>25</hour><hour>x</hour></skipHours><skipDays><day>Samstag</day></skipDays>",
            "<item><ttl>60</ttl><day>Monday</day></item>",
            "<!-- <ttl>60</ttl> -->",
            "<description><![CDATA[<ttl>60</ttl>]]></description>",
        ] {
            assert_eq!(read(inner), Rhythm::default(), "{inner}");
        }
        let after = read("<item><title>Ebb</title></item><ttl><![CDATA[90]]></ttl>");
        assert_eq!(after.ttl_minutes, Some(90));
        assert_eq!(read("<ttl>99999999999</ttl>").ttl_minutes, Some(u32::MAX));
    }
}
