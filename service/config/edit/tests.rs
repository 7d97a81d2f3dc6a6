//! What a config file looks like after feeds were added, byte for byte, and when it stays as it was.

use super::*;

fn addition(address: &str, title: Option<&str>, group: Option<&str>) -> Addition {
    Addition {
        url: Url::parse(address).unwrap(),
        title: title.map(str::to_owned),
        group: group.map(str::to_owned),
        outline: Vec::new(),
    }
}

fn tides() -> Addition {
    addition("https://tides.example.org/feed.xml", None, None)
}

/// A folder with a config of that text.
fn config(text: &str) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tondo.toml");
    fs::write(&path, text).unwrap();
    (folder, path)
}

fn names_in(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect()
}

/// What a text becomes by adding feeds.
fn check(before: &str, additions: &[Addition], after: &str) {
    let (folder, path) = config(before);
    Draft::open(&path).unwrap().add(additions).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), after);
    assert_eq!(names_in(folder.path()), ["tondo.toml"]);
}

const ODD: &str = "# Ours.\n\n  data='d'   # near\n[[feed]] # the first\n\turl = 'https://gazette.example.org/feed.xml'\n\
                   #title = \"Gazette\"\n\n[gather]\nallow_private = [\n  \"192.168.7.5\", # the cellar\n]\n# The end.\n";

#[test]
fn comments_order_and_layout_stay_as_they_are() {
    check(
        ODD,
        &[
            tides(),
            addition(
                "https://anglers.example.org/?a=1&b=\"2\"",
                Some("Anglers \"&\" \\ Äl"),
                Some("Harbour / Boats"),
            ),
        ],
        &format!(
            "{ODD}\n[[feed]]\nurl = \"https://tides.example.org/feed.xml\"\n\n[[feed]]\n\
             url = \"https://anglers.example.org/?a=1&b=%222%22\"\n\
             title = 'Anglers \"&\" \\ Äl'\ngroup = \"Harbour / Boats\"\n"
        ),
    );
}

#[test]
fn what_a_list_said_of_a_feed_is_written_as_a_table_in_its_line() {
    let outline = [
        ("htmlUrl", "https://tides.example.org/"),
        ("xmlns:quay", "urn:quay"),
        ("quay:note", "two\nlines \"7\""),
    ];
    let addition = Addition {
        outline: outline
            .map(|(name, value)| (name.to_owned(), value.to_owned()))
            .into(),
        ..tides()
    };
    let table = "{ htmlUrl = \"https://tides.example.org/\", \"xmlns:quay\" = \"urn:quay\", \"quay:note\" = \"\"\"\ntwo\nlines \"7\"\"\"\" }";
    check(
        "",
        std::slice::from_ref(&addition),
        &format!("[[feed]]\nurl = \"https://tides.example.org/feed.xml\"\noutline = {table}\n"),
    );
    let (_folder, path) = config("feed = []\n");
    Draft::open(&path)
        .unwrap()
        .add(std::slice::from_ref(&addition))
        .unwrap();
    assert_eq!(
        Config::read(&path).unwrap().feeds[0].outline,
        addition.outline
    );
}

#[test]
fn line_ends_and_a_mark_at_the_start_stay_as_they_are() {
    check(
        "\u{feff}data = \"d\"\r\n",
        &[tides()],
        "\u{feff}data = \"d\"\r\n\r\n[[feed]]\r\nurl = \"https://tides.example.org/feed.xml\"\r\n",
    );
    check(
        "data = \"d\"",
        &[tides()],
        "data = \"d\"\n\n[[feed]]\nurl = \"https://tides.example.org/feed.xml\"\n",
    );
    check(
        "",
        &[tides()],
        "[[feed]]\nurl = \"https://tides.example.org/feed.xml\"\n",
    );
}

#[test]
fn feeds_in_an_array_get_a_further_member() {
    check(
        "feed = [\n  # Ours.\n  { url = \"https://gazette.example.org/\" },\n] # all\ndata = \"d\"\n",
        &[
            tides(),
            addition("https://anglers.example.org/", Some("Anglers"), None),
        ],
        "feed = [\n  # Ours.\n  { url = \"https://gazette.example.org/\" },\n  \
         { url = \"https://tides.example.org/feed.xml\" },\n  \
         { url = \"https://anglers.example.org/\", title = \"Anglers\" },\n] # all\ndata = \"d\"\n",
    );
    check(
        "feed = []\n",
        &[tides()],
        "feed = [{ url = \"https://tides.example.org/feed.xml\" }]\n",
    );
    check(
        "feed = [{ url = \"https://gazette.example.org/\" }]\n",
        &[tides()],
        "feed = [{ url = \"https://gazette.example.org/\" }, { url = \"https://tides.example.org/feed.xml\" }]\n",
    );
}

#[test]
fn a_file_that_is_not_there_is_made_with_every_setting_switched_off() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tondo.toml");
    let draft = Draft::open(&path).unwrap();
    assert!(draft.is_new() && draft.config().feeds.is_empty());
    assert_eq!(names_in(folder.path()).len(), 0);
    draft.add(&[tides()]).unwrap();
    let text = fs::read_to_string(&path).unwrap();
    assert!(text.contains("#allow_private = ["), "{text}");
    assert!(
        text.ends_with(
            "its url is all that it needs.\n[[feed]]\nurl = \"https://tides.example.org/feed.xml\"\n"
        ),
        "{text}"
    );
    assert_eq!(Config::read(&path).unwrap().feeds.len(), 1);
    // One that has come into being meanwhile is not overwritten.
    let fault = draft.add(&[tides()]).unwrap_err();
    assert!(matches!(fault, EditError::Unwritable { .. }), "{fault}");
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
}

#[test]
fn what_would_be_no_config_is_not_written() {
    let known = addition("https://gazette.example.org/feed.xml", None, None);
    for wrong in [known, addition("https://a.example.org/", Some(" "), None)] {
        let (folder, path) = config(ODD);
        let fault = Draft::open(&path).unwrap().add(&[tides(), wrong]);
        assert!(matches!(fault, Err(EditError::Refused(_))), "{fault:?}");
        assert_eq!(fs::read_to_string(&path).unwrap(), ODD);
        assert_eq!(names_in(folder.path()), ["tondo.toml"]);
    }
    let (_folder, path) = config("lissen = 1\n");
    assert!(matches!(
        Draft::open(&path),
        Err(ConfigError::Faulty { .. })
    ));
}

#[cfg(unix)]
#[test]
fn permissions_stay_and_a_link_stays_a_link() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let (folder, path) = config(ODD);
    fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
    let link = folder.path().join("link.toml");
    symlink("tondo.toml", &link).unwrap();
    Draft::open(&link).unwrap().add(&[tides()]).unwrap();
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert!(fs::read_to_string(&path).unwrap().contains("tides"));
    let mode = fs::metadata(&path).unwrap().permissions().mode();
    assert_eq!(mode & 0o777, 0o640);
}

#[test]
fn titles_of_any_characters_are_written_so_that_they_are_read_again() {
    for title in [
        "a\nb",
        "'''\"\"\"",
        "\u{7f}\u{1}x",
        "\\n # [[feed]]",
        "=",
        "日",
    ] {
        let (_folder, path) = config("data = \"d\"\r\n");
        let feed = addition("https://tides.example.org/", Some(title), Some(title));
        Draft::open(&path).unwrap().add(&[feed]).unwrap();
        let read = Config::read(&path).unwrap();
        assert_eq!(read.feeds[0].title.as_deref(), Some(title.trim()));
        assert_eq!(read.feeds[0].group.as_deref(), Some(title.trim()));
    }
}
