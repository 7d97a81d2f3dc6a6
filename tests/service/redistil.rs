//! `tondo redistil` as it is typed: all stored articles come to the present distiller, in place, with what the
//! reader has done with them, and a run that is killed is gone on with by the next.

use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::Stdio;

use tempfile::TempDir;
use tondo::clock::Clock;
use tondo::distil::{Article, DISTILLER_VERSION, Source, distil};
use tondo::store::{
    Distilled, FoundEntry, Hints, Listed, Outcome, Place, READER, Standing, Store, Validators,
};
use url::Url;

use super::commands::tondo;
use super::house::start;

/// Articles of the household: some seconds of work without optimisation.
const ARTICLES: usize = 300;

struct Scene {
    folder: TempDir,
    config: String,
}

impl Scene {
    /// A household whose articles an older distiller has made, badly.
    async fn new() -> Self {
        let folder = tempfile::tempdir().expect("a folder can be made");
        let config = folder.path().join("tondo.toml");
        let text = "data = \"data\"\n\n[[feed]]\nurl = \"https://gazette.example/feed\"\n";
        std::fs::write(&config, text).expect("the config is written");
        let scene = Self {
            config: config.display().to_string(),
            folder,
        };
        let store = scene.store().await;
        let listed = Listed {
            address: "https://gazette.example/feed".to_owned(),
            title: None,
            group: None,
        };
        store.subscribe(&[listed], start()).await.expect("a feed");
        let feed = store.scheduled_feeds().await.expect("feeds")[0].id;
        let outcome = Outcome {
            at: start(),
            status: 200,
            body_bytes: 1,
            feed_title: None,
            standing: Standing {
                next_due: start(),
                moved_address: None,
                validators: Validators::default(),
                body_hash: None,
                reading: None,
                hints: Hints::default(),
            },
            entries: (0..ARTICLES).map(entry).collect(),
        };
        store.save(feed, &outcome).await.expect("entries");
        for id in 1..=ARTICLES as i64 {
            store
                .mark_opened(READER, id, start())
                .await
                .expect("a mark");
            store.keep(READER, id, Some(start())).await.expect("a mark");
            store
                .set_place(READER, id, Some(PLACE))
                .await
                .expect("a mark");
        }
        store.close().await;
        scene
    }

    async fn store(&self) -> Store {
        let data: PathBuf = self.folder.path().join("data");
        Store::open(&data, &Clock::fixed(start()))
            .await
            .expect("a store")
    }

    /// What a run says on standard output and on standard error.
    fn run(&self) -> (String, String) {
        let output = tondo(&["redistil", "--config", &self.config])
            .output()
            .expect("the program runs");
        assert!(output.status.success(), "{output:?}");
        let text = |bytes| String::from_utf8(bytes).expect("UTF-8");
        (text(output.stdout), text(output.stderr))
    }

    /// Checks that each article is whole, by the old distiller or the new, with its marks, and counts the old ones.
    async fn check(&self) -> u64 {
        let store = self.store().await;
        let mut old = 0;
        for id in 1..=ARTICLES as i64 {
            let article = store
                .article(READER, id)
                .await
                .expect("reads")
                .expect("an article");
            let first = article.blocks[0].text();
            old += u64::from(first == "Badly made.");
            if first != "Badly made." {
                assert_eq!(article.blocks.len(), 40, "{first}");
                assert!(article.title.starts_with("Piece "), "{}", article.title);
            }
            let mark = store.mark(READER, id).await.expect("a mark");
            assert_eq!((mark.opened, mark.kept), (Some(start()), Some(start())));
            assert_eq!(mark.place, Some(PLACE));
        }
        assert_eq!(
            store.older_count(DISTILLER_VERSION).await.expect("a count"),
            old
        );
        store.close().await;
        old
    }
}

const PLACE: Place = Place {
    block: 0,
    character: 3,
};

fn entry(number: usize) -> FoundEntry {
    let base = Url::parse("https://gazette.example/feed").expect("an address");
    let source = Source {
        title: Some(format!("Piece {number}")),
        content: Some(format!("<p>Piece {number} came in with the tide.</p>").repeat(40)),
        ..Source::blank(base.clone())
    };
    let bad = Source {
        content: Some("<p>Badly made.</p>".to_owned()),
        ..Source::blank(base)
    };
    let (article, _): (Article, _) = distil(&bad);
    FoundEntry {
        identity: number.to_string(),
        link: None,
        title: None,
        published: None,
        fingerprint: None,
        attempts: 0,
        distilled: Some(
            Distilled::new(&article, &source, DISTILLER_VERSION - 1).expect("a stored form"),
        ),
    }
}

#[tokio::test]
async fn a_run_reaches_all_articles_and_tells_each_tenth_in_plain_lines() {
    let scene = Scene::new().await;
    assert_eq!(scene.check().await, ARTICLES as u64);
    let (said, told) = scene.run();
    assert_eq!(said, "300 of 300 articles made anew.\n");
    let tenths = (1..=10).map(|tenth| format!("{} of 300 articles\n", 30 * tenth));
    assert_eq!(told, tenths.collect::<String>());
    assert_eq!(scene.check().await, 0);
    let nothing = "All articles are of the present distiller.\n";
    assert_eq!(scene.run(), (nothing.to_owned(), String::new()));
}

#[tokio::test]
async fn a_run_that_is_killed_is_gone_on_with() {
    let scene = Scene::new().await;
    let mut left = ARTICLES as u64;
    for lines in [1, 3] {
        let mut child = tondo(&["redistil", "--config", &scene.config])
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        // What is done when it tells of it is stored. It goes on meanwhile, so that it dies anywhere.
        let mut told = BufReader::new(child.stderr.take().expect("a pipe")).lines();
        assert_eq!(
            told.by_ref().take(lines).filter(Result::is_ok).count(),
            lines
        );
        child.kill().expect("it runs");
        child.wait().expect("it ends");
        let now = scene.check().await;
        assert!(now < left, "{now} of {left} are left");
        left = now;
    }
    let (said, _) = scene.run();
    let expected = match left {
        0 => "All articles are of the present distiller.\n".to_owned(),
        1 => "1 of 1 article made anew.\n".to_owned(),
        left => format!("{left} of {left} articles made anew.\n"),
    };
    assert_eq!(said, expected);
    assert_eq!(scene.check().await, 0);
}
