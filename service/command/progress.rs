//! How long work is told: a bar on a terminal, plain lines elsewhere.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::refresh::{self, FeedReport};

/// Tells the progress of a pass on standard error.
pub struct Progress {
    bar: ProgressBar,
}

impl Progress {
    /// Nothing is told yet.
    pub fn new() -> Self {
        Self { bar: bar() }
    }

    /// Tells one step.
    #[expect(clippy::print_stderr, reason = "a command speaks to the user")]
    pub fn tell(&self, told: refresh::Progress) {
        match told {
            refresh::Progress::Due(feeds) => self.bar.set_length(feeds as u64),
            refresh::Progress::Done(report) => {
                for line in lines(&report) {
                    if self.bar.is_hidden() {
                        eprintln!("{line}");
                    } else {
                        self.bar.println(line);
                    }
                }
                self.bar.inc(1);
                self.bar.set_message(report.title);
            }
        }
    }

    /// Takes the bar away.
    pub fn end(&self) {
        self.bar.finish_and_clear();
    }
}

fn bar() -> ProgressBar {
    let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
    if let Ok(style) = ProgressStyle::with_template("{bar:30} {pos} of {len} {msg}") {
        bar.set_style(style);
    }
    bar
}

/// Tells on standard error how many of many things are done: where there is no terminal, by a line for each tenth.
pub struct Count {
    bar: ProgressBar,
    things: &'static str,
}

impl Count {
    /// Nothing is done yet.
    pub fn new(things: &'static str) -> Self {
        let bar = bar();
        bar.set_message(things);
        Self { bar, things }
    }

    /// Tells that so many are done.
    #[expect(clippy::print_stderr, reason = "a command speaks to the user")]
    pub fn tell(&self, done: u64, of: u64) {
        if !self.bar.is_hidden() {
            self.bar.set_length(of);
            self.bar.set_position(done);
        } else if ends_a_tenth(done, of) {
            eprintln!("{done} of {of} {}", self.things);
        }
    }

    /// Takes the bar away.
    pub fn end(&self) {
        self.bar.finish_and_clear();
    }
}

/// Whether a tenth of the work, or all of it, ends with the last thing done.
fn ends_a_tenth(done: u64, of: u64) -> bool {
    let tenths = |done: u64| (10 * done).checked_div(of).unwrap_or(10);
    done > 0 && tenths(done) > tenths(done - 1)
}

/// What is said of a feed: a line, and one for each warning.
fn lines(report: &FeedReport) -> Vec<String> {
    let title = &report.title;
    let said = match (&report.fault, report.unchanged) {
        // Feeds of one host that have no title are told apart by their addresses only.
        (Some(fault), _) => format!("{title} ({}): failed: {fault}", report.address),
        (None, true) => format!("{title}: as before"),
        (None, false) => format!("{title}: {} new, {} changed", report.added, report.changed),
    };
    let warnings = report
        .warnings
        .iter()
        .map(|warning| format!("{title}: {warning}"));
    std::iter::once(said).chain(warnings).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_told_for_each_tenth() {
        let told = |of: u64| (0..=of).filter(|done| ends_a_tenth(*done, of)).count();
        assert_eq!([0, 1, 7, 10, 40, 4_000].map(told), [0, 1, 7, 10, 10, 10]);
        assert!(ends_a_tenth(40, 40) && !ends_a_tenth(39, 40));
    }

    #[test]
    fn a_line_says_what_was_new_or_why_it_failed() {
        let report = FeedReport {
            title: "Gazette".into(),
            added: 3,
            changed: 1,
            warnings: vec!["no dates".into()],
            ..FeedReport::default()
        };
        assert_eq!(
            lines(&report),
            ["Gazette: 3 new, 1 changed", "Gazette: no dates"]
        );
        let failed = FeedReport {
            title: "Gazette".into(),
            address: "https://gazette.example.org/feed".into(),
            fault: Some("no such host".into()),
            ..FeedReport::default()
        };
        assert_eq!(
            lines(&failed),
            ["Gazette (https://gazette.example.org/feed): failed: no such host"]
        );
        let same = FeedReport {
            title: "Gazette".into(),
            unchanged: true,
            ..FeedReport::default()
        };
        assert_eq!(lines(&same), ["Gazette: as before"]);
    }
}
