//! The service's own words on its pages: times, lengths, names of controls. In English.

use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::distil::language::Language;
use crate::distil::reading_minutes;
use crate::typeset::{Lines, Screen, Spacing};

/// The language of these words.
pub fn language() -> Language {
    Language::parse("en").unwrap_or_else(Language::unknown)
}

/// Whether the lines of a screen are too short for a time in full: those of the large sizes and of the
/// wide spacing.
pub fn is_terse(screen: Screen) -> bool {
    matches!(screen.lines, Lines::Eight | Lines::Six) || screen.spacing == Spacing::Wide
}

/// A time as the index shows it: the day and the hour, with the year where it is not `now`'s.
pub fn short_time(time: Timestamp, now: Timestamp, zone: &TimeZone) -> String {
    let (time, now) = (
        time.to_zoned_datetime(zone.clone()),
        now.to_zoned_datetime(zone.clone()),
    );
    let form = if time.year() == now.year() {
        "%-d %b %H:%M"
    } else {
        "%-d %b %Y"
    };
    time.strftime(form).to_string()
}

/// A time in full.
pub fn full_time(time: Timestamp, zone: &TimeZone) -> String {
    time.to_zoned_datetime(zone.clone())
        .strftime("%A %-d %B %Y, %H:%M")
        .to_string()
}

/// A time in full, with the names of day and month in short, where lines are short.
pub fn full_time_in_short(time: Timestamp, zone: &TimeZone) -> String {
    time.to_zoned_datetime(zone.clone())
        .strftime("%a %-d %b %Y, %H:%M")
        .to_string()
}

/// That an entry which was read has changed since, as the index shows it before the time.
pub const CHANGED: &str = "Changed";

/// That an article has changed since it was read, at its opening.
pub fn changed_since_read(screen: Screen) -> &'static str {
    if is_terse(screen) {
        "Changed since read"
    } else {
        "Changed since you read it"
    }
}

/// How long reading takes, as the index shows it.
pub fn short_length(words: u32) -> String {
    format!("{} min", reading_minutes(words))
}

/// How long reading takes, in full.
pub fn full_length(words: u32) -> String {
    match reading_minutes(words) {
        1 => "1 minute".to_owned(),
        minutes => format!("{minutes} minutes"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_told_in_the_households_zone() {
        let zone = TimeZone::get("Europe/Berlin").unwrap();
        let time: Timestamp = "2031-06-05T22:30:00Z".parse().unwrap();
        let later: Timestamp = "2032-06-05T22:30:00Z".parse().unwrap();
        assert_eq!(short_time(time, time, &zone), "6 Jun 00:30");
        assert_eq!(short_time(time, later, &zone), "6 Jun 2031");
        assert_eq!(full_time(time, &zone), "Friday 6 June 2031, 00:30");
        assert_eq!(full_time_in_short(time, &zone), "Fri 6 Jun 2031, 00:30");
        assert_eq!(full_length(238), "1 minute");
        assert_eq!(short_length(600), "3 min");
    }
}
