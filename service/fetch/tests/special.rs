//! Addresses that are not public, reached for by redirects and by names whose addresses change.

use std::collections::VecDeque;
use std::future::{Future, ready};
use std::io;
use std::net::{IpAddr, SocketAddr, TcpListener};
use std::pin::Pin;
use std::sync::{Arc, Mutex};

use ipnet::IpNet;
use url::Url;

use super::server::{Reply, Server};
use super::{Allowed, FetchError, Fetcher, Limits, Policy, Reach, Refused, Request, fetcher};
use crate::address::registry::{REFUSED, SPELLINGS};
use crate::fetch::resolve::LookUp;

/// A resolver that gives the answers of its list, one at each look-up, and the last one for ever.
#[derive(Default)]
struct Changing {
    answers: Mutex<VecDeque<Vec<IpAddr>>>,
    asked: Mutex<Vec<String>>,
}

impl Changing {
    fn new(answers: &[&[&str]]) -> Arc<Self> {
        let read = |answer: &&[&str]| answer.iter().map(|ip| ip.parse().unwrap()).collect();
        Arc::new(Self {
            answers: Mutex::new(answers.iter().map(read).collect()),
            ..Self::default()
        })
    }

    fn asked(&self) -> usize {
        self.asked.lock().unwrap().len()
    }
}

impl LookUp for Changing {
    fn look_up(
        &self,
        host: String,
    ) -> Pin<Box<dyn Future<Output = io::Result<Vec<SocketAddr>>> + Send>> {
        self.asked.lock().unwrap().push(host);
        let mut answers = self.answers.lock().unwrap();
        let answer = if answers.len() > 1 {
            answers.pop_front().unwrap()
        } else {
            answers[0].clone()
        };
        let found = answer
            .into_iter()
            .map(|ip| SocketAddr::new(ip, 0))
            .collect();
        Box::pin(ready(Ok(found)))
    }
}

/// A fetcher for which 127.0.0.1 stands for any address that may be reached.
fn fetcher_by(names: &Arc<Changing>) -> Fetcher {
    let policy = Policy::new(vec![Allowed::Range("127.0.0.1/32".parse().unwrap())]);
    let names: Arc<dyn LookUp> = names.clone();
    Fetcher::with_names(policy, Limits::default(), names).unwrap()
}

fn quay(port: u16) -> Url {
    Url::parse(&format!("http://quay.example.org:{port}/")).unwrap()
}

fn edges() -> impl Iterator<Item = IpAddr> {
    REFUSED.iter().flat_map(|(range, _)| {
        let range: IpNet = range.parse().unwrap();
        [range.network(), range.broadcast()]
    })
}

/// Refused before any connection, at an address that the policy does not except.
fn assert_refused(fault: &FetchError, what: &str) {
    let FetchError::Refused { refused, .. } = fault else {
        panic!("{what}: {fault:?}");
    };
    assert!(
        matches!(refused, Refused::Address { .. }),
        "{what}: {fault:?}"
    );
}

#[tokio::test]
async fn no_redirect_leads_to_a_row_of_the_registries_in_any_spelling() {
    let of_rows = edges()
        .filter(|ip| *ip != IpAddr::from([127, 0, 0, 1]))
        .map(|ip| match ip {
            IpAddr::V4(ip) => format!("http://{ip}/"),
            IpAddr::V6(ip) => format!("http://[{ip}]/"),
        });
    let spelt = SPELLINGS.iter().map(|(address, _)| {
        // The server itself is reached at 127.0.0.1, so another address of the machine is meant.
        address
            .replace("127.1", "127.2")
            .replace("0x7f000001", "0x7f000002")
            .replace("2130706433", "2130706434")
            .replace(".0.0.1", ".0.0.2")
            .replace("0x7f.1", "0x7f.2")
            .replace("⓪.①", "⓪.②")
            .replace("。1", "。2")
    });
    let targets: Vec<String> = of_rows.chain(spelt).collect();
    let served = targets.clone();
    let server = Server::start(move |path| {
        let place: usize = path.trim_start_matches('/').parse().unwrap();
        Reply::redirect(302, &served[place])
    })
    .await;
    let fetcher = fetcher(Limits::default());
    for (place, target) in targets.iter().enumerate() {
        let fault = fetcher
            .get(&Request::named(server.url(&format!("/{place}"))))
            .await
            .unwrap_err();
        assert_refused(&fault, target);
    }
    assert_eq!(server.connections(), targets.len());
}

