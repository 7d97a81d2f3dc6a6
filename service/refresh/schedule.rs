//! When a feed is asked again. Pure: instants in, instants out; what looks like chance is made of the
//! feed's address and the instant.

use jiff::{SignedDuration, Timestamp, tz::Offset};

use super::interval::{Pace, asked_for, interval};
use crate::distil::feed::Rhythm;
use crate::fetch::RetryAfter;

/// The longest that the back-off alone puts a feed off, unless it is asked less often anyway.
const LONGEST_BACK_OFF: SignedDuration = SignedDuration::from_hours(24);

/// Where the back-off begins for a feed that is asked more often than hourly.
const SHORTEST_BACK_OFF: SignedDuration = SignedDuration::from_hours(1);

/// The longest that a server's own wish puts it off: a slip in a header must not silence a feed for
/// good. A server that is never to be asked again can say 410.
const LONGEST_WISH: SignedDuration = SignedDuration::from_hours(14 * 24);

/// The share of an interval by which it may grow, one in so many, so that feeds that were asked
/// together do not stay together.
const JITTER_SHARE: i32 = 10;

/// The most that it grows by.
const LONGEST_JITTER: SignedDuration = SignedDuration::from_mins(30);

const HOUR_SECONDS: i64 = 3_600;

/// A feed, as far as it matters for when to ask.
#[derive(Clone, Copy, Debug)]
pub(super) struct Asked<'a> {
    /// Its address in the config, which tells its jitter from that of others.
    pub(super) address: &'a str,
    /// How often a person wants it asked at the most.
    pub(super) every_minutes: u32,
    /// What it says itself.
    pub(super) rhythm: Rhythm,
    /// What its server wishes by Retry-After.
    pub(super) wish: Option<RetryAfter>,
}

/// When a feed is due after an answer that was one. `fresh` is for how long the answer stays fresh by its header,
/// `conditional` whether it can be asked conditionally.
pub(super) fn after_success(
    now: Timestamp,
    asked: &Asked<'_>,
    fresh: Option<SignedDuration>,
    conditional: bool,
    pace: Pace,
) -> Timestamp {
    let hint = asked_for(fresh, &asked.rhythm);
    let interval = interval(asked.every(), hint, conditional, pace);
    asked.due(now, interval)
}

/// When a feed is tried again whose `failures`-th fetch in a row has failed: after `every` at first, but
/// an hour at the least, then twice as long each time up to a day, and not before its server wishes. What it said of
/// its freshness is over by then, and what it said of hours and days holds.
pub(super) fn after_failure(now: Timestamp, asked: &Asked<'_>, failures: u32) -> Timestamp {
    let first = asked.every().max(SHORTEST_BACK_OFF);
    // Doubling an hour 20 times makes a century, so that more changes nothing.
    let doublings = failures.saturating_sub(1).min(20);
    let back_off = (first * (1_i32 << doublings)).min(LONGEST_BACK_OFF.max(first));
    asked.due(now, back_off)
}

impl Asked<'_> {
    fn every(&self) -> SignedDuration {
        SignedDuration::from_mins(self.every_minutes.into())
    }

    fn due(&self, now: Timestamp, interval: SignedDuration) -> Timestamp {
        let wished = match self.wish {
            Some(RetryAfter::Seconds(seconds)) => {
                SignedDuration::from_secs(i64::try_from(seconds).unwrap_or(i64::MAX))
            }
            Some(RetryAfter::At(instant)) => instant.duration_since(now),
            None => SignedDuration::ZERO,
        };
        let least = later(now, interval.max(wished.min(LONGEST_WISH)));
        // Feeds that skip the same hours are spread after them too.
        let open = first_open(least, &self.rhythm);
        let jitter = jitter(self.address, now, interval);
        first_open(later(open, jitter), &self.rhythm)
    }
}

