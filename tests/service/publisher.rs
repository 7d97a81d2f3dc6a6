//! A publisher on loopback whose answers a test sets by path, byte by byte where need be. It never
//! keeps a connection.

use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::sync::Semaphore;
use url::Url;

use super::house::loopback;

/// What a request is answered with.
#[derive(Clone)]
pub enum Reply {
    /// An answer with its length.
    Whole {
        status: u16,
        headers: Vec<(&'static str, String)>,
        body: Arc<[u8]>,
    },
    /// An answer that ends before its length is reached.
    Short { body: Arc<[u8]>, missing: usize },
    /// Another one, once as many permits were given as there are requests that wait.
    After(Arc<Semaphore>, Box<Reply>),
    /// The connection is closed without a word.
    Closed,
    /// Nothing comes for as long as the reader waits.
    Silence,
}

impl Reply {
    /// A body of a type, with status 200.
    pub fn of(kind: &str, body: impl AsRef<[u8]>) -> Self {
        Self::Whole {
            status: 200,
            headers: vec![("Content-Type", kind.to_owned())],
            body: body.as_ref().into(),
        }
    }

    /// An Atom feed.
    pub fn atom(body: impl AsRef<[u8]>) -> Self {
        Self::of("application/atom+xml", body)
    }

    /// A web page.
    pub fn html(body: impl AsRef<[u8]>) -> Self {
        Self::of("text/html; charset=utf-8", body)
    }

    /// A status without a body.
    pub fn status(status: u16) -> Self {
        Self::Whole {
            status,
            headers: Vec::new(),
            body: Arc::new([]),
        }
    }

    /// With a further header.
    pub fn with(mut self, name: &'static str, value: &str) -> Self {
        if let Self::Whole { headers, .. } = &mut self {
            headers.push((name, value.to_owned()));
        }
        self
    }
}

/// The publisher.
pub struct Publisher {
    base: Url,
    shared: Arc<Shared>,
}

#[derive(Default)]
struct Shared {
    replies: Mutex<HashMap<String, Reply>>,
    asked: Mutex<Vec<String>>,
}

impl Publisher {
    pub async fn start() -> Self {
        let listener = loopback().await;
        let address = listener.local_addr().expect("an address");
        let shared = Arc::<Shared>::default();
        let inner = Arc::clone(&shared);
        tokio::spawn(async move {
            while let Ok((stream, _)) = listener.accept().await {
                let shared = Arc::clone(&inner);
                // A reader that goes away in the middle is no concern of the publisher's.
                tokio::spawn(async move { drop(answer(stream, &shared).await) });
            }
        });
        Self {
            base: Url::parse(&format!("http://{address}/")).expect("an address"),
            shared,
        }
    }

    /// The address of a path.
    pub fn address(&self, path: &str) -> Url {
        self.base.join(path).expect("a path")
    }

    /// What a path is answered with from now on.
    pub fn set(&self, path: &str, reply: Reply) {
        let mut replies = self.shared.replies.lock().expect("no test panicked here");
        replies.insert(path.to_owned(), reply);
    }

    /// The paths that were asked for since the last call.
    pub fn take_asked(&self) -> Vec<String> {
        std::mem::take(&mut self.shared.asked.lock().expect("no test panicked here"))
    }
}

async fn answer(mut stream: TcpStream, shared: &Shared) -> std::io::Result<()> {
    let mut head = Vec::new();
    while !head.ends_with(b"\r\n\r\n") {
        head.push(stream.read_u8().await?);
    }
    let head = String::from_utf8_lossy(&head);
    let path = head.split(' ').nth(1).unwrap_or_default().to_owned();
    let reply = {
        let replies = shared.replies.lock().expect("no test panicked here");
        replies.get(&path).cloned()
    };
    shared
        .asked
        .lock()
        .expect("no test panicked here")
        .push(path);
    let mut reply = reply.unwrap_or_else(|| Reply::status(404));
    while let Reply::After(permits, later) = reply {
        permits
            .acquire()
            .await
            .expect("it is never closed")
            .forget();
        reply = *later;
    }
    match reply {
        Reply::After(..) => unreachable!("it was waited for"),
        Reply::Whole {
            status,
            headers,
            body,
        } => {
            let mut head = format!("HTTP/1.1 {status} Status\r\nConnection: close\r\n");
            head += &format!("Content-Length: {}\r\n", body.len());
            for (name, value) in headers {
                head += &format!("{name}: {value}\r\n");
            }
            head += "\r\n";
            stream.write_all(head.as_bytes()).await?;
            stream.write_all(&body).await?;
        }
        Reply::Short { body, missing } => {
            let length = body.len() + missing;
            let head = format!("HTTP/1.1 200 OK\r\nContent-Length: {length}\r\n\r\n");
            stream.write_all(head.as_bytes()).await?;
            stream.write_all(&body).await?;
        }
        Reply::Closed => {}
        Reply::Silence => std::future::pending::<()>().await,
    }
    stream.shutdown().await
}

/// An entry of a feed that a test writes.
pub struct Written {
    pub name: String,
    /// Plain text.
    pub title: String,
    /// HTML.
    pub content: String,
    /// As RFC 3339 writes it.
    pub updated: String,
}

impl Written {
    pub fn new(name: &str, content: &str) -> Self {
        Self {
            name: name.to_owned(),
            title: format!("Of {name}"),
            content: content.to_owned(),
            updated: "2031-03-31T12:00:00Z".to_owned(),
        }
    }
}

/// An Atom feed (RFC 4287) of these entries. Each links to `/page/` and its name below `base`.
pub fn atom(base: &Url, title: &str, entries: &[Written]) -> String {
    let mut feed = format!(
        "<?xml version=\"1.0\" encoding=\"utf-8\"?><feed xmlns=\"http://www.w3.org/2005/Atom\" \
         xml:lang=\"en\"><id>urn:example:{title}</id><title>{title}</title>\
         <updated>2031-03-31T12:00:00Z</updated>"
    );
    for entry in entries {
        let link = base.join(&format!("/page/{}", entry.name)).expect("a path");
        feed += &format!(
            "<entry><id>urn:example:{title}:{}</id><title>{}</title><link href=\"{link}\"/>\
             <updated>{}</updated><content type=\"html\">{}</content></entry>",
            entry.name,
            escaped(&entry.title),
            entry.updated,
            escaped(&entry.content)
        );
    }
    feed + "</feed>"
}

/// Text as XML writes it.
pub fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;")
}
