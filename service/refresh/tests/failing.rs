//! Checks of feeds that fail: what is stored is served, and the publisher is left in peace.

use super::*;

/// A feed that was read once and then answers so: the fault that is told for it.
async fn check(reply: Reply, expected: &str) {
    let house = House::new().await;
    let body = atom(&house.server, &[("ebb", "<p>Low water.</p>")]);
    let good = Reply::feed(&body).with("ETag", b"\"1\"");
    let good = Reply {
        conditional: true,
        ..good
    };
    house.server.set("/feed", good.clone());
    house.pass().await;
    house.server.set("/feed", reply);
    let fault = house.later().await.fault.unwrap();
    assert!(fault.contains(expected), "{fault}");
    let failing = house.bench.store.failing_feeds().await.unwrap();
    assert_eq!(failing.len(), 1);
    assert_eq!(
        (failing[0].title.as_str(), &failing[0].fault),
        ("Harbour Gazette", &fault)
    );
    assert_eq!(failing[0].since, house.clock.now());
    assert_eq!(house.text("ebb").await, "Low water.");
    // The feed is as it was, which is told by 304 alone and mends it all the same.
    house.server.set("/feed", good);
    let report = house.later().await;
    assert_eq!((report.fault, report.unchanged), (None, true));
    assert!(house.bench.store.failing_feeds().await.unwrap().is_empty());
}

#[tokio::test]
async fn a_feed_that_fails_is_told_and_served_as_before_and_recovers() {
    check(Reply::status(500), "a fault of its own (status 500)").await;
    check(Reply::status(404), "nothing at this address").await;
    check(Reply::status(403), "check the headers").await;
    check(Reply::status(200), "the answer is empty").await;
    check(Reply::feed(" \r\n\t"), "the answer is empty").await;
    check(Reply::ok("text/html", &page("barque")), "not a feed").await;
    check(
        Reply {
            hangs: true,
            ..Reply::default()
        },
        "did not finish its answer",
    )
    .await;
}

#[tokio::test]
async fn not_modified_in_answer_to_a_plain_request_is_a_fault() {
    let house = House::new().await;
    house.server.set("/feed", Reply::status(304));
    let report = house.pass().await.remove(0);
    assert!(report.fault.unwrap().contains("status 304 and no feed"));
}

#[tokio::test]
async fn a_feed_that_fails_is_asked_ever_less_often_and_its_server_can_ask_for_more() {
    let house = House::new().await;
    // A tenth of the back-off is added at the most, by the feed's address.
    let check = async |least: i64, back_off: i64| {
        let left = house.minutes_left().await;
        assert!((least..=least + back_off / 10).contains(&left), "{left}");
    };
    house.server.set("/feed", Reply::status(503));
    house.pass().await;
    check(60, 60).await;
    house.later().await;
    check(120, 120).await;
    house.pass_time(61);
    assert_eq!(house.pass().await, [], "it is not tried before its time");
    house
        .server
        .set("/feed", Reply::status(503).with("Retry-After", b"36000"));
    house.later().await;
    check(600, 240).await;
    let log = house.bench.store.fetch_log(1).await.unwrap();
    let statuses: Vec<Option<u16>> = log.iter().map(|line| line.status).collect();
    assert_eq!(statuses, [Some(503); 3]);
}

#[tokio::test]
async fn a_feed_that_is_gone_is_not_asked_again_and_says_so() {
    let house = House::new().await;
    house.server.set("/feed", Reply::status(410));
    house.pass().await;
    house.server.take_requests();
    house.pass_time(60 * 24 * 400);
    assert_eq!(house.pass().await, []);
    assert_eq!(house.server.take_paths(), [""; 0]);
    let failing = house.bench.store.failing_feeds().await.unwrap();
    assert!(failing[0].fault.contains("gone for good"));
}

#[tokio::test]
async fn what_strangers_write_cannot_steer_the_terminal_that_a_report_is_printed_on() {
    let house = House::with(|subscription| subscription.full_text = FullText::Always).await;
    let body = atom(&house.server, &[("ebb", "<p>Teaser.</p>")]);
    house.server.set("/feed", Reply::feed(&body));
    house
        .server
        .set("/page/ebb", Reply::ok("odd/\u{9b}31m\ttype", "x"));
    let report = house.pass().await.remove(0);
    assert!(report.warnings[0].contains("31m"), "{:?}", report.warnings);
    assert!(
        !report.warnings[0].contains(char::is_control),
        "{:?}",
        report.warnings
    );
}
