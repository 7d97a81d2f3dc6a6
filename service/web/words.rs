//! The service's own words on its pages: times, lengths, names of controls. In English.

pub mod links;

use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::distil::language::Language;
use crate::distil::plain::shortened;
use crate::distil::reading_minutes;
use crate::store::{MOST_CHARACTERS, MOST_COUNTED, MOST_WORDS, Tally};
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

/// How many unread entries of the index are new, as its first line says.
pub fn new_entries(new: u32) -> String {
    format!("{} new", counted(new))
}

/// That an entry came since the last look, before its source.
pub const NEW: &str = "New";

/// How much of a group there is to read.
pub fn tally(tally: Tally, terse: bool) -> String {
    let unread = counted(tally.unread);
    match (tally.unread, tally.new) {
        (0, _) => "Nothing unread".to_owned(),
        (_, 0) => format!("{unread} unread"),
        (_, new) if terse => format!("{} new of {unread}", counted(new)),
        (_, new) => format!("{} new of {unread} unread", counted(new)),
    }
}

/// A number of entries that are counted up to [`MOST_COUNTED`].
fn counted(entries: u32) -> String {
    if entries < MOST_COUNTED {
        entries.to_string()
    } else {
        format!("{}+", MOST_COUNTED - 1)
    }
}

/// How many entries of a group, or of all, are unread, and on a line of its own which group.
pub fn unread_of(unread: u32, group: Option<&str>) -> String {
    let unread = format!("{} unread", counted(unread));
    match group {
        Some(group) => format!("{unread}\n{group}"),
        None => unread,
    }
}

/// What leads to older entries, and back to the newest.
pub const OLDER: &str = "Older";
pub const NEWEST: &str = "Newest";

/// What the index says where no entry has come yet.
pub const NOTHING_YET: &str = "Nothing to read yet";
pub const NOTHING_YET_TOLD: &str =
    "The first articles come within minutes of the start. Open this page again then.";

/// What it says where all was read and goes from it for that.
pub const ALL_READ: &str = "All is read";
pub const ALL_READ_TOLD: &str = "What comes next will stand here.";

/// All groups, as one to choose.
pub const ALL: &str = "All";

/// What leads to the choice of groups.
pub const GROUPS: &str = "Groups";

/// What marks all that is unread in a group, or in all, as seen.
pub const MARK_AS_SEEN: &str = "Mark as seen";

/// What takes the last marking back.
pub const UNDO: &str = "Undo";

/// What leads to the index.
pub const INDEX: &str = "Index";

/// What was marked as seen, in a line.
pub fn marked_as_seen(entries: u32, terse: bool) -> String {
    match entries {
        0 => "Nothing unread".to_owned(),
        _ if terse => format!("{entries} seen"),
        _ => format!("{entries} marked as seen"),
    }
}

/// That a marking was asked to be taken back which another has followed, or none.
pub const UNDO_IS_PAST: &str =
    "This cannot be undone any more. Only what was marked as seen last can be, once.";

/// What stands above the sentences that are shown of a long article before its text.
pub const EXCERPT: &str = "Excerpt";

/// What a tap on the control of keeping does, by whether the article is kept.
pub fn keeping(kept: bool) -> &'static str {
    if kept { "Let go" } else { "Keep" }
}

/// What the index offers first: the article that was left last.
pub const GO_ON: &str = "Go on reading";
/// The control that hands an article over, and what its page is called.
pub const HAND: &str = "To the phone";

/// What a code is called where it cannot be seen.
pub fn code_of(address: &str) -> String {
    format!("Code for a phone’s camera: {address}")
}

/// Where in the page a code opens.
pub fn opens_at(where_stopped: bool) -> &'static str {
    if where_stopped {
        "Opens where you stopped"
    } else {
        "Opens at the beginning"
    }
}

/// That a code leads by way of this service, to which a phone elsewhere does not come; or that it does on discs of some
/// sizes, where the page does not know which it stands on.
pub fn only_at_home(on_some_discs_alone: bool) -> &'static str {
    if on_some_discs_alone {
        "Perhaps only at home"
    } else {
        "Only at home"
    }
}

/// What stands before an address for which there is no code.
pub const TOO_LONG_FOR_A_CODE: &str = "Too long for a code:";

/// The control that leads back to an article's text.
pub const BACK_TO_TEXT: &str = "Back to the text";

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

/// The most characters of a feed's name where how many others there are must stand beside it in the index, and of
/// one among others at an opening: two lines hold two of them.
const MOST_SOURCE: usize = 14;
const MOST_OTHER_SOURCE: usize = 24;

/// The source as the index shows it, with how many other feeds tell the same.
pub fn source(title: &str, others: u32) -> String {
    match others {
        0 => title.to_owned(),
        _ => format!("{} and {others} more", shortened(title, MOST_SOURCE)),
    }
}

