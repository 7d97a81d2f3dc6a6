//! The titles that feeds gave themselves, read from a database that is left as it is: it is neither made
//! nor brought to another version.

use std::cmp::Ordering;
use std::collections::HashMap;
use std::path::Path;

use sqlx::Connection;

use super::open::{DATABASE_NAME, look, program_version, version_of};
use super::{Store, StoreError};

impl Store {
    /// The titles by the feeds' addresses; none where there is no database yet.
    ///
    /// # Errors
    /// [`StoreError::Older`] and [`StoreError::Newer`] where the database is not of this program's version,
    /// [`StoreError::File`], [`StoreError::Database`].
    pub async fn own_titles(data: &Path) -> Result<HashMap<String, String>, StoreError> {
        let path = data.join(DATABASE_NAME);
        let Some(version) = version_of(&path).await? else {
            return Ok(HashMap::new());
        };
        check_version(&path, version)?;
        let mut connection = look(&path).await?;
        let titles = sqlx::query_as::<_, (String, String)>(
            "SELECT address, trim(feed_title) FROM feed WHERE trim(feed_title) <> ''",
        )
        .fetch_all(&mut connection)
        .await?;
        connection.close().await?;
        Ok(titles.into_iter().collect())
    }
}

fn check_version(path: &Path, database: i64) -> Result<(), StoreError> {
    let (path, program) = (path.display().to_string(), program_version());
    match database.cmp(&program) {
        Ordering::Equal => Ok(()),
        Ordering::Less => Err(StoreError::Older {
            path,
            database,
            program,
        }),
        Ordering::Greater => Err(StoreError::Newer {
            path,
            database,
            program,
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::Clock;

    #[tokio::test]
    async fn nothing_is_made_where_there_is_no_database() {
        let folder = tempfile::tempdir().unwrap();
        let data = folder.path().join("data");
        assert!(Store::own_titles(&data).await.unwrap().is_empty());
        assert!(!data.exists());
    }

    #[tokio::test]
    async fn titles_are_read_while_the_service_runs_and_another_version_is_left_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        let clock = Clock::fixed("2031-04-01T06:00:00Z".parse().unwrap());
        let store = Store::open(folder.path(), &clock).await.unwrap();
        for (address, title) in [("a", Some(" Tides ")), ("b", Some(" ")), ("c", None)] {
            sqlx::query(
                "INSERT INTO feed (address, position, next_due, feed_title) VALUES (?1, 0, 0, ?2)",
            )
            .bind(address)
            .bind(title)
            .execute(&store.pool)
            .await
            .unwrap();
        }
        let titles = Store::own_titles(folder.path()).await.unwrap();
        assert_eq!(titles, HashMap::from([("a".into(), "Tides".into())]));

        sqlx::query("DELETE FROM _sqlx_migrations WHERE version > 1")
            .execute(&store.pool)
            .await
            .unwrap();
        store.close().await;
        let path = folder.path().join(DATABASE_NAME);
        let before = std::fs::read(&path).unwrap();
        let fault = Store::own_titles(folder.path()).await.unwrap_err();
        assert!(
            matches!(fault, StoreError::Older { database: 1, .. }),
            "{fault}"
        );
        assert!(std::fs::read(&path).unwrap() == before);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
