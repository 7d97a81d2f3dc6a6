//! The words of pages, as they are told in English and in German.

use super::*;

fn english() -> Words {
    Words::default()
}

fn screen(name: &str) -> Screen {
    name.parse().unwrap()
}

fn german() -> Words {
    Words::accepted(["de"].into_iter())
}

#[test]
fn sources_are_told_as_far_as_there_is_room() {
    assert_eq!(
        english().source("Kestrel Quay Gazette", 0),
        "Kestrel Quay Gazette"
    );
    assert_eq!(english().source("Gazette", 1), "Gazette and 1 more");
    assert_eq!(
        english().source("Kestrel Quay Gazette", 2),
        "Kestrel Quay… and 2 more"
    );
    let titles = ["Gazette", "Bulletin", "Lantern"].map(str::to_owned);
    assert_eq!(english().also_in(&titles[..0]), None);
    assert_eq!(
        english().also_in(&titles[..1]).as_deref(),
        Some("Also in Gazette")
    );
    assert_eq!(
        english().also_in(&titles[..2]).as_deref(),
        Some("Also in Gazette and Bulletin")
    );
    assert_eq!(
        english().also_in(&titles).as_deref(),
        Some("Also in Gazette and 2 more")
    );
}

#[test]
fn entries_are_told_in_few_words_and_counted_as_far_as_it_matters() {
    let check = |unread, new, long: &str, terse: &str| {
        let told = Tally { unread, new };
        assert_eq!(english().tally(told, false), long);
        assert_eq!(english().tally(told, true), terse);
    };
    check(0, 0, "Nothing unread", "Nothing unread");
    check(9, 0, "9 unread", "9 unread");
    check(12, 3, "3 new of 12 unread", "3 new of 12");
    check(100, 100, "99+ new of 99+ unread", "99+ new of 99+");
    assert_eq!(english().new_entries(99), "99 new");
    assert_eq!(english().new_entries(100), "99+ new");
    assert_eq!(
        english().marked_as_seen(1_200, false),
        "1200 marked as seen"
    );
    assert_eq!(english().marked_as_seen(1_200, true), "1200 seen");
    assert_eq!(english().marked_as_seen(0, false), "Nothing unread");
}

#[test]
fn times_are_told_in_the_households_zone() {
    let zone = TimeZone::get("Europe/Berlin").unwrap();
    let time: Timestamp = "2031-06-05T22:30:00Z".parse().unwrap();
    let later: Timestamp = "2032-06-05T22:30:00Z".parse().unwrap();
    assert_eq!(english().short_time(time, time, &zone), "6 Jun 00:30");
    assert_eq!(english().short_time(time, later, &zone), "6 Jun 2031");
    assert_eq!(
        english().full_time(time, &zone, screen("round-10")),
        "Friday 6 June 2031, 00:30"
    );
    assert_eq!(
        english().full_time(time, &zone, screen("round-6")),
        "Fri 6 Jun 2031, 00:30"
    );
    assert_eq!(english().full_length(238, english().language()), "1 minute");
    assert_eq!(english().short_length(3), "3 min");
}

#[test]
fn times_lengths_and_counts_are_told_in_german_as_germans_write_them() {
    let zone = TimeZone::get("Europe/Berlin").unwrap();
    let time: Timestamp = "2031-11-27T13:05:00Z".parse().unwrap();
    let later: Timestamp = "2032-06-05T22:30:00Z".parse().unwrap();
    let words = german();
    assert_eq!(words.short_time(time, time, &zone), "27. Nov. 14:05");
    assert_eq!(words.short_time(time, later, &zone), "27. Nov. 2031");
    assert_eq!(
        words.full_time(time, &zone, screen("round-10")),
        "Donnerstag, 27. November 2031, 14:05"
    );
    assert_eq!(
        words.full_time(time, &zone, screen("round-6")),
        "Do, 27. Nov. 2031, 14:05"
    );
    assert_eq!(
        words.full_time(time, &zone, screen("round-6-wide")),
        "27. Nov. 2031"
    );
    assert_eq!(words.full_length(238, english().language()), "1 Minute");
    assert_eq!(words.full_length(600, english().language()), "3 Minuten");
    assert_eq!(words.not_findable_yet(1), not_findable_yet("Ein", "wird"));
    assert_eq!(words.not_findable_yet(2), not_findable_yet("2", "werden"));
    let told = Tally {
        unread: 120,
        new: 3,
    };
    assert_eq!(words.tally(told, false), "3 neu von 99+");
}

fn not_findable_yet(count: &str, verb: &str) -> String {
    format!(
        "{count} Artikel {verb} noch für die Suche vorbereitet. In einigen Minuten noch einmal suchen."
    )
}

#[test]
fn the_headers_say_which_language_is_wanted() {
    let mut headers = HeaderMap::new();
    assert_eq!(wanted(&headers).language().tag(), "en");
    headers.append(header::ACCEPT_LANGUAGE, "fr;q=0.9".parse().unwrap());
    headers.append(header::ACCEPT_LANGUAGE, "de-AT;q=0.8".parse().unwrap());
    assert_eq!(wanted(&headers).language().tag(), "de");
}
