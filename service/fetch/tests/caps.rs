//! Caps on time and size, and the encodings of bodies.

use std::io::Write;

use super::*;

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}

fn brotli(bytes: &[u8]) -> Vec<u8> {
    let mut packed = Vec::new();
    let mut encoder = ::brotli::CompressorWriter::new(&mut packed, 4096, 5, 22);
    encoder.write_all(bytes).unwrap();
    drop(encoder);
    packed
}

async fn get_encoded(coding: &str, body: &[u8], limits: Limits) -> Result<Vec<u8>, FetchError> {
    let line = format!("Content-Encoding: {coding}");
    let server = Server::always(Reply::http(200, &[&line], body)).await;
    let response = fetcher(limits)
        .get(&Request::named(server.url("/")))
        .await?;
    Ok(response.body)
}

/// Some 450 KB that neither coder packs into one piece.
fn long_text() -> Vec<u8> {
    (0..60_000u32)
        .flat_map(|number| {
            (number.wrapping_mul(2_654_435_761) >> 8)
                .to_string()
                .into_bytes()
        })
        .collect()
}

#[tokio::test]
async fn gzip_and_brotli_are_unpacked() {
    let text = long_text();
    for (coding, body) in [
        ("gzip", gzip(&text)),
        ("GZIP", gzip(&text)),
        ("x-gzip", gzip(&text)),
        ("br", brotli(&text)),
        ("identity", text.clone()),
    ] {
        let unpacked = get_encoded(coding, &body, Limits::default()).await;
        assert!(unpacked.as_ref() == Ok(&text), "{coding}");
    }
    // RFC 1952 section 2.2: a file of several members is their contents one after another.
    let members = [gzip(b"high "), gzip(b"tide")].concat();
    let unpacked = get_encoded("gzip", &members, Limits::default()).await;
    assert_eq!(unpacked.unwrap(), b"high tide");
    for coding in ["gzip", "br"] {
        let empty = get_encoded(coding, b"", Limits::default()).await;
        assert_eq!(empty.unwrap(), b"");
    }
}

#[tokio::test]
async fn a_body_that_cannot_be_unpacked_is_damaged() {
    let text = long_text();
    let (gzipped, brotlied) = (gzip(&text), brotli(&text));
    let mut flipped = gzipped.clone();
    let middle = flipped.len() / 2;
    flipped[middle] ^= 0xff;
    for (coding, body) in [
        ("gzip", &gzipped[..gzipped.len() - 1]),
        ("gzip", &gzipped[..5]),
        ("gzip", &flipped),
        ("gzip", b"plain text"),
        ("br", &brotlied[..brotlied.len() / 2]),
        ("br", b"plain text, not brotli"),
        ("zstd", b"x"),
        ("gzip, gzip", &gzip(&gzipped)),
    ] {
        let fault = get_encoded(coding, body, Limits::default()).await;
        assert!(matches!(fault, Err(FetchError::Damaged { .. })), "{coding}");
    }
}

/// 64 MB of zeros in some 64 KB (DEFLATE) and some 60 bytes (brotli).
#[tokio::test]
async fn a_bomb_stops_at_the_cap_for_decompressed_bytes() {
    let zeros = vec![0; 64 << 20];
    for (coding, bomb) in [("gzip", gzip(&zeros)), ("br", brotli(&zeros))] {
        assert!(bomb.len() < 100_000, "{coding}: {}", bomb.len());
        let fault = get_encoded(coding, &bomb, Limits::default())
            .await
            .unwrap_err();
        let FetchError::TooBig { what, cap, .. } = &fault else {
            panic!("{fault:?}");
        };
        assert_eq!((*what, *cap), ("its body when decompressed", 16 << 20));
        assert!(fault.to_string().contains("16777216 bytes"), "{fault}");
    }
}

#[tokio::test]
async fn a_body_may_fill_its_caps_and_no_byte_more() {
    let exact = Limits {
        sent_bytes: 1000,
        body_bytes: 1000,
        ..Limits::default()
    };
    for (length, fits) in [(1000, true), (1001, false)] {
        let body = vec![b'x'; length];
        for (coding, packed) in [
            ("identity", body.clone()),
            ("gzip", gzip(&body)),
            ("br", brotli(&body)),
        ] {
            let unpacked = get_encoded(coding, &packed, exact.clone()).await;
            assert_eq!(unpacked.is_ok(), fits, "{coding} {length}");
        }
    }
}

#[tokio::test]
async fn an_announced_length_over_the_cap_is_refused_before_the_body() {
    let head = server::head(200, &["Content-Length: 52428800"]);
    // The body never comes, so only the announcement can be what is refused.
    let server = Server::always(Reply::Hang(head)).await;
    let fault = get(server.url("/")).await.unwrap_err();
    assert!(
        matches!(fault, FetchError::TooBig { what: "its body as sent", cap, .. } if cap == 8 << 20),
        "{fault:?}"
    );
}

