//! The fetcher against servers on loopback: answers, validators, names, faults, the queue.

use std::net::SocketAddr;
use std::time::Duration;

use super::*;
use crate::address::{Allowed, Refused};
use server::{Reply, Server};

mod caps;
mod redirects;
mod server;
mod special;

/// A fetcher that may reach 127.0.0.1.
fn fetcher(limits: Limits) -> Fetcher {
    let policy = Policy::new(vec![Allowed::Host("127.0.0.1".into())]);
    Fetcher::new(policy, limits).unwrap()
}

async fn get(url: Url) -> Result<Response, FetchError> {
    fetcher(Limits::default()).get(&Request::named(url)).await
}

#[tokio::test]
async fn an_answer_comes_whole() {
    let server = Server::always(Reply::http(
        200,
        &["Content-Type: application/atom+xml; charset=UTF-8"],
        b"<feed/>",
    ))
    .await;
    let response = get(server.url("/feed?tide=1#top")).await.unwrap();
    assert_eq!(response.status, 200);
    assert_eq!(response.final_url, server.url("/feed?tide=1"));
    assert_eq!(response.permanent_url, None);
    assert_eq!(
        response.content_type.as_deref(),
        Some("application/atom+xml; charset=UTF-8")
    );
    assert_eq!(response.body, b"<feed/>");
    let head = server.heads().remove(0);
    assert!(head.starts_with("GET /feed?tide=1 HTTP/1.1\r\n"), "{head}");
    let agent = format!("user-agent: tondo/{}\r\n", env!("CARGO_PKG_VERSION"));
    assert!(head.contains(&agent), "{head}");
    assert!(head.contains("accept: application/atom+xml,"), "{head}");
    assert!(head.contains("accept-encoding: gzip, br\r\n"), "{head}");
    for absent in ["cookie", "referer", "if-none-match", "if-modified-since"] {
        assert!(!head.contains(absent), "{head}");
    }
}

#[tokio::test]
async fn a_page_is_asked_for_as_html() {
    let server = Server::always(Reply::http(200, &[], b"")).await;
    let mut page = Request::named(server.url("/"));
    page.kind = Kind::Page;
    fetcher(Limits::default()).get(&page).await.unwrap();
    assert!(server.heads()[0].contains("accept: text/html,"));
}

#[tokio::test]
async fn statuses_that_are_no_success_are_answers() {
    for status in [404, 410, 429, 500, 503] {
        let server =
            Server::always(Reply::http(status, &["Retry-After: 120"], b"gone fishing")).await;
        let response = get(server.url("/")).await.unwrap();
        assert_eq!(response.status, status);
        assert_eq!(response.retry_after, Some(RetryAfter::Seconds(120)));
        assert_eq!(response.body, b"gone fishing");
    }
}

/// RFC 9110 section 8.8.3 gives the ETags; the last one holds obs-text, which it allows too.
#[tokio::test]
async fn validators_are_kept_and_sent_byte_for_byte() {
    for etag in [
        &b"\"xyzzy\""[..],
        b"W/\"xyzzy\"",
        b"\"\"",
        b"\"\xe9\xff 'x'\"",
    ] {
        let last_modified = b"Tue, 15 Nov 1994 12:45:26 GMT";
        let mut reply = b"HTTP/1.1 200 OK\r\nConnection: close\r\nETag: ".to_vec();
        reply.extend_from_slice(etag);
        reply.extend_from_slice(b"\r\nLast-Modified: ");
        reply.extend_from_slice(last_modified);
        reply.extend_from_slice(b"\r\nContent-Length: 0\r\n\r\n");
        let server = Server::always(Reply::Bytes(reply)).await;
        let fetcher = fetcher(Limits::default());
        let first = fetcher.get(&Request::named(server.url("/"))).await.unwrap();
        assert_eq!(first.validators.etag.as_deref(), Some(etag));
        assert_eq!(
            first.validators.last_modified.as_deref(),
            Some(&last_modified[..])
        );

        let mut again = Request::named(server.url("/"));
        again.validators = first.validators;
        fetcher.get(&again).await.unwrap();
        // Nothing is asked after "not modified", so that the connection need not stay (RFC 9112 section 9.6).
        assert!(!server.heads()[0].contains("connection: close\r\n"));
        let head = server.heads().remove(1);
        assert!(head.contains("connection: close\r\n"), "{head}");
        let etag_text: String = etag.iter().copied().map(char::from).collect();
        assert!(
            head.contains(&format!("if-none-match: {etag_text}\r\n")),
            "{head}"
        );
        assert!(
            head.contains("if-modified-since: Tue, 15 Nov 1994 12:45:26 GMT\r\n"),
            "{head}"
        );
    }
}

