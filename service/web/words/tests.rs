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
        assert_eq!(english().tally(told, screen("round-10")), long);
        assert_eq!(english().tally(told, screen("round-6")), terse);
    };
    check(0, 0, "All read", "All read");
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
    assert_eq!(english().marked_as_seen(0, false), "All read");
}

#[test]
fn times_are_told_in_the_households_zone() {
    let zone = TimeZone::get("Europe/Berlin").unwrap();
    let time: Timestamp = "2031-06-05T22:30:00Z".parse().unwrap();
    let later: Timestamp = "2032-06-05T22:30:00Z".parse().unwrap();
    assert_eq!(
        english().short_time(time, time, &zone, screen("round-8")),
        "6 Jun 00:30"
    );
    assert_eq!(
        english().short_time(time, later, &zone, screen("round-8")),
        "6 Jun 2031"
    );
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
    assert_eq!(
        words.short_time(time, time, &zone, screen("round-8")),
        "27. Nov. 14:05"
    );
    assert_eq!(
        words.short_time(time, later, &zone, screen("round-8")),
        "27. Nov. 2031"
    );
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
        "27.11.2031"
    );
    let narrow = screen("round-6-wide");
    assert_eq!(words.short_time(time, time, &zone, narrow), "27.11. 14:05");
    assert_eq!(words.tally(told(3), narrow), "3 neu");
    assert_eq!(words.full_length(238, english().language()), "1 Minute");
    assert_eq!(words.full_length(600, english().language()), "3 Minuten");
    assert_eq!(words.not_findable_yet(1), not_findable_yet("Ein", "wird"));
    assert_eq!(words.not_findable_yet(2), not_findable_yet("2", "werden"));
    assert_eq!(words.tally(told(3), screen("round-10")), "3 neu von 99+");
}

fn told(new: u32) -> Tally {
    Tally { unread: 120, new }
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

#[test]
fn what_is_old_says_how_old() {
    let zone = TimeZone::get("America/Halifax").unwrap();
    let age = |words: Words, published: &str| {
        let now = "2031-06-05T12:00:00Z".parse().unwrap();
        words.age(published.parse().unwrap(), now, &zone)
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
        assert_eq!(age(english(), published).as_deref(), wanted, "{published}");
    }
    let german_age = age(german(), "2028-06-05T02:00:00Z").unwrap();
    assert_eq!(german_age, "3 Jahre alt");
    let published = "2028-06-05T02:00:00Z".parse().unwrap();
    let told = |words: Words, age, at| words.old_time(published, age, &zone, screen(at));
    assert_eq!(
        told(english(), "3 years old", "round-10"),
        "Sunday 4 June 2028, 3 years old"
    );
    assert_eq!(
        told(english(), "3 years old", "round-6"),
        "Sun 4 Jun 2028, 3 years old"
    );
    assert_eq!(
        told(german(), &german_age, "round-6"),
        "So, 4. Juni 2028, 3 Jahre alt"
    );
}

#[test]
fn what_the_first_page_says_fits_its_lines() {
    // The lines stand 0.3 to 0.03 of the diameter above the middle, as `templates/first.css` puts them; the chord of the
    // uppermost is c = 2 * sqrt(0.25 - y^2) at the height of its ink.
    let typeface = crate::font::Typeface::read(crate::font::REGULAR).unwrap();
    let em = Lines::Eleven.em(&typeface);
    for words in Words::all() {
        let lines: Vec<&str> = words.caution_and_whole().lines().collect();
        assert_eq!(lines.len(), 4, "{words:?}");
        for (line, top) in lines.into_iter().zip([0.29, 0.209, 0.128, 0.047]) {
            let advances = line
                .chars()
                .map(|character| typeface.glyph(character).advance);
            let width = advances.sum::<f64>() * em;
            let chord = 2.0 * (0.25_f64 - top * top).sqrt();
            // Other fonts, where this one does not arrive, are wider by some hundredths.
            assert!(width < 0.95 * chord, "{line}: {width} of {chord}");
        }
    }
}
