//! Checks of the index's order.

use proptest::prelude::*;

use super::super::sample::{Bench, article, found, instant, outcome};
use super::super::{Place, READER};
use super::queries::COUNT_UNREAD;
use super::*;

/// Three feeds: one with `chatty` entries, one a day from day 100 on, and two with 10 older ones.
async fn household(chatty: i64) -> Bench {
    let bench = Bench::new().await;
    for (name, count, first) in [("loud", chatty, 100), ("calm", 10, 1), ("still", 10, 20)] {
        let feed = bench.feed(&format!("https://{name}.example/f")).await;
        let entries = (0..count)
            .map(|number| found(&format!("{name}{number}"), first + number))
            .collect();
        bench
            .store
            .save(feed, &outcome(400, entries))
            .await
            .unwrap();
    }
    bench
}

fn of_loud(page: &IndexPage) -> usize {
    let loud = |entry: &&IndexEntry| entry.feed_title == "loud.example";
    page.entries.iter().filter(loud).count()
}

#[tokio::test]
async fn a_chatty_feed_fills_a_page_only_once_the_others_are_used_up() {
    let bench = household(60).await;
    let mut pages = Vec::new();
    for number in 0..5 {
        pages.push(bench.store.index(READER, number).await.unwrap());
    }
    // Page 0: 6 of each feed leave 6 places, which go to the newest of the rest, all of the chatty
    // feed. Page 1: the 8 that the others have left, and 16 of the chatty feed. Then it is alone.
    let sizes: Vec<usize> = pages.iter().map(|page| page.entries.len()).collect();
    assert_eq!(sizes, [24, 24, 24, 8, 0]);
    let loud: Vec<usize> = pages.iter().map(of_loud).collect();
    assert_eq!(loud, [12, 16, 24, 8, 0]);
    let more: Vec<bool> = pages.iter().map(|page| page.has_more).collect();
    assert_eq!(more, [true, true, true, false, false]);
    for page in &pages {
        assert!(page.entries.is_sorted_by(|a, b| a.published > b.published));
    }
}

#[tokio::test]
async fn an_entry_is_shown_as_it_was_stored() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let entry = bench.article(feed, "one", 7).await;
    let page = bench.store.index(READER, 0).await.unwrap();
    let stored = article("one");
    let expected = IndexEntry {
        entry,
        title: stored.title,
        feed_title: "a.example".to_owned(),
        other_feeds: 0,
        published: instant(7),
        words: stored.words,
        language: stored.language,
        direction: stored.direction,
        read: false,
        begun: false,
        changed: None,
    };
    assert_eq!(
        page,
        IndexPage {
            entries: vec![expected],
            has_more: false
        }
    );
    bench
        .store
        .mark_opened(READER, entry, instant(8))
        .await
        .unwrap();
    assert!(bench.store.index(READER, 0).await.unwrap().entries[0].read);
    assert!(!bench.store.index(2, 0).await.unwrap().entries[0].read);
    assert_eq!(bench.store.counts(READER).await.unwrap().unopened, 0);
    assert_eq!(bench.store.counts(2).await.unwrap().unopened, 1);
}

#[tokio::test]
async fn after_leads_through_the_whole_index_in_its_order_and_skips_what_is_opened() {
    let bench = household(150).await;
    let mut order = Vec::new();
    for number in 0..8 {
        let page = bench.store.index(READER, number).await.unwrap();
        order.extend(page.entries.into_iter().map(|entry| entry.entry));
    }
    assert_eq!(order.len(), 170);
    for pair in order.windows(2) {
        assert_eq!(
            bench.store.after(READER, pair[0], None).await.unwrap(),
            Some(pair[1])
        );
    }
    assert_eq!(
        bench.store.after(READER, order[169], None).await.unwrap(),
        None
    );
    for opened in &order[1..100] {
        bench
            .store
            .mark_opened(READER, *opened, instant(1))
            .await
            .unwrap();
    }
    assert_eq!(
        bench.store.after(READER, order[0], None).await.unwrap(),
        Some(order[100])
    );
    assert_eq!(
        bench.store.after(READER, -1, None).await.unwrap(),
        Some(order[0])
    );
}

#[tokio::test]
async fn an_empty_store_has_an_empty_index() {
    let bench = Bench::new().await;
    assert_eq!(
        bench.store.index(READER, 0).await.unwrap(),
        IndexPage::default()
    );
    assert_eq!(
        bench.store.index(READER, u32::MAX).await.unwrap(),
        IndexPage::default()
    );
    assert_eq!(bench.store.after(READER, 1, None).await.unwrap(), None);
}

