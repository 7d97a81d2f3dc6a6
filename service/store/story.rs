//! Which entries tell the same story: those that link to the same page. Owns no table.
//!
//! A page that one feed links to from entries that differ in title or date is a page of many stories, such as
//! the home page of a harbour office that gives out a tide table a day: its entries stay apart, whichever
//! feed they are of.

use sqlx::{FromRow, SqliteConnection};
use url::Url;

use super::StoreError;
use crate::distil::same_page;

/// Names the page that a stored link leads to; `None` where it is no address.
pub(super) fn page_key(link: &str) -> Option<[u8; 32]> {
    Url::parse(link).ok().map(|link| same_page::page_key(&link))
}

/// Brings an entry that was just written together with those that link to the same page.
pub(super) async fn join(connection: &mut SqliteConnection, entry: i64) -> Result<(), StoreError> {
    let (stands_apart,) = sqlx::query_as::<_, (bool,)>(
        "SELECT EXISTS (
             SELECT 1 FROM entry JOIN entry AS other ON other.page_key = entry.page_key
             WHERE entry.id = ?1 AND other.id <> ?1 AND other.feed = entry.feed
               AND (other.title IS NOT entry.title OR other.published <> entry.published))",
    )
    .bind(entry)
    .fetch_one(&mut *connection)
    .await?;
    if stands_apart {
        return part(connection, entry).await;
    }
    // Those that tell a story already come first, and of the others two are enough to know that they are many.
    let others = sqlx::query_as::<_, Other>(
        "SELECT other.id, other.story
         FROM entry JOIN entry AS other ON other.page_key = entry.page_key
         WHERE entry.id = ?1 AND other.id <> ?1
         ORDER BY other.story DESC LIMIT 2",
    )
    .bind(entry)
    .fetch_all(&mut *connection)
    .await?;
    let story = match others.as_slice() {
        [
            Other {
                story: Some(story), ..
            },
            ..,
        ] => *story,
        [Other { id, story: None }] => entry.min(*id),
        // Nobody else, or entries that stand apart.
        _ => return Ok(()),
    };
    sqlx::query(
        "UPDATE entry SET story = ?2
         WHERE page_key = (SELECT page_key FROM entry WHERE id = ?1) AND story IS NOT ?2",
    )
    .bind(entry)
    .bind(story)
    .execute(connection)
    .await?;
    Ok(())
}

/// Lets all entries stand apart that link to the page of this one.
async fn part(connection: &mut SqliteConnection, entry: i64) -> Result<(), StoreError> {
    sqlx::query(
        "UPDATE entry SET story = NULL
         WHERE page_key = (SELECT page_key FROM entry WHERE id = ?1) AND story IS NOT NULL",
    )
    .bind(entry)
    .execute(connection)
    .await?;
    Ok(())
}

/// Finds the stories of entries that were stored before stories were told apart.
pub(super) async fn find_all(connection: &mut SqliteConnection) -> Result<(), StoreError> {
    let links = sqlx::query_as::<_, (i64, String)>(
        "SELECT id, link FROM entry WHERE link IS NOT NULL ORDER BY id",
    )
    .fetch_all(&mut *connection)
    .await?;
    for (entry, link) in links {
        sqlx::query("UPDATE entry SET page_key = ?2 WHERE id = ?1")
            .bind(entry)
            .bind(page_key(&link).as_ref().map(<[u8; 32]>::as_slice))
            .execute(&mut *connection)
            .await?;
        join(connection, entry).await?;
    }
    Ok(())
}

#[derive(FromRow)]
struct Other {
    id: i64,
    story: Option<i64>,
}

#[cfg(test)]
mod tests {
    use super::super::READER;
    use super::super::sample::{Bench, found, instant, outcome};
    use super::*;

