//! A day under a fixed clock, with feeds of all kinds: none is asked more often than its own hints allow.

use std::collections::HashMap;

use jiff::SignedDuration;

use super::*;

/// How many feeds there are of each kind.
const OF_A_KIND: usize = 30;

/// A kind of feed: what its server answers, and what it may be asked at the most.
struct Kind {
    name: &'static str,
    /// What the config says.
    every_minutes: u32,
    reply: Reply,
    /// The shortest time in minutes between two requests.
    least_gap: i64,
    /// How many requests a day may bring at the most.
    most_requests: usize,
    /// The hours of the day, GMT, in which none may come.
    skipped: &'static [i8],
}

/// RSS with these elements in its channel, and one entry that came out when the day began.
fn rss(channel: &str) -> Reply {
    let body = format!(
        "<rss version=\"2.0\" xmlns:sy=\"http://purl.org/rss/1.0/modules/syndication/\"><channel>\
         <title>Quay</title>{channel}<item><guid>one</guid><title>Ebb</title>\
         <pubDate>Tue, 01 Apr 2031 06:00:00 GMT</pubDate></item></channel></rss>"
    );
    Reply {
        conditional: true,
        ..Reply::ok("application/rss+xml", &body).with("ETag", b"\"1\"")
    }
}

fn kind(name: &'static str, reply: Reply, least_gap: i64) -> Kind {
    Kind {
        name,
        every_minutes: 15,
        reply,
        least_gap,
        most_requests: usize::try_from(24 * 60 / least_gap + 1).unwrap(),
        skipped: &[],
    }
}

fn kinds() -> Vec<Kind> {
    let header = |name, value: &[u8]| rss("").with(name, value);
    let date = ("Date", b"Tue, 01 Apr 2031 06:00:00 GMT".as_slice());
    let expires = header("Expires", b"Tue, 01 Apr 2031 11:00:00 GMT").with(date.0, date.1);
    let hours: String = (0..6).map(|hour| format!("<hour>{hour}</hour>")).collect();
    let without_validators = Reply {
        conditional: false,
        headers: Vec::new(),
        ..rss("")
    };
    let hourly =
        "<sy:updatePeriod>daily</sy:updatePeriod><sy:updateFrequency>8</sy:updateFrequency>";
    let failing = |status, most_requests| Kind {
        most_requests,
        ..kind("failing", Reply::status(status), 60)
    };
    vec![
        kind("silent", rss(""), 60),
        kind(
            "fresh for two hours",
            header("Cache-Control", b"max-age=7200"),
            120,
        ),
        kind(
            "fresh for 20 minutes",
            header("Cache-Control", b"max-age=1200"),
            20,
        ),
        kind(
            "fresh for a minute",
            header("Cache-Control", b"max-age=60"),
            15,
        ),
        kind(
            "never fresh",
            header("Cache-Control", b"no-cache, max-age=900"),
            60,
        ),
        kind("expiring after five hours", expires, 300),
        kind("ttl", rss("<ttl>180</ttl>"), 180),
        kind("syndication", rss(hourly), 180),
        Kind {
            skipped: &[0, 1, 2, 3, 4, 5],
            ..kind(
                "skipping the night",
                rss(&format!("<skipHours>{hours}</skipHours>")),
                60,
            )
        },
        Kind {
            most_requests: 1,
            ..kind(
                "skipping the days",
                rss(&format!("<skipDays>{}</skipDays>", days())),
                60,
            )
        },
        kind("without validators", without_validators, 24 * 60),
        Kind {
            every_minutes: 360,
            ..kind("seldom wanted", rss("<ttl>30</ttl>"), 360)
        },
        // An hour, two, four, eight: the sixth request would come after 31 hours.
        failing(404, 5),
        failing(500, 5),
        Kind {
            most_requests: 3,
            ..kind(
                "overburdened",
                Reply::status(429).with("Retry-After", b"36000"),
                600,
            )
        },
        // It asks for silence from six o'clock until three.
        Kind {
            skipped: &[
                7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23, 0, 1, 2,
            ],
            most_requests: 3,
            ..kind(
                "down for a while",
                Reply::status(503).with("Retry-After", b"Wed, 02 Apr 2031 03:00:00 GMT"),
                60,
            )
        },
        Kind {
            most_requests: 1,
            ..kind("gone", Reply::status(410), 24 * 60)
        },
    ]
}

/// The Tuesday on which the day begins, and the days beside it.
fn days() -> String {
    ["Monday", "Tuesday", "Wednesday"]
        .map(|day| format!("<day>{day}</day>"))
        .concat()
}

#[tokio::test]
async fn no_feed_is_asked_more_often_in_a_day_than_its_hints_allow() {
    let server = Server::start().await;
    let kinds = kinds();
    let mut subscriptions = Vec::new();
    for (place, kind) in kinds.iter().enumerate() {
        for number in 0..OF_A_KIND {
            let path = format!("/{place}/{number}");
            server.set(&path, kind.reply.clone());
            subscriptions.push(Subscription {
                every_minutes: kind.every_minutes,
                ..subscription(&server.url(&path))
            });
        }
    }
    let house = House::open(server, subscriptions).await;
    let requests = requests_of_a_day(&house).await;
    assert_eq!(requests.len(), kinds.len() * OF_A_KIND);
    for (path, instants) in requests {
        let place: usize = path.split('/').nth(1).unwrap().parse().unwrap();
        let kind = &kinds[place];
        let told = format!("{}, {path}: {instants:?}", kind.name);
        assert!(instants.len() <= kind.most_requests, "{told}");
        for pair in instants.windows(2) {
            let gap = pair[1].duration_since(pair[0]);
            assert!(gap >= SignedDuration::from_mins(kind.least_gap), "{told}");
        }
        // The clock goes from minute to minute, so that a request comes up to a minute after it is due.
        let skipped = |instant: Timestamp| {
            let civil = jiff::tz::Offset::UTC.to_datetime(instant);
            kind.skipped.contains(&civil.hour())
        };
        let in_time = |instant: &Timestamp| {
            !skipped(*instant) || !skipped(*instant - SignedDuration::from_secs(59))
        };
        assert!(instants.iter().all(in_time), "{told}");
        // Politeness is not silence: a feed that says nothing is asked as often as it may be, nearly.
        if kind.name == "silent" {
            assert!(instants.len() >= 12, "{told}");
        }
    }
}

/// Goes from one minute in which something is due to the next, and tells when each path was asked for.
async fn requests_of_a_day(house: &House) -> HashMap<String, Vec<Timestamp>> {
    let mut requests: HashMap<String, Vec<Timestamp>> = HashMap::new();
    while house.clock.now() < at_minute(24 * 60) {
        house.conductor.refresh_due(|_| {}).await.unwrap();
        for path in house.server.take_paths() {
            requests.entry(path).or_default().push(house.clock.now());
        }
        house.pass_time(house.minutes_left().await.max(0) + 1);
    }
    requests
}
