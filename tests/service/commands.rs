//! The program as it is typed: what it prints, its exit status, and what it leaves on the disk.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};

use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{ConnectOptions, Connection};
use tempfile::TempDir;
use tondo::config::Config;

use super::house::client;
use super::publisher::{Publisher, Reply, Written, atom};

/// The program with its arguments, in an environment in which nothing depends on the terminal.
pub(super) fn tondo(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tondo"));
    command
        .args(arguments)
        .env_remove("TONDO_LOG")
        .stdin(Stdio::null());
    command
}

/// Runs it to its end, off the threads on which a publisher may have to answer it.
pub(super) async fn run(arguments: &[&str]) -> Output {
    let mut command = tondo(arguments);
    let ended = tokio::task::spawn_blocking(move || command.output()).await;
    ended.expect("no panic").expect("the program starts")
}

pub(super) fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

/// A folder with a file of that text in it.
pub(super) fn folder_with(name: &str, content: &str) -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join(name);
    fs::write(&file, content).expect("a file");
    (folder, file)
}

pub(super) fn names_in(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder");
    let names = entries.map(|entry| entry.expect("an entry").file_name());
    let mut names: Vec<String> = names.map(|name| name.to_string_lossy().into()).collect();
    names.sort();
    names
}

#[tokio::test]
async fn the_example_is_a_config_as_it_stands() {
    let example = run(&["example"]).await;
    assert!(example.status.success());
    let printed = text(&example.stdout);
    let config = Config::parse(&printed, "tondo.toml").expect("a config");
    assert!(config.feeds.len() >= 2);
    // With every setting switched on it is one too.
    let lines = printed.lines().map(|line| match line.strip_prefix('#') {
        Some(setting) if setting.starts_with(|first: char| !first.is_whitespace()) => setting,
        _ => line,
    });
    let whole = lines.collect::<Vec<_>>().join("\n");
    let config = Config::parse(&whole, "tondo.toml").expect("a config");
    assert!(
        !config.allow_private.is_empty() && !config.hosts.is_empty(),
        "{whole}"
    );
    assert!(config.feeds.iter().any(|feed| !feed.headers.is_empty()));
}

/// A config that cannot be used: the line of its fault, and what the message says.
async fn check_refused(config: &str, line: usize, says: &[&str]) {
    let (folder, file) = folder_with("tondo.toml", config);
    for command in ["serve", "refresh"] {
        let ended = run(&[command, "--config", &file.display().to_string()]).await;
        let message = text(&ended.stderr);
        assert_eq!(ended.status.code(), Some(2), "{message}");
        let place = format!("tondo.toml:{line}: ");
        assert!(message.contains(&place), "{place}: {message}");
        for said in says {
            assert!(message.contains(said), "{said}: {message}");
        }
        assert_eq!(text(&ended.stdout), "");
        assert_eq!(names_in(folder.path()), ["tondo.toml"], "{command}");
    }
}

#[tokio::test]
async fn a_config_that_cannot_be_used_is_refused_with_line_and_mend_and_nothing_is_written() {
    let feed = "[[feed]]\nurl = \"https://gazette.example.org/feed.xml\"\n";
    check_refused(
        &format!("{feed}colour = \"blue\"\n"),
        3,
        &["colour", "title"],
    )
    .await;
    check_refused(
        &format!("lissen = \"127.0.0.1:8090\"\n{feed}"),
        1,
        &["lissen", "listen"],
    )
    .await;
    check_refused(
        "[[feed]]\nurl = \"gopher://example.org/\"\n",
        2,
        &["gopher", "http"],
    )
    .await;
    check_refused("[[feed]]\nurl = \"not an address\"\n", 2, &["https://"]).await;
    check_refused(
        &format!("listen = \"everywhere\"\n{feed}"),
        1,
        &["listen", "127.0.0.1:8090"],
    )
    .await;
    check_refused(
        &format!("{feed}{feed}"),
        4,
        &["line 2", "take one of the two feeds out"],
    )
    .await;
    check_refused("listen = \"127.0.0.1:8090\n", 1, &[]).await;
    check_refused("", 1, &["[[feed]]"]).await;
}

#[tokio::test]
async fn a_config_that_is_not_there_is_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("absent.toml").display().to_string();
    for command in ["serve", "refresh"] {
        let ended = run(&[command, "--config", &file]).await;
        assert_eq!(ended.status.code(), Some(2));
        assert!(text(&ended.stderr).contains("absent.toml"));
    }
    assert!(names_in(folder.path()).is_empty());
}

