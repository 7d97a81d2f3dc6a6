//! A publisher on loopback whose answers a test sets by path.

use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use url::Url;

/// An answer. A header's bytes go out as they are.
#[derive(Clone, Default)]
pub(super) struct Reply {
    pub(super) status: u16,
    pub(super) headers: Vec<(&'static str, Vec<u8>)>,
    pub(super) body: Vec<u8>,
    /// Answered with 304 where the request has the ETag among its headers.
    pub(super) conditional: bool,
    /// Never answered.
    pub(super) hangs: bool,
}

pub(super) struct Server {
    port: u16,
    shared: Arc<Shared>,
}

#[derive(Default)]
struct Shared {
    replies: Mutex<HashMap<String, Reply>>,
    requests: Mutex<Vec<Request>>,
}

/// A request that came in.
#[derive(Clone)]
pub(super) struct Request {
    pub(super) path: String,
    headers: Vec<(String, Vec<u8>)>,
}

impl Request {
    pub(super) fn header(&self, name: &str) -> Option<&[u8]> {
        let found = self.headers.iter().find(|(key, _)| key == name)?;
        Some(&found.1)
    }
}

impl Reply {
    pub(super) fn ok(content_type: &'static str, body: &str) -> Self {
        Self {
            status: 200,
            headers: vec![("Content-Type", content_type.into())],
            body: body.into(),
            ..Self::default()
        }
    }

    pub(super) fn feed(body: &str) -> Self {
        Self::ok("application/atom+xml", body)
    }

    pub(super) fn status(status: u16) -> Self {
        Self {
            status,
            ..Self::default()
        }
    }

    pub(super) fn redirect(status: u16, target: &Url) -> Self {
        Self::status(status).with("Location", target.as_str().as_bytes())
    }

    pub(super) fn with(mut self, name: &'static str, value: &[u8]) -> Self {
        self.headers.push((name, value.to_vec()));
        self
    }

    fn bytes(&self, request: &Request) -> Vec<u8> {
        let etag = self.headers.iter().find(|(name, _)| *name == "ETag");
        let same = etag.is_some_and(|(_, etag)| request.header("if-none-match") == Some(etag));
        let not_modified = self.conditional && same;
        let status = if not_modified { 304 } else { self.status };
        let body: &[u8] = if not_modified { b"" } else { &self.body };
        let mut bytes = format!(
            "HTTP/1.1 {status} Status\r\nConnection: close\r\nContent-Length: {}\r\n",
            body.len()
        )
        .into_bytes();
        for (name, value) in &self.headers {
            bytes.extend_from_slice(name.as_bytes());
            bytes.extend_from_slice(b": ");
            bytes.extend_from_slice(value);
            bytes.extend_from_slice(b"\r\n");
        }
        bytes.extend_from_slice(b"\r\n");
        bytes.extend_from_slice(body);
        bytes
    }
}

impl Server {
    pub(super) async fn start() -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let port = listener.local_addr().unwrap().port();
        let shared = Arc::<Shared>::default();
        let inner = Arc::clone(&shared);
        tokio::spawn(async move {
            while let Ok((stream, _)) = listener.accept().await {
                tokio::spawn(answer(stream, Arc::clone(&inner)));
            }
        });
        Self { port, shared }
    }

    pub(super) fn url(&self, path: &str) -> Url {
        Url::parse(&format!("http://127.0.0.1:{}{path}", self.port)).unwrap()
    }

    pub(super) fn set(&self, path: &str, reply: Reply) {
        let mut replies = self.shared.replies.lock().unwrap();
        replies.insert(path.to_owned(), reply);
    }

    /// The requests since the last call.
    pub(super) fn take_requests(&self) -> Vec<Request> {
        std::mem::take(&mut self.shared.requests.lock().unwrap())
    }

    /// The paths asked for since the last call.
    pub(super) fn take_paths(&self) -> Vec<String> {
        let requests = self.take_requests();
        requests.into_iter().map(|request| request.path).collect()
    }
}

async fn answer(mut stream: TcpStream, shared: Arc<Shared>) {
    let mut head = Vec::new();
    while !head.ends_with(b"\r\n\r\n") {
        let Ok(byte) = stream.read_u8().await else {
            return;
        };
        head.push(byte);
    }
    let request = read_request(&head);
    let reply = shared.replies.lock().unwrap().get(&request.path).cloned();
    shared.requests.lock().unwrap().push(request.clone());
    let reply = reply.unwrap_or_else(|| Reply::status(404));
    if reply.hangs {
        std::future::pending::<()>().await;
    }
    let _ = stream.write_all(&reply.bytes(&request)).await;
    let _ = stream.shutdown().await;
}

fn read_request(head: &[u8]) -> Request {
    let mut lines = head
        .split(|byte| *byte == b'\n')
        .map(<[u8]>::trim_ascii_end);
    let first = String::from_utf8_lossy(lines.next().unwrap()).into_owned();
    let headers = lines
        .filter_map(|line| {
            let colon = line.iter().position(|byte| *byte == b':')?;
            let name = String::from_utf8_lossy(&line[..colon]).to_lowercase();
            Some((name, line[colon + 1..].trim_ascii_start().to_vec()))
        })
        .collect();
    Request {
        path: first.split(' ').nth(1).unwrap().to_owned(),
        headers,
    }
}
