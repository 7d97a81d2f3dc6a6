//! The index as a glance: what is new, groups as a first choice, and marking as seen with its undoing.

use reqwest::{Method, StatusCode};
use tondo::config::{FullText, Subscription};

use super::house::{A_DAY, House, start, subscription};
use super::page::{Row, buttons, entry_rows, one_line, rows, running_parts, said_lines};
use super::publisher::{Publisher, Reply, Written, atom};

/// A feed of a group with entries of these names, each an hour older than the one before.
fn feed(publisher: &Publisher, title: &str, group: Option<&str>, names: &[&str]) -> Subscription {
    let written = (1..).zip(names).map(|(hours, name)| Written {
        updated: (start() - jiff::SignedDuration::from_hours(hours)).to_string(),
        ..Written::new(
            name,
            "<p>The tide turned at noon, and the ferry with it.</p>",
        )
    });
    let written: Vec<Written> = written.collect();
    let body = atom(&publisher.address("/"), title, &written);
    publisher.set(&format!("/{title}"), Reply::atom(body));
    Subscription {
        full_text: FullText::Never,
        group: group.map(str::to_owned),
        ..subscription(&publisher.address(&format!("/{title}")))
    }
}

/// A household with three groups, of which one has two feeds and one has nothing to read.
async fn in_groups(publisher: &Publisher) -> House {
    let house = House::open(vec![
        feed(publisher, "gazette", Some("Town"), &["one", "two"]),
        feed(publisher, "anglers", Some("Clubs"), &["conger"]),
        feed(publisher, "lantern", Some("Town"), &["lamp"]),
        feed(publisher, "silent", Some("Boats"), &[]),
    ])
    .await;
    house.pass().await;
    house
}

fn texts(rows: &[Row]) -> Vec<&str> {
    rows.iter().map(|row| row.text.as_str()).collect()
}

/// The rows of the choice that lead to groups, and to all.
async fn choice(house: &House) -> Vec<Row> {
    let mut rows = rows(&house.get("/round-10/").await.text());
    rows.retain(|row| row.href.ends_with('/') || row.href.ends_with("/page/0"));
    rows
}

#[tokio::test]
async fn what_came_since_the_last_look_is_counted_and_named_within_the_first_disc() {
    let publisher = Publisher::start().await;
    let house = House::open(vec![feed(&publisher, "gazette", None, &["ebb", "flow"])]).await;
    house.pass().await;
    // In the first look nothing is new, since all would be.
    let html = house.open_page("/round-10/").await.text();
    assert_eq!(said_lines(&html), []);
    assert!(entry_rows(&html).iter().all(|row| !row.new));
    house.pass_time(A_DAY);
    // Both are of older dates than what there is: what came late is first all the same.
    feed(
        &publisher,
        "gazette",
        None,
        &["ebb", "flow", "lock", "pier"],
    );
    house.pass().await;
    let check = |html: &str, new: usize| {
        let said = format!("{new} new");
        assert_eq!(said_lines(html), [(1, said)]);
        let rows = entry_rows(html);
        let marked: Vec<bool> = rows.iter().map(|row| row.new).collect();
        let expected: Vec<bool> = (0..4).map(|place| place < new).collect();
        assert_eq!(marked, expected);
        // By more than colour.
        let worded: Vec<bool> = rows.iter().map(|row| row.text.contains("New · ")).collect();
        assert_eq!(worded, expected);
        let first = html.split("<section").nth(1).unwrap_or_default();
        assert!(first.contains(&rows[0].href), "{first}");
        rows
    };
    // A look ahead by the browser, and one at the headers alone, are no looks.
    house.get("/round-10/").await;
    let ahead = [("accept", "text/html"), ("purpose", "prefetch")];
    house.ask(Method::GET, "/round-10/", &ahead).await;
    let takes = [("accept", "text/html")];
    house.ask(Method::HEAD, "/round-10/", &takes).await;
    let rows = check(&house.open_page("/round-10/").await.text(), 2);
    assert_eq!(
        texts(&rows[..1]),
        ["Of lock | 1 Apr 03:00 · 1 min | New · gazette"]
    );
    // Loaded again, and come back to from reading, it is the same look.
    house.pass_time(2);
    check(&house.open_page("/round-10/").await.text(), 2);
    house.open_page(&rows[0].href).await;
    house.pass_time(20);
    check(&house.open_page("/round-8/").await.text(), 1);
    // A later one begins anew, and what was not read is unread still.
    house.pass_time(20);
    let html = house.open_page("/round-10/").await.text();
    assert_eq!(said_lines(&html), []);
    assert_eq!(entry_rows(&html).iter().filter(|row| row.seen).count(), 1);
}

