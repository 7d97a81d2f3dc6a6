//! A small HTTP server on loopback that answers byte for byte what a test hands it.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Barrier;
use url::Url;

/// What the server does with one request.
#[derive(Clone)]
pub enum Reply {
    /// Sends these bytes and closes.
    Bytes(Vec<u8>),
    /// Sends these bytes and then neither sends nor closes.
    Hang(Vec<u8>),
    /// Sends the first bytes once and the second ones again and again.
    Endless(Vec<u8>, Vec<u8>),
    /// Waits until the barrier is full, then answers 200.
    Meet(Arc<Barrier>),
}

impl Reply {
    /// An answer with a status line, header lines and a body.
    pub fn http(status: u16, header_lines: &[&str], body: &[u8]) -> Self {
        let mut bytes = head(status, header_lines);
        bytes.splice(
            bytes.len() - 2..,
            format!("Content-Length: {}\r\n\r\n", body.len()).into_bytes(),
        );
        bytes.extend_from_slice(body);
        Self::Bytes(bytes)
    }

    /// A redirect.
    pub fn redirect(status: u16, location: &str) -> Self {
        Self::http(status, &[&format!("Location: {location}")], b"moved")
    }
}

/// Status line and header lines, ended by an empty line; the connection is said to close.
pub fn head(status: u16, header_lines: &[&str]) -> Vec<u8> {
    let mut head = format!("HTTP/1.1 {status} Status\r\nConnection: close\r\n");
    for line in header_lines {
        head.push_str(line);
        head.push_str("\r\n");
    }
    head.push_str("\r\n");
    head.into_bytes()
}

/// A server that runs until the test's runtime ends.
pub struct Server {
    port: u16,
    seen: Arc<Seen>,
}

#[derive(Default)]
struct Seen {
    heads: Mutex<Vec<String>>,
    connections: AtomicUsize,
    active: AtomicUsize,
    most_active: AtomicUsize,
    sent_bytes: AtomicUsize,
}

impl Server {
    /// Starts a server whose reply to each request depends on its path.
    pub async fn start(reply: impl Fn(&str) -> Reply + Send + Sync + 'static) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let port = listener.local_addr().unwrap().port();
        let seen = Arc::<Seen>::default();
        let reply = Arc::new(reply);
        let shared = Arc::clone(&seen);
        tokio::spawn(async move {
            while let Ok((stream, _)) = listener.accept().await {
                shared.connections.fetch_add(1, Ordering::SeqCst);
                tokio::spawn(serve(stream, Arc::clone(&reply), Arc::clone(&shared)));
            }
        });
        Self { port, seen }
    }

    /// A server with one reply for every path.
    pub async fn always(reply: Reply) -> Self {
        Self::start(move |_| reply.clone()).await
    }

    pub fn url(&self, path: &str) -> Url {
        Url::parse(&format!("http://127.0.0.1:{}{path}", self.port)).unwrap()
    }

    pub fn port(&self) -> u16 {
        self.port
    }

    /// The heads of all requests so far, names of headers in lower case.
    pub fn heads(&self) -> Vec<String> {
        self.seen.heads.lock().unwrap().clone()
    }

    pub fn connections(&self) -> usize {
        self.seen.connections.load(Ordering::SeqCst)
    }

    /// The largest number of requests that were answered at the same time.
    pub fn most_active(&self) -> usize {
        self.seen.most_active.load(Ordering::SeqCst)
    }

    /// Bytes that left in [`Reply::Endless`].
    pub fn sent_bytes(&self) -> usize {
        self.seen.sent_bytes.load(Ordering::SeqCst)
    }
}

async fn serve<F: Fn(&str) -> Reply>(mut stream: TcpStream, reply: Arc<F>, seen: Arc<Seen>) {
    let Some(head) = read_head(&mut stream).await else {
        return;
    };
    let path = head.split(' ').nth(1).unwrap_or("/").to_owned();
    seen.heads.lock().unwrap().push(head);
    let active = seen.active.fetch_add(1, Ordering::SeqCst) + 1;
    seen.most_active.fetch_max(active, Ordering::SeqCst);
    // Gives every other request that is already under way the chance to be counted too.
    for _ in 0..100 {
        tokio::task::yield_now().await;
    }
    let reply = reply(&path);
    if let Reply::Meet(barrier) = &reply {
        barrier.wait().await;
    }
    seen.active.fetch_sub(1, Ordering::SeqCst);
    match reply {
        Reply::Bytes(bytes) => {
            let _ = stream.write_all(&bytes).await;
            let _ = stream.shutdown().await;
        }
        Reply::Hang(bytes) => {
            let _ = stream.write_all(&bytes).await;
            std::future::pending::<()>().await;
        }
        Reply::Endless(head, piece) => {
            let _ = stream.write_all(&head).await;
            while stream.write_all(&piece).await.is_ok() {
                seen.sent_bytes.fetch_add(piece.len(), Ordering::SeqCst);
            }
        }
        Reply::Meet(_) => {
            let _ = stream.write_all(&head_of_nothing()).await;
        }
    }
}

fn head_of_nothing() -> Vec<u8> {
    head(200, &["Content-Length: 0"])
}

async fn read_head(stream: &mut TcpStream) -> Option<String> {
    let mut head = Vec::new();
    while !head.ends_with(b"\r\n\r\n") {
        head.push(stream.read_u8().await.ok()?);
    }
    // Bytes above 127 stay one character each, so that a test can ask for them.
    Some(head.into_iter().map(char::from).collect())
}
