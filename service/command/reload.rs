//! A changed config file is taken up while the service runs. It looks at the file, hands what it says to the
//! conductor, and says what has to wait for the next start. It fetches nothing and edits nothing.

use std::error::Error;
use std::path::PathBuf;
use std::time::Duration;

use tokio_util::sync::CancellationToken;

use super::household::fetcher;
use crate::config::Config;
use crate::refresh::Conductor;
use crate::store::Subscribed;

/// How often the file is looked at. A change is taken up by the look after the one that finds it, so that
/// it is in force within a minute.
const LOOK_EVERY: Duration = Duration::from_secs(20);

/// A config file, and what of it is in force.
pub struct Reload {
    path: PathBuf,
    /// The text that was last taken up or found faulty.
    settled: String,
    /// What the last look found, where that was something else.
    found: Option<String>,
    in_force: Config,
    started_with: Config,
}

/// What a look at the file came to.
#[derive(Debug)]
enum Look {
    /// The file is as it was, or is being written.
    Nothing,
    /// Its feeds, exceptions and limits are in force. These keys take effect at the next start.
    TakenUp(Subscribed, Vec<&'static str>),
}

impl Reload {
    /// Of the file at `path`, whose text has been read as `config`.
    pub fn new(path: PathBuf, text: String, config: Config) -> Self {
        Self {
            path,
            settled: text,
            found: None,
            in_force: config.clone(),
            started_with: config,
        }
    }

    /// Looks from time to time until `stop` is cancelled, and tells in the log what came of it.
    pub async fn run(mut self, conductor: Conductor, stop: CancellationToken) {
        let look_again = async {
            loop {
                tokio::time::sleep(LOOK_EVERY).await;
                match self.look(&conductor).await {
                    Ok(look) => look.tell(),
                    Err(fault) => tell_fault(fault.as_ref()),
                }
            }
        };
        stop.run_until_cancelled(look_again).await;
    }

    /// Looks once. A file that is found changed is taken up by the next look, if it is the same then: a part
    /// of a file would drop feeds that come later in it.
    ///
    /// # Errors
    /// The config or the fetcher's settings are faulty, or the store cannot take the feeds. What was in force
    /// stays so; a fault of the file is told once, and what the store could not take is tried again by the next look.
    async fn look(&mut self, conductor: &Conductor) -> Result<Look, Box<dyn Error + Send + Sync>> {
        // A file that is away for the moment is being replaced.
        let Ok(text) = tokio::fs::read_to_string(&self.path).await else {
            return Ok(Look::Nothing);
        };
        if text == self.settled {
            self.found = None;
            return Ok(Look::Nothing);
        }
        if self.found.as_ref() != Some(&text) {
            self.found = Some(text);
            return Ok(Look::Nothing);
        }
        let config = match Config::parse(&text, &self.path) {
            Ok(config) => config,
            Err(fault) => {
                self.settle(text);
                return Err(fault.into());
            }
        };
        // Until the store has taken it, each look tries again.
        let fetcher = if config.allow_private == self.in_force.allow_private {
            None
        } else {
            Some(fetcher(&config.allow_private)?)
        };
        let subscribed = conductor
            .take_up(config.feeds.clone(), config.shelves, fetcher)
            .await?;
        let waiting = waiting(&self.started_with, &config);
        self.in_force = config;
        self.settle(text);
        Ok(Look::TakenUp(subscribed, waiting))
    }

    /// The text is done with, whatever came of it.
    fn settle(&mut self, text: String) {
        self.settled = text;
        self.found = None;
    }
}

impl Look {
    fn tell(self) {
        let Self::TakenUp(subscribed, waiting) = self else {
            return;
        };
        let Subscribed {
            added,
            changed,
            hidden,
        } = subscribed;
        tracing::info!(added, changed, hidden, "the changed config is in force");
        if !waiting.is_empty() {
            let keys = waiting.join("`, `");
            tracing::warn!("what the config says of `{keys}` takes effect at the next start");
        }
    }
}

fn tell_fault(fault: &(dyn Error + Send + Sync)) {
    for line in fault.to_string().lines() {
        tracing::error!("{line}");
    }
    tracing::error!("the config as it was before stays in force");
}

/// The keys whose values differ and that are read at the start alone.
fn waiting(started: &Config, config: &Config) -> Vec<&'static str> {
    [
        ("listen", started.listen != config.listen),
        ("data", started.data != config.data),
        ("time_zone", started.time_zone != config.time_zone),
        ("hosts", started.hosts != config.hosts),
        ("screen", started.screen != config.screen),
        ("index", started.read_entries != config.read_entries),
    ]
    .into_iter()
    .filter_map(|(key, differs)| differs.then_some(key))
    .collect()
}

#[cfg(test)]
mod tests {
    use super::super::household::Household;
    use super::*;
    use crate::store::READER;
    use crate::store::sample::{found, outcome};

    struct Bench {
        folder: tempfile::TempDir,
        household: Household,
        reload: Reload,
    }

    fn text(head: &str, names: &[&str]) -> String {
        let feeds = names.iter().map(|name| {
            format!("[[feed]]\nurl = \"https://{name}.example.org/feed\"\ntitle = \"{name}\"\n")
        });
        head.to_owned() + &feeds.collect::<String>()
    }

    impl Bench {
        async fn new() -> Self {
            let folder = tempfile::tempdir().unwrap();
            let path = folder.path().join("tondo.toml");
            let text = text("", &["ebb", "flow"]);
            std::fs::write(&path, &text).unwrap();
            let config = Config::read(&path).unwrap();
            let reload = Reload::new(path, text, config.clone());
            let household = Household::open(config).await.ok().unwrap();
            Self {
                folder,
                household,
                reload,
            }
        }

