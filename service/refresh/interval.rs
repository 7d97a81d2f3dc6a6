//! How long a feed is left in peace after an answer: its own hints, how often it really changes, and the
//! household's wish. Pure: lengths of time in, one out.

use jiff::{SignedDuration, Timestamp};

use crate::distil::feed::Rhythm;

/// The least time between conditional requests for a feed that says nothing of how often: publishers who
/// state a policy ask for an hour (common practice, no source).
const CONDITIONAL_FLOOR: SignedDuration = SignedDuration::from_hours(1);

/// The least time between requests that a server cannot answer with "not modified", since each costs it
/// the whole feed: publishers who state a policy ask for a day (common practice, no source). It is less for
/// a feed that is known to change more often; see [`interval`].
const UNCONDITIONAL_FLOOR: SignedDuration = SignedDuration::from_hours(24);

/// The longest that hints alone put a feed off, the longest `every` of the config: a max-age of a year
/// was meant for pictures.
const LONGEST_HINT: SignedDuration = SignedDuration::from_hours(7 * 24);

/// The share of the time without a change after which to look again: one in ten (RFC 9111 section 4.2.2).
const QUIET_SHARE: i32 = 10;

/// The longest that quiet alone puts a feed off, so that what comes after a long silence is seen on the
/// same day; common practice, no source.
const LONGEST_QUIET: SignedDuration = SignedDuration::from_hours(12);

/// Quiet makes at most so many times `every`, so that the household's wish keeps its weight.
const MOST_QUIET_TIMES: i32 = 8;

/// How many of the newest changes tell how often a feed changes.
pub(super) const CHANGES_LOOKED_AT: u32 = 10;

/// Fewer different instants than this tell nothing of the time between them.
const LEAST_CHANGES: usize = 3;

/// How often a feed really changes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Pace {
    /// The time since its last change.
    since_last: Option<SignedDuration>,
    /// The mean time between the newest changes.
    mean_gap: Option<SignedDuration>,
}

impl Pace {
    /// Of the instants of changes, in any order.
    pub(super) fn of(now: Timestamp, mut changes: Vec<Timestamp>) -> Self {
        changes.sort_unstable_by(|one, other| other.cmp(one));
        changes.dedup_by_key(|change| change.as_millisecond());
        changes.truncate(CHANGES_LOOKED_AT as usize);
        let (Some(newest), Some(oldest)) = (changes.first(), changes.last()) else {
            return Self::default();
        };
        let gaps = i32::try_from(changes.len().saturating_sub(1)).unwrap_or(i32::MAX);
        Self {
            since_last: Some(now.duration_since(*newest).max(SignedDuration::ZERO)),
            mean_gap: (changes.len() >= LEAST_CHANGES)
                .then(|| newest.duration_since(*oldest) / gaps),
        }
    }
}

/// The longest time that the feed or its server asks for; `None` where neither names one. `fresh` is for how
/// long the answer stays fresh by its header.
pub(super) fn asked_for(fresh: Option<SignedDuration>, rhythm: &Rhythm) -> Option<SignedDuration> {
    let minutes = |minutes: Option<u32>| minutes.map(|m| SignedDuration::from_mins(m.into()));
    [
        fresh,
        minutes(rhythm.ttl_minutes),
        minutes(rhythm.update_minutes),
    ]
    .into_iter()
    .flatten()
    .filter(SignedDuration::is_positive)
    .max()
    .map(|longest| longest.min(LONGEST_HINT))
}

