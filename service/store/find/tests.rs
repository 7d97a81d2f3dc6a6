//! What finds an article and what does not: words, accents, scripts, what is stored and swept, and hostile queries.

use std::collections::BTreeSet;

use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;
use unicode_segmentation::UnicodeSegmentation;

use super::super::sample::{Bench, article, found, instant, outcome, source};
use super::super::{Distilled, READER};
use super::*;
use crate::distil::Article;

/// An article with a title and a text of one block.
fn written(title: &str, text: &str) -> Article {
    let mut written = article(title);
    written.title = title.to_owned();
    written.blocks.truncate(1);
    written.blocks[0].runs[0].text = text.to_owned();
    written
}

/// Stores articles of one feed, the first dated on the first day; their entries.
async fn store_all(bench: &Bench, articles: &[Article]) -> Vec<i64> {
    let feed = bench.feed("https://a.example/f").await;
    let mut entries = Vec::new();
    for (day, article) in (1..).zip(articles) {
        let name = day.to_string();
        let mut entry = found(&name, day);
        entry.distilled = Some(Distilled::new(article, &source(&name), 1).unwrap());
        let outcome = outcome(day, vec![entry]);
        bench.store.save(feed, &outcome).await.unwrap();
        entries.push(bench.entry(feed, &name).await);
    }
    entries
}

async fn find(bench: &Bench, typed: &str) -> Vec<i64> {
    let sought = Sought::parse(typed).unwrap();
    bench.store.find(&sought).await.unwrap().entries
}

/// Checks for each search which of the texts it finds, by their numbers.
async fn check(texts: &[&str], searches: &[(&str, &[usize])]) {
    let bench = Bench::new().await;
    let articles: Vec<Article> = texts.iter().map(|text| written("Untitled", text)).collect();
    let entries = store_all(&bench, &articles).await;
    for (typed, expected) in searches {
        let expected: BTreeSet<i64> = expected.iter().map(|number| entries[*number]).collect();
        let found: BTreeSet<i64> = find(&bench, typed).await.into_iter().collect();
        assert_eq!(found, expected, "{typed}");
    }
}

#[tokio::test]
async fn all_words_are_wanted_and_the_last_may_be_a_beginning() {
    let texts = ["The ebb and the tide", "Tidewater rope", "Rope at low ebb"];
    check(
        &texts,
        &[
            ("tide", &[0, 1]),
            ("TIDE ebb", &[0]),
            ("ebb", &[0, 2]),
            ("rope ebb", &[2]),
            ("tid rope", &[]),
            ("ti", &[]),
            ("at", &[2]),
            ("water", &[]),
            ("rope !", &[1, 2]),
        ],
    )
    .await;
}

#[tokio::test]
async fn accents_and_forms_of_letters_make_no_difference() {
    let texts = [
        "Hélène’s café",
        "Straße nach Öd",
        "Αθήνα",
        "ёлка",
        "co\u{AD}operate",
        "Helene",
        "Thøgersen",
    ];
    check(
        &texts,
        &[
            ("helene", &[0, 5]),
            ("HÉLÈNE", &[0, 5]),
            ("cafe\u{301}", &[0]),
            ("strasse", &[1]),
            ("straße", &[1]),
            ("od", &[1]),
            ("αθηνα", &[2]),
            ("елка", &[3]),
            ("cooperate", &[4]),
            ("thogersen", &[6]),
        ],
    )
    .await;
}

#[tokio::test]
async fn scripts_without_spaces_are_found_by_any_of_their_parts() {
    let texts = [
        "朝の運用フローを見る",
        "港的早晨很安静",
        "ท่าเรือยามเช้า",
        "아침 항구",
        "सुबह हिन्दी में",
        "NHKの午後",
    ];
    check(
        &texts,
        &[
            ("運用", &[0]),
            ("ﾌﾛｰ", &[0]),
            ("用運", &[]),
            ("早晨", &[1]),
            ("静", &[1]),
            ("เรือ", &[2]),
            ("เช้า", &[2]),
            ("항구", &[3]),
            ("हिन्दी", &[4]),
            ("午後", &[5]),
            ("nhk", &[5]),
        ],
    )
    .await;
}

#[tokio::test]
async fn points_and_vowel_signs_are_left_out() {
    let texts = ["שָׁלוֹם", "מُ", "مُحَمَّد"];
    check(&texts, &[("שלום", &[0]), ("محمد", &[2]), ("مُحَمَّد", &[2])]).await;
}