/// Opens an entry on a day.
async fn open(bench: &Bench, entry: i64, day: i64) {
    let at = instant(day);
    bench.store.mark_opened(READER, entry, at).await.unwrap();
}

fn ids(page: &IndexPage) -> Vec<i64> {
    page.entries.iter().map(|entry| entry.entry).collect()
}

#[tokio::test]
async fn a_group_lists_its_own_feeds_in_the_same_order() {
    let bench = Bench::new().await;
    let mut of_harbour = Vec::new();
    for (name, group) in [
        ("a", Some("Harbour")),
        ("b", None),
        ("c", Some("Harbour")),
        ("d", Some("Clubs")),
    ] {
        let feed = bench
            .feed_of(&format!("https://{name}.example/f"), group)
            .await;
        for day in 1..=3 {
            let entry = bench.article(feed, &format!("{name}{day}"), day).await;
            if group == Some("Harbour") {
                of_harbour.push((day, entry));
            }
        }
    }
    of_harbour.sort_unstable_by(|one, other| other.cmp(one));
    let harbour: Vec<i64> = of_harbour.into_iter().map(|(_, entry)| entry).collect();
    let extent = Extent {
        group: Some("Harbour".to_owned()),
        without_read: false,
    };
    let page = bench.store.index_of(READER, &extent, 0).await.unwrap();
    assert_eq!(ids(&page), harbour);
    let all = bench.store.index(READER, 0).await.unwrap();
    assert_eq!(all.entries.len(), 12);
    open(&bench, harbour[1], 9).await;
    let after = async |entry, group| bench.store.after(READER, entry, group).await.unwrap();
    assert_eq!(after(harbour[0], Some("Harbour")).await, Some(harbour[2]));
    assert_eq!(after(harbour[5], Some("Harbour")).await, None);
    // In the index of all, others stand between them.
    assert_ne!(after(harbour[0], None).await, Some(harbour[2]));
}

#[tokio::test]
async fn what_was_read_goes_but_for_what_is_kept_and_what_has_changed_since() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let mut entries = Vec::new();
    for (name, day) in [
        ("plain", 1),
        ("kept", 2),
        ("edited", 3),
        ("unread", 4),
        ("seen", 5),
    ] {
        entries.push(bench.article(feed, name, day).await);
    }
    let [plain, kept, edited, unread, seen] = entries[..] else {
        panic!("{entries:?}");
    };
    for entry in [plain, kept, edited] {
        open(&bench, entry, 6).await;
    }
    let store = &bench.store;
    store.keep(READER, kept, Some(instant(6))).await.unwrap();
    let mut change = found("edited", 3);
    change.distilled = found("edited otherwise", 3).distilled;
    store.save(feed, &outcome(7, vec![change])).await.unwrap();
    let extent = Extent {
        group: None,
        without_read: true,
    };
    let listed = async || ids(&store.index_of(READER, &extent, 0).await.unwrap());
    assert_eq!(listed().await, [seen, unread, edited, kept]);
    store.mark_seen(READER, None, i64::MAX).await.unwrap();
    assert_eq!(listed().await, [edited, kept]);
    // The index of all is as it was, with what was read marked as such.
    let all = store.index(READER, 0).await.unwrap();
    assert_eq!(ids(&all), [seen, unread, edited, kept, plain]);
    assert!(all.entries.iter().all(|entry| entry.read));
    assert_eq!(store.after(READER, seen, None).await.unwrap(), None);
}

/// Both ways to the entries that are unread list the same: by date among the newest, and feed by feed.
#[tokio::test]
async fn what_is_unread_is_found_among_the_newest_and_far_below_them() {
    let bench = household(900).await;
    let extent = Extent {
        group: None,
        without_read: true,
    };
    let all = bench
        .store
        .newest(READER, &Extent::default(), 10_000)
        .await
        .unwrap();
    let pages = |chosen: &[Candidate]| -> Vec<Vec<i64>> {
        let ids = |page: Vec<Candidate>| page.iter().map(|candidate| candidate.id).collect();
        arrange(chosen).map(ids).collect()
    };
    let check = async |unread: &[Candidate]| {
        let expected = pages(unread);
        for (number, expected) in (0..2).zip(&expected) {
            let page = bench.store.index_of(READER, &extent, number).await.unwrap();
            assert_eq!(
                &ids(&page),
                expected,
                "page {number} of {} unread",
                unread.len()
            );
        }
    };
    check(&all).await;
    // All but the last 50 by number are seen, which are old; of those, ten are opened.
    let mut numbers: Vec<i64> = all.iter().map(|candidate| candidate.id).collect();
    numbers.sort_unstable();
    let upto = numbers[numbers.len() - 51];
    bench.store.mark_seen(READER, None, upto).await.unwrap();
    let opened = &numbers[numbers.len() - 10..];
    for entry in opened {
        open(&bench, *entry, 1).await;
    }
    let mut unread = all;
    unread.retain(|candidate| candidate.id > upto && !opened.contains(&candidate.id));
    assert_eq!(unread.len(), 40);
    check(&unread).await;
}