#[tokio::test]
async fn not_modified_is_an_answer_without_a_body() {
    let head = server::head(
        304,
        &[
            "ETag: \"a\"",
            "Content-Length: 4096",
            "Content-Encoding: gzip",
        ],
    );
    let server = Server::always(Reply::Bytes(head)).await;
    let response = get(server.url("/")).await.unwrap();
    assert_eq!(response.status, 304);
    assert_eq!(response.body, b"");
    assert_eq!(response.validators.etag.as_deref(), Some(&b"\"a\""[..]));
}

#[tokio::test]
async fn configured_headers_are_sent_and_win() {
    let server = Server::always(Reply::http(200, &[], b"")).await;
    let mut private = Request::named(server.url("/"));
    private.headers = vec![
        ("Authorization".into(), "Basic cXVheQ==".into()),
        ("Accept".into(), "text/plain".into()),
    ];
    assert!(!format!("{private:?}").contains("cXVheQ"));
    fetcher(Limits::default()).get(&private).await.unwrap();
    let head = server.heads().remove(0);
    assert!(head.contains("authorization: Basic cXVheQ==\r\n"), "{head}");
    assert!(head.contains("accept: text/plain\r\n"), "{head}");
    assert_eq!(head.matches("accept: ").count(), 1, "{head}");
}

#[tokio::test]
async fn a_header_that_cannot_be_sent_is_named_without_its_value() {
    let mut broken = Request::named(Url::parse("http://127.0.0.1/").unwrap());
    broken.headers = vec![("X-Quay".into(), "secret\r\nX-More: 1".into())];
    let fault = fetcher(Limits::default()).get(&broken).await.unwrap_err();
    assert_eq!(
        fault,
        FetchError::Header {
            name: "X-Quay".into()
        }
    );
    assert!(!fault.to_string().contains("secret"));
}

#[tokio::test]
async fn without_an_allowance_loopback_is_refused_and_never_reached() {
    let server = Server::always(Reply::http(200, &[], b"")).await;
    let fetcher = Fetcher::new(Policy::default(), Limits::default()).unwrap();
    let port = server.port();
    for address in [
        format!("http://127.0.0.1:{port}/"),
        format!("http://localhost:{port}/"),
        format!("http://2130706433:{port}/"),
        format!("http://[::ffff:127.0.0.1]:{port}/"),
    ] {
        let fault = fetcher
            .get(&Request::named(Url::parse(&address).unwrap()))
            .await
            .unwrap_err();
        assert!(matches!(fault, FetchError::Refused { .. }), "{fault:?}");
        assert!(fault.to_string().contains("allow_private"), "{fault}");
    }
    assert_eq!(server.connections(), 0);
}

#[tokio::test]
async fn what_a_public_feed_leads_to_reaches_no_excepted_address() {
    let server = Server::always(Reply::http(200, &[], b"")).await;
    let policy = Policy::new(vec![
        Allowed::Range("127.0.0.0/8".parse().unwrap()),
        Allowed::Host("localhost".into()),
    ]);
    let fetcher = Fetcher::new(policy, Limits::default()).unwrap();
    let mut asked = Request::named(server.url("/"));
    for host in ["127.0.0.1", "localhost"] {
        asked.url.set_host(Some(host)).unwrap();
        asked.reach = Reach::Named;
        let response = fetcher.get(&asked).await.unwrap();
        assert_eq!(response.reach, Reach::Private);
        asked.reach = response.reach;
        assert_eq!(fetcher.get(&asked).await.unwrap().status, 200);
        let connections = server.connections();
        asked.reach = Reach::Public;
        let fault = fetcher.get(&asked).await.unwrap_err();
        assert!(
            matches!(
                fault,
                FetchError::Refused {
                    public_only: true,
                    ..
                }
            ),
            "{fault:?}"
        );
        assert!(fault.to_string().contains("public feeds"), "{fault}");
        assert_eq!(server.connections(), connections);
    }
}

