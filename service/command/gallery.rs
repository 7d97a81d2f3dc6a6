//! `gallery`: sets local HTML files, or the demo's articles, and makes pictures of their discs and a
//! page with all of them in round frames. It writes below the folder that it is told alone.

use std::collections::HashSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use clap::Args;
use tokio_util::sync::CancellationToken;
use url::Url;

use super::spacing::Spaced;
use super::{Ended, local};
use crate::distil::language::Language;
use crate::distil::{Article, Source, distil, reading_minutes};
use crate::font::{FontFiles, REGULAR, Typeface};
use crate::paint::{COLUMNS, Painter, Sheet};
use crate::town::{self, TownArticle};
use crate::typeset::units::LEAST_TARGET;
use crate::typeset::{Disc, Item, LineKind, MOST_TITLE_LINES, Row, RowText, Screen, typeset};
use crate::view::{GalleryView, Hung, PageView, Style, Target, rim_degrees};
use crate::words::Words;

/// The arguments of `gallery`.
#[derive(Debug, Args)]
pub struct Gallery {
    /// The HTML files; without one, every article of the demo.
    files: Vec<PathBuf>,
    /// The folder for gallery.html and the pictures; it is made where it is missing. Files of the
    /// same names in it are replaced, and no others touched.
    #[arg(long, value_name = "FOLDER")]
    to: PathBuf,
    /// The size of the text: how many lines a disc holds at the usual spacing; all sets everything in
    /// every size.
    #[arg(long, default_value = "10", value_parser = ["11", "10", "8", "6", "all"])]
    lines: String,
    /// The white between letters, words and lines.
    #[arg(long, value_enum, default_value_t = Spaced::Usual)]
    spacing: Spaced,
    /// The diameter of a disc in pixels.
    #[arg(long, default_value_t = 320, value_parser = clap::value_parser!(u32).range(100..=1_024))]
    pixels: u32,
}

/// Why the gallery cannot be written.
#[derive(Debug, thiserror::Error)]
enum Unwritable {
    #[error("{} is a file; name a folder after --to, or a path that does not exist yet", .0.display())]
    NoFolder(PathBuf),
    #[error("{} cannot be made ({cause}); name another folder after --to", folder.display())]
    Folder { folder: PathBuf, cause: io::Error },
    #[error("{} cannot be written ({cause}); make room or take it out of the way, or name another folder after --to", file.display())]
    File { file: PathBuf, cause: io::Error },
    #[error("stopped before the end; the pictures made so far stay in {}", .0.display())]
    Stopped(PathBuf),
}

/// An article that hangs in the gallery.
struct Piece {
    /// What its files are called after.
    name: String,
    publication: Option<&'static str>,
    article: Article,
}

/// A piece in one size.
struct Set<'a> {
    piece: &'a Piece,
    screen: Screen,
    discs: Vec<Disc>,
    /// What to know of it, in the gallery's words.
    facts: String,
    /// One for each item that was set.
    targets: Vec<Target>,
}

impl Gallery {
    /// Writes the gallery, unless `stop` is cancelled before its end.
    #[expect(clippy::print_stdout, reason = "a command speaks to the user")]
    pub fn run(self, stop: &CancellationToken) -> Result<(), Ended> {
        let pieces = self.pieces()?;
        make_folder(&self.to)?;
        let typeface = Typeface::read(REGULAR)?;
        let style = Style::self_contained(&typeface, &FontFiles::make(REGULAR)?)?;
        let screens = self.screens();
        let sets: Vec<Set> = pieces
            .iter()
            .flat_map(|piece| screens.iter().map(|&screen| set(piece, screen, &typeface)))
            .collect();
        let hung: Vec<Hung> = sets.iter().map(|set| set.hung(&style)).collect();
        let view = GalleryView {
            hung: &hung,
            style: &style,
            pixels: self.pixels,
        };
        let painter = Painter::new(&typeface, REGULAR)?;
        let mut names = Names::default();
        for set in &sets {
            let mut wanted = set.piece.name.clone();
            if screens.len() > 1 {
                wanted.push_str(&format!("-{}-lines", set.screen.lines.count()));
            }
            let names = names.give(&wanted, set.discs.len(), self.discs_a_sheet());
            self.paint(set, &names, &painter, stop)?;
        }
        let page = self.to.join("gallery.html");
        write(&page, view.print()?.as_bytes())?;
        let discs: usize = sets.iter().map(|set| set.discs.len()).sum();
        println!("{discs} discs hang in {}", page.display());
        Ok(())
    }

