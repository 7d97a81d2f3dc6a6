//! Checks of what a pass writes, and of what it does not.

use tokio_util::sync::CancellationToken;

use super::*;

#[tokio::test]
async fn a_first_pass_stores_what_the_feed_lists_and_tells_of_it() {
    let house = House::new().await;
    let body = atom(
        &house.server,
        &[("ebb", "<p>Low water.</p>"), ("flow", "<p>High water.</p>")],
    );
    house.server.set("/feed", Reply::feed(&body));
    let reports = house.pass().await;
    let expected = FeedReport {
        title: "Harbour Gazette".to_owned(),
        address: house.server.url("/feed").to_string(),
        added: 2,
        ..FeedReport::default()
    };
    assert_eq!(reports, [expected]);
    assert_eq!(house.titles().await, ["ebb", "flow"]);
    assert_eq!(house.text("flow").await, "High water.");
    assert_eq!(house.pass().await, [], "it is not due again at once");
}

#[tokio::test]
async fn a_conditional_request_carries_the_very_bytes_and_not_modified_writes_one_column() {
    let house = House::new().await;
    let (etag, modified) = (b"W/\"\xe9 bb;1\"".as_slice(), b"tuesday, or so".as_slice());
    let body = atom(&house.server, &[("ebb", "<p>Low water.</p>")]);
    let reply = Reply::feed(&body)
        .with("ETag", etag)
        .with("Last-Modified", modified);
    let conditional = true;
    house.server.set(
        "/feed",
        Reply {
            conditional,
            ..reply
        },
    );
    house.pass().await;
    assert_eq!(
        house.server.take_requests()[0].header("if-none-match"),
        None
    );
    let store = &house.bench.store;
    let before = store.scheduled_feeds().await.unwrap().remove(0);
    for _ in 0..2 {
        assert!(house.later().await.unchanged);
        let request = house.server.take_requests().remove(0);
        assert_eq!(request.header("if-none-match"), Some(etag));
        assert_eq!(request.header("if-modified-since"), Some(modified));
        // What a start anew would find: the feed as it was, due later.
        let mut after = store.scheduled_feeds().await.unwrap().remove(0);
        assert!(after.next_due > house.clock.now());
        after.next_due = before.next_due;
        assert_eq!(after, before);
        let again = subscription(&house.server.url("/feed"));
        let again = conductor(&house.bench, &house.clock, vec![again]);
        again.subscribe().await.unwrap();
        assert_eq!(again.refresh_due(|_| {}).await.unwrap().feeds, 0);
    }
    assert_eq!(store.fetch_log(before.id).await.unwrap().len(), 1);
}

#[tokio::test]
async fn the_same_body_or_the_same_entries_in_another_body_write_no_entry_and_no_line() {
    let house = House::new().await;
    let body = atom(&house.server, &[("ebb", "<p>Low water.</p>")]);
    house.server.set("/feed", Reply::feed(&body));
    house.pass().await;
    assert!(house.later().await.unchanged);
    let stamped = body.replace("</feed>", "<!-- made at noon --></feed>");
    house
        .server
        .set("/feed", Reply::feed(&stamped).with("ETag", b"\"2\""));
    assert!(house.later().await.unchanged);
    assert_eq!(house.bench.store.fetch_log(1).await.unwrap().len(), 1);
    house.server.take_requests();
    house.later().await;
    let request = house.server.take_requests().remove(0);
    assert_eq!(request.header("if-none-match"), Some(b"\"2\"".as_slice()));
}

#[tokio::test]
async fn an_entry_that_vanished_stays_and_an_edited_one_keeps_its_id_and_marks() {
    let house = House::new().await;
    let store = &house.bench.store;
    let first = atom(
        &house.server,
        &[("ebb", "<p>Low water.</p>"), ("flow", "<p>High water.</p>")],
    );
    house.server.set("/feed", Reply::feed(&first));
    house.pass().await;
    let entry = house.article("flow").await.entry;
    store
        .mark_opened(READER, entry, house.clock.now())
        .await
        .unwrap();
    let mark = store.mark(READER, entry).await.unwrap();
    assert!(mark.opened.is_some());
    let second = atom(&house.server, &[("flow", "<p>High water, corrected.</p>")]);
    house.server.set("/feed", Reply::feed(&second));
    let report = house.later().await;
    assert_eq!(
        (report.added, report.changed, report.unchanged),
        (0, 1, false)
    );
    assert_eq!(house.titles().await, ["ebb", "flow"]);
    assert_eq!(house.article("flow").await.entry, entry);
    assert_eq!(house.text("flow").await, "High water, corrected.");
    assert_eq!(store.mark(READER, entry).await.unwrap(), mark);
}

