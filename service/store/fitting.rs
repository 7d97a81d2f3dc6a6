//! Unread articles by the time that they take. Owns no table.
//!
//! Who has three minutes is offered first what fills them best: what takes more than the next shorter time that one can
//! choose, the newest first, and then what is shorter, the newest first again. By length alone the oldest would stand
//! before today's; by date alone short notes would hide what was asked for.

use std::ops::RangeInclusive;

use serde_json::json;

use super::index::queries::FITTING;
use super::index::{Candidate, ENTRIES_A_PAGE, IndexPage};
use super::{Store, StoreError};
use crate::distil::Pace;

impl Store {
    /// A page of the unread articles whose reading takes `reader` a time, from 0. Each of `times` is a range of whole
    /// minutes at `pace`; those of the first come first, each time's newest first. One entry of a story is listed, as in
    /// the index.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn fitting(
        &self,
        reader: i64,
        pace: Pace,
        times: &[RangeInclusive<u32>],
        page: u32,
    ) -> Result<IndexPage, StoreError> {
        let before = usize::try_from(page)
            .unwrap_or(usize::MAX)
            .saturating_mul(ENTRIES_A_PAGE);
        let wanted = before.saturating_add(ENTRIES_A_PAGE + 1);
        let mut fitting: Vec<Candidate> = Vec::new();
        for minutes in times {
            let most = wanted - fitting.len();
            if most > 0 {
                fitting.extend(self.newest_of(reader, pace, minutes, most).await?);
            }
        }
        let mut fitting = fitting.into_iter().skip(before);
        let chosen: Vec<Candidate> = fitting.by_ref().take(ENTRIES_A_PAGE).collect();
        let mut entries = self.index_entries(reader, &chosen).await?;
        let place = |entry: i64| chosen.iter().position(|candidate| candidate.id == entry);
        entries.sort_by_key(|entry| place(entry.entry));
        Ok(IndexPage {
            entries,
            has_more: fitting.next().is_some(),
        })
    }

    async fn newest_of(
        &self,
        reader: i64,
        pace: Pace,
        minutes: &RangeInclusive<u32>,
        most: usize,
    ) -> Result<Vec<Candidate>, StoreError> {
        let upto = pace.most_words(*minutes.end());
        let below = match minutes.start() {
            0 | 1 => None,
            start => Some(pace.most_words(start - 1)),
        };
        // An article of no words takes a minute, too.
        let least = |words: Option<u32>| words.map_or(0, |words| words.saturating_add(1));
        let of = upto.of.iter().enumerate().map(|(place, (tag, most))| {
            let words = below.as_ref().map(|below| below.of[place].1);
            json!([tag, least(words), most])
        });
        let candidates = sqlx::query_as::<_, Candidate>(FITTING)
            .bind(reader)
            .bind(i64::try_from(most).unwrap_or(i64::MAX))
            .bind(json!(of.collect::<Vec<_>>()).to_string())
            .bind(least(below.as_ref().map(|below| below.others)))
            .bind(upto.others)
            .fetch_all(&self.pool)
            .await?;
        Ok(candidates)
    }
}

#[cfg(test)]
mod tests;
