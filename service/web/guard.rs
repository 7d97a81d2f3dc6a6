//! Who may ask: the Host must be this service's, and what changes state must come from its own
//! pages. Never looks at what is asked for.

use std::net::IpAddr;

use axum::extract::{Request, State};
use axum::http::uri::Authority;
use axum::http::{HeaderMap, Method, StatusCode, Uri, header};
use axum::middleware::Next;
use axum::response::Response;

use super::error::plain;
use super::{Web, words};

/// Lets a request through or answers it with what to do.
///
/// A name that a stranger's page has pointed at this machine (DNS rebinding) is not on the list;
/// an address by number cannot be pointed anywhere.
pub async fn guard(State(web): State<Web>, request: Request, next: Next) -> Response {
    let words = words::wanted(request.headers());
    if !host(request.headers(), request.uri())
        .is_some_and(|host| is_known(&host, &web.shared.hosts))
    {
        return plain(StatusCode::MISDIRECTED_REQUEST, words.unknown_host());
    }
    let safe = matches!(*request.method(), Method::GET | Method::HEAD);
    if !safe && !is_from_here(request.headers(), request.uri()) {
        return plain(StatusCode::FORBIDDEN, words.from_elsewhere());
    }
    next.run(request).await
}

/// The host that was asked for, with its port.
pub fn host(headers: &HeaderMap, uri: &Uri) -> Option<String> {
    let named = headers
        .get(header::HOST)
        .and_then(|host| host.to_str().ok());
    named
        .or_else(|| uri.authority().map(Authority::as_str))
        .map(str::to_ascii_lowercase)
}

fn is_known(host: &str, hosts: &[String]) -> bool {
    let name = match host.strip_prefix('[') {
        Some(rest) => rest.split_once(']').map_or("", |(name, port)| {
            if port.is_empty() || port.starts_with(':') {
                name
            } else {
                ""
            }
        }),
        None => host.split(':').next().unwrap_or_default(),
    };
    let name = name.trim_end_matches('.');
    name == "localhost"
        || name.parse::<IpAddr>().is_ok()
        || hosts.iter().any(|known| known.eq_ignore_ascii_case(name))
}

/// Whether the browser says that the request comes from a page of this service: by Origin, or
/// where an old one sends none, by Sec-Fetch-Site.
fn is_from_here(headers: &HeaderMap, uri: &Uri) -> bool {
    let value = |name: &str| headers.get(name).and_then(|value| value.to_str().ok());
    match value("origin") {
        Some(origin) => {
            let from = origin
                .strip_prefix("http://")
                .or_else(|| origin.strip_prefix("https://"));
            from.is_some_and(|from| {
                host(headers, uri).is_some_and(|host| from.eq_ignore_ascii_case(&host))
            })
        }
        None => value("sec-fetch-site") == Some("same-origin"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_localhost_and_listed_names_are_known() {
        let hosts = ["Harbour.example.org".to_owned()];
        for host in [
            "127.0.0.1:8090",
            "192.168.1.7",
            "[::1]:8090",
            "localhost:8090",
            "harbour.example.org:80",
        ] {
            assert!(is_known(host, &hosts), "{host}");
        }
        for host in [
            "stranger.example.org",
            "127.0.0.1.example.org",
            "",
            "localhost.example.org",
            "[::1]stranger.example.org",
        ] {
            assert!(!is_known(host, &hosts), "{host}");
        }
    }

    #[test]
    fn only_this_services_own_pages_change_state() {
        let check = |pairs: &[(&'static str, &'static str)], wanted: bool| {
            let mut headers = HeaderMap::new();
            for (name, value) in pairs {
                headers.insert(*name, value.parse().unwrap());
            }
            assert_eq!(
                is_from_here(&headers, &Uri::from_static("/screen")),
                wanted,
                "{pairs:?}"
            );
        };
        check(
            &[
                ("host", "192.168.1.7:8090"),
                ("origin", "http://192.168.1.7:8090"),
            ],
            true,
        );
        check(
            &[
                ("host", "192.168.1.7:8090"),
                ("origin", "http://192.168.1.7:9000"),
            ],
            false,
        );
        check(
            &[
                ("host", "192.168.1.7:8090"),
                ("origin", "null"),
                ("sec-fetch-site", "same-origin"),
            ],
            false,
        );
        check(
            &[
                ("host", "192.168.1.7:8090"),
                ("sec-fetch-site", "same-origin"),
            ],
            true,
        );
        check(
            &[
                ("host", "192.168.1.7:8090"),
                ("sec-fetch-site", "cross-site"),
            ],
            false,
        );
        check(&[("host", "192.168.1.7:8090")], false);
    }
}
