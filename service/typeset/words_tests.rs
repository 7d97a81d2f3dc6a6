//! Checks of which words may be divided, and of where lines must and may not end.

use proptest::prelude::*;
use unicode_linebreak::linebreaks;

use super::*;

/// Shows the opportunities of UAX #14 within a text by `|`, and those that are held by `_`.
fn shown(text: &str) -> String {
    let mut shown = String::new();
    let mut from = 0;
    for (at, _) in linebreaks(text).filter(|&(at, _)| at < text.len()) {
        shown.push_str(text[from..at].trim_end_matches(' '));
        shown.push(if is_held(text, at) { '_' } else { '|' });
        from = at;
    }
    shown + &text[from..]
}

fn check(text: &str, wanted: &str) {
    assert_eq!(shown(text), wanted);
}

#[test]
fn a_number_is_held_to_its_unit_and_its_measure() {
    check("It is 10 km to the quay", "It|is|10_km|to|the|quay");
    check("about 5 %, at 20 °C.", "about|5_%,|at|20_°C.");
    check(
        "from 3 pm (or 10.30 a.m.) on",
        "from|3_pm|(or|10.30_a.m.)|on",
    );
    check("The 1,5 Mio. and 12½ lb", "The|1,5_Mio.|and|12½_lb");
    check("for £ 5 or 5 € here", "for|£_5|or|5_€|here");
    check("see No. 7, p. 12 and § 3", "see|No._7,|p._12|and|§_3");
    check("(Fig. 2) pp. 12–14", "(Fig._2)|pp._12–_14");
    check("all 12 000 of 1 200 000 km", "all|12_000|of|1_200_000_km");
    check("a box of 3 × 4 m", "a|box|of|3_×_4_m");
}

#[test]
fn what_only_looks_like_a_number_with_its_unit_is_not_held() {
    check("In 2019 in the year", "In|2019|in|the|year");
    check(
        "en 2019 ha sido, 2019 am Hafen",
        "en|2019|ha|sido,|2019|am|Hafen",
    );
    check("20 boats and 10 metres", "20|boats|and|10|metres");
    check("he left 5. Kilometres on", "he|left|5.|Kilometres|on");
    check("pages 12 13", "pages|12|13");
    assert!(!is_held("12\n000", 3));
    assert!(!is_held("No.\n7", 4));
}

#[test]
fn initials_and_titles_are_held_to_names() {
    check("by J. R. Mandrake, then", "by|J._R._Mandrake,|then");
    check("with Dr. Vane and Mr Vane", "with|Dr._Vane|and|Mr_Vane");
    check("at St. Ebba", "at|St._Ebba");
    check("z. B. heute, i. e. now", "z._B.|heute,|i._e.|now");
    check("in the end. Then", "in|the|end.|Then");
    check("and Sir told them", "and|Sir|told|them");
}

#[test]
fn a_day_is_held_to_a_short_month() {
    check("on 12 May, or May 12, at", "on|12_May,|or|May_12,|at");
    check(
        "am 12. Juni und 3. September",
        "am|12._Juni|und|3.|September",
    );
    check("in May 2024 they may 12", "in|May|2024|they|may|12");
}

#[test]
fn long_groups_are_let_go() {
    check("by J. R. Mandrakenwick", "by|J._R.|Mandrakenwick");
    check("by A. B. C. D. E. F. G. H.", "by|A._B._C._D._E.|F.|G.|H.");
    check(
        "Professor Dr. Abercrombie-Vane",
        "Professor|Dr.|Abercrombie-|Vane",
    );
    check("1234567890–1234567890", "1234567890–|1234567890");
}

#[test]
fn guillemets_stay_with_what_they_enclose() {
    check("dit « bonjour » et", "dit|«_bonjour_»|et");
    check("sagt »Moin« und", "sagt|»Moin«|und");
}

#[test]
fn a_soft_hyphen_at_the_edge_of_a_word_divides_nothing() {
    let held = |text: &str| -> Vec<bool> {
        let inner = linebreaks(text).filter(|&(at, _)| at < text.len());
        inner.map(|(at, _)| is_held(text, at)).collect()
    };
    assert_eq!(held("har\u{ad}bour"), [false]);
    assert_eq!(held("\u{ad}harbour"), [true]);
    assert_eq!(held("har\u{ad}\u{ad}bour"), [false]);
    assert_eq!(held("a \u{ad}harbour"), [false, true]);
    assert_eq!(held("har\u{ad}日"), [false]);
}

#[test]
fn plain_words_are_told_from_addresses_and_names_in_code() {
    for word in [
        "harbour",
        "(well-being)",
        "l’arrivée,",
        "McAllister",
        "bibliothe\u{300}que",
        "विश्वविद्यालय",
    ] {
        assert!(is_plain_word(word), "{word}");
    }
    for word in [
        "tide.example.org",
        "a/b",
        "x=1",
        "snake_case",
        "5km",
        "har\u{ad}bour",
        "clerk@example.org",
        "openHarbourGate",
    ] {
        assert!(!is_plain_word(word), "{word}");
    }
}

