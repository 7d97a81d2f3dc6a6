//! How screens are spelt in addresses, and read from them.

use std::fmt;
use std::str::FromStr;

use super::{Edge, Ground, Lines, Screen, Shape, Spacing, Strip};

impl fmt::Display for Screen {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let shape = match self.shape {
            Shape::Round => "round",
        };
        let spacing = match self.spacing {
            Spacing::Usual => "",
            Spacing::Wide => "-wide",
        };
        write!(formatter, "{shape}-{}{spacing}", self.lines.count())?;
        if let Some(strip) = self.strip {
            write!(formatter, "-{strip}")?;
        }
        match self.ground {
            Ground::Dark => Ok(()),
            Ground::Light => formatter.write_str("-light"),
        }
    }
}

impl fmt::Display for Strip {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let edge = match self.edge {
            Edge::Top => "top",
            Edge::Bottom => "bottom",
        };
        write!(formatter, "{edge}{}", self.hundredths)
    }
}

impl FromStr for Screen {
    type Err = NoScreen;

    fn from_str(text: &str) -> Result<Self, NoScreen> {
        let mut screen = Self::DEFAULT;
        let mut words = text.split('-');
        let _shape = words.next();
        let lines = words.next().and_then(|word| word.parse().ok());
        screen.lines = lines.and_then(Lines::from_count).ok_or(NoScreen)?;
        for word in words {
            match word {
                "wide" => screen.spacing = Spacing::Wide,
                "light" => screen.ground = Ground::Light,
                _ => screen.strip = Some(word.parse()?),
            }
        }
        // One screen has one spelling: nothing twice, and all in its order.
        (screen.to_string() == text)
            .then_some(screen)
            .ok_or(NoScreen)
    }
}

impl FromStr for Strip {
    type Err = NoScreen;

    fn from_str(text: &str) -> Result<Self, NoScreen> {
        let mut strips = Edge::ALL.into_iter().flat_map(Self::all);
        strips
            .find(|strip| strip.to_string() == text)
            .ok_or(NoScreen)
    }
}

/// The text names no screen.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "no such screen; round-11, round-10, round-8 and round-6 are known, each with -wide, then -top8, -top12, -top16, \
     -bottom8, -bottom12 or -bottom16, then -light after it too"
)]
pub struct NoScreen;
