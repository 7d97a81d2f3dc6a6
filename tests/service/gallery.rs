//! `gallery` as it is typed, and the ink of the demo's discs as pictures show it: a check of the
//! typesetter's geometry by the outlines of the font, without a browser.

use std::collections::HashSet;
use std::fs;
use std::path::Path;

use dom_query::Document;
use tiny_skia::{Pixmap, PremultipliedColorU8};
use tondo::distil::language::Language;
use tondo::distil::{Article, Source, distil};
use tondo::font::{REGULAR, Typeface};
use tondo::paint::{Painter, Picture};
use tondo::town::{self, TownArticle};
use tondo::typeset::units::LEAST_TARGET;
use tondo::typeset::{Disc, Item, LineKind, Row, RowText, Screen, typeset};
use tondo::view::rim_degrees;
use url::Url;

use super::commands::{folder_with, names_in, run, text};

const PAGE: &str = "<!doctype html><html lang=en><title>The Lock</title><body><article><h1>The Lock</h1>\
    <p>The harbour office will shut the inner lock from <a href=http://lock.example.org/>Monday</a>, since \
    the lower gate has to be lifted out and its planking <strong>renewed</strong>. Boats that lie in the \
    basin should leave by the evening flood on Sunday, or stay until the gate is back.</p>\
    <h2>What it costs</h2><ul><li>Oak, nine planks</li><li>A winter's patience</li></ul>\
    <blockquote><p>No lock was ever mended by a committee.</p></blockquote></article></body></html>";

/// How many discs `typeset` prints of a file.
async fn discs_of(file: &str, lines: &str) -> usize {
    let ended = run(&["typeset", file, "--lines", lines]).await;
    let printed = text(&ended.stdout);
    printed
        .lines()
        .filter(|line| line.starts_with("---"))
        .count()
}

fn picture(file: &Path) -> Pixmap {
    let bytes = fs::read(file).expect("a picture");
    Pixmap::decode_png(&bytes).expect("PNG")
}

#[tokio::test]
async fn a_gallery_has_a_picture_of_every_disc_a_sheet_and_a_page() {
    let (folder, file) = folder_with("lock.html", PAGE);
    let file = file.display().to_string();
    let to = folder.path().join("made/gallery");
    let arguments = ["gallery", &file, "--lines", "8", "--pixels", "120", "--to"];
    let ended = run(&[&arguments[..], &[&to.display().to_string()]].concat()).await;
    assert!(ended.status.success(), "{}", text(&ended.stderr));
    // The opening is a disc that `typeset` does not print.
    let discs = discs_of(&file, "8").await + 1;
    assert!(text(&ended.stdout).starts_with(&format!("{discs} discs ")));
    let pictures = (1..=discs).map(|disc| format!("lock-{disc:02}.png"));
    let mut wanted = vec!["gallery.html".to_owned()];
    wanted.extend(pictures.clone());
    wanted.push("lock.png".to_owned());
    assert_eq!(names_in(&to), wanted);
    for name in pictures {
        let picture = picture(&to.join(&name));
        assert_eq!((picture.width(), picture.height()), (120, 120), "{name}");
        let lit = picture.pixels().iter().filter(|pixel| pixel.green() > 0x80);
        assert!(lit.count() > 100, "{name}");
        assert_eq!(
            picture.pixel(0, 0).map(PremultipliedColorU8::alpha),
            Some(0)
        );
    }
    let sheet = picture(&to.join("lock.png"));
    let across = |discs: usize| u32::try_from(discs * (120 + 9) + 9).expect("a length");
    let size = (across(discs.min(6)), across(discs.div_ceil(6)));
    assert_eq!((sheet.width(), sheet.height()), size);
    let page = fs::read_to_string(to.join("gallery.html")).expect("a page");
    check_page(&page, discs);
}

