//! `example`: prints a commented config file.

use super::Ended;
use crate::config::EXAMPLE;

/// Prints it.
#[expect(clippy::print_stdout, reason = "a command speaks to the user")]
pub fn run() -> Result<(), Ended> {
    print!("{EXAMPLE}");
    Ok(())
}