#[tokio::test]
async fn a_stream_without_a_length_is_cut_at_the_cap() {
    let endless = Reply::Endless(server::head(200, &[]), vec![b'x'; 1 << 16]);
    let server = Server::always(endless).await;
    let fault = get(server.url("/")).await.unwrap_err();
    assert!(
        matches!(
            fault,
            FetchError::TooBig {
                what: "its body as sent",
                ..
            }
        ),
        "{fault:?}"
    );
    // What was sent beyond the cap lies in the buffers of the two sockets.
    assert!(server.sent_bytes() < 50 << 20, "{}", server.sent_bytes());
}

#[tokio::test]
async fn a_slow_answer_is_cut_wherever_it_stops() {
    let limits = Limits {
        hop_timeout: Duration::from_millis(150),
        ..Limits::default()
    };
    let mut half = server::head(200, &["Content-Length: 100"]);
    half.extend_from_slice(b"half of it");
    for sent in [Vec::new(), b"HTTP/1.1 200 OK\r\nX-Tide: ".to_vec(), half] {
        let server = Server::always(Reply::Hang(sent)).await;
        let fault = fetcher(limits.clone())
            .get(&Request::named(server.url("/")))
            .await
            .unwrap_err();
        assert_eq!(
            fault,
            FetchError::TimedOut {
                host: format!("127.0.0.1:{}", server.port()),
                step: "finish its answer",
                limit: Duration::from_millis(150),
            }
        );
        assert!(fault.to_string().contains("within 0.15 s"), "{fault}");
    }
}

/// Each hop is quick and their number is not capped, so that only the time of all together ends it.
#[tokio::test]
async fn a_chain_of_redirects_is_cut_by_the_time_of_all_its_hops() {
    let limits = Limits {
        total_timeout: Duration::from_millis(150),
        redirects: usize::MAX,
        ..Limits::default()
    };
    let server = Server::always(Reply::redirect(302, "/on")).await;
    let fault = fetcher(limits).get(&Request::named(server.url("/"))).await;
    let fault = fault.unwrap_err();
    assert_eq!(
        fault,
        FetchError::TimedOut {
            host: format!("127.0.0.1:{}", server.port()),
            step: "finish its answer, redirects included,",
            limit: Duration::from_millis(150),
        }
    );
    assert!(server.heads().len() > 1);
}

/// A body that keeps coming resets a time-out between bytes, but not this one.
#[tokio::test]
async fn a_body_that_never_ends_is_cut_by_time_too() {
    let limits = Limits {
        hop_timeout: Duration::from_millis(150),
        sent_bytes: usize::MAX,
        body_bytes: usize::MAX,
        ..Limits::default()
    };
    // Empty gzip members unpack to nothing, so the body grows nowhere while it streams.
    let endless = Reply::Endless(server::head(200, &["Content-Encoding: gzip"]), gzip(b""));
    let server = Server::always(endless).await;
    let fault = fetcher(limits).get(&Request::named(server.url("/"))).await;
    assert!(
        matches!(fault, Err(FetchError::TimedOut { .. })),
        "{fault:?}"
    );
}

#[tokio::test]
async fn an_oversized_header_is_refused() {
    let fields: Vec<String> = (0..50)
        .map(|number| format!("X-Tide-{number}: {}", "x".repeat(2000)))
        .collect();
    let lines: Vec<&str> = fields.iter().map(String::as_str).collect();
    let server = Server::always(Reply::http(200, &lines, b"")).await;
    let fault = get(server.url("/")).await.unwrap_err();
    assert!(
        matches!(
            fault,
            FetchError::TooBig {
                what: "its header",
                cap: 65_536,
                ..
            }
        ),
        "{fault:?}"
    );
    // What hyper itself refuses while reading: too many fields, and a field without end.
    let many: Vec<String> = (0..101).map(|number| format!("X-{number}: 1")).collect();
    let many: Vec<&str> = many.iter().map(String::as_str).collect();
    let endless = Reply::Endless(b"HTTP/1.1 200 OK\r\nX-Tide: ".to_vec(), vec![b'x'; 1 << 16]);
    for reply in [Reply::http(200, &many, b""), endless] {
        let server = Server::always(reply).await;
        let fault = get(server.url("/")).await.unwrap_err();
        assert!(matches!(fault, FetchError::Damaged { .. }), "{fault:?}");
        assert!(server.sent_bytes() < 50 << 20, "{}", server.sent_bytes());
    }
}
