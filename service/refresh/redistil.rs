//! A better distiller reaches old articles: each is made anew from its stored source. Fetches nothing.

use crate::distil::{DISTILLER_VERSION, distil};
use crate::store::{OldSource, StoreError};

use super::Conductor;

/// Articles that are held in memory at once.
const BATCH: u32 = 16;

/// What making articles anew came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Redistilled {
    /// Articles of an older distiller at the start.
    pub found: u64,
    /// Articles made anew.
    pub renewed: u64,
    /// Why the others stayed as they are, a sentence each.
    pub warnings: Vec<String>,
}

impl Conductor {
    /// Makes each article anew that an older distiller made, and tells after each how many are done.
    /// One that fails stays as it is. Marks and places stay.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn redistil(
        &self,
        mut tell: impl FnMut(u64, u64),
    ) -> Result<Redistilled, StoreError> {
        let mut outcome = Redistilled {
            found: self.store.older_count(DISTILLER_VERSION).await?,
            ..Redistilled::default()
        };
        let (mut last, mut done) = (0, 0);
        loop {
            let batch = self
                .store
                .older_sources(DISTILLER_VERSION, last, BATCH)
                .await?;
            if batch.is_empty() {
                return Ok(outcome);
            }
            for old in batch {
                last = old.entry;
                done += 1;
                match self.renew(old).await? {
                    Ok(()) => outcome.renewed += 1,
                    Err(warning) => outcome.warnings.push(warning),
                }
                tell(done, outcome.found);
            }
        }
    }

    /// Makes one article anew; the inner error says why it stays as it is.
    async fn renew(&self, old: OldSource) -> Result<Result<(), String>, StoreError> {
        let Some(source) = old.source else {
            return Ok(Err(format!(
                "entry {} of {}: its stored source cannot be read, so that it stays as it is",
                old.entry, old.feed_title
            )));
        };
        match self.pool.run(move || distil(&source)).await {
            Ok((article, _)) => {
                let store = &self.store;
                store
                    .update_article(old.entry, &article, DISTILLER_VERSION)
                    .await?;
                Ok(Ok(()))
            }
            Err(fault) => Ok(Err(format!(
                "entry {} of {}: {fault}, so that it stays as it is",
                old.entry, old.feed_title
            ))),
        }
    }
}
