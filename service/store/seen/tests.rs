//! Checks of marking as seen and of its undoing.

use proptest::prelude::*;

use super::super::READER;
use super::super::sample::{Bench, instant};
use super::*;

/// Three feeds in two groups and in none, with as many entries each.
async fn household(entries: i64) -> (Bench, [i64; 3]) {
    let bench = Bench::new().await;
    let mut feeds = [0; 3];
    for (feed, (name, group)) in
        feeds
            .iter_mut()
            .zip([("a", Some("Harbour")), ("b", Some("Clubs")), ("c", None)])
    {
        *feed = bench
            .feed_of(&format!("https://{name}.example/f"), group)
            .await;
    }
    for day in 1..=entries {
        for feed in feeds {
            bench.article(feed, &format!("{feed} {day}"), day).await;
        }
    }
    (bench, feeds)
}

/// The unread entries by their numbers.
async fn unread(bench: &Bench) -> Vec<i64> {
    let mut unread = Vec::new();
    for page in 0.. {
        let page = bench.store.index(READER, page).await.unwrap();
        let entries = page.entries.iter().filter(|entry| !entry.read);
        unread.extend(entries.map(|entry| entry.entry));
        if !page.has_more {
            break;
        }
    }
    unread.sort_unstable();
    unread
}

#[tokio::test]
async fn a_group_is_seen_up_to_what_its_page_could_show() {
    let (bench, feeds) = household(3).await;
    let before = unread(&bench).await;
    assert_eq!(before.len(), 9);
    let last = bench.store.last_entry().await.unwrap();
    // One comes between the page and the tap.
    let late = bench.article(feeds[0], "late", 1).await;
    let marking = bench
        .store
        .mark_seen(READER, Some("Harbour"), last)
        .await
        .unwrap();
    assert_eq!(
        (marking.group.as_deref(), marking.entries),
        (Some("Harbour"), 3)
    );
    let tally = async |group| bench.store.tally(READER, group, Some(last)).await.unwrap();
    assert_eq!((tally(None).await.unread, tally(None).await.new), (7, 1));
    assert_eq!(tally(Some("Harbour")).await.unread, 1);
    assert_eq!(tally(Some("Clubs")).await.unread, 3);
    assert!(unread(&bench).await.contains(&late));
    assert_eq!(
        bench.store.marking(READER, marking.id).await.unwrap(),
        Some(marking.clone())
    );
    assert_eq!(bench.store.marking(2, marking.id).await.unwrap(), None);
    // Nobody else has seen anything.
    assert_eq!(bench.store.tally(2, None, None).await.unwrap().unread, 10);
    let undone = bench.store.undo_seen(READER, marking.id).await.unwrap();
    assert_eq!(undone, Some(marking));
    assert_eq!(unread(&bench).await, [before, vec![late]].concat());
}

#[tokio::test]
async fn only_the_last_marking_is_undone_and_once() {
    let (bench, _) = household(2).await;
    let store = &bench.store;
    let first = store
        .mark_seen(READER, Some("Harbour"), i64::MAX)
        .await
        .unwrap();
    let after_first = unread(&bench).await;
    let second = store.mark_seen(READER, None, i64::MAX).await.unwrap();
    assert_eq!(second.entries, 4);
    assert!(unread(&bench).await.is_empty());
    assert_eq!(store.undo_seen(READER, first.id).await.unwrap(), None);
    assert_eq!(store.undo_seen(2, second.id).await.unwrap(), None);
    assert!(unread(&bench).await.is_empty());
    assert!(store.undo_seen(READER, second.id).await.unwrap().is_some());
    assert_eq!(unread(&bench).await, after_first);
    assert_eq!(store.undo_seen(READER, second.id).await.unwrap(), None);
    assert_eq!(unread(&bench).await, after_first);
}