/// The page of [`PAGE`]'s discs: all of its words, and nothing that is loaded or runs.
fn check_page(page: &str, discs: usize) {
    let document = Document::from(page);
    assert_eq!(document.select("figure > section").length(), discs);
    assert_eq!(document.select("figcaption").length(), discs);
    assert_eq!(document.select("h2").first().text().as_ref(), "The Lock");
    assert_eq!(document.select("section strong").text().as_ref(), "renewed");
    assert_eq!(document.select("section u").text().as_ref(), "Monday");
    for wanted in ["harbour office", "Oak, nine", "No lock was"] {
        let said = document.select("section").text().replace('\n', " ");
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
    let loading = "script, link, img, iframe, [src], [href], [style], form";
    assert_eq!(document.select(loading).length(), 0);
    assert!(!page.contains("://") && !page.contains("@import"));
    assert_eq!(page.matches("url(").count(), 2);
    assert_eq!(page.matches("url(data:font/woff2;base64,").count(), 2);
    assert!(page.contains("--v:1.2px"));
}

#[tokio::test]
async fn the_discs_of_a_gallery_have_the_markup_that_is_served() {
    let house = super::house::House::with_town().await;
    let folder = tempfile::tempdir().expect("a folder");
    let to = folder.path().display().to_string();
    let ended = run(&["gallery", "--to", &to, "--pixels", "100"]).await;
    assert!(ended.status.success(), "{}", text(&ended.stderr));
    let hung = fs::read_to_string(folder.path().join("gallery.html")).expect("a page");
    let paragraphs = |html: &str| -> Vec<String> {
        let document = Document::from(html);
        let parts = document.select("section.t > *");
        let parts = parts.iter().map(|part| part.html().to_string());
        parts.filter(|part| !part.starts_with("<a ")).collect()
    };
    let hung = paragraphs(&hung);
    let article = house
        .articles()
        .await
        .into_iter()
        .max_by_key(|article| article.words);
    let path = format!("/round-10/{}", article.expect("articles").entry);
    let served = paragraphs(&house.open_page(&path).await.text());
    assert!(served.len() > 50);
    assert!(hung.windows(served.len()).any(|part| part == served));
}

#[tokio::test]
async fn a_folder_keeps_what_is_not_the_gallerys() {
    let (folder, file) = folder_with("lock.html", PAGE);
    let other = folder.path().join("elsewhere");
    fs::create_dir(&other).expect("a folder");
    // A second file of the same name, in capitals, must not take the place of the first.
    let second = other.join("LOCK.html");
    fs::write(&second, PAGE.replace("The Lock", "The Second Lock")).expect("a file");
    let to = folder.path().join("kept");
    fs::create_dir(&to).expect("a folder");
    fs::write(to.join("notes.txt"), "mine").expect("a file");
    fs::write(to.join("gallery.html"), "old").expect("a file");
    let paths = [&file, &second, &to].map(|path| path.display().to_string());
    let [file, second, to_name] = &paths;
    for _ in 0..2 {
        let arguments = ["gallery", file, second, "--lines", "all", "--pixels", "100"];
        let ended = run(&[&arguments[..], &["--to", to_name]].concat()).await;
        assert!(ended.status.success(), "{}", text(&ended.stderr));
    }
    assert_eq!(
        fs::read_to_string(to.join("notes.txt")).ok().as_deref(),
        Some("mine")
    );
    let page = fs::read_to_string(to.join("gallery.html")).expect("a page");
    let document = Document::from(page.as_str());
    assert_eq!(document.select("article").length(), 8);
    let names = names_in(&to);
    for lines in ["11", "10", "8", "6"] {
        let discs = discs_of(file, lines).await + 1;
        for name in ["lock-LINES-lines", "LOCK-LINES-lines-again-2"] {
            let name = name.replace("LINES", lines);
            assert!(names.contains(&format!("{name}.png")), "{names:?}");
            let last = format!("{name}-{discs:02}.png");
            assert!(names.contains(&last), "{last}: {names:?}");
        }
    }
    let sections = document.select("section");
    let ids: HashSet<String> = sections
        .iter()
        .filter_map(|section| section.attr("id").map(|id| id.to_string()))
        .collect();
    let count = sections.length();
    assert_eq!(ids.len(), count);
    assert_eq!(
        names.iter().filter(|name| name.ends_with(".png")).count(),
        count + 8
    );
}

#[tokio::test]
async fn a_gallery_that_cannot_be_made_says_what_to_do() {
    let (folder, file) = folder_with("lock.html", PAGE);
    let name = file.display().to_string();
    let to = folder.path().join("new").display().to_string();
    let check = async |arguments: &[&str], says: &[&str]| {
        let ended = run(&[&["gallery"], arguments].concat()).await;
        let message = text(&ended.stderr);
        assert_eq!(ended.status.code(), Some(2), "{message}");
        for said in says {
            assert!(message.contains(said), "{said}: {message}");
        }
        assert_eq!(names_in(folder.path()), ["lock.html"]);
    };
    check(
        &[&name, "--to", &name],
        &["is a file", "name a folder after --to"],
    )
    .await;
    check(
        &["absent.html", "--to", &to],
        &["absent.html", "name an HTML file"],
    )
    .await;
    check(&[&name], &["--to <FOLDER>"]).await;
    check(
        &[&name, "--to", &to, "--lines", "9"],
        &["11, 10, 8, 6, all"],
    )
    .await;
    check(&[&name, "--to", &to, "--pixels", "20"], &["100..=1024"]).await;
    assert_eq!(fs::read_to_string(&file).ok().as_deref(), Some(PAGE));
}

/// The side of the pictures in which ink is looked for, in pixels, and how far from the middle that
/// begins.
const SIDE: u32 = 400;
const LOOKED_FROM: f64 = 195.0;

/// The pixels that are looked at, each with how far its farthest corner is from the middle.
fn outer_pixels() -> Vec<(usize, f64)> {
    let side = SIDE as usize;
    let away = |at: usize| (at as f64 + 0.5 - f64::from(SIDE) / 2.0).abs() + 0.5;
    let all = (0..side * side).map(|at| (at, away(at % side).hypot(away(at / side))));
    all.filter(|(_, away)| *away > LOOKED_FROM).collect()
}

/// How far from the middle a picture has ink, however faint: the farthest corner of the farthest
/// such pixel that is looked at, in pixels; nought where there is none.
fn reach(picture: &Picture, outer: &[(usize, f64)]) -> f64 {
    let bytes = picture.bytes();
    let lit = |at: usize| bytes[4 * at..4 * at + 3] != [0; 3];
    let reaches = outer.iter().filter(|(at, _)| lit(*at));
    reaches.fold(0.0, |reach, (_, away)| away.max(reach))
}

fn distilled(article: &TownArticle) -> Article {
    let source = Source {
        address: None,
        base: Url::parse("http://kestrel-quay.invalid/").expect("an address"),
        title: Some(article.title.to_owned()),
        authors: vec![article.author.to_owned()],
        declared_language: Language::parse(article.language),
        content: Some(article.html.to_owned()),
        page: None,
        further: Vec::new(),
        enclosures: Vec::new(),
    };
    distil(&source).0
}

fn discs(article: &Article, screen: &Screen, typeface: &Typeface) -> Vec<Disc> {
    let text = |text, kind, most_lines| RowText {
        text,
        language: &article.language,
        kind,
        most_lines,
    };
    let authors = article.authors.join(", ");
    let opening = Row {
        texts: vec![
            text(&article.title, LineKind::Title, 7),
            text("The Kestrel Quay Gazette", LineKind::Label, 2),
            text(&authors, LineKind::Label, 2),
        ],
        height: LEAST_TARGET,
    };
    let mut items = vec![Item::Opening(opening)];
    items.extend(article.blocks.iter().map(Item::Block));
    typeset(&items, screen, typeface)
}

/// How many discs there are, the farthest reach of their ink, and how many of them the mark along the
/// rim touches.
fn farthest(discs: &[Disc], painter: &Painter) -> (usize, f64, usize) {
    let outer = outer_pixels();
    let pictures = discs.iter().map(|disc| painter.disc(disc, None, SIDE));
    let pictures: Vec<Picture> = pictures
        .map(|picture| picture.expect("a picture"))
        .collect();
    let reaches = pictures.iter().map(|picture| reach(picture, &outer));
    let of = discs.len();
    let touched = discs
        .iter()
        .zip(&pictures)
        .zip(1..)
        .filter(|((disc, picture), number)| {
            let rim = rim_degrees(disc, *number, of).expect("a mark");
            let marks = rim_pixels(rim, painter);
            let bytes = picture.bytes();
            let lit = |at: &usize| bytes[4 * at..4 * at + 3] != [0; 3];
            marks.iter().any(lit)
        });
    let touched = touched.count();
    (of, reaches.fold(0.0, f64::max), touched)
}

/// The pixels that the mark along the rim has at an angle, and those beside them.
fn rim_pixels(degrees: usize, painter: &Painter) -> Vec<usize> {
    let screen = "round-10".parse().expect("a screen");
    let blank = Disc::blank(screen);
    let picture = painter
        .disc(&blank, Some(degrees), SIDE)
        .expect("a picture");
    let bytes = picture.bytes();
    let side = SIDE as usize;
    let lit = (0..side * side).filter(|at| bytes[4 * at..4 * at + 3] != [0; 3]);
    let beside = |at: usize| {
        let rows = [
            at.saturating_sub(side),
            at,
            (at + side).min(side * side - 2),
        ];
        rows.into_iter()
            .flat_map(|at| [at.saturating_sub(1), at, at + 1])
    };
    lit.flat_map(beside).collect()
}

#[test]
fn no_ink_of_the_demo_is_outside_of_its_disc() {
    let typeface = Typeface::read(REGULAR).expect("a font");
    let articles: Vec<Article> = town::articles()
        .map(|article| distilled(&article))
        .collect();
    assert!(articles.len() > 25);
    let size = |screen: Screen| {
        let painter = Painter::new(&typeface, REGULAR).expect("a font");
        let sets = articles
            .iter()
            .map(|article| discs(article, &screen, &typeface));
        sets.map(|discs| farthest(&discs, &painter))
            .fold((0, 0.0_f64, 0), |(count, reach, touched), more| {
                (count + more.0, reach.max(more.1), touched + more.2)
            })
    };
    std::thread::scope(|scope| {
        let size = &size;
        let sizes = Screen::all().map(|screen| (screen, scope.spawn(move || size(screen))));
        for (screen, painted) in sizes.collect::<Vec<_>>() {
            let (count, reach, touched) = painted.join().expect("no panic");
            assert!(count > 300, "{screen}: {count}");
            // Somewhere text comes near the rim, and nowhere does a pixel that it touches reach over it.
            assert!(reach > LOOKED_FROM && reach <= 200.0, "{screen}: {reach}");
            assert_eq!(touched, 0, "{screen}: the mark along the rim touches text");
        }
    });
}

#[test]
fn ink_outside_of_a_disc_is_seen() {
    let typeface = Typeface::read(REGULAR).expect("a font");
    let painter = Painter::new(&typeface, REGULAR).expect("a font");
    let screen: Screen = "round-10".parse().expect("a screen");
    let article = town::articles().next().map(|article| distilled(&article));
    let mut discs = discs(&article.expect("an article"), &screen, &typeface);
    assert!(farthest(&discs, &painter).1 <= 200.0);
    // The widest line of a disc has no room at its top.
    for line in discs.iter_mut().flat_map(|disc| &mut disc.lines) {
        line.place = 0.0;
    }
    assert!(farthest(&discs, &painter).1 > 210.0);
}