#[tokio::test]
async fn what_is_new_comes_before_what_fails() {
    let publisher = Publisher::start().await;
    let house = House::open(vec![
        feed(&publisher, "gazette", None, &["ebb"]),
        feed(&publisher, "anglers", None, &["conger"]),
    ])
    .await;
    house.pass().await;
    house.open_page("/round-10/").await;
    house.pass_time(A_DAY);
    publisher.set("/anglers", Reply::status(500));
    feed(&publisher, "gazette", None, &["ebb", "flow"]);
    house.pass().await;
    let html = house.open_page("/round-10/").await.text();
    assert_eq!(said_lines(&html), [(1, "1 new".to_owned())]);
    let fails = "anglers: no answer since 2 Apr 06:40";
    assert_eq!(
        running_parts(&html)
            .iter()
            .map(|part| one_line(part))
            .collect::<Vec<_>>(),
        [fails]
    );
    house.pass_time(60);
    let html = house.open_page("/round-10/").await.text();
    assert_eq!(said_lines(&html), []);
    assert!(
        html.split("<section")
            .nth(1)
            .is_some_and(|disc| disc.contains("anglers"))
    );
}

#[tokio::test]
async fn two_groups_or_more_are_a_first_choice_with_what_is_unread_of_each() {
    let publisher = Publisher::start().await;
    let house = in_groups(&publisher).await;
    let offered = choice(&house).await;
    assert_eq!(
        texts(&offered),
        ["All | 4 unread", "Town | 3 unread", "Clubs | 1 unread"]
    );
    // Reading is one tap away here as well.
    let html = house.get("/round-10/").await.text();
    let [first] = &entry_rows(&html)[..] else {
        panic!("{html}");
    };
    assert_eq!(rows(&html)[0], *first);
    let titles = async |path: &str| {
        let rows = entry_rows(&house.get(path).await.text());
        let titles = rows
            .iter()
            .map(|row| row.text.split(" | ").next().unwrap_or_default().to_owned());
        let mut titles: Vec<String> = titles.collect();
        titles.sort();
        titles
    };
    assert_eq!(
        titles(&offered[0].href).await,
        ["Of conger", "Of lamp", "Of one", "Of two"]
    );
    assert_eq!(
        titles(&offered[1].href).await,
        ["Of lamp", "Of one", "Of two"]
    );
    assert_eq!(titles(&offered[2].href).await, ["Of conger"]);
    // From a group the choice is a tap away, and its address says nothing of the config's order.
    let back = rows(&house.get(&offered[1].href).await.text());
    assert!(
        back.iter()
            .any(|row| row.text == "Groups" && row.href == "/round-10/")
    );
    for path in [
        "/round-10/group/00000000/",
        "/round-10/group/",
        &format!("{}page/1", offered[1].href),
    ] {
        let absent = house.get(path).await;
        assert_eq!(absent.status, StatusCode::NOT_FOUND, "{path}");
    }
}

#[tokio::test]
async fn what_is_new_is_told_of_each_group() {
    let publisher = Publisher::start().await;
    let house = in_groups(&publisher).await;
    house.open_page("/round-10/").await;
    house.pass_time(A_DAY);
    feed(&publisher, "anglers", Some("Clubs"), &["conger", "eel"]);
    house.pass().await;
    let html = house.open_page("/round-10/").await.text();
    assert_eq!(said_lines(&html), [(1, "1 new".to_owned())]);
    assert_eq!(
        texts(&choice(&house).await),
        [
            "All | 1 new of 5 unread",
            "Town | 3 unread",
            "Clubs | 1 new of 2 unread"
        ]
    );
    // What is new is the entry that is offered first.
    let first = &entry_rows(&html)[0];
    assert!(
        first.new && first.text.starts_with("Of eel | "),
        "{first:?}"
    );
    let clubs = house.open_page(&choice(&house).await[2].href).await.text();
    assert_eq!(said_lines(&clubs), [(1, "1 new".to_owned())]);
}

