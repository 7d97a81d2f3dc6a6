//! Checks of feeds that move, and of what may go to another host.

use super::*;
use crate::refresh::visit::Visit;

/// A household whose feed has answered at `/feed` with this status and the way to `/new`.
async fn moved(status: u16, target: Reply) -> (House, FeedReport) {
    let house = House::new().await;
    let new = house.server.url("/new");
    house.server.set("/feed", Reply::redirect(status, &new));
    house.server.set("/new", target);
    let report = house.pass().await.remove(0);
    assert_eq!(house.server.take_paths(), ["/feed", "/new"]);
    (house, report)
}

fn feed(title: &str) -> Reply {
    let entry = format!(
        "<entry><id>urn:example:{title}</id><title>{title}</title><updated>2031-03-30T00:00:00Z</updated>\
         <content type=\"html\">Calm.</content></entry>"
    );
    Reply::feed(&format!(
        "<feed xmlns=\"http://www.w3.org/2005/Atom\"><id>urn:example:f</id><title>F</title>\
         <updated>2031-03-30T00:00:00Z</updated>{entry}</feed>"
    ))
}

#[tokio::test]
async fn a_feed_that_moved_for_good_is_asked_at_its_new_address() {
    for status in [301, 308] {
        let (house, report) = moved(status, feed("ebb").with("ETag", b"\"n\"")).await;
        assert_eq!((report.fault, report.added), (None, 1));
        let stored = house.bench.store.scheduled_feeds().await.unwrap().remove(0);
        assert_eq!(stored.address, house.server.url("/feed").to_string());
        assert_eq!(
            stored.moved_address,
            Some(house.server.url("/new").to_string())
        );
        house.later().await;
        let requests = house.server.take_requests();
        assert_eq!(requests.len(), 1);
        assert_eq!(requests[0].path, "/new");
        assert_eq!(
            requests[0].header("if-none-match"),
            Some(b"\"n\"".as_slice())
        );
    }
}

#[tokio::test]
async fn a_move_for_now_is_followed_and_not_remembered() {
    for status in [302, 303, 307] {
        let (house, report) = moved(status, feed("ebb")).await;
        assert_eq!((report.fault, report.added), (None, 1));
        house.later().await;
        assert_eq!(house.server.take_paths(), ["/feed", "/new"]);
    }
}

#[tokio::test]
async fn a_move_to_what_is_no_feed_is_not_remembered() {
    let (house, report) = moved(301, Reply::ok("text/html", &page("hotel"))).await;
    assert!(report.fault.is_some());
    house.later().await;
    assert_eq!(house.server.take_paths(), ["/feed", "/new"]);
}

#[tokio::test]
async fn a_new_address_that_is_lost_is_given_up_for_the_configs() {
    let (house, _) = moved(301, feed("ebb")).await;
    house.server.set("/new", Reply::status(500));
    house.later().await;
    house.server.set("/new", Reply::status(410));
    house.later().await;
    assert_eq!(house.server.take_paths(), ["/new", "/new"]);
    house.server.set("/feed", feed("flow"));
    assert_eq!(house.later().await.added, 1);
    assert_eq!(house.server.take_paths(), ["/feed"]);
    assert_eq!(house.titles().await, ["flow", "ebb"]);
}

#[tokio::test]
async fn a_private_feed_that_moved_to_another_host_is_found_there_each_time_anew() {
    let house = House::new().await;
    let mut new = house.server.url("/new");
    new.set_host(Some("localhost")).unwrap();
    house.server.set("/feed", Reply::redirect(301, &new));
    house.server.set("/new", feed("ebb"));
    let report = house.pass().await.remove(0);
    assert_eq!((report.fault, report.added), (None, 1));
    house.later().await;
    assert_eq!(
        house.server.take_paths(),
        ["/feed", "/new", "/feed", "/new"]
    );
}

#[tokio::test]
async fn an_address_that_a_feed_chose_for_itself_is_asked_as_a_public_one() {
    let house = House::new().await;
    let own = subscription(&house.server.url("/feed"));
    let mut feed = house.bench.store.scheduled_feeds().await.unwrap().remove(0);
    assert_eq!(Visit::new(&feed, &own).request().reach, Reach::Named);
    feed.moved_address = Some(house.server.url("/new").to_string());
    assert_eq!(Visit::new(&feed, &own).request().reach, Reach::Named);
    feed.moved_address = Some("http://127.0.0.2/new".to_owned());
    assert_eq!(Visit::new(&feed, &own).request().reach, Reach::Public);
}

#[tokio::test]
async fn a_public_feed_gets_no_page_of_the_home_network() {
    let house = House::with(|subscription| subscription.full_text = FullText::Always).await;
    let url = house.server.url("/feed");
    house
        .server
        .set("/page/ebb", Reply::ok("text/html", &page("barque")));
    let feed = house.bench.store.scheduled_feeds().await.unwrap().remove(0);
    let mut own = subscription(&url);
    own.full_text = FullText::Always;
    for (reach, paths) in [(Reach::Public, &[][..]), (Reach::Private, &["/page/ebb"])] {
        let response = fetch::Response {
            status: 200,
            final_url: url.clone(),
            reach,
            permanent_url: None,
            content_type: Some("application/atom+xml".to_owned()),
            validators: fetch::Validators::default(),
            retry_after: None,
            freshness: None,
            body: atom(&house.server, &[("ebb", "<p>Teaser.</p>")]).into_bytes(),
        };
        let mut report = FeedReport::default();
        let visit = Visit::new(&feed, &own);
        let read = house.conductor.read(&visit, &response, &mut report).await;
        assert_eq!(read.unwrap().entries.len(), 1);
        assert_eq!(house.server.take_paths(), paths);
        assert_eq!(report.warnings.is_empty(), reach == Reach::Private);
    }
}

#[tokio::test]
async fn a_password_goes_to_the_feeds_own_origin_only_and_keeps_the_feed_from_moving_off() {
    let (home, away) = (Server::start().await, Server::start().await);
    let (feed, near, far) = (
        home.url("/feed"),
        home.url("/page/near"),
        away.url("/page/far"),
    );
    let entry = |link: &Url| {
        format!(
            "<entry><id>{link}</id><title>{link}</title><link href=\"{link}\"/>\
             <updated>2031-03-30T00:00:00Z</updated><content type=\"html\">Calm.</content></entry>"
        )
    };
    let body = format!(
        "<feed xmlns=\"http://www.w3.org/2005/Atom\"><id>urn:example:f</id><title>F</title>\
         <updated>2031-03-30T00:00:00Z</updated>{}{}</feed>",
        entry(&near),
        entry(&far)
    );
    home.set("/feed", Reply::redirect(301, &away.url("/feed")));
    away.set("/feed", Reply::feed(&body));
    home.set("/page/near", Reply::ok("text/html", &page("near")));
    away.set("/page/far", Reply::ok("text/html", &page("far")));
    let house = House::open(home, vec![subscription_with_password(&feed)]).await;
    assert_eq!(house.pass().await[0].added, 2);
    let at_home = house.server.take_requests();
    let password = Some(b"Basic c2VhOnNhbHQ=".as_slice());
    assert_eq!(at_home.len(), 2);
    assert!(
        at_home
            .iter()
            .all(|request| request.header("authorization") == password)
    );
    let elsewhere = away.take_requests();
    assert_eq!(elsewhere.len(), 2);
    assert!(
        elsewhere
            .iter()
            .all(|request| request.header("authorization").is_none())
    );
    let stored = house.bench.store.scheduled_feeds().await.unwrap().remove(0);
    assert_eq!(stored.moved_address, None);
}