/// With another loopback address allowed the name passes, and what it resolves to is refused.
#[tokio::test]
async fn a_name_that_resolves_to_a_refused_address_is_never_reached() {
    let server = Server::always(Reply::http(200, &[], b"")).await;
    let policy = Policy::new(vec![Allowed::Range("127.0.0.2/32".parse().unwrap())]);
    let fetcher = Fetcher::new(policy, Limits::default()).unwrap();
    let url = Url::parse(&format!("http://localhost:{}/", server.port())).unwrap();
    let fault = fetcher.get(&Request::named(url)).await.unwrap_err();
    let FetchError::Refused {
        refused: Refused::Address { host, ip, .. },
        redirected_by: None,
        public_only: false,
    } = &fault
    else {
        panic!("{fault:?}");
    };
    assert_eq!(host, "localhost");
    assert!(ip.is_loopback());
    assert_eq!(server.connections(), 0);
}

#[tokio::test]
async fn an_allowed_name_is_resolved_and_reached() {
    let server = Server::always(Reply::http(200, &[], b"tide")).await;
    let policy = Policy::new(vec![Allowed::Host("localhost".into())]);
    let fetcher = Fetcher::new(policy, Limits::default()).unwrap();
    let url = Url::parse(&format!("http://localhost:{}/", server.port())).unwrap();
    assert_eq!(
        fetcher.get(&Request::named(url)).await.unwrap().body,
        b"tide"
    );
}

#[test]
fn of_several_addresses_only_the_allowed_ones_are_kept() {
    let found = |addresses: &[&str]| -> Vec<SocketAddr> {
        addresses
            .iter()
            .map(|ip| SocketAddr::new(ip.parse().unwrap(), 0))
            .collect()
    };
    let keep = |addresses: &[&str]| {
        resolve::keep_allowed(
            &Policy::default(),
            "example.org",
            found(addresses).into_iter(),
        )
    };
    // 1.0.0.1 and 2000::1 stand for any public address; nothing is sent to them.
    assert_eq!(
        keep(&["10.0.0.1", "1.0.0.1", "::1", "2000::1"]).unwrap(),
        found(&["1.0.0.1", "2000::1"])
    );
    let all_refused = keep(&["10.0.0.1", "::1"]).unwrap_err().to_string();
    assert!(all_refused.contains("example.org leads to 10.0.0.1"));
    assert!(matches!(keep(&[]), Err(resolve::ResolveFault::NotFound(_))));
}

/// RFC 6761 section 6.4: no resolver gives an address for a name below invalid.
#[tokio::test]
async fn a_name_without_an_address_is_named() {
    let fault = get(Url::parse("http://quay.invalid/").unwrap())
        .await
        .unwrap_err();
    assert!(
        matches!(&fault, FetchError::NameNotFound { host, .. } if host == "quay.invalid"),
        "{fault:?}"
    );
}

#[tokio::test]
async fn a_closed_port_is_told_from_a_broken_answer() {
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let port = listener.local_addr().unwrap().port();
    drop(listener);
    let url = Url::parse(&format!("http://127.0.0.1:{port}/")).unwrap();
    let fault = get(url).await.unwrap_err();
    assert_eq!(
        fault,
        FetchError::ConnectionRefused {
            host: format!("127.0.0.1:{port}")
        }
    );

    for broken in [
        &b"220 harbour mail\r\n"[..],
        b"",
        b"HTTP/1.1 200 OK\r\nContent-Length: 9\r\n\r\nshort",
    ] {
        let server = Server::always(Reply::Bytes(broken.to_vec())).await;
        let fault = get(server.url("/secret-path")).await.unwrap_err();
        assert!(matches!(fault, FetchError::Damaged { .. }), "{fault:?}");
        assert!(!fault.to_string().contains("secret-path"), "{fault}");
    }
}