#[tokio::test]
async fn a_long_feed_is_read_in_several_passes_and_the_rest_is_told() {
    let house = House::new().await;
    let names: Vec<String> = (0..70).map(|number| format!("n{number}")).collect();
    let entries: Vec<(&str, &str)> = names
        .iter()
        .map(|name| (name.as_str(), "<p>Calm.</p>"))
        .collect();
    let body = atom(&house.server, &entries);
    house
        .server
        .set("/feed", Reply::feed(&body).with("ETag", b"\"1\""));
    let report = house.pass().await.remove(0);
    assert_eq!(report.added, 50);
    assert!(
        report.warnings[0].starts_with("20 more entries are new"),
        "{:?}",
        report.warnings
    );
    assert_eq!(house.later().await.added, 20);
    let requests = house.server.take_requests();
    assert!(
        requests
            .iter()
            .all(|request| request.header("if-none-match").is_none())
    );
    assert!(house.later().await.unchanged);
    assert_eq!(house.bench.store.counts(READER).await.unwrap().articles, 70);
}

#[tokio::test]
async fn another_rule_reads_the_whole_feed_again() {
    let house = House::new().await;
    let body = atom(&house.server, &[("ebb", "<p>Low water.</p>")]);
    let reply = Reply::feed(&body).with("ETag", b"\"1\"");
    let conditional = true;
    house.server.set(
        "/feed",
        Reply {
            conditional,
            ..reply
        },
    );
    house
        .server
        .set("/page/ebb", Reply::ok("text/html", &page("barque")));
    house.pass().await;
    assert_eq!(house.server.take_paths(), ["/feed"]);
    let mut always = subscription(&house.server.url("/feed"));
    always.full_text = FullText::Always;
    let conductor = conductor(&house.bench, &house.clock, vec![always]);
    house.pass_time(house.minutes_left().await + 1);
    let summary = conductor.refresh_due(|_| {}).await.unwrap();
    assert_eq!(summary.changed, 1);
    assert_eq!(house.server.take_paths(), ["/feed", "/page/ebb"]);
}

#[tokio::test]
async fn a_feed_whose_host_hangs_holds_up_no_other() {
    let (fast, slow) = (Server::start().await, Server::start().await);
    let body = atom(&fast, &[("ebb", "<p>Low water.</p>")]);
    fast.set("/feed", Reply::feed(&body));
    slow.set(
        "/feed",
        Reply {
            hangs: true,
            ..Reply::default()
        },
    );
    // Another name makes it another host, which is asked at the same time.
    let mut fast_feed = fast.url("/feed");
    fast_feed.set_host(Some("localhost")).unwrap();
    let both = vec![subscription(&slow.url("/feed")), subscription(&fast_feed)];
    let house = House::open(fast, both).await;
    let reports = house.pass().await;
    assert_eq!(reports[0].added, 1);
    assert!(
        reports[1]
            .fault
            .as_ref()
            .unwrap()
            .contains("did not finish its answer")
    );
}

#[tokio::test]
async fn the_loop_reads_what_is_due_and_leaves_a_schedule_behind_when_it_is_stopped() {
    let house = House::new().await;
    let body = atom(&house.server, &[("ebb", "<p>Low water.</p>")]);
    house.server.set("/feed", Reply::feed(&body));
    house.pass().await;
    assert!(house.later().await.unchanged);
    house.pass_time(house.minutes_left().await + 1);
    let stop = CancellationToken::new();
    let running = tokio::spawn({
        let (conductor, stop) = (house.conductor.clone(), stop.clone());
        async move { conductor.run_forever(stop).await }
    });
    let body = atom(
        &house.server,
        &[("ebb", "<p>Low water.</p>"), ("flow", "<p>High water.</p>")],
    );
    house.server.set("/feed", Reply::feed(&body));
    while house.titles().await.len() < 2 {
        tokio::task::yield_now().await;
    }
    // Time passes while the loop sleeps.
    assert!(!running.is_finished());
    assert!(house.later().await.unchanged);
    stop.cancel();
    running.await.unwrap();
    let stored = house.bench.store.scheduled_feeds().await.unwrap();
    assert!(stored[0].next_due > house.clock.now());
}

#[tokio::test]
async fn hints_outlast_a_not_modified_that_repeats_none_and_a_redirect_can_wish_for_more() {
    let house = House::new().await;
    let body = atom(&house.server, &[("ebb", "<p>Low water.</p>")]);
    let bare = Reply {
        conditional: true,
        ..Reply::feed(&body).with("ETag", b"\"1\"")
    };
    let fresh = bare.clone().with("Cache-Control", b"max-age=50000");
    house.server.set("/feed", fresh);
    house.pass().await;
    assert!(house.minutes_left().await >= 833);
    house.server.set("/feed", bare.clone());
    assert!(house.later().await.unchanged);
    assert!(house.minutes_left().await >= 833);
    // A body without the hint takes it back; the wish of the way there counts then.
    let new = house.server.url("/new");
    let redirect = Reply::redirect(302, &new).with("Retry-After", b"180000");
    house.server.set("/feed", redirect);
    house.server.set("/new", bare);
    assert_eq!(house.later().await.fault, None);
    assert!((3_000..3_031).contains(&house.minutes_left().await));
    let stored = house.bench.store.scheduled_feeds().await.unwrap().remove(0);
    assert_eq!(stored.hints.fresh_seconds, None);
    assert_eq!(stored.validators.etag, None, "they are the target's");
}