/// A folder with a config of feeds on loopback.
pub(super) fn config_of(publisher: &Publisher, names: &[&str]) -> (TempDir, PathBuf) {
    let mut config = "[gather]\nallow_private = [\"127.0.0.1\"]\n".to_owned();
    for name in names {
        let address = publisher.address(&format!("/feed/{name}"));
        config += &format!("[[feed]]\nurl = \"{address}\"\n");
    }
    folder_with("tondo.toml", &config)
}

fn publish(publisher: &Publisher, name: &str) {
    let content = format!("<p>The {name} came in with the tide.</p>").repeat(30);
    let entries = [Written::new(name, &content)];
    let body = atom(
        &publisher.address("/"),
        &format!("Post of {name}"),
        &entries,
    );
    publisher.set(&format!("/feed/{name}"), Reply::atom(body));
}

#[tokio::test]
async fn refresh_says_a_line_a_feed_and_its_status_whether_one_failed() {
    let publisher = Publisher::start().await;
    publish(&publisher, "barque");
    let (_folder, file) = config_of(&publisher, &["barque", "wreck"]);
    let file = file.display().to_string();
    let ended = run(&["refresh", "--config", &file]).await;
    let told = text(&ended.stderr);
    assert_eq!(ended.status.code(), Some(1), "{told}");
    assert_eq!(told.lines().count(), 2, "{told}");
    assert!(
        told.lines()
            .any(|line| line == "Post of barque: 1 new, 0 changed"),
        "{told}"
    );
    let failed = told.lines().find(|line| line.contains("failed:"));
    assert!(
        failed.is_some_and(|line| line.contains("status 404")),
        "{told}"
    );
    assert_eq!(
        text(&ended.stdout),
        "2 feeds, 1 failed; 1 article new, 0 changed.\n"
    );
}

/// All that the database holds, row by row, but for the log of fetches.
async fn dump(database: &Path) -> Vec<String> {
    let options = SqliteConnectOptions::new()
        .filename(database)
        .read_only(true);
    let mut connection = options.connect().await.expect("a database");
    let tables: Vec<(String,)> = sqlx::query_as(
        "SELECT name FROM sqlite_schema WHERE type = 'table' AND name <> 'fetch_log' ORDER BY name",
    )
    .fetch_all(&mut connection)
    .await
    .expect("tables");
    let mut rows = Vec::new();
    for (table,) in tables {
        let columns: Vec<(String,)> = sqlx::query_as("SELECT name FROM pragma_table_info(?1)")
            .bind(&table)
            .fetch_all(&mut connection)
            .await
            .expect("columns");
        let quoted: Vec<String> = columns
            .iter()
            .map(|(name,)| format!("quote({name})"))
            .collect();
        let select = format!(
            "SELECT {} FROM {table} ORDER BY 1",
            quoted.join(" || ',' || ")
        );
        let found: Vec<(String,)> = sqlx::query_as(sqlx::AssertSqlSafe(select))
            .fetch_all(&mut connection)
            .await
            .expect("rows");
        rows.extend(found.into_iter().map(|(row,)| format!("{table}: {row}")));
    }
    connection.close().await.expect("an end");
    rows
}

/// Makes every feed due, which the system's clock would do in an hour.
pub(super) async fn make_due(database: &Path) {
    let options = SqliteConnectOptions::new().filename(database);
    let mut connection = options.connect().await.expect("a database");
    sqlx::query("UPDATE feed SET next_due = 0")
        .execute(&mut connection)
        .await
        .expect("a change");
    connection.close().await.expect("an end");
}

#[tokio::test]
async fn refreshing_feeds_that_are_as_before_writes_when_they_are_due_and_nothing_else() {
    let publisher = Publisher::start().await;
    publish(&publisher, "barque");
    publish(&publisher, "ketch");
    let (folder, file) = config_of(&publisher, &["barque", "ketch"]);
    let file = file.display().to_string();
    let first = run(&["refresh", "--config", &file]).await;
    assert_eq!(first.status.code(), Some(0), "{}", text(&first.stderr));
    let database = folder.path().join("data").join(tondo::store::DATABASE_NAME);
    make_due(&database).await;
    publisher.take_asked();
    let rows = dump(&database).await;
    assert!(
        rows.iter().any(|row| row.starts_with("article: ")),
        "{rows:?}"
    );

    let second = run(&["refresh", "--config", &file]).await;
    assert_eq!(second.status.code(), Some(0), "{}", text(&second.stderr));
    let told = text(&second.stderr);
    assert_eq!(told.matches(": as before\n").count(), 2, "{told}");
    assert_eq!(publisher.take_asked().len(), 2, "both were asked for again");
    let third = run(&["refresh", "--config", &file]).await;
    assert_eq!(third.status.code(), Some(0), "{}", text(&third.stderr));
    assert_eq!(publisher.take_asked(), [""; 0], "a start anew asks nobody");
    make_due(&database).await;
    assert!(dump(&database).await == rows, "more has changed");
}

