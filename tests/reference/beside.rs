//! What stands beside tondo in tests: where the packages of registries lie that `tests/run` fetches, and what
//! programs of this folder print. Never judges.

use std::io::{Seek, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde::de::DeserializeOwned;

/// The folder of the programs and of their packages.
pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference")
}

/// Where cargo keeps the sources of a crate that nothing is built of.
pub fn sources_of(name: &str) -> PathBuf {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    let metadata: serde_json::Value = json(
        &cargo,
        &[
            "metadata",
            "--offline",
            "--locked",
            "--format-version=1",
            "--manifest-path=crates/Cargo.toml",
        ],
        "",
    );
    let packages = metadata["packages"].as_array().expect("packages");
    let found = packages.iter().find(|package| package["name"] == name);
    let manifest = found.and_then(|package| package["manifest_path"].as_str());
    let manifest = Path::new(manifest.expect("the crate among the packages"));
    manifest.parent().expect("a folder").to_owned()
}

/// What a program prints as JSON, run in the folder of the references.
pub fn json<Read: DeserializeOwned>(program: &str, arguments: &[&str], input: &str) -> Read {
    serde_json::from_slice(&printed(program, arguments, input)).expect("JSON")
}

/// What a program prints, run in the folder of the references.
pub fn printed(program: &str, arguments: &[&str], input: &str) -> Vec<u8> {
    // A file and no pipe: the program may print before it has read all.
    let mut file = tempfile::tempfile().expect("a file of our own");
    file.write_all(input.as_bytes())
        .and_then(|()| file.rewind())
        .expect("what is written into the file");
    let output = Command::new(program)
        .args(arguments)
        .current_dir(folder())
        .stdin(file)
        .stderr(Stdio::inherit())
        .output()
        .unwrap_or_else(|fault| {
            panic!("{program}: {fault}; run tests/run, which installs what it needs")
        });
    assert!(
        output.status.success(),
        "{program} {arguments:?} failed; run tests/run, which fetches what it needs"
    );
    output.stdout
}