#[tokio::test]
async fn title_authors_and_feed_are_found_and_the_title_counts_most() {
    let bench = Bench::new().await;
    let articles = [
        written("On ropes", "Of knots and the buoy, the buoy, the buoy."),
        written(
            "The buoy",
            "It rings at night, and nobody knows why it does.",
        ),
    ];
    let entries = store_all(&bench, &articles).await;
    assert_eq!(find(&bench, "buoy").await, [entries[1], entries[0]]);
    assert_eq!(find(&bench, "quill").await.len(), 2);
    assert_eq!(find(&bench, "example ada").await.len(), 2);
    assert_eq!(find(&bench, "a.example knots").await, [entries[0]]);
}

#[tokio::test]
async fn of_equals_the_newest_comes_first_and_repeats_go() {
    let bench = Bench::new().await;
    let same = [
        written("Tide", "Ebb."),
        written("Tide", "Ebb."),
        written("Tide", "Ebb."),
    ];
    let entries = store_all(&bench, &same).await;
    assert_eq!(
        find(&bench, "ebb").await,
        [entries[2], entries[1], entries[0]]
    );
    sqlx::query("UPDATE entry SET story = 1 WHERE id <> ?1")
        .bind(entries[1])
        .execute(&bench.store.pool)
        .await
        .unwrap();
    assert_eq!(find(&bench, "ebb").await, [entries[2], entries[1]]);
    sqlx::query("UPDATE entry SET alike = 1 WHERE id <> ?1")
        .bind(entries[2])
        .execute(&bench.store.pool)
        .await
        .unwrap();
    assert_eq!(find(&bench, "ebb").await, [entries[2], entries[1]]);
}

#[tokio::test]
async fn no_more_than_the_best_are_told() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let entries = (0..=MOST_FOUND).map(|number| found(&number.to_string(), 1));
    bench
        .store
        .save(feed, &outcome(1, entries.collect()))
        .await
        .unwrap();
    let all = bench
        .store
        .find(&Sought::parse("harbour").unwrap())
        .await
        .unwrap();
    assert_eq!((all.entries.len(), all.more), (MOST_FOUND, true));
    let one = bench
        .store
        .find(&Sought::parse("title 7").unwrap())
        .await
        .unwrap();
    assert_eq!((one.entries.len(), one.more), (1, false));
}

#[tokio::test]
async fn hits_come_in_the_order_asked_for_with_what_was_opened() {
    let bench = Bench::new().await;
    let articles = [written("One", "a"), written("Two", "b")];
    let entries = store_all(&bench, &articles).await;
    let store = &bench.store;
    store
        .mark_opened(READER, entries[0], instant(9))
        .await
        .unwrap();
    let hits = store.hits(READER, &[entries[1], entries[0]]).await.unwrap();
    let shown: Vec<_> = hits
        .iter()
        .map(|hit| {
            (
                hit.title.as_str(),
                hit.feed_title.as_str(),
                hit.published,
                hit.opened,
            )
        })
        .collect();
    assert_eq!(
        shown,
        [
            ("Two", "a.example", instant(2), false),
            ("One", "a.example", instant(1), true)
        ]
    );
}

#[tokio::test]
async fn an_article_of_a_hidden_feed_is_not_found_until_it_is_shown_again() {
    let bench = Bench::new().await;
    store_all(&bench, &[written("Tide", "Ebb.")]).await;
    bench.unsubscribe("https://a.example/f").await;
    assert!(find(&bench, "ebb").await.is_empty());
    bench.feed("https://a.example/f").await;
    assert_eq!(find(&bench, "ebb").await.len(), 1);
}

/// What is in the index of words for good: the entries that it knows.
async fn indexed(bench: &Bench) -> Vec<i64> {
    let rows = sqlx::query_as::<_, (i64,)>("SELECT id FROM find_docsize ORDER BY id");
    let rows = rows.fetch_all(&bench.store.pool).await.unwrap();
    rows.into_iter().map(|(id,)| id).collect()
}

#[tokio::test]
async fn another_edition_and_a_better_distiller_are_found_by_their_new_words_alone() {
    let bench = Bench::new().await;
    let entries = store_all(&bench, &[written("Tide", "Ebb.")]).await;
    let store = &bench.store;
    let feeds = store.scheduled_feeds().await.unwrap();
    let mut edited = found("1", 1);
    let flood = written("Tide", "Flood.");
    edited.distilled = Some(Distilled::new(&flood, &source("1"), 1).unwrap());
    store
        .save(feeds[0].id, &outcome(2, vec![edited]))
        .await
        .unwrap();
    assert_eq!(find(&bench, "flood").await, entries);
    assert!(find(&bench, "ebb").await.is_empty());
    let slack = written("Slack", "Neither.");
    store.update_article(entries[0], &slack, 2).await.unwrap();
    assert_eq!(find(&bench, "neither").await, entries);
    assert!(find(&bench, "flood").await.is_empty());
    assert!(find(&bench, "tide").await.is_empty());
    assert_eq!(indexed(&bench).await, entries);
}