/// For how long a feed is left in peace: `every` at the least, and what it asks for where that is longer. One
/// that asks for nothing has an hour, or a day where its server gives nothing to ask conditionally
/// by (`conditional`), but then half the mean time between its changes where that is shorter. One that has been
/// quiet is asked less often.
pub(super) fn interval(
    every: SignedDuration,
    asked_for: Option<SignedDuration>,
    conditional: bool,
    pace: Pace,
) -> SignedDuration {
    let floor = asked_for.unwrap_or_else(|| match (conditional, pace.mean_gap) {
        (true, _) => CONDITIONAL_FLOOR,
        (false, Some(gap)) => (gap / 2).clamp(CONDITIONAL_FLOOR, UNCONDITIONAL_FLOOR),
        (false, None) => UNCONDITIONAL_FLOOR,
    });
    let quiet = pace.since_last.max(pace.mean_gap).unwrap_or_default() / QUIET_SHARE;
    let longest_quiet = LONGEST_QUIET.min(every * MOST_QUIET_TIMES);
    every.max(floor).max(quiet.min(longest_quiet))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hours(hours: i64) -> SignedDuration {
        SignedDuration::from_hours(hours)
    }

    fn at(hour: i64) -> Timestamp {
        Timestamp::from_second(hour * 3_600).unwrap()
    }

    /// A feed that has just changed, and changes so often.
    fn changing(gap_hours: i64) -> Pace {
        Pace::of(at(0), (0..20).map(|n| at(-n * gap_hours)).collect())
    }

    #[test]
    fn the_longest_hint_counts_and_none_beyond_a_week() {
        let rhythm = |ttl, update| Rhythm {
            ttl_minutes: ttl,
            update_minutes: update,
            ..Rhythm::default()
        };
        let check = |fresh: Option<i64>, ttl, update, expected: Option<i64>| {
            let found = asked_for(fresh.map(SignedDuration::from_mins), &rhythm(ttl, update));
            assert_eq!(found, expected.map(SignedDuration::from_mins));
        };
        check(None, None, None, None);
        check(Some(0), None, None, None);
        check(Some(-5), Some(60), None, Some(60));
        check(Some(10), Some(60), Some(30), Some(60));
        check(Some(600), Some(60), Some(30), Some(600));
        check(None, None, Some(1_440), Some(1_440));
        check(Some(525_600), None, None, Some(10_080));
        check(None, Some(u32::MAX), None, Some(10_080));
    }

    #[test]
    fn without_hints_an_hour_is_the_least_and_every_is_never_undercut() {
        let quarter = SignedDuration::from_mins(15);
        let check = |every, asked, expected| {
            assert_eq!(interval(every, asked, true, Pace::default()), expected);
        };
        check(quarter, None, hours(1));
        check(hours(1), None, hours(1));
        check(hours(3), None, hours(3));
        // What a feed says counts in either direction, but never below what the person said.
        check(
            quarter,
            Some(SignedDuration::from_mins(20)),
            SignedDuration::from_mins(20),
        );
        check(quarter, Some(SignedDuration::from_mins(5)), quarter);
        check(hours(3), Some(hours(1)), hours(3));
        check(hours(1), Some(hours(24)), hours(24));
    }

    #[test]
    fn what_cannot_be_asked_conditionally_is_asked_daily_or_as_often_as_it_changes() {
        let check = |pace, expected| assert_eq!(interval(hours(1), None, false, pace), expected);
        check(Pace::default(), hours(24));
        check(changing(1), hours(1));
        check(changing(8), hours(4));
        check(changing(24 * 30), hours(24));
        // A hint of its own stands instead.
        assert_eq!(
            interval(hours(1), Some(hours(2)), false, Pace::default()),
            hours(2)
        );
    }

    /// RFC 9111 section 4.2.2 suggests a tenth of the time since the last change.
    #[test]
    fn a_quiet_feed_is_asked_after_a_tenth_of_its_quiet_within_reason() {
        let quiet = |since| interval(hours(1), None, true, Pace::of(at(since), vec![at(0)]));
        assert_eq!(quiet(0), hours(1));
        assert_eq!(quiet(10), hours(1));
        assert_eq!(quiet(30), hours(3));
        assert_eq!(quiet(24 * 365), hours(8), "eight times every at the most");
        let often = SignedDuration::from_mins(90);
        let year = Pace::of(at(24 * 365), vec![at(0)]);
        assert_eq!(interval(often, None, true, year), hours(12));
        assert_eq!(interval(hours(24), None, true, year), hours(24));
        assert_eq!(interval(hours(1), None, true, changing(30)), hours(3));
    }

    #[test]
    fn a_pace_needs_three_instants_and_bears_odd_ones() {
        assert_eq!(Pace::of(at(0), Vec::new()), Pace::default());
        let same = Pace::of(at(5), vec![at(1); 9]);
        assert_eq!((same.since_last, same.mean_gap), (Some(hours(4)), None));
        let future = Pace::of(at(0), vec![at(3), at(1), at(2)]);
        assert_eq!(future.since_last, Some(SignedDuration::ZERO));
        assert_eq!(future.mean_gap, Some(hours(1)));
        let extremes = Pace::of(Timestamp::MAX, vec![Timestamp::MIN, at(0), Timestamp::MAX]);
        assert!(interval(hours(1), None, false, extremes) >= hours(1));
    }
}