/// Between nothing and a share of the interval, the same for the same address and instant.
fn jitter(address: &str, now: Timestamp, interval: SignedDuration) -> SignedDuration {
    let mut hasher = blake3::Hasher::new();
    hasher.update(&now.as_millisecond().to_le_bytes());
    hasher.update(address.as_bytes());
    let mut bytes = [0; 2];
    hasher.finalize_xof().fill(&mut bytes);
    let longest = (interval / JITTER_SHARE).min(LONGEST_JITTER);
    longest * i32::from(u16::from_le_bytes(bytes)) / i32::from(u16::MAX)
}

/// The first instant from `instant` on that lies in no hour and on no day that the feed skips, all in GMT. A feed
/// that skips every hour of the week has made a slip, and is asked as if it skipped none.
fn first_open(instant: Timestamp, rhythm: &Rhythm) -> Timestamp {
    if rhythm.skip_hours == 0 && rhythm.skip_days == 0 {
        return instant;
    }
    let this_hour = instant.as_second().div_euclid(HOUR_SECONDS) * HOUR_SECONDS;
    let hours = (0..=7 * 24).map(|hour| this_hour + hour * HOUR_SECONDS);
    let mut open = hours
        .filter_map(|second| Timestamp::from_second(second).ok())
        .filter(|hour| {
            let civil = Offset::UTC.to_datetime(*hour);
            let day = civil.weekday().to_monday_zero_offset();
            rhythm.skip_hours >> civil.hour() & 1 == 0 && rhythm.skip_days >> day & 1 == 0
        });
    open.next().map_or(instant, |hour| hour.max(instant))
}