#[tokio::test]
async fn what_is_swept_is_found_no_longer_and_a_late_distiller_brings_nothing_back() {
    let bench = Bench::new().await;
    let articles = [written("One", "Ebb."), written("Two", "Ebb.")];
    let entries = store_all(&bench, &articles).await;
    let store = &bench.store;
    assert_eq!(
        store.sweep_step(&entries[..1], instant(100)).await.unwrap(),
        1
    );
    assert_eq!(find(&bench, "ebb").await, entries[1..]);
    assert_eq!(indexed(&bench).await, entries[1..]);
    store
        .update_article(entries[0], &articles[0], 2)
        .await
        .unwrap();
    assert_eq!(indexed(&bench).await, entries[1..]);
    assert_eq!(store.unfindable_count().await.unwrap(), 0);
}

/// Makes the database one from before the search was thought of, as the migration leaves it.
async fn forget_words(bench: &Bench) {
    for statement in ["DELETE FROM find", "UPDATE findable SET form = 0"] {
        sqlx::query(statement)
            .execute(&bench.store.pool)
            .await
            .unwrap();
    }
}

async fn fill_a_step(bench: &Bench) {
    let articles = bench.store.unfindable().await.unwrap();
    let pairs = articles.into_iter().map(|article| {
        let searchable = article.searchable();
        (article, searchable)
    });
    bench
        .store
        .make_findable(&pairs.collect::<Vec<_>>())
        .await
        .unwrap();
}

#[tokio::test]
async fn articles_from_before_are_filled_in_step_by_step() {
    let bench = Bench::new().await;
    let articles: Vec<Article> = (0..20)
        .map(|number| written("Tide", &format!("ebb {number}")))
        .collect();
    let entries = store_all(&bench, &articles).await;
    forget_words(&bench).await;
    assert!(find(&bench, "ebb").await.is_empty());
    let mut left = Vec::new();
    while bench.store.unfindable_count().await.unwrap() > 0 {
        left.push(bench.store.unfindable_count().await.unwrap());
        fill_a_step(&bench).await;
    }
    assert_eq!(left, [20, 20 - u64::from(FILLED_A_STEP)]);
    assert_eq!(find(&bench, "ebb").await.len(), entries.len());
    assert_eq!(find(&bench, "quill a.example 7").await, [entries[7]]);
}

#[tokio::test]
async fn what_changes_while_it_is_filled_in_keeps_its_new_words() {
    let bench = Bench::new().await;
    let articles = [written("One", "Ebb."), written("Two", "Ebb.")];
    let entries = store_all(&bench, &articles).await;
    forget_words(&bench).await;
    let read = bench.store.unfindable().await.unwrap();
    let store = &bench.store;
    let flood = written("One", "Flood.");
    store.update_article(entries[0], &flood, 2).await.unwrap();
    store.sweep_step(&entries[1..], instant(100)).await.unwrap();
    let pairs = read.into_iter().map(|article| {
        let searchable = article.searchable();
        (article, searchable)
    });
    store
        .make_findable(&pairs.collect::<Vec<_>>())
        .await
        .unwrap();
    assert_eq!(find(&bench, "flood").await, entries[..1]);
    assert!(find(&bench, "ebb").await.is_empty());
    assert_eq!(indexed(&bench).await, entries[..1]);
}

#[tokio::test]
async fn a_feed_that_is_called_otherwise_is_found_by_its_new_name_once_filled_in() {
    let bench = Bench::new().await;
    let entries = store_all(&bench, &[written("Tide", "Ebb.")]).await;
    let feeds = bench.store.scheduled_feeds().await.unwrap();
    let mut named = outcome(2, Vec::new());
    named.feed_title = Some("Kestrel Gazette".to_owned());
    bench.store.save(feeds[0].id, &named).await.unwrap();
    assert_eq!(bench.store.unfindable_count().await.unwrap(), 1);
    // Until then it is found as it was.
    assert_eq!(find(&bench, "ebb").await, entries);
    fill_a_step(&bench).await;
    assert_eq!(find(&bench, "kestrel ebb").await, entries);
    bench.store.save(feeds[0].id, &named).await.unwrap();
    assert_eq!(bench.store.unfindable_count().await.unwrap(), 0);
}

