//! The service's own words about screens, and about how old what is old is. In English.

use jiff::tz::TimeZone;
use jiff::{Timestamp, Unit};

/// The title of the pages of a first visit.
pub const FIRST_VISIT: &str = "First visit";

/// What the first page says and asks, in lines that fit the disc where every screen shows it: the caution once, then
/// which picture is like the screen.
pub const CAUTION_AND_WHOLE: &str = "Stop to read: never while\nwalking, driving or riding.\nThe local rules come first.\nWhich is like this screen?";

/// What stands behind that, for whom the pictures do not tell enough.
pub const WHOLE_TOLD: &str = "A browser may lay a bar of its own over the top or the bottom. Tap the disc that looks like yours. \
     Nothing is set for good: the last discs of the index change it.";

/// What leads to the index without an answer.
pub const AS_SET_AT_HOME: &str = "As set at home";

/// What the second page asks.
pub const WHICH_READS_WELL: &str = "Which reads well?";

/// What is set in every size there.
pub const SAMPLE: &str = "Reads\nwell";

/// What to do where a form was sent that names no screen.
pub const CHOOSE_AGAIN: &str = "Choose on the first page, or on the index’s last discs.";

/// The age from which it is said, in months: a day and a month without a year would be taken for this year's up to then.
const OLD_MONTHS: i32 = 12;

/// How old what is old is, in whole months up to two years and in whole years from there; none where it is not old.
pub fn age(published: Timestamp, now: Timestamp, zone: &TimeZone) -> Option<String> {
    let (published, now) = (
        published.to_zoned_datetime(zone.clone()),
        now.to_zoned_datetime(zone.clone()),
    );
    let months = published.until((Unit::Month, &now)).ok()?.get_months();
    match months {
        ..OLD_MONTHS => None,
        12 => Some("1 year old".to_owned()),
        13..24 => Some(format!("{months} months old")),
        _ => Some(format!("{} years old", months / 12)),
    }
}

/// The time of what is old, with its age in the place of the hour.
pub fn old_time(published: Timestamp, age: &str, zone: &TimeZone, terse: bool) -> String {
    let form = if terse {
        "%a %-d %b %Y"
    } else {
        "%A %-d %B %Y"
    };
    let day = published.to_zoned_datetime(zone.clone()).strftime(form);
    format!("{day}, {age}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_old_says_how_old() {
        let zone = TimeZone::get("America/Halifax").unwrap();
        let age = |published: &str| {
            let now = "2031-06-05T12:00:00Z".parse().unwrap();
            age(published.parse().unwrap(), now, &zone)
        };
        // Counted on a calendar.
        for (published, wanted) in [
            ("2031-06-05T11:00:00Z", None),
            ("2030-06-06T12:00:00Z", None),
            ("2030-06-05T12:00:00Z", Some("1 year old")),
            ("2030-05-04T12:00:00Z", Some("13 months old")),
            ("2029-06-06T12:00:00Z", Some("23 months old")),
            ("2029-06-05T12:00:00Z", Some("2 years old")),
            ("1999-12-31T12:00:00Z", Some("31 years old")),
            // What is dated ahead is not old.
            ("2033-01-01T12:00:00Z", None),
        ] {
            assert_eq!(age(published).as_deref(), wanted, "{published}");
        }
        let published = "2028-06-05T02:00:00Z".parse().unwrap();
        let told = |terse| old_time(published, "3 years old", &zone, terse);
        assert_eq!(told(false), "Sunday 4 June 2028, 3 years old");
        assert_eq!(told(true), "Sun 4 Jun 2028, 3 years old");
    }
}