fn later(now: Timestamp, by: SignedDuration) -> Timestamp {
    now.saturating_add(by).unwrap_or(Timestamp::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOW: Timestamp = Timestamp::UNIX_EPOCH;

    fn asked(every_minutes: u32) -> Asked<'static> {
        Asked {
            address: "https://example.org/feed",
            every_minutes,
            rhythm: Rhythm::default(),
            wish: None,
        }
    }

    fn minutes(instant: Timestamp) -> i64 {
        instant.as_second() / 60
    }

    /// What is waited is `least` minutes and a tenth of `interval` minutes more at the most.
    fn check(due: Timestamp, least: i64, interval: i64) {
        let range = least..=least + (interval / 10).min(30);
        assert!(
            range.contains(&minutes(due)),
            "{} in {range:?}",
            minutes(due)
        );
    }

    #[test]
    fn the_back_off_doubles_from_every_up_to_a_day() {
        for (failures, expected) in [
            (1, 60),
            (2, 120),
            (3, 240),
            (5, 960),
            (6, 1_440),
            (7, 1_440),
            (u32::MAX, 1_440),
        ] {
            check(after_failure(NOW, &asked(60), failures), expected, expected);
            check(after_failure(NOW, &asked(15), failures), expected, expected);
        }
    }

    #[test]
    fn a_feed_asked_once_a_week_is_not_asked_more_often_for_failing() {
        for failures in [1, 9] {
            check(after_failure(NOW, &asked(10_080), failures), 10_080, 10_080);
        }
        let due = after_success(NOW, &asked(10_080), None, true, Pace::default());
        check(due, 10_080, 10_080);
    }

    #[test]
    fn the_servers_wish_is_obeyed_where_it_is_longer_and_within_reason() {
        let wish = |wish, least| {
            let asked = Asked {
                wish: Some(wish),
                ..asked(60)
            };
            check(after_failure(NOW, &asked, 1), least, 60);
            check(
                after_success(NOW, &asked, None, true, Pace::default()),
                least,
                60,
            );
        };
        wish(RetryAfter::Seconds(7_200), 120);
        wish(RetryAfter::Seconds(120), 60);
        wish(RetryAfter::Seconds(u64::MAX), 14 * 24 * 60);
        wish(RetryAfter::At(Timestamp::from_second(10_800).unwrap()), 180);
        wish(RetryAfter::At(Timestamp::from_second(-10_800).unwrap()), 60);
    }

    /// RSS 2.0.11: ttl in minutes, skipHours in GMT. At 23:30 an hour later is in an hour that is skipped.
    #[test]
    fn ttl_within_hours_that_are_skipped_waits_for_their_end() {
        let rhythm = Rhythm {
            ttl_minutes: Some(60),
            skip_hours: 0b11_1111,
            ..Rhythm::default()
        };
        let now: Timestamp = "2031-04-01T23:30:00Z".parse().unwrap();
        let morning: Timestamp = "2031-04-02T06:00:00Z".parse().unwrap();
        assert_eq!(
            first_open(later(now, SignedDuration::from_mins(60)), &rhythm),
            morning
        );
        let asked = Asked {
            rhythm,
            ..asked(60)
        };
        let due = after_success(now, &asked, None, true, Pace::default());
        assert!(
            (0..=6 * 60).contains(&due.duration_since(morning).as_secs()),
            "{due}"
        );
        let due = after_failure(now, &asked, 1);
        assert!(
            (0..=6 * 60).contains(&due.duration_since(morning).as_secs()),
            "{due}"
        );
    }

    #[test]
    fn days_are_skipped_too_and_a_feed_that_skips_all_is_asked_all_the_same() {
        let open = |instant: &str, skip_hours, skip_days| {
            let rhythm = Rhythm {
                skip_hours,
                skip_days,
                ..Rhythm::default()
            };
            first_open(instant.parse().unwrap(), &rhythm).to_string()
        };
        // 2031-04-05 is a Saturday.
        let weekend = 0b110_0000;
        assert_eq!(
            open("2031-04-05T10:00:00Z", 0, weekend),
            "2031-04-07T00:00:00Z"
        );
        assert_eq!(
            open("2031-04-05T10:00:00Z", 1, weekend),
            "2031-04-07T01:00:00Z"
        );
        assert_eq!(
            open("2031-04-07T10:30:00Z", 1, weekend),
            "2031-04-07T10:30:00Z"
        );
        assert_eq!(
            open("2031-04-07T10:30:00Z", 0xff_ffff, 0),
            "2031-04-07T10:30:00Z"
        );
        assert_eq!(
            open("2031-04-07T10:30:00Z", 0, 0x7f),
            "2031-04-07T10:30:00Z"
        );
        // Six days and 23 hours are skipped, and it is the only open hour that has just passed.
        let only = |instant| open(instant, 0xff_ffff ^ 1 << 10, 0b111_1110);
        assert_eq!(only("2031-04-07T11:00:00Z"), "2031-04-14T10:00:00Z");
        let rhythm = Rhythm {
            skip_hours: 1,
            ..Rhythm::default()
        };
        assert_eq!(first_open(Timestamp::MAX, &rhythm), Timestamp::MAX);
    }

    #[test]
    fn jitter_spreads_feeds_and_is_the_same_again() {
        let hour = SignedDuration::from_hours(1);
        let mut found: Vec<i64> = (0..1_000)
            .map(|number| jitter(&format!("https://example.org/{number}"), NOW, hour).as_secs())
            .collect();
        assert_eq!(
            found[7],
            jitter("https://example.org/7", NOW, hour).as_secs()
        );
        found.sort_unstable();
        assert!(found[0] >= 0 && found[999] <= 360);
        // A tenth of them in each tenth of the time, give or take a third.
        for tenth in 0..10 {
            let range = tenth * 36..(tenth + 1) * 36;
            let count = found
                .iter()
                .filter(|second| range.contains(*second))
                .count();
            assert!((66..=134).contains(&count), "{count} in {range:?}");
        }
        let next = later(NOW, hour);
        assert_ne!(
            jitter("https://example.org/7", NOW, hour),
            jitter("https://example.org/7", next, hour)
        );
        let week = jitter("https://example.org/7", NOW, hour * 168);
        assert!(week <= LONGEST_JITTER);
    }
}