        fn write(&self, text: &str) {
            std::fs::write(self.folder.path().join("tondo.toml"), text).unwrap();
        }

        async fn look(&mut self) -> Result<Look, Box<dyn Error + Send + Sync>> {
            self.reload.look(&self.household.conductor).await
        }

        async fn titles(&self) -> Vec<String> {
            let feeds = self.household.store.scheduled_feeds().await.unwrap();
            feeds.into_iter().map(|feed| feed.title).collect()
        }
    }

    #[tokio::test]
    async fn a_changed_file_is_taken_up_once_it_has_settled() {
        let mut bench = Bench::new().await;
        assert!(matches!(bench.look().await, Ok(Look::Nothing)));
        // What is written in two goes is not taken up in between.
        bench.write(&text("", &["flow"]));
        assert!(matches!(bench.look().await, Ok(Look::Nothing)));
        bench.write(&text("", &["flow", "ebb", "lock"]));
        assert!(matches!(bench.look().await, Ok(Look::Nothing)));
        assert_eq!(bench.titles().await, ["ebb", "flow"]);
        let Ok(Look::TakenUp(subscribed, waiting)) = bench.look().await else {
            panic!("it has settled");
        };
        assert_eq!((subscribed.added, subscribed.hidden), (1, 0));
        assert_eq!(waiting, [""; 0]);
        assert_eq!(bench.titles().await, ["flow", "ebb", "lock"]);
        assert!(matches!(bench.look().await, Ok(Look::Nothing)));
    }

    #[tokio::test]
    async fn a_faulty_file_is_told_once_by_its_line_and_leaves_all_as_it_was() {
        let mut bench = Bench::new().await;
        bench.write("listen = \"127.0.0.1:8090\"\n[screen]\nlines = 12\n");
        assert!(matches!(bench.look().await, Ok(Look::Nothing)));
        let fault = bench.look().await.unwrap_err().to_string();
        assert!(fault.contains("tondo.toml:3: "), "{fault}");
        assert!(matches!(bench.look().await, Ok(Look::Nothing)));
        assert_eq!(bench.titles().await, ["ebb", "flow"]);
        std::fs::remove_file(bench.folder.path().join("tondo.toml")).unwrap();
        assert!(matches!(bench.look().await, Ok(Look::Nothing)));
        // Put back as it was, it is a change of the faulty one, and changes nothing.
        bench.write(&text("", &["ebb", "flow"]));
        bench.look().await.unwrap();
        let Ok(Look::TakenUp(subscribed, _)) = bench.look().await else {
            panic!("it has settled");
        };
        assert_eq!(subscribed, Subscribed::default());
    }

    /// A file that was settled before the store had taken it would be forgotten until it changes again.
    #[tokio::test]
    async fn what_the_store_could_not_take_is_tried_again_by_the_next_look() {
        let mut bench = Bench::new().await;
        bench.write(&text("", &["lock"]));
        bench.look().await.unwrap();
        bench.household.store.close().await;
        for _ in 0..2 {
            bench.look().await.unwrap_err();
        }
        bench.household = Household::open(bench.reload.in_force.clone())
            .await
            .ok()
            .unwrap();
        assert_eq!(bench.titles().await, ["ebb", "flow"]);
        let Ok(Look::TakenUp(subscribed, _)) = bench.look().await else {
            panic!("the store can take it now");
        };
        assert_eq!((subscribed.added, subscribed.hidden), (1, 2));
        assert!(matches!(bench.look().await, Ok(Look::Nothing)));
    }

    #[tokio::test]
    async fn changed_limits_are_in_force_without_a_start() {
        let mut bench = Bench::new().await;
        let store = bench.household.store.clone();
        let feeds = store.scheduled_feeds().await.unwrap();
        let entries = (1..=3).map(|day| found(&day.to_string(), day)).collect();
        store.save(feeds[0].id, &outcome(4, entries)).await.unwrap();
        let conductor = bench.household.conductor.clone();
        assert_eq!(conductor.sweep().await.unwrap().entries, 0);
        let head = "[shelf]\narticles = 2\ndays = \"no limit\"\n";
        bench.write(&text(head, &["ebb", "flow"]));
        bench.look().await.unwrap();
        let Ok(Look::TakenUp(_, waiting)) = bench.look().await else {
            panic!("it has settled");
        };
        assert_eq!(waiting, [""; 0]);
        assert_eq!(conductor.sweep().await.unwrap().entries, 1);
        let counts = store.counts(READER).await.unwrap();
        assert_eq!(counts.articles, 2);
    }

    #[tokio::test]
    async fn what_waits_for_the_next_start_is_named() {
        let mut bench = Bench::new().await;
        let head = "listen = \"127.0.0.1:9\"\ndata = \"elsewhere\"\n[screen]\nlines = 8\n\
                    [index]\nread = \"gone\"\n[gather]\nallow_private = [\"127.0.0.1\"]\n";
        bench.write(&text(head, &["ebb"]));
        bench.look().await.unwrap();
        let Ok(Look::TakenUp(subscribed, waiting)) = bench.look().await else {
            panic!("it has settled");
        };
        assert_eq!((subscribed.added, subscribed.hidden), (0, 1));
        assert_eq!(waiting, ["listen", "data", "screen", "index"]);
    }
}
