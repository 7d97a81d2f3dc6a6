//! Checks of what is swept away as feeds change: what does not come back, what is not read at all, and when.

use tokio::time::Instant;
use tokio_util::sync::CancellationToken;

use super::super::{Summary, Swept};
use super::*;

/// An Atom feed of these names, each dated so many days before the start.
fn dated(server: &Server, entries: &[(&str, i64)]) -> String {
    let names: Vec<(&str, &str)> = entries.iter().map(|(name, _)| (*name, TEASER)).collect();
    let mut text = atom(server, &names);
    for (name, days) in entries {
        let instant = at_minute(-days * MINUTES_A_DAY);
        let title = format!("<title>{name}</title>");
        text = text.replace(&title, &format!("{title}<published>{instant}</published>"));
    }
    text
}

const TEASER: &str = "<p>Teaser.</p>";

const MINUTES_A_DAY: i64 = 24 * 60;

fn shelf(articles: impl Into<Option<u32>>, days: impl Into<Option<u32>>) -> Shelf {
    Shelf {
        articles: articles.into(),
        days: days.into(),
    }
}

/// A household whose one feed has this shelf, and whose entries are all read from their pages.
async fn house_with(shelf: Shelf) -> House {
    House::with(|subscription| {
        subscription.shelf = shelf;
        subscription.full_text = FullText::Always;
    })
    .await
}

/// Lets the feed list these, with a page for each.
fn list(house: &House, entries: &[(&str, i64)]) {
    let body = dated(&house.server, entries);
    house.server.set("/feed", Reply::feed(&body));
    for (name, _) in entries {
        let reply = Reply::ok("text/html", &page("barque"));
        house.server.set(&format!("/page/{name}"), reply);
    }
}

async fn sweep(house: &House) -> u64 {
    house.conductor.sweep().await.unwrap().entries
}

/// The pages asked for since the last call.
fn pages(house: &House) -> Vec<String> {
    let mut paths = house.server.take_paths();
    paths.retain(|path| path != "/feed");
    paths
}

#[tokio::test]
async fn what_was_swept_does_not_come_back_while_its_feed_lists_it() {
    let house = house_with(shelf(None, 10)).await;
    list(&house, &[("new", 0), ("old", 1)]);
    house.pass().await;
    assert_eq!(pages(&house).len(), 2);
    let old = house.article("old").await.entry;
    let now = house.clock.now();
    house
        .bench
        .store
        .keep(READER, old, Some(now))
        .await
        .unwrap();
    house.pass_time(11 * MINUTES_A_DAY);
    assert_eq!(sweep(&house).await, 1);
    assert_eq!(house.titles().await, ["old"], "it is kept");
    // Listed still, then edited too, beside one that is new.
    list(&house, &[("next", -11), ("new", 0), ("old", 1)]);
    let report = house.pass().await.remove(0);
    assert_eq!((report.added, report.changed), (1, 0));
    assert_eq!(pages(&house), ["/page/next"]);
    let body = dated(&house.server, &[("next", -11), ("new", -3), ("old", 1)]);
    house.server.set("/feed", Reply::feed(&body));
    assert!(house.later().await.unchanged);
    assert_eq!(pages(&house), [""; 0]);
    assert_eq!(house.titles().await, ["next", "old"]);
}

#[tokio::test]
async fn what_was_swept_is_forgotten_a_month_after_a_whole_body_dropped_it() {
    let house = house_with(shelf(None, 10)).await;
    list(&house, &[("new", 0), ("old", 1)]);
    house.pass().await;
    house.pass_time(11 * MINUTES_A_DAY);
    assert_eq!(sweep(&house).await, 2);
    house.pass_time(31 * MINUTES_A_DAY);
    let known = async || {
        let store = &house.bench.store;
        let known = store.known_entries(1, &["urn:example:new", "urn:example:old"]);
        let mut names: Vec<String> = known.await.unwrap().into_keys().collect();
        names.sort();
        names
    };
    // A body that ends in the middle does not tell what is further down.
    let body = dated(&house.server, &[("new", 0), ("old", 1)]);
    let half = &body[..body.find("<entry><id>urn:example:old").unwrap()];
    house.server.set("/feed", Reply::feed(half));
    assert!(house.pass().await[0].warnings[0].contains("ends in the middle"));
    assert_eq!(known().await.len(), 2);
    list(&house, &[("new", 0), ("other", 2)]);
    assert_eq!(house.later().await.added, 1);
    assert_eq!(known().await, ["urn:example:new"]);
    list(&house, &[]);
    assert!(house.later().await.unchanged);
    assert_eq!(known().await, [""; 0]);
}

#[tokio::test]
async fn of_a_long_list_only_the_newest_by_date_are_read_at_all() {
    let house = house_with(shelf(3, None)).await;
    list(&house, &[("e", 5), ("a", 1), ("d", 4), ("b", 2), ("c", 3)]);
    let report = house.pass().await.remove(0);
    assert_eq!((report.added, report.warnings), (3, Vec::new()));
    assert_eq!(pages(&house), ["/page/a", "/page/b", "/page/c"]);
    assert_eq!(sweep(&house).await, 0, "there is nothing to take away");
    list(
        &house,
        &[("e", 5), ("a", 1), ("d", 4), ("b", 2), ("c", 3), ("new", 0)],
    );
    assert_eq!(house.later().await.added, 1);
    assert_eq!(pages(&house), ["/page/new"]);
    assert_eq!(sweep(&house).await, 1);
    assert_eq!(house.titles().await, ["new", "a", "b"]);
    // What was swept has its place in the order still, so that nothing older is drawn in.
    house.pass_time(60);
    list(&house, &[("e", 5), ("a", 1), ("d", 4), ("b", 2), ("c", 3)]);
    assert!(house.later().await.unchanged);
    assert_eq!(pages(&house), [""; 0]);
}

