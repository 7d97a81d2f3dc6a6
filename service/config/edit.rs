//! Feeds written into a config file. All that stands in it stays byte for byte, comments, order and
//! line ends included; the file is replaced in one step, or not at all.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;
use toml_edit::{DocumentMut, InlineTable, Item, Value};
use url::Url;

use super::check::NoFeed;
use super::{Config, ConfigError, EXAMPLE};

#[cfg(test)]
mod tests;

/// The line with which a feed begins.
const FEED: &str = "[[feed]]";

/// A feed to be added.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Addition {
    /// Its address, as [`super::read_address`] reads it.
    pub url: Url,
    /// The name to show instead of the feed's own.
    pub title: Option<String>,
    /// The group to list it in.
    pub group: Option<String>,
    /// What a list said of it besides, as [`super::read_outline`] leaves it.
    pub outline: Vec<(String, String)>,
}

/// A config file that feeds are to be added to.
#[derive(Debug, Clone)]
pub struct Draft {
    path: PathBuf,
    text: String,
    is_new: bool,
    config: Config,
}

/// Why feeds were not added. The file is as it was then.
#[derive(Debug, thiserror::Error)]
pub enum EditError {
    /// With the feeds in it, it would be no config that can be used.
    #[error("nothing was written, since the config would be wrong then:\n{0}")]
    Refused(#[source] ConfigError),
    /// It would be a config that says something else than it should.
    #[error(
        "nothing was written, since feeds cannot be added to {} as it is laid out; \
         write them as [[feed]] by hand", path.display()
    )]
    Unsuited {
        /// The file.
        path: PathBuf,
    },
    /// The system did not let it be replaced.
    #[error("{} cannot be replaced ({cause}); see to it that its folder can be written to, and \
             that it belongs to whoever runs this", path.display())]
    Unwritable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        #[source]
        cause: io::Error,
    },
}

impl Draft {
    /// Reads the config file that feeds are to be added to. One that has no feed yet is taken too;
    /// where there is no file, it will be made with the settings of the example, all switched off.
    ///
    /// # Errors
    /// [`ConfigError`], where it is wrong as it stands.
    pub fn open(path: impl AsRef<Path>) -> Result<Self, ConfigError> {
        let path = path.as_ref().to_owned();
        let (text, is_new) = match fs::read_to_string(&path) {
            Ok(text) => (text, false),
            Err(fault) if fault.kind() == io::ErrorKind::NotFound => (settings().to_owned(), true),
            Err(cause) => return Err(ConfigError::Unreadable { path, cause }),
        };
        let config = Config::parse_with(&text, &path, NoFeed::Taken)?;
        Ok(Self {
            path,
            text,
            is_new,
            config,
        })
    }

    /// What the file says as it stands.
    pub fn config(&self) -> &Config {
        &self.config
    }

    /// Whether there is no file yet.
    pub fn is_new(&self) -> bool {
        self.is_new
    }

    /// Adds feeds behind those that are there, and replaces the file in one step; its permissions
    /// and its owner stay. Whoever reads it meanwhile has the old one or the new one whole.
    ///
    /// # Errors
    /// [`EditError`]; nothing is written then.
    pub fn add(&self, additions: &[Addition]) -> Result<(), EditError> {
        let text = self.text_with(additions)?;
        self.replace(&text).map_err(|cause| EditError::Unwritable {
            path: self.path.clone(),
            cause,
        })
    }

    /// The text of the file with the feeds in it, read again to see that it says what it should.
    fn text_with(&self, additions: &[Addition]) -> Result<String, EditError> {
        let unsuited = || EditError::Unsuited {
            path: self.path.clone(),
        };
        let (mark, text) = match self.text.strip_prefix('\u{feff}') {
            Some(text) => ("\u{feff}", text),
            None => ("", self.text.as_str()),
        };
        let document: DocumentMut = text.parse().map_err(|_| unsuited())?;
        let written = match document.get("feed") {
            Some(Item::Value(_)) => with_members(document, additions).ok_or_else(unsuited)?,
            _ => with_tables(text, additions, !self.is_new),
        };
        let written = format!("{mark}{written}");
        let config = Config::parse(&written, &self.path).map_err(EditError::Refused)?;
        let before = self.config.feeds.len();
        let asked = additions.iter().map(|feed| {
            let label = |label: &'_ Option<String>| label.as_deref().map(|it| it.trim().to_owned());
            (
                &feed.url,
                label(&feed.title),
                label(&feed.group),
                &feed.outline,
            )
        });
        let read = config.feeds.iter().skip(before);
        let read = read.map(|feed| {
            (
                &feed.url,
                feed.title.clone(),
                feed.group.clone(),
                &feed.outline,
            )
        });
        if read.eq(asked) {
            Ok(written)
        } else {
            Err(unsuited())
        }
    }

