//! Printed pages, compressed once and kept while there is room. Never prints.

use std::io::Write;
use std::sync::Arc;

use axum::body::Bytes;
use flate2::Compression;
use flate2::write::GzEncoder;

use crate::store::Place;
use crate::view::style_hash;

/// A page that is ready to be sent.
#[derive(Clone, Debug)]
pub struct Printed {
    /// As it is.
    pub plain: Bytes,
    /// In gzip, which is all that browsers take on plain HTTP.
    pub gzip: Bytes,
    /// A digest of its content.
    pub digest: String,
    /// The hash of its style sheet; none where it is no page.
    pub style: Option<String>,
    /// Where each of its discs begins in its article; none where it is a page of none.
    pub starts: Vec<Place>,
}

impl Printed {
    /// Compresses a page. Takes milliseconds: for the pool.
    pub fn new(page: String) -> Self {
        Self::of_article(page, Vec::new())
    }

    /// Compresses the page of an article whose discs begin at these places.
    pub fn of_article(page: String, starts: Vec<Place>) -> Self {
        let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
        // Writing into memory cannot fail; should it, the page is sent as it is.
        let gzip = encoder
            .write_all(page.as_bytes())
            .and_then(|()| encoder.finish())
            .unwrap_or_default();
        let digest = blake3::hash(page.as_bytes()).to_hex()[..20].to_owned();
        Self {
            gzip: gzip.into(),
            digest,
            style: style_hash(&page),
            plain: page.into(),
            starts,
        }
    }

    fn bytes(&self) -> u32 {
        u32::try_from(self.plain.len() + self.gzip.len() + 8 * self.starts.len() + 64)
            .unwrap_or(u32::MAX)
    }
}

/// The pages kept, by a digest of all that they are made of.
pub struct Cache(moka::future::Cache<[u8; 32], Arc<Printed>>);

/// How much is kept: a thousand articles or so, in a size or two.
const MOST_BYTES: u64 = 32 * 1024 * 1024;

impl Cache {
    /// An empty cache.
    pub fn new() -> Self {
        Self(
            moka::future::Cache::builder()
                .max_capacity(MOST_BYTES)
                .weigher(|_, page: &Arc<Printed>| page.bytes())
                .build(),
        )
    }

    /// The page of that digest, made if it is not kept. Of several askers at once one makes it.
    ///
    /// # Errors
    /// What `make` fails with.
    pub async fn get<E: Clone + Send + Sync + 'static>(
        &self,
        key: [u8; 32],
        make: impl Future<Output = Result<Printed, E>>,
    ) -> Result<Arc<Printed>, Arc<E>> {
        self.0
            .try_get_with(key, async { make.await.map(Arc::new) })
            .await
    }
}