#[tokio::test]
async fn a_server_without_tls_is_a_tls_fault() {
    // The first bytes of a TLS greeting hold no empty line, so this server answers unasked.
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let port = listener.local_addr().unwrap().port();
    tokio::spawn(async move {
        use tokio::io::AsyncWriteExt;
        while let Ok((mut stream, _)) = listener.accept().await {
            let _ = stream.write_all(b"HTTP/1.1 400 Bad Request\r\n\r\n").await;
        }
    });
    let url = Url::parse(&format!("https://127.0.0.1:{port}/")).unwrap();
    let fault = get(url).await.unwrap_err();
    assert!(matches!(fault, FetchError::Tls { .. }), "{fault:?}");
}

#[tokio::test]
async fn one_host_gets_one_request_at_a_time() {
    let server = Server::always(Reply::http(200, &[], b"")).await;
    let fetcher = fetcher(Limits::default());
    let mut tasks = tokio::task::JoinSet::new();
    for number in 0..8 {
        let fetcher = fetcher.clone();
        let request = Request::named(server.url(&format!("/{number}")));
        tasks.spawn(async move { fetcher.get(&request).await.map(|answer| answer.status) });
    }
    for status in tasks.join_all().await {
        assert_eq!(status, Ok(200));
    }
    assert_eq!(server.heads().len(), 8);
    assert_eq!(server.most_active(), 1);
    // The next turn clears away the hosts that are no longer in use.
    drop(fetcher.queue.turn("another.example.org").await);
    assert_eq!(fetcher.queue.hosts(), 1);
}

/// The first port never answers, so the second one can only wait because it shares its turn.
#[tokio::test]
async fn two_ports_of_one_host_share_one_turn() {
    let silent = Server::always(Reply::Hang(Vec::new())).await;
    let other = Server::always(Reply::http(200, &[], b"")).await;
    let limits = Limits {
        hop_timeout: Duration::from_millis(150),
        ..Limits::default()
    };
    let fetcher = fetcher(limits);
    let (first, second) = (
        Request::named(silent.url("/")),
        Request::named(other.url("/")),
    );
    let (mut first, mut second) = (
        Box::pin(fetcher.get(&first)),
        Box::pin(fetcher.get(&second)),
    );
    tokio::select! {
        biased;
        fault = &mut first => assert!(matches!(fault, Err(FetchError::TimedOut { .. }))),
        _ = &mut second => panic!("the second port was asked while the first was under way"),
    }
    assert_eq!(second.await.unwrap().status, 200);
}

#[test]
fn ports_schemes_case_and_a_final_dot_make_no_other_host() {
    for address in [
        "http://quay.example.org/",
        "https://quay.example.org:8443/",
        "https://QUAY.example.org./feed",
    ] {
        let hop = Hop::first(&Url::parse(address).unwrap(), Reach::Named);
        assert_eq!(hop.queue_key(), "quay.example.org", "{address}");
    }
}

/// Each server answers only once the other one has been asked too.
#[tokio::test]
async fn several_hosts_are_asked_at_once() {
    let barrier = Arc::new(tokio::sync::Barrier::new(2));
    let gazette = Server::always(Reply::Meet(Arc::clone(&barrier))).await;
    let bulletin = Server::always(Reply::Meet(barrier)).await;
    let fetcher = fetcher(Limits::default());
    let (first, mut second) = (
        Request::named(gazette.url("/")),
        Request::named(bulletin.url("/")),
    );
    second.url.set_host(Some("localhost")).unwrap();
    let (first, second) = tokio::join!(fetcher.get(&first), fetcher.get(&second));
    assert_eq!((first.unwrap().status, second.unwrap().status), (200, 200));
}

#[tokio::test]
async fn a_request_that_is_dropped_gives_its_turn_back() {
    let server = Server::start(|path| match path {
        "/hang" => Reply::Hang(Vec::new()),
        _ => Reply::http(200, &[], b""),
    })
    .await;
    let limits = Limits {
        hop_timeout: Duration::from_millis(100),
        ..Limits::default()
    };
    let fetcher = fetcher(limits);
    let fault = fetcher.get(&Request::named(server.url("/hang"))).await;
    assert!(matches!(fault, Err(FetchError::TimedOut { .. })));
    assert_eq!(
        fetcher
            .get(&Request::named(server.url("/")))
            .await
            .unwrap()
            .status,
        200
    );
}
