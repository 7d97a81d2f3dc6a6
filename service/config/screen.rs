//! The screen of a watch that has not chosen: its values turned into plain types, or faults with the mend.

use super::check::Checker;
use super::raw::RawScreen;
use super::{Edge, Ground, LINES_A_DISC, STRIP_HUNDREDTHS, Screen, Spacing, Strip};

impl Checker<'_> {
    pub(super) fn screen(&mut self, raw: &RawScreen) -> Screen {
        let default = Screen::default();
        self.or_default(raw.shape.as_ref(), (), |word| read_shape(word));
        Screen {
            lines: self.or_default(raw.lines.as_ref(), default.lines, |lines| {
                read_lines(*lines)
            }),
            spacing: self.or_default(raw.spacing.as_ref(), default.spacing, |word| {
                read_spacing(word)
            }),
            strip: self.or_default(raw.strip.as_ref(), default.strip, |word| read_strip(word)),
            ground: self.or_default(raw.ground.as_ref(), default.ground, |word| {
                read_ground(word)
            }),
        }
    }
}

fn read_shape(word: &str) -> Result<(), String> {
    match word {
        "round" => Ok(()),
        _ => Err(format!(
            "shape = \"{word}\" is not known; write \"round\", which is the only one"
        )),
    }
}

fn read_lines(lines: i64) -> Result<u8, String> {
    u8::try_from(lines)
        .ok()
        .filter(|lines| LINES_A_DISC.contains(lines))
        .ok_or_else(|| {
            format!("lines = {lines} is no text size; write 11, 10, 8 or 6 lines a disc")
        })
}

fn read_spacing(word: &str) -> Result<Spacing, String> {
    match word {
        "usual" => Ok(Spacing::Usual),
        "wide" => Ok(Spacing::Wide),
        _ => Err(format!(
            "spacing = \"{word}\" is not known; write \"usual\" or \"wide\""
        )),
    }
}

/// As addresses spell it, or `none`.
fn read_strip(word: &str) -> Result<Option<Strip>, String> {
    let edges = [("top", Edge::Top), ("bottom", Edge::Bottom)];
    let strip = |hundredths: u8| {
        let edge = |(name, edge)| (word == format!("{name}{hundredths}")).then_some(edge);
        let edge = edges.into_iter().find_map(edge)?;
        Some(Strip { edge, hundredths })
    };
    match word {
        "none" => Ok(None),
        _ => STRIP_HUNDREDTHS
            .into_iter()
            .find_map(strip)
            .map(Some)
            .ok_or_else(|| {
                format!(
                    "strip = \"{word}\" is not known; write \"none\", or where the browser's bar is and how many \
                     hundredths of the disc it takes: \"top8\", \"top12\", \"top16\", \"bottom8\", \"bottom12\" or \
                     \"bottom16\""
                )
            }),
    }
}

fn read_ground(word: &str) -> Result<Ground, String> {
    match word {
        "dark" => Ok(Ground::Dark),
        "light" => Ok(Ground::Light),
        _ => Err(format!(
            "ground = \"{word}\" is not known; write \"dark\" or \"light\""
        )),
    }
}
