//! Opens the database: its pragmas, the copy before a migration, the refusal of a newer one. Owns no table.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use jiff::Timestamp;
use sqlx::migrate::Migrator;
use sqlx::sqlite::{
    SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions, SqliteSynchronous,
};
use sqlx::{ConnectOptions, Connection, SqliteConnection};

use super::{Store, StoreError, story};
use crate::clock::Clock;

/// The name of the database file in the data folder.
pub const DATABASE_NAME: &str = "tondo.db";

/// The migrations, compiled in.
static MIGRATIONS: Migrator = sqlx::migrate!("./migrations");

/// The version of the database since which entries know their stories.
const STORIES_SINCE: i64 = 7;

/// How long a statement waits for another writer. Writes here take milliseconds, so that this is
/// reached only when something else holds the file.
const BUSY_TIMEOUT: Duration = Duration::from_secs(10);

/// What SQLite calls a database that gives free pages back to the disk when it is told to
/// (<https://www.sqlite.org/pragma.html#pragma_auto_vacuum>).
const SHRINKABLE: i64 = 2;

/// Rows that a connection's thread reads ahead of who asked for them. With the library's 50 the two of them would
/// wake each other up twenty times for the schedule of a thousand feeds.
const ROWS_AHEAD: usize = 1_024;

/// Connections at most: one writer, and a few readers, which WAL lets read meanwhile.
const CONNECTIONS: u32 = 4;

impl Store {
    /// Opens the database in the folder `data`, making either where it is absent, and brings it to
    /// this program's version. An existing database is copied first, beside itself, under a name
    /// that tells its version and the instant, such as `tondo-version-5-20310401T060000Z.db`.
    ///
    /// # Errors
    /// [`StoreError::Newer`] where a later program has written it (nothing is changed then),
    /// [`StoreError::File`] for the folder or the copy, [`StoreError::Migration`], [`StoreError::Database`].
    pub async fn open(data: &Path, clock: &Clock) -> Result<Self, StoreError> {
        open_with(&MIGRATIONS, data, clock).await
    }

    /// Ends all connections and folds the write-ahead log into the database file.
    pub async fn close(&self) {
        self.pool.close().await;
    }
}

/// [`Store::open`] with the migrations as a parameter, so that tests can play an older or a newer program.
async fn open_with(migrations: &Migrator, data: &Path, clock: &Clock) -> Result<Store, StoreError> {
    tokio::fs::create_dir_all(data)
        .await
        .map_err(|source| file_fault(data, source))?;
    let path = data.join(DATABASE_NAME);
    let newest = newest(migrations);
    let version = version_of(&path).await?;
    if let Some(version) = version {
        if version > newest {
            return Err(StoreError::Newer {
                path: path.display().to_string(),
                database: version,
                program: newest,
            });
        }
        if version < newest {
            copy(&path, version, clock.now()).await?;
        }
    }
    let pool = connect(&path).await?;
    make_shrinkable(&pool, &path).await;
    migrations.run(&pool).await?;
    if version.is_some_and(|version| version < STORIES_SINCE) {
        let mut transaction = pool.begin().await?;
        story::find_all(&mut transaction).await?;
        transaction.commit().await?;
    }
    Ok(Store {
        pool,
        writer: Arc::default(),
    })
}

/// The version of a database that this program has opened.
pub(super) fn program_version() -> i64 {
    newest(&MIGRATIONS)
}

fn newest(migrations: &Migrator) -> i64 {
    let versions = migrations.iter().map(|step| step.version);
    versions.max().unwrap_or(0)
}

/// The one place where connections get their pragmas.
async fn connect(path: &Path) -> Result<SqlitePool, StoreError> {
    let options = SqliteConnectOptions::new()
        .filename(path)
        .create_if_missing(true)
        .journal_mode(SqliteJournalMode::Wal)
        .foreign_keys(true)
        .busy_timeout(BUSY_TIMEOUT)
        .synchronous(SqliteSynchronous::Normal)
        .row_buffer_size(ROWS_AHEAD);
    let pool = SqlitePoolOptions::new()
        .max_connections(CONNECTIONS)
        // A file does not go away as a server does, so that the question would cost more than it tells.
        .test_before_acquire(false)
        .connect_with(options)
        .await?;
    Ok(pool)
}

