//! How refreshing is told: a bar on a terminal, a plain line a feed elsewhere.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::refresh::{self, FeedReport};

/// Tells the progress of a pass on standard error.
pub struct Progress {
    bar: ProgressBar,
}

impl Progress {
    /// Nothing is told yet.
    pub fn new() -> Self {
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
        if let Ok(style) = ProgressStyle::with_template("{bar:30} {pos} of {len} {msg}") {
            bar.set_style(style);
        }
        Self { bar }
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
