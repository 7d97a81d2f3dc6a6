//! Checks of feeds that have nothing new: they are noted together, and none is forgotten.

use super::*;

/// So many feeds of one publisher, all of them read once, and due again.
async fn due_again(feeds: usize) -> House {
    let server = Server::start().await;
    let body = atom(&server, &[("ebb", "<p>Low water.</p>")]);
    let mut subscriptions = Vec::new();
    for feed in 0..feeds {
        let path = format!("/feed/{feed}");
        let reply = Reply {
            conditional: true,
            ..Reply::feed(&body).with("ETag", b"\"1\"")
        };
        server.set(&path, reply);
        subscriptions.push(subscription(&server.url(&path)));
    }
    let house = House::open(server, subscriptions).await;
    assert_eq!(house.pass().await.len(), feeds);
    house.pass_time(24 * 60);
    house.server.take_requests();
    house
}

#[tokio::test]
async fn feeds_without_news_are_all_noted_however_many_there_are() {
    // More than are noted together, and no multiple of it.
    let house = due_again(150).await;
    let reports = house.pass().await;
    assert_eq!(reports.len(), 150);
    for report in reports {
        assert_eq!((report.unchanged, report.fault), (true, None));
    }
    assert_eq!(house.pass().await, [], "none is due any more");
    assert_eq!(house.server.take_requests().len(), 150);
}

#[tokio::test]
async fn what_the_store_cannot_note_is_told_and_nobody_is_asked_again_for_it() {
    let house = due_again(3).await;
    house.bench.refuse_notes(true).await;
    for report in house.pass().await {
        let fault = report.fault.unwrap();
        assert!(fault.contains("no notes today"), "{fault}");
    }
    assert_eq!(house.pass().await, []);
    assert_eq!(house.server.take_requests().len(), 3);
    house.bench.refuse_notes(false).await;
    house.pass_time(24 * 60);
    for report in house.pass().await {
        assert_eq!((report.unchanged, report.fault), (true, None));
    }
    assert!(house.minutes_left().await > 0, "it is stored by now");
}