#[tokio::test]
async fn refresh_sweeps_away_what_is_beyond_the_limits_and_tells_how_much() {
    let publisher = Publisher::start().await;
    let names = ["barque", "ketch", "sloop"];
    for name in names {
        publish(&publisher, name);
    }
    let (folder, file) = config_of(&publisher, &names);
    let config = text(&fs::read(&file).expect("a config"));
    let named = file.display().to_string();
    let first = run(&["refresh", "--config", &named]).await;
    let told = "3 feeds, 0 failed; 3 articles new, 0 changed.\n";
    assert_eq!(text(&first.stdout), told, "{}", text(&first.stderr));
    fs::write(&file, format!("[shelf]\nin_all = 1\n{config}")).expect("a config");
    let database = folder.path().join("data").join(tondo::store::DATABASE_NAME);
    let articles = async || {
        let rows = dump(&database).await;
        let articles = rows.iter().filter(|row| row.starts_with("article: "));
        articles.count()
    };
    assert_eq!(articles().await, 3);
    make_due(&database).await;
    let second = run(&["refresh", "--config", &named]).await;
    assert_eq!(
        text(&second.stdout),
        "3 feeds, 0 failed; 0 articles new, 0 changed.\n\
         2 articles swept away, beyond the limits of `shelf`.\n"
    );
    assert_eq!(articles().await, 1);
}

/// A child that is ended with the test, should it fail.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        drop(self.0.kill());
        drop(self.0.wait());
    }
}

#[cfg(unix)]
#[tokio::test]
async fn the_demo_prints_its_address_answers_and_leaves_nothing_behind() {
    let temporary = tempfile::tempdir().expect("a folder");
    let mut command = tondo(&["demo", "--listen", "127.0.0.1:0"]);
    command
        .env("TMPDIR", temporary.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::null());
    let mut demo = Running(command.spawn().expect("the program starts"));
    let out = BufReader::new(demo.0.stdout.take().expect("its output"));
    let told = tokio::task::spawn_blocking(move || {
        let mut lines = out.lines().map_while(Result::ok);
        let address = lines.find(|line| line.trim_start().starts_with("http://"));
        (address, lines)
    });
    let (address, lines) = told.await.expect("no panic");
    let address = address.expect("an address is printed").trim().to_owned();
    let index = format!("{}/round-10/", address.trim_end_matches('/'));
    let get = async |address: &str| {
        let page = client().get(address).send().await.expect("an answer");
        assert!(page.status().is_success());
        page.text().await.expect("a page")
    };
    assert!(
        get(&address).await.contains("action=/whole"),
        "the first visit asks for the screen"
    );
    // The town has groups, so that the choice comes first, and all entries after a tap.
    let choice = super::page::rows(&get(&index).await);
    assert!(choice.iter().any(|row| row.text.starts_with("Town | ")));
    let all = choice.iter().find(|row| row.text.starts_with("All | "));
    let all = &all.expect("all can be chosen").href;
    let html = get(&format!("{}{all}", address.trim_end_matches('/'))).await;
    let rows = super::page::entry_rows(&html);
    assert_eq!(rows.len(), tondo::store::ENTRIES_A_PAGE);

    let end = format!("kill -TERM {}", demo.0.id());
    let ended = tokio::task::spawn_blocking(move || {
        let sent = Command::new("sh").args(["-c", &end]).status();
        assert!(sent.expect("a shell").success());
        // It has somewhere to say the rest, since its output is read to the end.
        assert!(lines.count() >= 1);
        demo.0.wait().expect("an end")
    });
    assert_eq!(ended.await.expect("no panic").code(), Some(0));
    assert_eq!(names_in(temporary.path()), [""; 0]);
}