#[test]
fn compounds_are_told_by_a_hyphen_between_letters() {
    for word in ["well-being", "“harbour–town”", "semi\u{2010}tide"] {
        assert!(is_compound(word), "{word}");
    }
    for word in ["well", "-well", "well-", "12-14", "—", ""] {
        assert!(!is_compound(word), "{word}");
    }
}

#[test]
fn addresses_are_told_from_words_with_signs() {
    for token in [
        "https://example.org",
        "(www.example.org)",
        "mailto:clerk@example.org",
        "clerk@example.org,",
        "/var/tide",
        "~/notes",
        "example.org/tide",
        "tides/someCamelCasePath/now",
    ] {
        assert!(is_address(token), "{token}");
    }
    for token in [
        "and/or",
        "tide_table",
        "1/2.5",
        "a@b",
        "3.14",
        "",
        "x::y(z)",
    ] {
        assert!(!is_address(token), "{token}");
    }
}

fn split<'a>(segment: &'a str, points: &[usize]) -> Vec<&'a str> {
    let mut from = 0;
    let mut parts: Vec<&str> = Vec::new();
    for &point in points {
        parts.push(&segment[from..point]);
        from = point;
    }
    parts.push(&segment[from..]);
    parts
}

fn check_address(segment: &str, wanted: &str) {
    assert_eq!(split(segment, &address_points(segment)).join("|"), wanted);
}

fn check_code(segment: &str, wanted: &str) {
    assert_eq!(
        split(segment, &points_after_signs(segment)).join("|"),
        wanted
    );
}

#[test]
fn an_address_goes_on_after_its_signs() {
    check_address("https://example.org/", "https://|example.|org/");
    check_address(
        "clerk.of.tides@example.org",
        "clerk.|of.|tides@|example.|org",
    );
    check_address("page=2&sort=ascending#top", "page=|2&sort=|ascending#|top");
    check_address("tide%20table%2Fnow", "tide%20table%2Fnow");
    check_address("version-1.2.3/2024", "version-|1.2.3/2024");
    check_address("someCamelCasePath", "someCamelCasePath");
    check_address("a.b.c.d.e.f.g", "a.b.|c.d.|e.f.g");
    check_address("short/x", "short/x");
}

#[test]
fn computer_text_goes_on_after_its_signs_and_before_capitals() {
    check_code("openHarbourGate", "open|Harbour|Gate");
    check_code("tide_table_of_year", "tide_|table_|of_|year");
    check_code("gate::open(width,depth)", "gate::|open(|width,|depth)");
    check_code("gate->lock.close;again", "gate->|lock.|close;|again");
    check_code("page=2&sort=ascending", "page=|2&sort=|ascending");
    check_code("readHTMLOfOnePage", "read|HTMLOf|One|Page");
    check_code("pi=3.14159265358", "pi=|3.14159265358");
    check_code("McAllister", "McAllister");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn points_after_signs_leave_three_characters_and_stand_before_letters(
        segment in "[a-zA-Z0-9/.?&=_:~#%@(,;>äß-]{0,40}",
    ) {
        for points in [address_points(&segment), points_after_signs(&segment)] {
            let parts = split(&segment, &points);
            prop_assert_eq!(parts.concat(), segment.clone());
            if parts.len() > 1 {
                for part in &parts {
                    prop_assert!(part.chars().count() >= 3, "{:?}", parts);
                }
                for part in &parts[1..] {
                    prop_assert!(part.starts_with(char::is_alphanumeric), "{:?}", parts);
                }
            }
        }
        for point in address_points(&segment) {
            prop_assert!(!segment[..point].ends_with(char::is_alphanumeric));
        }
    }

    #[test]
    fn held_groups_are_short(
        tokens in prop::collection::vec(
            prop_oneof![
                "[A-Z]\\.",
                Just("Dr.".to_owned()),
                Just("No.".to_owned()),
                "[0-9]{1,3}",
                "[0-9]{3}",
                Just("km".to_owned()),
                Just("×".to_owned()),
                Just("May".to_owned()),
                "[A-Z][a-z]{1,12}",
            ],
            1..20,
        ),
    ) {
        let text = tokens.join(" ");
        let mut from = 0;
        for (at, _) in linebreaks(&text) {
            if at == text.len() || !is_held(&text, at) {
                let group = text[from..at].trim_end();
                let alone = !group.contains(' ');
                prop_assert!(alone || group.trim_end_matches('.').chars().count() <= 14, "{}", group);
                from = at;
            }
        }
    }

    #[test]
    fn nothing_is_held_off_the_boundary_and_nothing_panics(text in "\\PC{0,40}", at in 0usize..200) {
        let held = is_held(&text, at);
        prop_assert!(!held || text.is_char_boundary(at));
        let token = token_around(&text, 0, 0);
        let _ = (is_address(token), is_compound(token), is_plain_word(token));
        let _ = (address_points(&text), points_after_signs(&text));
    }
}
