//! `import`: adds the feeds of an OPML file to the config file.

use std::collections::HashMap;
use std::path::PathBuf;

use clap::Args;
use url::Url;

use super::Ended;
use super::refresh::counted;
use crate::config::{Addition, Draft, Subscription, read_address, read_outline};
use crate::distil::decode::decode;
use crate::distil::plain::printable;
use crate::opml::{self, Fault, Listed};

/// The largest file that is read, in bytes: a list of a hundred thousand feeds has less (common
/// practice, no source).
const MOST_BYTES: u64 = 32 << 20;

/// The arguments of `import`.
#[derive(Debug, Args)]
pub struct Import {
    /// The OPML file.
    file: PathBuf,
    /// The config file; it is made where there is none.
    #[arg(long, default_value = "tondo.toml")]
    config: PathBuf,
}

/// Why the file is not read.
#[derive(Debug, thiserror::Error)]
enum ImportFault {
    #[error("{} cannot be read ({cause}); name an OPML file", file.display())]
    Unreadable {
        file: PathBuf,
        cause: std::io::Error,
    },
    #[error("{} has more than {MOST_BYTES} bytes, which no list of feeds has; name an OPML file", file.display())]
    TooBig { file: PathBuf },
}

/// What is made of a list.
#[derive(Debug, Default)]
struct Sorted {
    additions: Vec<Addition>,
    /// What is said of single lines, in their order.
    said: Vec<Fault>,
    /// Feeds that are in the config or the list already.
    known: usize,
    /// Whether there is something that could not be taken.
    faulty: bool,
}

impl Import {
    /// Reads the list, says of each line that cannot be taken why, and adds the rest in one step.
    #[expect(
        clippy::print_stdout,
        clippy::print_stderr,
        reason = "a command speaks to the user"
    )]
    pub fn run(self) -> Result<(), Ended> {
        let draft = Draft::open(&self.config)?;
        let sorted = sort(opml::read(&self.text()?), &draft.config().feeds);
        for said in &sorted.said {
            let message = printable(&said.message);
            eprintln!("{}:{}: {message}", self.file.display(), said.line);
        }
        let added = sorted.additions.len();
        if added > 0 {
            draft.add(&sorted.additions)?;
        }
        println!(
            "{} added to {}; {} known already.",
            counted(added, "feed"),
            self.config.display(),
            sorted.known
        );
        if sorted.faulty {
            Err(Ended::Partly)
        } else {
            Ok(())
        }
    }

    fn text(&self) -> Result<String, Ended> {
        let unreadable = |cause| {
            Ended::Usage(Box::new(ImportFault::Unreadable {
                file: self.file.clone(),
                cause,
            }))
        };
        let size = std::fs::metadata(&self.file).map_err(unreadable)?.len();
        if size > MOST_BYTES {
            return Err(Ended::Usage(Box::new(ImportFault::TooBig {
                file: self.file.clone(),
            })));
        }
        let bytes = std::fs::read(&self.file).map_err(unreadable)?;
        Ok(decode(&bytes, None))
    }
}

/// Which feeds of a list are added to those that there are.
fn sort((listed, faults): (Vec<Listed>, Vec<Fault>), feeds: &[Subscription]) -> Sorted {
    let mut sorted = Sorted {
        faulty: !faults.is_empty(),
        said: faults,
        ..Sorted::default()
    };
    // The line of the list; none for those of the config.
    let mut known: HashMap<Url, Option<usize>> =
        feeds.iter().map(|feed| (feed.url.clone(), None)).collect();
    for feed in listed {
        let line = feed.line;
        let url = match read_address(&feed.address) {
            Ok(url) => url,
            Err(message) => {
                sorted.faulty = true;
                sorted.said.push(Fault { line, message });
                continue;
            }
        };
        if let Some(first) = known.get(&url) {
            sorted.known += 1;
            let message = match first {
                Some(first) => {
                    format!("this is the same address as in line {first}; that one counts")
                }
                None => "this feed is in the config already; it stays as it is there".to_owned(),
            };
            sorted.said.push(Fault { line, message });
            continue;
        }
        known.insert(url.clone(), Some(line));
        let (outline, faults) = read_outline(feed.further);
        sorted.faulty |= !faults.is_empty();
        let said = faults.into_iter().map(|message| Fault { line, message });
        sorted.said.extend(said);
        sorted.additions.push(Addition {
            url,
            title: feed.title,
            group: feed.group,
            outline,
        });
    }
    sorted.said.sort();
    sorted
}