    fn screens(&self) -> Vec<Screen> {
        let spacing = self.spacing.into();
        let asked = |screen: &Screen| {
            let size = screen.lines.count().to_string();
            screen.spacing == spacing && (self.lines == "all" || self.lines == size)
        };
        Screen::all().filter(asked).collect()
    }

    fn pieces(&self) -> Result<Vec<Piece>, Ended> {
        if self.files.is_empty() {
            return town::articles().map(of_town).collect();
        }
        let files = self.files.iter();
        files
            .map(|file| {
                let stem = file.file_stem().unwrap_or_default().to_string_lossy();
                Ok(Piece {
                    name: plain_name(&stem),
                    publication: None,
                    article: local::article(file)?,
                })
            })
            .collect()
    }

    /// How many discs one sheet holds: in whole rows, as many as keep a sheet of the most pixels
    /// within some 300 MB of memory.
    fn discs_a_sheet(&self) -> usize {
        const MOST_HEIGHT: u32 = 12_000;
        COLUMNS * usize::try_from(MOST_HEIGHT / self.pixels).unwrap_or(1)
    }

    fn paint(
        &self,
        set: &Set,
        names: &Given,
        painter: &Painter,
        stop: &CancellationToken,
    ) -> Result<(), Ended> {
        let of = set.discs.len();
        let mut numbered = set.discs.iter().zip(1_usize..).zip(&names.discs);
        for (sheet_name, first) in names.sheets.iter().zip((0..).step_by(self.discs_a_sheet())) {
            let count = self.discs_a_sheet().min(of - first);
            let mut sheet = Sheet::new(count, self.pixels)?;
            for ((disc, number), name) in numbered.by_ref().take(count) {
                if stop.is_cancelled() {
                    return Err(Unwritable::Stopped(self.to.clone()).into());
                }
                let rim = rim_degrees(disc, number, of);
                let glass = painter.disc(disc, rim, self.pixels)?.round();
                write(&self.to.join(name), &glass.png()?)?;
                sheet = sheet.hang(&glass);
            }
            write(&self.to.join(sheet_name), &sheet.picture().png()?)?;
        }
        Ok(())
    }
}

impl Set<'_> {
    fn hung<'a>(&'a self, style: &'a Style) -> Hung<'a> {
        let article = &self.piece.article;
        Hung {
            page: PageView {
                title: &article.title,
                language: &article.language,
                direction: article.direction,
                discs: &self.discs,
                targets: &self.targets,
                words: Words::default(),
                sizes_of: None,
                style,
                script: None,
            },
            facts: &self.facts,
        }
    }
}

/// Sets a piece as the service does, but for an excerpt and for the controls at its end.
fn set<'a>(piece: &'a Piece, screen: Screen, typeface: &Typeface) -> Set<'a> {
    let article = &piece.article;
    let minutes = match reading_minutes(article.words, &article.language) {
        1 => "1 minute".to_owned(),
        minutes => format!("{minutes} minutes"),
    };
    let authors = article.authors.join(", ");
    let labels = [piece.publication.unwrap_or_default(), &authors, &minutes];
    let text = |text, kind, most_lines| RowText {
        text,
        language: &article.language,
        kind,
        most_lines,
    };
    let mut texts = vec![text(&article.title, LineKind::Title, MOST_TITLE_LINES)];
    texts.extend(labels.map(|label| text(label, LineKind::Label, 2)));
    let mut items = vec![Item::Opening(Row {
        texts,
        height: LEAST_TARGET,
    })];
    let mut targets = vec![Target::none(&article.language, article.direction)];
    for block in &article.blocks {
        items.push(Item::Block(block));
        targets.push(Target::none(&block.language, block.direction));
    }
    let discs = typeset(&items, &screen, typeface);
    Set {
        facts: format!(
            "{} words on {} discs of {} lines",
            article.words,
            discs.len(),
            screen.places()
        ),
        piece,
        screen,
        discs,
        targets,
    }
}