#[tokio::test]
async fn one_group_is_no_choice() {
    let publisher = Publisher::start().await;
    let house = House::open(vec![
        feed(&publisher, "gazette", Some("Town"), &["one"]),
        feed(&publisher, "anglers", None, &["conger"]),
        feed(&publisher, "silent", Some("Boats"), &[]),
    ])
    .await;
    house.pass().await;
    let html = house.get("/round-10/").await.text();
    assert_eq!(entry_rows(&html).len(), 2);
    // Beside the entries it leads to what fits three times, and to the field by which others are found.
    assert_eq!(rows(&html).len(), 6);
}

#[tokio::test]
async fn next_stays_in_the_group_that_was_gone_through() {
    let publisher = Publisher::start().await;
    let house = in_groups(&publisher).await;
    let town = choice(&house).await.remove(1).href;
    let entries = entry_rows(&house.open_page(&town).await.text());
    let next = async |row: &Row| {
        let path = row.href.replace("/round-10/", "/round-10/after/");
        house.get(&path).await.header("location").to_owned()
    };
    // Whoever goes through all is led through all, and whoever comes by another group's entry as well.
    let all = entry_rows(&house.open_page("/round-10/page/0").await.text());
    for pair in all.windows(2) {
        assert_eq!(next(&pair[0]).await, pair[1].href);
    }
    let clubs = choice(&house).await.remove(2).href;
    house.open_page(&clubs).await;
    let other = all
        .iter()
        .position(|row| row.href == entries[0].href)
        .expect("it is of all");
    assert_eq!(next(&all[other]).await, all[other + 1].href);
    house.open_page(&town).await;
    for pair in entries.windows(2) {
        house.open_page(&pair[0].href).await;
        assert_eq!(next(&pair[0]).await, pair[1].href);
    }
    house.open_page(&entries[2].href).await;
    assert_eq!(next(&entries[2]).await, town);
}

#[tokio::test]
async fn a_group_is_marked_as_seen_in_one_tap_and_undone_in_one() {
    let publisher = Publisher::start().await;
    let house = in_groups(&publisher).await;
    let town = choice(&house).await.remove(1).href;
    let html = house.get(&town).await.text();
    let [mark] = &buttons(&html)[..] else {
        panic!("{html}");
    };
    assert_eq!(mark.text, "Mark as seen | 3 unread | Town");
    // One that comes before the tap has not been shown.
    house.pass_time(A_DAY);
    feed(&publisher, "lantern", Some("Town"), &["lamp", "wick"]);
    house.pass().await;
    let told = house.tap(mark).await;
    let page = house.open_page(&told).await.text();
    assert_eq!(
        said_lines(&page),
        [(1, "Town | 3 marked as seen".to_owned())]
    );
    let offered = async || {
        choice(&house)
            .await
            .into_iter()
            .map(|row| row.text)
            .collect::<Vec<_>>()
    };
    assert_eq!(
        offered().await,
        ["All | 2 unread", "Town | 1 unread", "Clubs | 1 unread"]
    );
    let seen = async || {
        let rows = entry_rows(&house.get(&town).await.text());
        rows.iter().filter(|row| row.seen).count()
    };
    assert_eq!(seen().await, 3);
    let [undo] = &buttons(&page)[..] else {
        panic!("{page}");
    };
    assert_eq!(undo.text, "Undo");
    assert_eq!(house.tap(undo).await, town);
    assert_eq!(
        offered().await,
        ["All | 5 unread", "Town | 4 unread", "Clubs | 1 unread"]
    );
    assert_eq!(seen().await, 0);
    // It is done, and what is past says so with a way back.
    let own = house.origin();
    let again = house.post(&undo.action, &[("origin", &own)], "").await;
    assert_eq!(again.status, StatusCode::GONE);
    assert!(again.text().contains("href=\"/round-10/\""));
    assert_eq!(house.get(&told).await.status, StatusCode::GONE);
}