#[tokio::test]
async fn a_new_feeds_first_articles_are_found_by_its_title_at_once() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let mut first = outcome(1, vec![found("one", 1)]);
    first.feed_title = Some("Kestrel Gazette".to_owned());
    bench.store.save(feed, &first).await.unwrap();
    assert_eq!(find(&bench, "gazette").await.len(), 1);
    assert_eq!(bench.store.unfindable_count().await.unwrap(), 0);
}

/// Whatever is typed, FTS5 has no fault to find with it.
#[test]
fn hostile_queries_are_never_a_fault() {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let bench = runtime.block_on(Bench::new());
    runtime.block_on(store_all(&bench, &[written("Tide", "Ebb and rope.")]));
    let pieces = prop_oneof![
        "\\PC{0,20}",
        "[\"'*^(){}:+ a\0\\-]{0,30}",
        Just("NEAR(".to_owned()),
        Just(" AND ".to_owned()),
        Just(" NOT".to_owned()),
        Just("text : ".to_owned()),
        Just("\"".to_owned()),
        Just("ebb".to_owned()),
    ];
    let typed = proptest::collection::vec(pieces, 0..6).prop_map(|pieces| pieces.concat());
    let mut runner = TestRunner::default();
    runner
        .run(&typed, |typed| {
            if let Ok(sought) = Sought::parse(&typed) {
                let found = runtime.block_on(bench.store.find(&sought));
                prop_assert!(found.is_ok(), "{found:?}");
            }
            Ok(())
        })
        .unwrap();
}

/// A text's words by Unicode's own rules (UAX #29, the crate unicode-segmentation), cut further at apostrophes, full
/// stops and low lines, which those rules keep within a word; without accents, in lower case.
fn words_of(text: &str) -> Vec<String> {
    let plain = |word: &str| -> String {
        let letters = word
            .nfd()
            .filter(|character| !is_combining_mark(*character));
        letters.collect::<String>().to_lowercase()
    };
    text.unicode_words()
        .flat_map(|word| {
            word.split(|character: char| {
                !character.is_alphanumeric() && !is_combining_mark(character)
            })
        })
        .filter(|word| !word.is_empty())
        .map(plain)
        .collect()
}

/// A slow scan over all stored texts finds the same: for each pair of words of the texts, the second cut short.
#[tokio::test]
async fn a_scan_by_unicodes_own_rules_finds_the_same() {
    let texts = [
        "The harbour’s last ferry ran on bread, eleven weeks of it; 3.5 tons a day.",
        "Ansgar Thøgersen, Segelmacher, kam für eine Woche und blieb für neunundsechzig Jahre.",
        "Une assiette de soupe à la Hélène, sans crème, s’il vous plaît.",
        "Паром ходил одиннадцать недель, и хлеб был тёплый.",
        "Το καραβάκι έφευγε κάθε πρωί από το λιμάνι της Αθήνας.",
        "The gull took half of a sandwich at the ferry, and gave_it back in May.",
        "Ein Boot, zwei Boote; die Fähre fährt nicht, wenn der Nebel über dem Hafen liegt.",
    ];
    let bench = Bench::new().await;
    let articles: Vec<Article> = texts.iter().map(|text| written("…", text)).collect();
    let entries = store_all(&bench, &articles).await;
    // Author and feed are those of all articles of these tests.
    let whole = texts.map(|text| format!("{text} Ada Quill a.example"));
    let all: Vec<Vec<String>> = whole.iter().map(|text| words_of(text)).collect();
    let flat: Vec<&String> = all.iter().flatten().collect();
    let mut several = 0;
    for (place, first) in flat.iter().enumerate() {
        let other = flat[(place * 7 + 3) % flat.len()];
        let cut: String = other.chars().take(4).collect();
        let begins = cut.chars().count() >= 3;
        let has = |words: &Vec<String>| {
            words.contains(first)
                && words.iter().any(|word| {
                    if begins {
                        word.starts_with(&cut)
                    } else {
                        *word == cut
                    }
                })
        };
        let scanned = all.iter().zip(&entries).filter(|(words, _)| has(words));
        let scanned: BTreeSet<i64> = scanned.map(|(_, entry)| *entry).collect();
        let typed = format!("{first} {cut}");
        let found: BTreeSet<i64> = find(&bench, &typed).await.into_iter().collect();
        assert_eq!(found, scanned, "{typed}");
        several += usize::from(found.len() > 1);
    }
    assert!(several > 0, "no pair of words stands in two texts");
}