/// Which other feeds tell the same, as far as there is room at an opening.
pub fn also_in(titles: &[String]) -> Option<String> {
    let name = |title: &String| shortened(title, MOST_OTHER_SOURCE);
    match titles {
        [] => None,
        [only] => Some(format!("Also in {}", name(only))),
        [one, other] => Some(format!("Also in {} and {}", name(one), name(other))),
        [one, rest @ ..] => Some(format!("Also in {} and {} more", name(one), rest.len())),
    }
}

/// How long reading takes, as the index shows it.
pub fn short_length(words: u32, language: &Language) -> String {
    format!("{} min", reading_minutes(words, language))
}

/// How long reading takes, in full.
pub fn full_length(words: u32, language: &Language) -> String {
    match reading_minutes(words, language) {
        1 => "1 minute".to_owned(),
        minutes => format!("{minutes} minutes"),
    }
}

/// What leads to the search, and what begins one.
pub const FIND: &str = "Find";

/// What the field of the search is called.
pub const FIND_WORDS: &str = "Find words";

/// What stands above that field where nothing was found, where there was no word to look for, and where there were
/// too many: short enough for the top of a disc.
pub const NOTHING_FOUND: &str = "Nothing found";
/// See [`NOTHING_FOUND`].
pub const TYPE_A_WORD: &str = "Type a word";
/// See [`NOTHING_FOUND`].
pub const FEWER_WORDS: &str = "Fewer words";

/// What to do where neither letters nor digits were typed.
pub const NO_WORDS: &str =
    "Type one word or more, then tap Find. Letters and digits are looked for; signs are not.";

/// What to do where too much was typed.
pub fn too_many_words() -> String {
    format!("A search takes {MOST_WORDS} words of {MOST_CHARACTERS} characters in all, no more.")
}

/// What to do where nothing was found.
pub fn none_has_all(words: &str) -> String {
    format!(
        "No article has all of: {words}. Use fewer words, or only the beginning of the last one."
    )
}

/// That some articles cannot be found yet.
pub fn not_findable_yet(count: u64) -> String {
    match count {
        1 => "One article is still being made ready to be found. Look again in some minutes."
            .to_owned(),
        _ => format!(
            "{count} articles are still being made ready to be found. Look again in some minutes."
        ),
    }
}

/// How many articles were found.
pub fn found(count: usize, more: bool) -> String {
    match more {
        true => format!("the best {count} shown"),
        false => format!("{count} found"),
    }
}

/// The title of a page of what was found.
pub fn find_title(words: &str) -> String {
    format!("{FIND}: {words}")
}

/// What leads to further articles that were found.
pub const FURTHER: &str = "Further";

/// The control that forgets the last searches.
pub const FORGET_SEARCHES: &str = "Forget searches";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sources_are_told_as_far_as_there_is_room() {
        assert_eq!(source("Kestrel Quay Gazette", 0), "Kestrel Quay Gazette");
        assert_eq!(source("Gazette", 1), "Gazette and 1 more");
        assert_eq!(
            source("Kestrel Quay Gazette", 2),
            "Kestrel Quay… and 2 more"
        );
        let titles = ["Gazette", "Bulletin", "Lantern"].map(str::to_owned);
        assert_eq!(also_in(&titles[..0]), None);
        assert_eq!(also_in(&titles[..1]).as_deref(), Some("Also in Gazette"));
        assert_eq!(
            also_in(&titles[..2]).as_deref(),
            Some("Also in Gazette and Bulletin")
        );
        assert_eq!(
            also_in(&titles).as_deref(),
            Some("Also in Gazette and 2 more")
        );
    }

    #[test]
    fn entries_are_told_in_few_words_and_counted_as_far_as_it_matters() {
        let check = |unread, new, long: &str, terse: &str| {
            let told = Tally { unread, new };
            assert_eq!(tally(told, false), long);
            assert_eq!(tally(told, true), terse);
        };
        check(0, 0, "Nothing unread", "Nothing unread");
        check(9, 0, "9 unread", "9 unread");
        check(12, 3, "3 new of 12 unread", "3 new of 12");
        check(100, 100, "99+ new of 99+ unread", "99+ new of 99+");
        assert_eq!(new_entries(99), "99 new");
        assert_eq!(new_entries(100), "99+ new");
        assert_eq!(marked_as_seen(1_200, false), "1200 marked as seen");
        assert_eq!(marked_as_seen(1_200, true), "1200 seen");
        assert_eq!(marked_as_seen(0, false), "Nothing unread");
    }

    #[test]
    fn times_are_told_in_the_households_zone() {
        let zone = TimeZone::get("Europe/Berlin").unwrap();
        let time: Timestamp = "2031-06-05T22:30:00Z".parse().unwrap();
        let later: Timestamp = "2032-06-05T22:30:00Z".parse().unwrap();
        assert_eq!(short_time(time, time, &zone), "6 Jun 00:30");
        assert_eq!(short_time(time, later, &zone), "6 Jun 2031");
        assert_eq!(full_time(time, &zone), "Friday 6 June 2031, 00:30");
        assert_eq!(full_time_in_short(time, &zone), "Fri 6 Jun 2031, 00:30");
        assert_eq!(full_length(238, &language()), "1 minute");
        assert_eq!(short_length(600, &language()), "3 min");
    }
}
