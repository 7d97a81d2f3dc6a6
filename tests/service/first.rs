//! The first visit, a browser's bar, the light ground, and how old what is old is: over loopback, as a browser asks.

use reqwest::{Method, StatusCode};
use tondo::config::{FullText, Subscription};

use super::house::{House, subscription};
use super::page::rows;
use super::publisher::{Publisher, Reply, Written, atom};

/// The values of the buttons of a page, in their order.
fn offered(html: &str) -> Vec<String> {
    html.split("name=screen value=")
        .skip(1)
        .filter_map(|rest| rest.split([' ', '>']).next())
        .map(str::to_owned)
        .collect()
}

/// The values of the buttons that are marked as the present ones.
fn current(html: &str) -> Vec<String> {
    html.split("<button")
        .filter(|button| button.contains("aria-current=true"))
        .flat_map(offered)
        .collect()
}

#[tokio::test]
async fn two_answers_lead_from_the_first_page_to_the_index_and_are_kept() {
    let house = House::open(Vec::new()).await;
    let origin = house.origin();
    let own = [("origin", origin.as_str())];
    let first = house.get("/").await;
    assert_eq!(first.status, StatusCode::OK);
    assert_eq!(first.header("cache-control"), "no-store");
    assert_eq!(first.header("set-cookie"), "");
    let html = first.text();
    // The caution is said in full, once.
    for words in [
        "Stop to read",
        "walking, driving or riding",
        "local rules come first",
    ] {
        assert_eq!(html.matches(words).count(), 1, "{words}");
    }
    assert!(!html.contains("<script"));
    let shapes = offered(&html);
    assert_eq!(shapes.len(), 7);
    assert_eq!(current(&html), ["round-10"]);
    // Whoever answers nothing goes on as the config says.
    assert!(rows(&html).iter().any(|row| row.href == "/round-10/"));
    for shape in shapes {
        let form: &'static str = Box::leak(format!("screen={shape}").into_boxed_str());
        let answer = house.post("/whole", &own, form).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER);
        assert_eq!(
            answer.header("set-cookie"),
            "",
            "only the second answer is kept"
        );
        assert_eq!(answer.header("cache-control"), "no-store");
        let second = answer.header("location");
        assert_eq!(second, format!("/{shape}/reads"));
        let sizes = house.get(second).await;
        assert_eq!(sizes.status, StatusCode::OK, "{second}");
        let sizes = offered(&sizes.text());
        assert_eq!(sizes.len(), 4);
        assert!(sizes.contains(&shape));
        let largest = &sizes[3];
        let form: &'static str = Box::leak(format!("screen={largest}").into_boxed_str());
        let kept = house.post("/screen", &own, form).await;
        assert_eq!(kept.header("location"), format!("/{largest}/"));
        let cookie = kept.header("set-cookie");
        let cookie = cookie.split(';').next().unwrap_or_default();
        let again = house.ask(Method::GET, "/", &[("cookie", cookie)]).await;
        assert!(again.status.is_redirection());
        assert_eq!(again.header("location"), format!("/{largest}/"));
        let index = house.get(&format!("/{largest}/")).await;
        assert_eq!(index.status, StatusCode::OK);
        assert!(!index.text().contains("Stop to read"), "it is said once");
    }
}

