//! Articles by the time that one has, and the pace by which their minutes are told: measured as discs are turned, said,
//! and forgotten in a tap.

use reqwest::StatusCode;

use super::house::{House, SCREENS};
use super::page::{buttons, disc_words, entry_rows, rows, running_parts};

/// The rows of a page that lead to articles of a time.
async fn times(house: &House, path: &str) -> Vec<(String, String)> {
    let rows = rows(&house.get(path).await.text());
    let times = rows
        .into_iter()
        .filter(|row| row.href.contains("/minutes/"));
    times.map(|row| (row.text, row.href)).collect()
}

/// The minutes that the rows of a list tell, and where they lead.
async fn list(house: &House, path: &str) -> Vec<(u32, String)> {
    let (mut listed, mut page) = (Vec::new(), path.to_owned());
    loop {
        let html = house.get(&page).await.text();
        listed.extend(entry_rows(&html).into_iter().map(|row| {
            let label = row.text.split(" | ").nth(1).expect("a label");
            let minutes = label.split(" min").next().expect("minutes");
            (minutes.parse().expect("a number"), row.href)
        }));
        let further = rows(&html).into_iter().find(|row| row.text == "Further");
        match further {
            Some(row) => page = row.href,
            None => return listed,
        }
    }
}

#[tokio::test]
async fn three_times_are_offered_near_the_top_of_the_index_and_each_leads_to_what_fits() {
    let house = House::with_town().await;
    for screen in SCREENS {
        let index = format!("/{screen}/");
        let offered = times(&house, &index).await;
        let named: Vec<&str> = offered.iter().map(|(text, _)| text.as_str()).collect();
        assert_eq!(
            named,
            ["I have 1 minute", "I have 3 minutes", "I have 8 minutes"]
        );
        let places = rows(&house.get(&index).await.text());
        assert_eq!(places[3].href, offered[0].1, "{screen}");
        for (_, href) in offered {
            let answer = house.get(&href).await;
            assert_eq!(answer.status, StatusCode::OK, "{href}");
            assert!(!entry_rows(&answer.text()).is_empty(), "{href}");
        }
    }
    let articles = house.articles().await;
    for (most, shorter) in [(1, 0), (3, 1), (8, 3)] {
        let listed = list(&house, &format!("/round-10/minutes/{most}")).await;
        let minutes: Vec<u32> = listed.iter().map(|(minutes, _)| *minutes).collect();
        // What fills the time, then what is shorter.
        let filling = minutes.iter().filter(|minutes| **minutes > shorter).count();
        assert!(
            minutes[..filling]
                .iter()
                .all(|minutes| (shorter + 1..=most).contains(minutes))
        );
        assert!(minutes[filling..].iter().all(|minutes| *minutes <= shorter));
        assert!(filling > 0, "{minutes:?}");
        let fits = |words: u32, tag: &_| tondo::distil::reading_minutes(words, tag) <= most;
        let expected = articles
            .iter()
            .filter(|article| fits(article.words, &article.language));
        assert_eq!(listed.len(), expected.count(), "{most}");
    }
    // What was read is not offered again.
    let before = list(&house, "/round-10/minutes/3").await;
    house.open_page(&before[0].1).await;
    assert_eq!(list(&house, "/round-10/minutes/3").await, before[1..]);
    // A page that was there until its articles were read leads to the first.
    let emptied = house.get("/round-10/minutes/3/page/9").await;
    assert_eq!(emptied.status, StatusCode::SEE_OTHER);
    assert_eq!(emptied.header("location"), "/round-10/minutes/3");
    for path in ["/round-10/minutes/2", "/round-10/minutes/x"] {
        assert_eq!(
            house.get(path).await.status,
            StatusCode::NOT_FOUND,
            "{path}"
        );
    }
}

#[tokio::test]
async fn where_groups_are_the_first_choice_the_times_stand_after_the_first_entry() {
    let house = House::with_town_in_groups().await;
    let offered = times(&house, "/round-10/").await;
    let first = rows(&house.get("/round-10/").await.text());
    assert_eq!(first[1].href, offered[0].1);
    let empty = House::open(Vec::new()).await;
    assert_eq!(times(&empty, "/round-10/").await, []);
    let html = empty.get("/round-10/minutes/1").await.text();
    assert_eq!(running_parts(&html)[0], "Nothing so short");
}

#[tokio::test]
async fn minutes_go_by_the_pace_of_their_reader_who_sees_it_and_can_have_it_forgotten() {
    let house = House::with_town().await;
    let mut articles = house.articles().await;
    articles.retain(|article| article.language.tag().starts_with("en"));
    articles.sort_by_key(|article| std::cmp::Reverse(article.words));
    let kept = house.get(&format!("/round-10/{}", articles[3].entry)).await;
    let before = list(&house, "/round-10/minutes/3").await;
    // Somebody who reads 119 words of English a minute, half as many as the mean of 190 studies (Brysbaert 2019).
    let origin = house.origin();
    for article in &articles[..2] {
        let path = format!("/round-10/{}", article.entry);
        let discs = disc_words(&house.open_page(&path).await.text());
        for (place, words) in discs.iter().enumerate().skip(1) {
            let form = format!("disc={}", place + 1);
            let told = house
                .post(&format!("{path}/place"), &[("origin", &origin)], &form)
                .await;
            assert_eq!(told.status, StatusCode::NO_CONTENT);
            house.pass_seconds(words.len() as f64 * 60.0 / 119.0);
        }
    }
    let list_path = "/round-10/minutes/3";
    let html = house.get(list_path).await.text();
    let [forget] = &buttons(&html)[..] else {
        panic!("one button, and not {:?}", buttons(&html));
    };
    assert_eq!(forget.text, "Forget my pace | 120 words a minute");
    let slow = list(&house, list_path).await;
    let minutes_of = |href: &str| {
        let entry: i64 = href
            .rsplit('/')
            .next()
            .and_then(|entry| entry.parse().ok())
            .expect("an entry");
        let known = |article: &&tondo::store::StoredArticle| article.entry == entry;
        articles
            .iter()
            .find(known)
            .map(|article| article.words.div_ceil(119))
    };
    let mut told = 0;
    for (minutes, href) in &slow {
        if let Some(expected) = minutes_of(href) {
            assert!(
                minutes.abs_diff(expected) <= 1,
                "{href}: {minutes}, {expected}"
            );
            told += 1;
        }
    }
    assert!(told > 2, "{slow:?}");
    assert!(slow.len() < before.len(), "{slow:?} {before:?}");
    // The article's page is kept for all, so it tells the published minutes.
    let again = house.get(&format!("/round-10/{}", articles[3].entry)).await;
    assert_eq!(again.header("etag"), kept.header("etag"));
    let back = house.tap(forget).await;
    assert_eq!(back, list_path);
    let html = house.get(list_path).await.text();
    assert_eq!(buttons(&html), []);
    assert!(list(&house, list_path).await.len() > slow.len());
}