#[tokio::test]
async fn a_feed_that_comes_into_a_seen_group_stays_unread() {
    let (bench, feeds) = household(2).await;
    bench
        .store
        .mark_seen(READER, Some("Harbour"), i64::MAX)
        .await
        .unwrap();
    sqlx::query("UPDATE feed SET group_name = 'Harbour' WHERE id = ?1")
        .bind(feeds[1])
        .execute(&bench.store.pool)
        .await
        .unwrap();
    let tally = bench
        .store
        .tally(READER, Some("Harbour"), None)
        .await
        .unwrap();
    assert_eq!(tally.unread, 2);
}

#[tokio::test]
async fn a_marking_writes_a_row_a_feed_and_no_mark() {
    let (bench, feeds) = household(40).await;
    let marking = bench.store.mark_seen(READER, None, i64::MAX).await.unwrap();
    assert_eq!(marking.entries, 120);
    let (marks, seen) = sqlx::query_as::<_, (i64, i64)>(
        "SELECT (SELECT count(*) FROM mark), (SELECT count(*) FROM seen)",
    )
    .fetch_one(&bench.store.pool)
    .await
    .unwrap();
    assert_eq!((marks, usize::try_from(seen).unwrap()), (0, feeds.len()));
    // What lies beyond what there is, or before it, marks no more and no less.
    let nothing = bench.store.mark_seen(READER, None, -5).await.unwrap();
    assert_eq!(nothing.entries, 0);
    assert!(unread(&bench).await.is_empty());
}

/// Something that a reader does.
#[derive(Clone, Debug)]
enum Deed {
    Arrives(usize),
    Opens(usize),
    Marks(usize, i64),
}

fn deeds() -> impl Strategy<Value = Vec<Deed>> {
    let deed = prop_oneof![
        (0_usize..3).prop_map(Deed::Arrives),
        (0_usize..30).prop_map(Deed::Opens),
        (0_usize..3, 0_i64..12).prop_map(|(group, back)| Deed::Marks(group, back)),
    ];
    prop::collection::vec(deed, 1..12)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// Whatever was done before and is done in between, an undoing brings back what was unread, without what was
    /// opened meanwhile and with what came.
    #[test]
    fn an_undoing_restores_what_was_unread(
        before in deeds(), group in 0_usize..3, back in 0_i64..12, between in deeds(),
    ) {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let (bench, feeds) = household(3).await;
            let mut count = 0;
            for deed in &before {
                perform(&bench, feeds, deed, &mut count).await;
            }
            let unmarked = unread(&bench).await;
            let marking = mark(&bench, group, back).await;
            let gone = unmarked.len() - unread(&bench).await.len();
            assert_eq!(usize::try_from(marking.entries).unwrap(), gone);
            let last = bench.store.last_entry().await.unwrap();
            let mut opened = Vec::new();
            for deed in &between {
                match deed {
                    // Another marking ends the time for undoing.
                    Deed::Marks(..) => {}
                    deed => opened.extend(perform(&bench, feeds, deed, &mut count).await),
                }
            }
            bench.store.undo_seen(READER, marking.id).await.unwrap().unwrap();
            let mut expected = unmarked;
            expected.extend(last + 1..=bench.store.last_entry().await.unwrap());
            expected.retain(|entry| !opened.contains(entry));
            assert_eq!(unread(&bench).await, expected);
        });
    }
}

async fn mark(bench: &Bench, group: usize, back: i64) -> Marking {
    let group = [Some("Harbour"), Some("Clubs"), None][group];
    let upto = bench.store.last_entry().await.unwrap() - back;
    bench.store.mark_seen(READER, group, upto).await.unwrap()
}

/// Does something, and tells which entry it opened.
async fn perform(bench: &Bench, feeds: [i64; 3], deed: &Deed, count: &mut i64) -> Option<i64> {
    *count += 1;
    match *deed {
        Deed::Arrives(feed) => {
            bench
                .article(feeds[feed], &format!("later {count}"), 5)
                .await;
            None
        }
        Deed::Opens(entry) => {
            let last = bench.store.last_entry().await.unwrap();
            let entry = i64::try_from(entry).unwrap() % last + 1;
            bench
                .store
                .mark_opened(READER, entry, instant(9))
                .await
                .unwrap();
            Some(entry)
        }
        Deed::Marks(group, back) => {
            mark(bench, group, back).await;
            None
        }
    }
}