    /// An entry of that name and title that links there.
    struct Told(&'static str, &'static str, &'static str);

    /// Stores the entries of two feeds, one after the other, and tells the names that the index shows.
    async fn shown(first: &[Told], second: &[Told]) -> Vec<String> {
        let bench = Bench::new().await;
        for (address, told) in [
            ("https://a.example/f", first),
            ("https://b.example/f", second),
        ] {
            let feed = bench.feed(address).await;
            store(&bench, feed, told, 10).await;
        }
        names(&bench).await
    }

    async fn store(bench: &Bench, feed: i64, told: &[Told], day: i64) {
        for Told(name, title, link) in told {
            let mut entry = found(name, 1);
            entry.title = Some((*title).to_owned());
            entry.link = Some((*link).to_owned());
            let outcome = outcome(day, vec![entry]);
            bench.store.save(feed, &outcome).await.unwrap();
        }
    }

    /// The names behind the titles of the index, in the order of the alphabet.
    async fn names(bench: &Bench) -> Vec<String> {
        let page = bench.store.index(READER, 0).await.unwrap();
        let name = |title: &str| title.trim_start_matches("Title of ").to_owned();
        let mut names: Vec<String> = page
            .entries
            .iter()
            .map(|entry| name(&entry.title))
            .collect();
        names.sort_unstable();
        names
    }

    #[tokio::test]
    async fn one_address_from_two_feeds_is_one_row() {
        let first = Told("one", "Bridge", "https://a.example/bridge?utm_source=own");
        let second = Told(
            "two",
            "The bridge!",
            "http://a.example/bridge?utm_source=feed",
        );
        let third = Told("three", "Crane", "https://a.example/crane");
        assert_eq!(shown(&[first], &[second, third]).await, ["one", "three"]);
    }

    #[tokio::test]
    async fn one_address_twice_in_a_feed_is_one_row_where_it_is_one_entry() {
        let first = Told("one", "Bridge", "https://a.example/bridge?utm_id=1");
        let second = Told("two", "Bridge", "https://a.example/bridge?utm_id=2");
        assert_eq!(shown(&[first, second], &[]).await, ["one"]);
    }

    #[tokio::test]
    async fn entries_that_all_link_to_one_page_stand_apart() {
        let home = "https://a.example/";
        let daily = [Told("one", "Monday", home), Told("two", "Tuesday", home)];
        let other = [Told("three", "Harbour office", home)];
        assert_eq!(shown(&daily, &other).await, ["one", "three", "two"]);
        let daily = [Told("one", "Monday", home), Told("two", "Tuesday", home)];
        let other = [Told("three", "Harbour office", home)];
        assert_eq!(shown(&other, &daily).await, ["one", "three", "two"]);
    }

    #[tokio::test]
    async fn the_same_title_on_another_day_stands_apart() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        for day in 1..4 {
            let mut entry = found(&format!("day{day}"), day);
            entry.title = Some("Tide table".to_owned());
            entry.link = Some("https://a.example/tides".to_owned());
            bench
                .store
                .save(feed, &outcome(9, vec![entry]))
                .await
                .unwrap();
        }
        assert_eq!(names(&bench).await, ["day1", "day2", "day3"]);
    }

    #[tokio::test]
    async fn an_entry_whose_link_changes_leaves_its_story() {
        let bench = Bench::new().await;
        let (feed, other) = (
            bench.feed("https://a.example/f").await,
            bench.feed("https://b.example/f").await,
        );
        store(
            &bench,
            feed,
            &[Told("one", "Bridge", "https://a.example/bridge")],
            10,
        )
        .await;
        store(
            &bench,
            other,
            &[Told("two", "Bridge", "https://a.example/bridge")],
            10,
        )
        .await;
        assert_eq!(names(&bench).await, ["one"]);
        store(
            &bench,
            other,
            &[Told("two", "Bridge", "https://b.example/bridge")],
            11,
        )
        .await;
        assert_eq!(names(&bench).await, ["one", "two"]);
    }

    #[tokio::test]
    async fn what_was_opened_stands_for_its_story_and_what_no_longer_shows_does_not() {
        let bench = Bench::new().await;
        let link = "https://a.example/bridge";
        let mut entries = Vec::new();
        for (name, address) in [
            ("one", "https://a.example/f"),
            ("two", "https://b.example/f"),
        ] {
            let feed = bench.feed(address).await;
            store(&bench, feed, &[Told(name, "Bridge", link)], 10).await;
            entries.push(bench.entry(feed, name).await);
        }
        bench
            .store
            .mark_opened(READER, entries[1], instant(11))
            .await
            .unwrap();
        let page = bench.store.index(READER, 0).await.unwrap();
        assert_eq!(page.entries.len(), 1);
        assert_eq!(
            (page.entries[0].entry, page.entries[0].read),
            (entries[1], true)
        );
        assert_eq!(
            bench.store.after(READER, -1, None).await.unwrap(),
            None,
            "it was read"
        );
        // The second reader has opened nothing, and the first entry stands for the story.
        assert_eq!(
            bench.store.index(2, 0).await.unwrap().entries[0].entry,
            entries[0]
        );
        bench.unsubscribe("https://b.example/f").await;
        let page = bench.store.index(READER, 0).await.unwrap();
        assert_eq!((page.entries[0].entry, page.entries.len()), (entries[0], 1));
    }

    #[tokio::test]
    async fn the_stories_of_an_older_database_are_found() {
        let bench = Bench::new().await;
        for (name, address) in [
            ("one", "https://a.example/f"),
            ("two", "https://b.example/f"),
        ] {
            let feed = bench.feed(address).await;
            store(
                &bench,
                feed,
                &[Told(name, "Bridge", "https://a.example/bridge")],
                10,
            )
            .await;
        }
        let mut connection = bench.store.pool.acquire().await.unwrap();
        sqlx::query("UPDATE entry SET page_key = NULL, story = NULL")
            .execute(&mut *connection)
            .await
            .unwrap();
        assert_eq!(names(&bench).await, ["one", "two"]);
        find_all(&mut connection).await.unwrap();
        assert_eq!(names(&bench).await, ["one"]);
    }
}