/// Makes a database able to give free pages back to the disk: a new one, and one that was made before this was
/// thought of. The latter is written anew for that, which takes up to twice its size on the disk for a while
/// (<https://www.sqlite.org/lang_vacuum.html>). Where it fails, the database is as good as it was: free pages are filled again, and the next start tries anew.
async fn make_shrinkable(pool: &SqlitePool, path: &Path) {
    if let Err(fault) = try_to_make_shrinkable(pool, path).await {
        tracing::warn!(
            database = %path.display(), %fault,
            "the database could not be written anew, so that it cannot shrink; make room on the disk, twice as \
             much as it takes, and start again with nothing else using it"
        );
    }
}

async fn try_to_make_shrinkable(pool: &SqlitePool, path: &Path) -> Result<(), sqlx::Error> {
    let mut connection = pool.acquire().await?;
    let (mode, pages) = sqlx::query_as::<_, (i64, i64)>(
        "SELECT auto_vacuum, page_count FROM pragma_auto_vacuum, pragma_page_count",
    )
    .fetch_one(&mut *connection)
    .await?;
    if mode == SHRINKABLE {
        return Ok(());
    }
    if pages > 1 {
        tracing::info!(database = %path.display(), "writing the database anew once, so that it can shrink");
    }
    // Only said where it is not so yet, since saying it of a database that can shrink writes to it.
    sqlx::query("PRAGMA auto_vacuum = INCREMENTAL")
        .execute(&mut *connection)
        .await?;
    sqlx::query("VACUUM").execute(&mut *connection).await?;
    sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)")
        .execute(&mut *connection)
        .await?;
    Ok(())
}

/// Opens an existing file without any pragma that would change it.
pub(super) async fn look(path: &Path) -> Result<SqliteConnection, StoreError> {
    Ok(SqliteConnectOptions::new()
        .filename(path)
        .create_if_missing(false)
        .busy_timeout(BUSY_TIMEOUT)
        .connect()
        .await?)
}

/// The version of an existing database; `None` where there is none, or an empty one.
pub(super) async fn version_of(path: &Path) -> Result<Option<i64>, StoreError> {
    let exists = tokio::fs::try_exists(path)
        .await
        .map_err(|source| file_fault(path, source))?;
    if !exists {
        return Ok(None);
    }
    let mut connection = look(path).await?;
    let (versioned,) = sqlx::query_as::<_, (bool,)>(
        "SELECT count(*) > 0 FROM sqlite_schema WHERE type = 'table' AND name = '_sqlx_migrations'",
    )
    .fetch_one(&mut connection)
    .await?;
    let version = if versioned {
        sqlx::query_as::<_, (Option<i64>,)>("SELECT max(version) FROM _sqlx_migrations")
            .fetch_one(&mut connection)
            .await?
            .0
    } else {
        None
    };
    connection.close().await?;
    Ok(version)
}

/// Copies the database, with all that its write-ahead log holds, into a file beside it.
async fn copy(path: &Path, version: i64, now: Timestamp) -> Result<(), StoreError> {
    let target = copy_name(path, version, now);
    let mut connection = look(path).await?;
    sqlx::query("VACUUM INTO ?1")
        .bind(target.display().to_string())
        .execute(&mut connection)
        .await?;
    connection.close().await?;
    tracing::info!(copy = %target.display(), "copied the database before bringing it up to date");
    Ok(())
}

/// The name of the copy of a database of `version`, made at `now`.
fn copy_name(path: &Path, version: i64, now: Timestamp) -> PathBuf {
    let instant = now.strftime("%Y%m%dT%H%M%SZ");
    path.with_file_name(format!("tondo-version-{version}-{instant}.db"))
}

fn file_fault(path: &Path, source: std::io::Error) -> StoreError {
    StoreError::File {
        path: path.display().to_string(),
        source,
    }
}

#[cfg(test)]
mod tests {
    use std::borrow::Cow;
    use std::collections::BTreeMap;

    use sqlx::SqlSafeStr;
    use sqlx::migrate::{Migration, MigrationType};

    use super::super::Sought;
    use super::*;

    fn clock() -> Clock {
        Clock::fixed("2031-04-01T06:00:00Z".parse().unwrap())
    }

    /// This program's migrations and one more.
    fn newer_program() -> Migrator {
        let further = Migration::new(
            9_000,
            Cow::Borrowed("further"),
            MigrationType::Simple,
            "CREATE TABLE further (id INTEGER PRIMARY KEY) STRICT".into_sql_str(),
            false,
        );
        Migrator::with_migrations(MIGRATIONS.iter().cloned().chain([further]).collect())
    }

    /// The version that this program brings a database to.
    fn newest() -> i64 {
        MIGRATIONS.iter().map(|step| step.version).max().unwrap()
    }

    fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
        std::fs::read_dir(folder)
            .unwrap()
            .map(|file| file.unwrap().path())
            .map(|path| {
                let name = path.file_name().unwrap().to_str().unwrap().to_owned();
                (name, std::fs::read(path).unwrap())
            })
            .collect()
    }

    #[tokio::test]
    async fn makes_the_folder_and_sets_every_pragma() {
        let folder = tempfile::tempdir().unwrap();
        let data = folder.path().join("a/b");
        let store = Store::open(&data, &clock()).await.unwrap();
        let (journal,): (String,) = sqlx::query_as("PRAGMA journal_mode")
            .fetch_one(&store.pool)
            .await
            .unwrap();
        assert_eq!(journal, "wal");
        for (pragma, expected) in [
            ("PRAGMA foreign_keys", 1),
            ("PRAGMA synchronous", 1),
            ("PRAGMA busy_timeout", 10_000),
            ("PRAGMA auto_vacuum", SHRINKABLE),
        ] {
            let (value,): (i64,) = sqlx::query_as(pragma).fetch_one(&store.pool).await.unwrap();
            assert_eq!(value, expected, "{pragma}");
        }
        assert!(data.join(DATABASE_NAME).exists());
        assert_eq!(
            files(&data)
                .keys()
                .filter(|name| name.contains("version"))
                .count(),
            0
        );
    }

    #[tokio::test]
    async fn every_table_of_ours_is_strict_and_every_column_has_a_comment() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path(), &clock()).await.unwrap();
        let tables: Vec<(String, bool, String)> = sqlx::query_as(
            "SELECT list.name, list.strict, sqlite_schema.sql
             FROM pragma_table_list AS list JOIN sqlite_schema USING (name)
             WHERE list.type = 'table' AND list.name NOT LIKE '\\_sqlx%' ESCAPE '\\'
               AND list.name NOT LIKE 'sqlite\\_%' ESCAPE '\\'",
        )
        .fetch_all(&store.pool)
        .await
        .unwrap();
        assert_eq!(tables.len(), 16);
        for (name, strict, sql) in tables {
            assert!(strict, "{name} is not STRICT");
            let lines: Vec<&str> = sql.lines().map(str::trim).collect();
            for pair in lines.windows(2) {
                let column = pair[1].split(' ').next().unwrap();
                if column.starts_with(|first: char| first.is_ascii_lowercase()) {
                    assert!(pair[0].starts_with("--"), "{name}.{column} has no comment");
                }
            }
        }
    }

    #[tokio::test]
    async fn opening_again_changes_and_copies_nothing() {
        let folder = tempfile::tempdir().unwrap();
        Store::open(folder.path(), &clock())
            .await
            .unwrap()
            .close()
            .await;
        let before = files(folder.path());
        Store::open(folder.path(), &clock())
            .await
            .unwrap()
            .close()
            .await;
        assert_eq!(files(folder.path()), before);
    }

    #[tokio::test]
    async fn a_database_is_copied_before_it_is_migrated() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path(), &clock()).await.unwrap();
        sqlx::query("INSERT INTO feed (address, position, next_due) VALUES ('a', 0, 0)")
            .execute(&store.pool)
            .await
            .unwrap();
        store.close().await;
        let newer = open_with(&newer_program(), folder.path(), &clock())
            .await
            .unwrap();
        newer.close().await;
        let version = newest();
        let copy = folder
            .path()
            .join(format!("tondo-version-{version}-20310401T060000Z.db"));
        assert_eq!(version_of(&copy).await.unwrap(), Some(version));
        assert_eq!(
            version_of(&folder.path().join(DATABASE_NAME))
                .await
                .unwrap(),
            Some(9_000)
        );
        let mut connection = look(&copy).await.unwrap();
        let (feeds,): (i64,) = sqlx::query_as("SELECT count(*) FROM feed")
            .fetch_one(&mut connection)
            .await
            .unwrap();
        assert_eq!(feeds, 1);
    }

    /// The version of the database since which articles are found by their words.
    const FIND_SINCE: i64 = 11;

    #[tokio::test]
    async fn articles_from_before_the_search_stay_and_wait_to_be_made_findable() {
        let folder = tempfile::tempdir().unwrap();
        let older = MIGRATIONS.iter().filter(|step| step.version < FIND_SINCE);
        let older = Migrator::with_migrations(older.cloned().collect());
        let store = open_with(&older, folder.path(), &clock()).await.unwrap();
        for statement in [
            "INSERT INTO feed (address, position, next_due) VALUES ('a', 0, 0)",
            "INSERT INTO entry (feed, identity, first_seen, published) VALUES (1, 'one', 0, 0)",
            "INSERT INTO article (entry, title, language, direction, words, distiller, authors, blocks_hash, blocks,
                                  source)
             VALUES (1, 'Ebb', 'en', 'ltr', 1, 1, '[]', zeroblob(32), '{\"version\":1,\"blocks\":[],\"links\":[]}', x'')",
        ] {
            sqlx::query(statement).execute(&store.pool).await.unwrap();
        }
        store.close().await;
        let store = Store::open(folder.path(), &clock()).await.unwrap();
        assert_eq!(store.unfindable_count().await.unwrap(), 1);
        let articles = store.unfindable().await.unwrap();
        let pairs = articles.into_iter().map(|article| {
            let searchable = article.searchable();
            (article, searchable)
        });
        let pairs: Vec<_> = pairs.collect();
        store.make_findable(&pairs).await.unwrap();
        let found = store.find(&Sought::parse("ebb").unwrap()).await.unwrap();
        assert_eq!(found.entries, [1]);
        assert_eq!(store.unfindable_count().await.unwrap(), 0);
    }

    /// A database with one feed, as programs made it that did not think of shrinking.
    async fn older_file(folder: &Path) {
        let options = SqliteConnectOptions::new()
            .filename(folder.join(DATABASE_NAME))
            .create_if_missing(true)
            .journal_mode(SqliteJournalMode::Wal);
        let pool = SqlitePool::connect_with(options).await.unwrap();
        MIGRATIONS.run(&pool).await.unwrap();
        sqlx::query("INSERT INTO feed (address, position, next_due) VALUES ('a', 0, 0)")
            .execute(&pool)
            .await
            .unwrap();
        pool.close().await;
    }

    async fn feeds_and_mode(pool: &SqlitePool) -> (i64, i64) {
        sqlx::query_as("SELECT (SELECT count(*) FROM feed), auto_vacuum FROM pragma_auto_vacuum")
            .fetch_one(pool)
            .await
            .unwrap()
    }

    #[tokio::test]
    async fn a_database_that_cannot_shrink_is_written_anew_once() {
        let folder = tempfile::tempdir().unwrap();
        older_file(folder.path()).await;
        let store = Store::open(folder.path(), &clock()).await.unwrap();
        assert_eq!(feeds_and_mode(&store.pool).await, (1, SHRINKABLE));
        store.close().await;
        let before = files(folder.path());
        assert_eq!(before.len(), 1, "{:?}", before.keys());
        let store = Store::open(folder.path(), &clock()).await.unwrap();
        store.close().await;
        assert_eq!(files(folder.path()), before);
    }

    #[tokio::test]
    async fn a_database_that_cannot_be_written_anew_is_used_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        older_file(folder.path()).await;
        let path = folder.path().join(DATABASE_NAME);
        let options = SqliteConnectOptions::new()
            .filename(&path)
            .busy_timeout(Duration::ZERO);
        let pool = SqlitePool::connect_with(options).await.unwrap();
        let mut other = look(&path).await.unwrap();
        sqlx::query("BEGIN IMMEDIATE")
            .execute(&mut other)
            .await
            .unwrap();
        make_shrinkable(&pool, &path).await;
        assert_eq!(feeds_and_mode(&pool).await, (1, 0));
        sqlx::query("ROLLBACK").execute(&mut other).await.unwrap();
        make_shrinkable(&pool, &path).await;
        assert_eq!(feeds_and_mode(&pool).await, (1, SHRINKABLE));
    }

    #[tokio::test]
    async fn a_newer_database_is_refused_and_left_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        open_with(&newer_program(), folder.path(), &clock())
            .await
            .unwrap()
            .close()
            .await;
        let before = files(folder.path());
        let refusal = Store::open(folder.path(), &clock()).await.unwrap_err();
        assert!(matches!(
            refusal,
            StoreError::Newer { database: 9_000, program, .. } if program == newest()
        ));
        let text = refusal.to_string();
        assert!(
            text.contains("version 9000") && text.contains("Nothing was changed"),
            "{text}"
        );
        assert_eq!(files(folder.path()), before);
    }

    #[tokio::test]
    async fn ids_are_never_given_again() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path(), &clock()).await.unwrap();
        let mut given = Vec::new();
        for _ in 0..2 {
            let (id,): (i64,) = sqlx::query_as(
                "INSERT INTO feed (address, position, next_due) VALUES ('a', 0, 0) RETURNING id",
            )
            .fetch_one(&store.pool)
            .await
            .unwrap();
            given.push(id);
            sqlx::query("DELETE FROM feed")
                .execute(&store.pool)
                .await
                .unwrap();
        }
        assert_ne!(given[0], given[1]);
    }
}