#[tokio::test]
async fn entries_without_a_date_have_their_places_in_the_order_of_the_feed() {
    let house = House::with(|subscription| subscription.shelf = shelf(2, None)).await;
    let rss: String = ["first", "second", "third"]
        .map(|name| format!("<item><title>{name}</title><guid>{name}</guid></item>"))
        .concat();
    let rss = format!("<rss version=\"2.0\"><channel><title>Quay</title>{rss}</channel></rss>");
    house
        .server
        .set("/feed", Reply::ok("application/rss+xml", &rss));
    assert_eq!(house.pass().await[0].added, 2);
    assert_eq!(house.titles().await, ["first", "second"]);
}

/// Two feeds with three entries each and one more each that is kept, the first feed with a shelf of its own.
async fn two_feeds(shelves: Shelves, first: Shelf) -> House {
    let server = Server::start().await;
    let subscriptions = [("/a", first), ("/b", shelves.usual)].map(|(path, shelf)| {
        let names = [1, 2, 3].map(|number| format!("{}{number}", &path[1..]));
        let entries: Vec<(&str, i64)> = names.iter().map(String::as_str).zip(1..).collect();
        server.set(path, Reply::feed(&dated(&server, &entries)));
        Subscription {
            shelf,
            ..subscription(&server.url(path))
        }
    });
    let house = House::open(server, subscriptions.to_vec()).await;
    // They are read while there is room for all of them.
    for report in house.pass().await {
        assert_eq!(report.fault, None);
    }
    let subscriptions = subscriptions.to_vec();
    let taken = house.conductor.take_up(subscriptions, shelves, None);
    taken.await.unwrap();
    house
}

/// Of two entries with one date, which comes first is decided by the feed that was read first.
async fn sorted_titles(house: &House) -> Vec<String> {
    let mut titles = house.titles().await;
    titles.sort();
    titles
}

#[tokio::test]
async fn each_feed_has_its_own_limits_and_all_have_one_in_common() {
    let usual = shelf(None, None);
    let none = Shelves {
        usual,
        in_all: None,
    };
    let house = two_feeds(none, shelf(None, 1)).await;
    assert_eq!(sweep(&house).await, 0);
    house.pass_time(2 * MINUTES_A_DAY);
    assert_eq!(sweep(&house).await, 3);
    assert_eq!(house.titles().await, ["b1", "b2", "b3"]);
    let four = Shelves {
        usual,
        in_all: Some(4),
    };
    let house = two_feeds(four, usual).await;
    assert_eq!(sweep(&house).await, 2);
    assert_eq!(sorted_titles(&house).await, ["a1", "a2", "b1", "b2"]);
    assert_eq!(sweep(&house).await, 0);
}

#[tokio::test]
async fn a_feed_that_the_config_no_longer_names_has_the_usual_limits() {
    let shelves = Shelves {
        usual: shelf(1, None),
        in_all: None,
    };
    let house = two_feeds(shelves, shelf(None, None)).await;
    let entries = async || house.bench.store.counts(READER).await.unwrap().articles;
    assert_eq!(sweep(&house).await, 0, "each has what it was read with");
    let taken = house.conductor.take_up(Vec::new(), shelves, None);
    assert_eq!(taken.await.unwrap().hidden, 2);
    assert_eq!(sweep(&house).await, 2);
    assert_eq!(entries().await, 0, "none is shown");
    let subscriptions = ["/a", "/b"].map(|path| subscription(&house.server.url(path)));
    let taken = house
        .conductor
        .take_up(subscriptions.to_vec(), shelves, None);
    taken.await.unwrap();
    assert_eq!(sorted_titles(&house).await, ["a1", "b1"]);
}

#[tokio::test]
async fn a_sweep_follows_a_pass_that_brought_an_article_and_the_next_an_hour_later() {
    let house = house_with(shelf(None, 10)).await;
    list(&house, &[("new", 0)]);
    house.pass().await;
    house.pass_time(11 * MINUTES_A_DAY);
    let pass = |feeds, added| Summary {
        feeds,
        added,
        ..Summary::default()
    };
    let begun = Instant::now();
    for (pass, mut last) in [
        (pass(0, 0), None),
        (pass(2, 0), None),
        (pass(2, 1), Some(begun)),
    ] {
        let before = last;
        house.conductor.sweep_after(&pass, &mut last).await;
        assert_eq!((last, house.titles().await.len()), (before, 1));
    }
    let mut last = None;
    house.conductor.sweep_after(&pass(2, 1), &mut last).await;
    assert!(last.is_some_and(|last| last >= begun));
    assert_eq!(house.titles().await, [""; 0]);
}

#[tokio::test]
async fn the_loop_sweeps_after_its_first_pass() {
    let house = house_with(shelf(1, None)).await;
    list(&house, &[("old", 1)]);
    house.pass().await;
    list(&house, &[("new", 0), ("old", 1)]);
    house.pass_time(house.minutes_left().await + 1);
    let stop = CancellationToken::new();
    let running = tokio::spawn({
        let (conductor, stop) = (house.conductor.clone(), stop.clone());
        async move { conductor.run_forever(stop).await }
    });
    while house.titles().await != ["new"] {
        tokio::task::yield_now().await;
    }
    stop.cancel();
    running.await.unwrap();
    assert_eq!(house.conductor.sweep().await.unwrap(), Swept::default());
}