#[tokio::test]
async fn a_story_that_was_seen_stays_seen_when_another_feed_tells_it_later() {
    let bench = Bench::new().await;
    let (one, two) = (
        bench.feed("https://a.example/f").await,
        bench.feed("https://b.example/f").await,
    );
    let tell = async |feed, name: &str, day| {
        let mut told = found(name, day);
        told.link = Some("https://quay.example/page".to_owned());
        bench
            .store
            .save(feed, &outcome(day, vec![told]))
            .await
            .unwrap();
        bench.entry(feed, name).await
    };
    let first = tell(one, "ebb", 1).await;
    bench.store.mark_seen(READER, None, first).await.unwrap();
    tell(two, "ebb again", 2).await;
    let page = bench.store.index(READER, 0).await.unwrap();
    assert_eq!(ids(&page), [first]);
    assert!(page.entries[0].read);
    let tally = bench.store.tally(READER, None, Some(first)).await.unwrap();
    assert_eq!((tally.unread, tally.new), (0, 0));
}

/// What SQLite does for a question, a step a line.
async fn plan(bench: &Bench, question: &str) -> Vec<String> {
    let plan = format!("EXPLAIN QUERY PLAN {question}");
    let steps: Vec<(i64, i64, i64, String)> = sqlx::query_as(sqlx::AssertSqlSafe(plan))
        .bind(READER)
        .bind(25)
        .bind(None::<String>)
        .bind(false)
        .bind(100)
        .fetch_all(&bench.store.pool)
        .await
        .unwrap();
    steps.into_iter().map(|step| step.3).collect()
}

/// Guards against a plan that looks through all entries for each entry: it took 12 s for 30,000.
#[tokio::test]
async fn the_index_looks_at_the_newest_entries_only() {
    let bench = Bench::new().await;
    let steps = plan(&bench, NEWEST_OF_EACH).await;
    for expected in [
        "SEARCH entry USING INDEX entry_by_feed_and_date (feed=?)",
        "SEARCH entry USING INTEGER PRIMARY KEY (rowid=?)",
        "SEARCH other USING INDEX entry_by_story (story=?)",
        "SEARCH other USING INDEX entry_by_alike (alike=?)",
    ] {
        assert!(steps.iter().any(|step| step == expected), "{steps:#?}");
    }
    let whole = |step: &&String| step.starts_with("SCAN") && step.contains("entry");
    assert_eq!(steps.iter().filter(whole).count(), 0, "{steps:#?}");
    // What is unread, and how much of it there is, is asked of what came after the last entry that was seen.
    for (question, expected) in [
        (
            UNREAD_OF_EACH,
            "SEARCH entry USING INDEX entry_by_feed_and_date (feed=?",
        ),
        (
            COUNT_UNREAD,
            "SEARCH entry USING INDEX entry_by_feed (feed=? AND rowid>?",
        ),
    ] {
        let steps = plan(&bench, question).await;
        assert!(
            steps.iter().any(|step| step.starts_with(expected)),
            "{steps:#?}"
        );
        assert_eq!(steps.iter().filter(whole).count(), 0, "{steps:#?}");
    }
    let steps = plan(&bench, NEWEST).await;
    assert_eq!(
        steps[0], "SEARCH entry USING INDEX entry_by_date (published>?)",
        "{steps:#?}"
    );
    assert!(
        !steps.iter().any(|step| step.contains("TEMP B-TREE")),
        "{steps:#?}"
    );
}