#[tokio::test]
async fn an_answer_that_names_no_screen_or_comes_from_elsewhere_is_refused() {
    let house = House::open(Vec::new()).await;
    let origin = house.origin();
    let own: &[(&str, &str)] = &[("origin", origin.as_str())];
    let stranger: &[(&str, &str)] = &[("origin", "http://stranger.example.org")];
    for (headers, form, status) in [
        (
            own,
            "screen=round-10-top9",
            StatusCode::UNPROCESSABLE_ENTITY,
        ),
        (own, "screen=square-10", StatusCode::UNPROCESSABLE_ENTITY),
        (
            own,
            "screen=//stranger.example.org",
            StatusCode::UNPROCESSABLE_ENTITY,
        ),
        (own, "", StatusCode::UNPROCESSABLE_ENTITY),
        (stranger, "screen=round-10", StatusCode::FORBIDDEN),
    ] {
        let answer = house.post("/whole", headers, form).await;
        assert_eq!(answer.status, status, "{form}");
        assert_eq!(answer.header("location"), "");
        assert!(!answer.text().is_empty());
    }
    assert_eq!(
        house.get("/whole").await.status,
        StatusCode::METHOD_NOT_ALLOWED
    );
    let unknown = house.get("/round-10-top9/reads").await;
    assert_eq!(unknown.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn the_configs_screen_is_offered_first_and_goes_on_without_a_cookie() {
    let house = House::open_on("round-8-wide-bottom8-light").await;
    let html = house.get("/").await.text();
    assert_eq!(current(&html), ["round-8-wide-bottom8-light"]);
    assert!(
        rows(&html)
            .iter()
            .any(|row| row.href == "/round-8-wide-bottom8-light/")
    );
    assert!(
        html.contains("content=#fff"),
        "the page itself has the config's ground"
    );
    let sizes = house.get("/round-8-wide-bottom8-light/reads").await.text();
    assert_eq!(current(&sizes), ["round-8-wide-bottom8-light"]);
    // A page that no screen stands in the address of is set for it, too.
    let absent = house.get("/nowhere").await.text();
    assert!(
        absent.contains("href=\"/round-8-wide-bottom8-light/\""),
        "{absent}"
    );
}

#[tokio::test]
async fn a_light_page_is_a_dark_one_in_other_colours_and_weighs_as_much() {
    let house = House::with_town().await;
    let articles = house.articles().await;
    let entry = articles.first().expect("articles").entry;
    for page in [String::new(), entry.to_string()] {
        let ask = async |screen: &str| {
            let path = format!("/{screen}/{page}");
            house
                .ask(Method::GET, &path, &[("accept-encoding", "gzip")])
                .await
        };
        let (dark, light) = (ask("round-10").await, ask("round-10-light").await);
        assert_ne!(
            dark.header("content-security-policy"),
            light.header("content-security-policy")
        );
        let (dark, light) = (dark.bytes.len(), light.bytes.len());
        // Each address on the page is longer by its name, which compresses to little.
        assert!(light < dark + 64, "{light} beside {dark}");
    }
}

#[tokio::test]
async fn what_is_old_says_how_old_beside_its_date_and_what_is_not_does_not() {
    let publisher = Publisher::start().await;
    let written = |name: &str, updated: &str| Written {
        updated: updated.to_owned(),
        ..Written::new(
            name,
            "<p>The harbour master walked the mole at low water.</p>",
        )
    };
    // The house's clock stands at the first of April 2031.
    let entries = [
        written("ebb", "2020-02-01T10:00:00Z"),
        written("flow", "2031-03-01T10:00:00Z"),
    ];
    let body = atom(&publisher.address("/"), "Gazette", &entries);
    publisher.set("/feed", Reply::atom(body));
    let house = House::open(vec![Subscription {
        full_text: FullText::Never,
        ..subscription(&publisher.address("/feed"))
    }])
    .await;
    house.pass().await;
    for screen in ["round-10", "round-8", "round-6-wide"] {
        let index = house.get(&format!("/{screen}/")).await.text();
        let rows = rows(&index);
        let entries: Vec<_> = rows
            .iter()
            .filter(|row| row.text.starts_with("Of "))
            .collect();
        assert_eq!(entries.len(), 2, "{screen}");
        for row in entries {
            let old = row.text.starts_with("Of ebb");
            assert_eq!(
                row.text.contains("11 years old"),
                old,
                "{screen}: {}",
                row.text
            );
            assert!(
                !old || row.text.contains("1 Feb 2020"),
                "{screen}: {}",
                row.text
            );
        }
    }
    for article in house.articles().await {
        let old = article.title == "Of ebb";
        let path = format!("/round-10/{}", article.entry);
        let before = house.get(&path).await;
        let text = before.text().replace('\n', " ");
        assert_eq!(
            text.contains("Saturday 1 February 2020, 11 years old"),
            old,
            "{text}"
        );
        // A kept page does not stay as young as it was: a year and two months are 14 months.
        house.pass_time(425 * 24 * 60);
        let after = house.get(&path).await;
        let text = after.text().replace('\n', " ");
        assert!(
            text.contains(if old { "12 years old" } else { "14 months old" }),
            "{text}"
        );
        assert_ne!(before.header("etag"), after.header("etag"));
        house.pass_time(-425 * 24 * 60);
    }
}