#[tokio::test]
async fn no_name_leads_to_a_row_of_the_registries() {
    for ip in edges().filter(|ip| *ip != IpAddr::from([127, 0, 0, 1])) {
        let names = Changing::new(&[&[&ip.to_string()]]);
        let fault = fetcher_by(&names)
            .get(&Request::named(quay(80)))
            .await
            .unwrap_err();
        assert_refused(&fault, &ip.to_string());
        assert_eq!(names.asked(), 1);
    }
}

/// Two servers at one port, of 127.0.0.1 and of 127.0.0.2, so that a name alone decides between them.
async fn outer_and_inner(reply: Reply) -> (Server, TcpListener) {
    let outer = Server::always(reply).await;
    let inner = TcpListener::bind(("127.0.0.2", outer.port())).unwrap();
    inner.set_nonblocking(true).unwrap();
    (outer, inner)
}

/// Whether nobody has connected. The system has a connection to loopback ready to be accepted before
/// whoever makes it goes on.
fn is_untouched(inner: &TcpListener) -> bool {
    matches!(inner.accept(), Err(fault) if fault.kind() == io::ErrorKind::WouldBlock)
}

#[tokio::test]
async fn a_name_whose_address_changes_is_checked_at_each_connection() {
    let (outer, inner) = outer_and_inner(Reply::http(200, &[], b"tides")).await;
    // The way of telling whether it was reached does tell.
    drop(std::net::TcpStream::connect(inner.local_addr().unwrap()).unwrap());
    assert!(!is_untouched(&inner));
    let names = Changing::new(&[&["127.0.0.1"], &["127.0.0.2"]]);
    let fetcher = fetcher_by(&names);
    let asked = Request::named(quay(outer.port()));
    assert_eq!(fetcher.get(&asked).await.unwrap().body, b"tides");
    // One look-up a connection: what was checked is what was connected to.
    assert_eq!(names.asked(), 1);
    let fault = fetcher.get(&asked).await.unwrap_err();
    assert_refused(&fault, "the second look-up");
    assert_eq!((names.asked(), outer.connections()), (2, 1));
    assert!(is_untouched(&inner));
}

#[tokio::test]
async fn a_redirect_to_the_same_name_is_checked_at_its_new_address() {
    let (outer, inner) = outer_and_inner(Reply::redirect(302, "/further")).await;
    let names = Changing::new(&[&["127.0.0.1"], &["127.0.0.2"]]);
    let fault = fetcher_by(&names)
        .get(&Request::named(quay(outer.port())))
        .await
        .unwrap_err();
    assert_refused(&fault, "the hop");
    assert_eq!((names.asked(), outer.connections()), (2, 1));
    assert!(is_untouched(&inner));
}

#[tokio::test]
async fn of_a_mixed_answer_only_the_allowed_address_is_connected_to() {
    let (outer, inner) = outer_and_inner(Reply::http(200, &[], b"tides")).await;
    let names = Changing::new(&[&["127.0.0.2", "10.0.0.1", "127.0.0.1", "::1"]]);
    let response = fetcher_by(&names)
        .get(&Request::named(quay(outer.port())))
        .await;
    assert_eq!(response.unwrap().body, b"tides");
    assert!(is_untouched(&inner));
}

/// What a public feed leads to does not reach even what the config excepts, whatever its name says.
#[tokio::test]
async fn exceptions_do_not_hold_for_names_that_a_feed_leads_to() {
    let (outer, _inner) = outer_and_inner(Reply::http(200, &[], b"tides")).await;
    let names = Changing::new(&[&["127.0.0.1"]]);
    let mut asked = Request::named(quay(outer.port()));
    asked.reach = Reach::Public;
    let fault = fetcher_by(&names).get(&asked).await.unwrap_err();
    assert_refused(&fault, "a page");
    assert_eq!(outer.connections(), 0);
}
