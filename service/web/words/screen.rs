//! The words of a first visit, and of how old what is old is.

use jiff::tz::TimeZone;
use jiff::{Timestamp, Unit};

use super::is_terse;
use crate::typeset::Screen;
use crate::words::{Words, say};

say! {
    /// The title of the page of a first visit.
    first_visit = "first-visit";
    /// What the first page says and asks, in lines that fit the disc where every screen shows it: the caution once, then
    /// which picture is like the screen.
    caution_and_whole = "caution-and-whole";
    /// What stands behind that, for whom the pictures do not tell enough.
    whole_told = "whole-told";
    /// What leads to the index without an answer.
    as_set_at_home = "as-set-at-home";
    /// What the second page asks.
    which_reads_well = "which-reads-well";
    /// What is set in every size there.
    sample = "sample";
}

/// The age from which it is said, in months: a day and a month without a year would be taken for this year's up to then.
const OLD_MONTHS: i32 = 12;
/// From which age on whole years are told.
const YEARS_ALONE: i32 = 24;

impl Words {
    /// How old what is old is, in whole months up to two years and in whole years from there; none where it is not old.
    pub fn age(self, published: Timestamp, now: Timestamp, zone: &TimeZone) -> Option<String> {
        let (published, now) = (
            published.to_zoned_datetime(zone.clone()),
            now.to_zoned_datetime(zone.clone()),
        );
        let months = published.until((Unit::Month, &now)).ok()?.get_months();
        match months {
            ..OLD_MONTHS => None,
            OLD_MONTHS | YEARS_ALONE.. => {
                Some(self.tell("years-old", [("years", (months / 12).into())]))
            }
            _ => Some(self.tell("months-old", [("months", months.into())])),
        }
    }

    /// The day of what is old, with its age in the place of the hour.
    pub fn old_time(
        self,
        published: Timestamp,
        age: &str,
        zone: &TimeZone,
        screen: Screen,
    ) -> String {
        let published = published.to_zoned_datetime(zone.clone());
        let id = if is_terse(screen) {
            "old-day-in-short"
        } else {
            "old-day"
        };
        self.time_and_age(id, &published, age)
    }
}