fn of_town(article: TownArticle) -> Result<Piece, Ended> {
    let base = Url::parse("http://kestrel-quay.invalid/")?;
    let (publication, name) = article.name;
    let (distilled, _) = distil(&Source {
        title: Some(article.title.to_owned()),
        authors: vec![article.author.to_owned()],
        declared_language: Language::parse(article.language),
        content: Some(article.html.to_owned()),
        ..Source::blank(base)
    });
    Ok(Piece {
        name: format!("{publication}-{name}"),
        publication: Some(article.publication),
        article: distilled,
    })
}

/// A name for files that every file system takes.
fn plain_name(name: &str) -> String {
    let kept = |character: char| match character {
        '-' | '_' => character,
        character if character.is_alphanumeric() => character,
        _ => '-',
    };
    // Names of files may have 255 bytes, and further parts are added to this one.
    let mut name: String = name.chars().map(kept).take(50).collect();
    if name.is_empty() {
        name.push_str("article");
    }
    name
}

/// The names that were given to files, so that no picture takes another one's place.
#[derive(Default)]
struct Names(HashSet<String>);

/// The names of a piece's files.
struct Given {
    sheets: Vec<String>,
    discs: Vec<String>,
}

impl Names {
    /// Names for a piece with so many discs: `wanted.png` for its sheet, `wanted-01.png` and so on
    /// for its discs. Where one of them was given before, all of them have a number within.
    fn give(&mut self, wanted: &str, discs: usize, discs_a_sheet: usize) -> Given {
        let digits = discs.to_string().len().max(2);
        for turn in 1.. {
            let name = match turn {
                1 => wanted.to_owned(),
                turn => format!("{wanted}-again-{turn}"),
            };
            let given = Given {
                sheets: (1..=discs.div_ceil(discs_a_sheet))
                    .map(|sheet| match sheet {
                        1 => format!("{name}.png"),
                        sheet => format!("{name}-sheet-{sheet}.png"),
                    })
                    .collect(),
                discs: (1..=discs)
                    .map(|disc| format!("{name}-{disc:0digits$}.png"))
                    .collect(),
            };
            // Some file systems take capitals and small letters for the same.
            let all = given.sheets.iter().chain(&given.discs);
            let all: Vec<String> = all.map(|name| name.to_lowercase()).collect();
            if !all.iter().any(|name| self.0.contains(name)) {
                self.0.extend(all);
                return given;
            }
        }
        unreachable!("a number that was not given before is found at last")
    }
}

fn make_folder(folder: &Path) -> Result<(), Ended> {
    if folder.exists() && !folder.is_dir() {
        let fault = Unwritable::NoFolder(folder.to_owned());
        return Err(Ended::Usage(Box::new(fault)));
    }
    fs::create_dir_all(folder).map_err(|cause| {
        Ended::Usage(Box::new(Unwritable::Folder {
            folder: folder.to_owned(),
            cause,
        }))
    })
}

fn write(file: &Path, bytes: &[u8]) -> Result<(), Unwritable> {
    fs::write(file, bytes).map_err(|cause| Unwritable::File {
        file: file.to_owned(),
        cause,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_picture_takes_the_place_of_another() {
        let mut names = Names::default();
        let mut all = Vec::new();
        // The tenth disc of the first would be called as the sheet of the second.
        for (wanted, discs) in [("crane", 12), ("crane-10", 3), ("Crane", 120), ("crane", 0)] {
            let given = names.give(wanted, discs, 50);
            assert_eq!(given.discs.len(), discs);
            assert_eq!(given.sheets.len(), discs.div_ceil(50));
            all.extend(given.sheets);
            all.extend(given.discs);
        }
        assert!(
            all.contains(&"crane-10-again-2-03.png".to_owned()),
            "{all:?}"
        );
        assert!(all.contains(&"Crane-again-2-sheet-3.png".to_owned()));
        assert!(all.contains(&"Crane-again-2-007.png".to_owned()));
        let different: HashSet<String> = all.iter().map(|name| name.to_lowercase()).collect();
        assert_eq!(different.len(), all.len());
    }

    #[test]
    fn names_of_files_are_plain() {
        assert_eq!(plain_name("Möwe & Co. 2"), "Möwe---Co--2");
        assert_eq!(plain_name("../etc"), "---etc");
        assert_eq!(plain_name(""), "article");
        assert_eq!(plain_name(&"水".repeat(300)).chars().count(), 50);
    }
}