#[tokio::test]
async fn all_is_marked_from_the_first_page_and_then_nothing_is_left_to_mark() {
    let publisher = Publisher::start().await;
    let house = in_groups(&publisher).await;
    let first = buttons(&house.get("/round-10/").await.text()).remove(0);
    assert_eq!(first.text, "Mark as seen | 4 unread");
    let told = house.tap(&first).await;
    let page = house.get(&told).await.text();
    assert_eq!(
        said_lines(&page),
        [(1, "All | 4 marked as seen".to_owned())]
    );
    for path in ["/round-10/", "/round-10/page/0"] {
        let html = house.get(path).await.text();
        assert_eq!(buttons(&html), [], "{path}");
    }
    let offered = choice(&house).await;
    assert_eq!(texts(&offered)[0], "All | All read");
    assert!(offered.iter().all(|row| row.seen));
    let undo = buttons(&page).remove(0);
    assert_eq!(house.tap(&undo).await, "/round-10/");
    assert_eq!(texts(&choice(&house).await)[0], "All | 4 unread");
}

#[tokio::test]
async fn only_a_tap_on_a_page_of_ours_marks_anything() {
    let publisher = Publisher::start().await;
    let house = in_groups(&publisher).await;
    let own = house.origin();
    let check = async |path: &str, origin: &str, status: StatusCode| {
        let answer = house.post(path, &[("origin", origin)], "").await;
        assert_eq!(answer.status, status, "{path}");
        assert!(!answer.text().is_empty());
    };
    let stranger = "http://stranger.example.org";
    check("/round-10/upto/4", stranger, StatusCode::FORBIDDEN).await;
    check("/round-10/seen/1/undo", stranger, StatusCode::FORBIDDEN).await;
    for upto in ["ebb", "99999999999999999999", "4.5"] {
        let path = format!("/round-10/upto/{upto}");
        check(&path, &own, StatusCode::NOT_FOUND).await;
    }
    check("/round-7/upto/4", &own, StatusCode::NOT_FOUND).await;
    check("/round-10/group/ebb/upto/4", &own, StatusCode::NOT_FOUND).await;
    check("/round-10/seen/7/undo", &own, StatusCode::GONE).await;
    check("/round-10/seen/ebb/undo", &own, StatusCode::NOT_FOUND).await;
    assert_eq!(house.get("/round-10/seen/7").await.status, StatusCode::GONE);
    // What changes state is no GET.
    for path in ["/round-10/upto/4", "/round-10/seen/7/undo"] {
        assert!(house.get(path).await.status.is_client_error(), "{path}");
    }
    assert_eq!(texts(&choice(&house).await)[0], "All | 4 unread");
}

#[tokio::test]
async fn what_was_read_is_gone_from_the_index_where_the_config_says_so() {
    let publisher = Publisher::start().await;
    let feeds = vec![feed(&publisher, "gazette", None, &["ebb", "flow", "lock"])];
    let house = House::open_without_read(feeds).await;
    house.pass().await;
    let listed = entry_rows(&house.open_page("/round-10/").await.text());
    assert_eq!(listed.len(), 3);
    house.open_page(&listed[0].href).await;
    let kept: i64 = listed[1]
        .href
        .rsplit('/')
        .next()
        .unwrap_or_default()
        .parse()
        .expect("an entry");
    house
        .store
        .keep(tondo::store::READER, kept, Some(start()))
        .await
        .expect("a mark");
    house.open_page(&listed[1].href).await;
    let left = entry_rows(&house.get("/round-10/").await.text());
    // What is kept stays, and is dimmed.
    let expected: Vec<(&str, bool)> = vec![(&listed[1].href, true), (&listed[2].href, false)];
    let found: Vec<(&str, bool)> = left
        .iter()
        .map(|row| (row.href.as_str(), row.seen))
        .collect();
    assert_eq!(found, expected);
    house
        .store
        .keep(tondo::store::READER, kept, None)
        .await
        .expect("a mark");
    house.open_page(&listed[2].href).await;
    let html = house.get("/round-10/").await.text();
    let told = one_line(&running_parts(&html).join(" "));
    assert_eq!(told, "All is read What comes next will stand here.");
    // The article itself is served as before.
    house.open_page(&listed[0].href).await;
}
