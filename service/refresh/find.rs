//! Articles from before a search was thought of, or from before their feed was called otherwise, are made findable
//! in small steps while the service runs. Fetches nothing.

use super::{Conductor, LONGEST_SLEEP};
use crate::store::{StoreError, Unfindable};

impl Conductor {
    /// Looks again and again for articles that cannot be found by all their words.
    pub(super) async fn keep_findable(&self) {
        loop {
            match self.make_findable().await {
                Ok(0) => {}
                Ok(articles) => tracing::info!(articles, "made findable by their words"),
                Err(fault) => tracing::error!(%fault, "articles could not be made findable"),
            }
            tokio::time::sleep(LONGEST_SLEEP).await;
        }
    }

    /// Makes all articles findable that are not so yet, and tells how many. Each step is a transaction by itself, so
    /// that watches and visits go on meanwhile, and a process that is killed goes on where it was.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn make_findable(&self) -> Result<u64, StoreError> {
        let mut written = 0;
        loop {
            let articles = self.store.unfindable().await?;
            if articles.is_empty() {
                return Ok(written);
            }
            let count = articles.len() as u64;
            let work = move || {
                let pair = |article: Unfindable| {
                    let searchable = article.searchable();
                    (article, searchable)
                };
                articles.into_iter().map(pair).collect::<Vec<_>>()
            };
            match self.pool.run(work).await {
                Ok(pairs) => self.store.make_findable(&pairs).await?,
                Err(fault) => {
                    tracing::error!(%fault, "articles could not be made findable");
                    return Ok(written);
                }
            }
            written += count;
        }
    }
}
