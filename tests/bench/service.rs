//! The program as a process: started on a folder of its own, watched from outside, and ended. Judges nothing.

use std::io::{self, BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use std::{env, fs};

use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{ConnectOptions, Connection, SqliteConnection};
use tempfile::TempDir;

/// What goes wrong in a bench ends it.
pub type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

/// A folder with a config of so many feeds, and the database that is made there.
pub struct Household {
    folder: TempDir,
}

impl Household {
    /// With these feeds.
    pub fn new(addresses: impl Iterator<Item = String>) -> Outcome<Self> {
        let folder = tempfile::tempdir()?;
        let mut config = "listen = \"127.0.0.1:0\"\n\
                          [gather]\nallow_private = [\"127.0.0.0/8\"]\n"
            .to_owned();
        config.extend(addresses.map(|address| format!("[[feed]]\nurl = \"{address}\"\n")));
        fs::write(folder.path().join("tondo.toml"), config)?;
        Ok(Self { folder })
    }

    /// The program with a command, in this folder.
    pub fn command(&self, command: &str) -> Command {
        let built = || env!("CARGO_BIN_EXE_tondo").into();
        let mut program = Command::new(env::var_os("TONDO_BIN").unwrap_or_else(built));
        program
            .arg(command)
            .arg("--config")
            .arg(self.folder.path().join("tondo.toml"))
            .env("TONDO_LOG", "off")
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        program
    }

    /// Serves until the value is dropped.
    pub fn serve(&self) -> Outcome<Serving> {
        let mut child = self.command("serve").stdout(Stdio::piped()).spawn()?;
        let out = child.stdout.take().ok_or("no output")?;
        let mut serving = Serving {
            child,
            address: String::new(),
        };
        for line in BufReader::new(out).lines() {
            let line = line?;
            if let Some(address) = line.trim().strip_suffix('/') {
                address.clone_into(&mut serving.address);
                return Ok(serving);
            }
        }
        Err("the program printed no address".into())
    }

    /// A file in the folder.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// The database, once the program has made it.
    pub async fn database(&self) -> Outcome<SqliteConnection> {
        let path = self.path("data/tondo.db");
        while !path.exists() {
            tokio::time::sleep(Duration::from_millis(10)).await;
        }
        let options = SqliteConnectOptions::new()
            .filename(path)
            .create_if_missing(false)
            .busy_timeout(Duration::from_secs(10));
        Ok(options.connect().await?)
    }

    /// Makes every feed due, as if it had waited long enough.
    pub async fn make_due(&self) -> Outcome<()> {
        let mut database = self.database().await?;
        sqlx::query("UPDATE feed SET next_due = 0")
            .execute(&mut database)
            .await?;
        database.close().await?;
        Ok(())
    }
}

/// A program that serves. Its end comes with the value's.
pub struct Serving {
    child: Child,
    /// Where, without a slash at its end.
    pub address: String,
}

impl Drop for Serving {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

impl Serving {
    /// The most memory that it ever held, in MB of a million bytes: VmHWM of proc(5).
    pub fn most_memory(&self) -> Outcome<f64> {
        let status = fs::read_to_string(format!("/proc/{}/status", self.child.id()))?;
        let line = status
            .lines()
            .find_map(|line| line.strip_prefix("VmHWM:"))
            .ok_or("no VmHWM")?;
        let kib: f64 = line.trim().trim_end_matches(" kB").parse()?;
        Ok(kib * 1024.0 / 1e6)
    }

    /// How many files and connections it has open.
    pub fn open_files(&self) -> Outcome<usize> {
        Ok(fs::read_dir(format!("/proc/{}/fd", self.child.id()))?.count())
    }

    /// Asks it to end, as the system does, and waits until it has.
    pub fn end(mut self) -> Outcome<()> {
        let ended = Command::new("kill")
            .args(["-TERM", &self.child.id().to_string()])
            .status()?;
        if !ended.success() {
            return Err("the program could not be asked to end".into());
        }
        self.child.wait()?;
        Ok(())
    }
}

/// How long a command takes from its start to its end.
pub fn time(command: &mut Command) -> io::Result<Duration> {
    let start = Instant::now();
    let status = command.status()?;
    let taken = start.elapsed();
    if status.success() {
        Ok(taken)
    } else {
        Err(io::Error::other(format!("{command:?}: {status}")))
    }
}