    fn replace(&self, text: &str) -> io::Result<()> {
        if self.is_new {
            let mut file = File::create_new(&self.path)?;
            file.write_all(text.as_bytes())?;
            return file.sync_all();
        }
        // A link stays a link: what it leads to is replaced.
        let path = self.path.canonicalize()?;
        let folder = path.parent().unwrap_or(Path::new("."));
        let mut file = NamedTempFile::new_in(folder)?;
        file.write_all(text.as_bytes())?;
        keep_rights(&path, file.as_file())?;
        file.as_file().sync_all()?;
        file.persist(&path)?;
        Ok(())
    }
}

/// The example up to its first feed: every setting with its explanation, switched off.
fn settings() -> &'static str {
    EXAMPLE
        .find(&format!("\n{FEED}\n"))
        .map_or(EXAMPLE, |end| &EXAMPLE[..=end])
}

/// The text with a table for each feed at its end, where it changes nothing that stands before.
/// `apart` says whether the first one is set off by an empty line.
fn with_tables(text: &str, additions: &[Addition], apart: bool) -> String {
    let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let mut written = text.to_owned();
    if !written.is_empty() && !written.ends_with('\n') {
        written.push_str(end);
    }
    for (index, addition) in additions.iter().enumerate() {
        if !written.is_empty() && (apart || index > 0) {
            written.push_str(end);
        }
        written.push_str(FEED);
        written.push_str(end);
        for (key, value) in keys(addition) {
            written.push_str(key);
            written.push_str(" = ");
            written.push_str(value.to_string().trim());
            written.push_str(end);
        }
    }
    written
}

/// The text with each feed as a further member of the array that the feeds stand in. `None` where
/// it is no array.
fn with_members(mut document: DocumentMut, additions: &[Addition]) -> Option<String> {
    let feeds = document.get_mut("feed")?.as_array_mut()?;
    for addition in additions {
        let member: InlineTable = keys(addition).collect();
        let mut member = Value::from(member);
        // It stands as the one before it, on a line of its own if that does.
        let before = feeds.get(feeds.len().wrapping_sub(1));
        let place = before
            .and_then(|before| before.decor().prefix()?.as_str())
            .map_or_else(String::new, |prefix| {
                let own_line = prefix.rfind('\n').map_or(prefix, |at| &prefix[at..]);
                own_line.to_owned()
            });
        let place = match place.as_str() {
            "" if !feeds.is_empty() => " ".to_owned(),
            _ => place,
        };
        member.decor_mut().set_prefix(place);
        feeds.push_formatted(member);
    }
    Some(document.to_string())
}

fn keys(addition: &Addition) -> impl Iterator<Item = (&'static str, Value)> {
    let texts = [
        ("url", Some(addition.url.as_str())),
        ("title", addition.title.as_deref()),
        ("group", addition.group.as_deref()),
    ];
    let outline = addition.outline.iter().map(|(name, value)| (name, value));
    let outline = (!addition.outline.is_empty())
        .then(|| ("outline", Value::from(outline.collect::<InlineTable>())));
    texts
        .into_iter()
        .filter_map(|(key, text)| Some((key, Value::from(text?.trim()))))
        .chain(outline)
}

/// Gives the new file the permissions of the old one, and its owner: one who adds a feed as the
/// machine's administrator must not take the file away from the service.
fn keep_rights(old: &Path, new: &File) -> io::Result<()> {
    let old = fs::metadata(old)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::{MetadataExt, fchown};
        let own = new.metadata()?;
        if (own.uid(), own.gid()) != (old.uid(), old.gid()) {
            fchown(new, Some(old.uid()), Some(old.gid()))?;
        }
    }
    new.set_permissions(old.permissions())
}