/// The newest entries alone, and the newest of each feed, make the same pages.
#[tokio::test]
async fn many_feeds_and_few_are_arranged_alike() {
    for feeds in [3, 40] {
        let bench = Bench::new().await;
        for feed in 0..feeds {
            let id = bench.feed(&format!("https://f{feed}.example/f")).await;
            let entries = (0..30).map(|entry| found(&format!("{feed} {entry}"), feed + 2 * entry));
            let outcome = outcome(400, entries.collect());
            bench.store.save(id, &outcome).await.unwrap();
        }
        let all = bench
            .store
            .newest(READER, &Extent::default(), 10_000)
            .await
            .unwrap();
        assert_eq!(all.len(), usize::try_from(feeds * 30).unwrap());
        let expected: Vec<Vec<i64>> = arrange(&all)
            .map(|page| page.iter().map(|candidate| candidate.id).collect())
            .collect();
        for (number, expected) in (0..).zip(&expected) {
            let page = bench.store.index(READER, number).await.unwrap();
            let ids: Vec<i64> = page.entries.iter().map(|entry| entry.entry).collect();
            assert_eq!(&ids, expected, "page {number} of {feeds} feeds");
        }
    }
}

fn candidates() -> impl Strategy<Value = Vec<Candidate>> {
    prop::collection::vec(0_i64..5, 0..200).prop_map(|feeds| {
        (0_i64..)
            .zip(feeds)
            .map(|(id, feed)| Candidate {
                id,
                feed,
                published: -id,
                read: false,
            })
            .collect()
    })
}

proptest! {
    #[test]
    fn every_entry_stands_on_one_page_and_every_page_but_the_last_is_full(all in candidates()) {
        let pages: Vec<Vec<Candidate>> = arrange(&all).collect();
        let mut ids: Vec<i64> = pages.iter().flatten().map(|candidate| candidate.id).collect();
        ids.sort_unstable();
        prop_assert_eq!(ids, (0..).take(all.len()).collect::<Vec<i64>>());
        prop_assert!(pages.iter().rev().skip(1).all(|page| page.len() == ENTRIES_A_PAGE));
        prop_assert!(pages.iter().all(|page| page.is_sorted_by_key(|candidate| candidate.id)));
    }

    #[test]
    fn more_than_six_of_a_feed_stand_on_a_page_only_where_no_other_has_any_left(all in candidates()) {
        let pages: Vec<Vec<Candidate>> = arrange(&all).collect();
        for (number, page) in pages.iter().enumerate() {
            let count = |feed| page.iter().filter(|candidate| candidate.feed == feed).count();
            let crowded = (0..5).any(|feed| count(feed) > MOST_OF_A_FEED_A_PAGE);
            let passed_over = pages[number + 1..]
                .iter()
                .flatten()
                .any(|later| count(later.feed) < MOST_OF_A_FEED_A_PAGE);
            prop_assert!(!(crowded && passed_over), "page {}", number);
        }
    }

    #[test]
    fn a_few_entries_of_each_feed_are_enough_for_the_first_pages(all in candidates(), pages in 1_usize..4) {
        let most = pages * ENTRIES_A_PAGE + 1;
        let mut seen = [0; 5];
        let few: Vec<Candidate> = all
            .iter()
            .filter(|candidate| {
                let feed = usize::try_from(candidate.feed).unwrap();
                seen[feed] += 1;
                seen[feed] <= most
            })
            .copied()
            .collect();
        let first = |from: &[Candidate]| arrange(from).take(pages).collect::<Vec<_>>();
        prop_assert_eq!(first(&few), first(&all));
        let further = |from: &[Candidate]| arrange(from).nth(pages).is_some();
        prop_assert_eq!(further(&few), further(&all));
    }
}

#[tokio::test]
async fn what_was_opened_last_and_has_a_place_is_gone_on_with() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let store = &bench.store;
    assert_eq!(store.begun(READER).await.unwrap(), None);
    let mut entries = Vec::new();
    for (name, hour) in [("one", 1), ("two", 2), ("three", 3)] {
        entries.push(bench.article(feed, name, hour).await);
    }
    let place = Place {
        block: 1,
        character: 7,
    };
    for (entry, hour) in [(entries[1], 4), (entries[0], 5), (entries[2], 6)] {
        store
            .mark_opened(READER, entry, instant(hour))
            .await
            .unwrap();
    }
    for entry in &entries[..2] {
        store.set_place(READER, *entry, Some(place)).await.unwrap();
    }
    let begun = store.begun(READER).await.unwrap().expect("an entry");
    assert_eq!((begun.entry, begun.begun), (entries[0], true));
    assert_eq!(store.begun(2).await.unwrap(), None);
    store.set_place(READER, entries[0], None).await.unwrap();
    let begun = store.begun(READER).await.unwrap().expect("an entry");
    assert_eq!(begun.entry, entries[1]);
    let index = store.index(READER, 0).await.unwrap();
    let marked = index.entries.iter().filter(|entry| entry.begun);
    assert_eq!(
        marked.map(|entry| entry.entry).collect::<Vec<_>>(),
        [entries[1]]
    );
}
