//! Reads a page back as a browser would: which words stand on which of its discs. Knows nothing of
//! how pages are made.

use dom_query::{Document, Selection};

/// The words of an article's running text in the order of its discs: of all that stands on discs
/// that are neither the opening, nor an excerpt, nor rows to tap, nor the choice of sizes.
///
/// The end of an element of a disc parts words, and so does white space. A drawn hyphen or line end
/// is an empty element and parts nothing.
pub fn running_words(html: &str) -> Vec<String> {
    let mut words = Vec::new();
    for part in running_parts(html) {
        words.extend(part.split_whitespace().map(str::to_owned));
    }
    words
}

/// The text of each element of running text.
pub fn running_parts(html: &str) -> Vec<String> {
    let document = Document::from(html);
    let sections = document.select("main > section");
    let running = sections
        .iter()
        .filter(|section| !section.has_class("x") && !section.has_class("a"))
        .filter(|section| !section.select("form, header").exists());
    running
        .flat_map(|section| {
            let parts = section.children();
            let texts = parts.iter().filter(|part| !part.has_class("o"));
            texts
                .map(|part| match part.is("table") {
                    true => cells_of(&part),
                    false => part.text().to_string(),
                })
                .collect::<Vec<_>>()
        })
        .collect()
}

/// The words of running text on each disc of an article; none on the others.
pub fn disc_words(html: &str) -> Vec<Vec<String>> {
    let document = Document::from(html);
    let words = |section: Selection| {
        let running = section.has_class("t").then(|| section.children());
        let parts = running.iter().flat_map(Selection::iter);
        let texts = parts
            .filter(|part| !part.has_class("o"))
            .map(|part| match part.is("table") {
                true => cells_of(&part),
                false => part.text().to_string(),
            });
        let texts: Vec<String> = texts.collect();
        let words = texts.iter().flat_map(|text| text.split_whitespace());
        words.map(str::to_owned).collect()
    };
    document
        .select("main > section")
        .iter()
        .map(words)
        .collect()
}

/// The text of each element of an excerpt's discs, its heading first; a sentence that goes on on the next disc
/// is two.
pub fn excerpt_parts(html: &str) -> Vec<String> {
    let document = Document::from(html);
    let parts = document.select("main > section.a > :not(.o)");
    parts.iter().map(|part| one_line(&part.text())).collect()
}

/// What each disc of an article is: `o` its opening, `a` of its excerpt, `t` of its text, `x` of rows to tap.
pub fn section_kinds(html: &str) -> Vec<char> {
    let document = Document::from(html);
    let sections = document.select("main > section");
    let kind = |section: Selection| {
        let kinds = ['a', 't', 'x'].into_iter();
        let mut worn = kinds.filter(|kind| section.has_class(&kind.to_string()));
        worn.next().unwrap_or('o')
    };
    sections.iter().map(kind).collect()
}

/// The text of each table that stands as a grid, its cells on lines of their own.
pub fn grids(html: &str) -> Vec<String> {
    let document = Document::from(html);
    let tables = document.select("main > section > table");
    tables.iter().map(|table| cells_of(&table)).collect()
}

fn cells_of(table: &Selection) -> String {
    let cells = table.select("td, th");
    let texts = cells.iter().map(|cell| one_line(&cell.text()));
    let texts: Vec<String> = texts.filter(|text| !text.is_empty()).collect();
    texts.join("\n")
}

/// A row of an index or of controls.
#[derive(Debug, PartialEq, Eq)]
pub struct Row {
    pub text: String,
    pub href: String,
    pub seen: bool,
    pub new: bool,
}

/// A row that changes something when it is tapped.
#[derive(Debug, PartialEq, Eq)]
pub struct Button {
    pub text: String,
    pub action: String,
}

/// All rows that can be tapped, in order.
pub fn rows(html: &str) -> Vec<Row> {
    let document = Document::from(html);
    let links = document.select("section.x > a.r");
    links.iter().map(|link| row(&link)).collect()
}

fn row(link: &Selection) -> Row {
    let texts = link.children();
    let texts = texts.iter().map(|text| one_line(&text.text()));
    Row {
        text: texts.collect::<Vec<_>>().join(" | "),
        href: link.attr_or("href", "").to_string(),
        seen: link.has_class("v"),
        new: link.has_class("p"),
    }
}

/// All rows that change something, in order.
pub fn buttons(html: &str) -> Vec<Button> {
    let document = Document::from(html);
    let forms = document.select("section.x > form");
    let button = |form: Selection| {
        let button = form.select("button.r");
        let texts = button.children();
        let texts = texts.iter().map(|text| one_line(&text.text()));
        assert_eq!(&*form.attr_or("method", ""), "post");
        Button {
            text: texts.collect::<Vec<_>>().join(" | "),
            action: form.attr_or("action", "").to_string(),
        }
    };
    forms.iter().map(button).collect()
}

/// The lines among the rows of an index that cannot be tapped, each with the disc that it stands on, from 1.
pub fn said_lines(html: &str) -> Vec<(usize, String)> {
    let document = Document::from(html);
    let sections = document.select("main > section");
    let discs = sections.iter().zip(1..);
    discs
        .filter(|(section, _)| section.has_class("x"))
        .flat_map(|(section, disc)| {
            let lines = section.select("p.r");
            lines
                .iter()
                .map(|line| (disc, row(&line).text))
                .collect::<Vec<_>>()
        })
        .collect()
}

/// What an article's opening says, its parts on lines of their own.
pub fn opening(html: &str) -> String {
    let document = Document::from(html);
    let parts = document.select("section > header > *");
    let texts = parts.iter().map(|part| one_line(&part.text()));
    texts.collect::<Vec<_>>().join("\n")
}

/// The rows of an index that lead to an article.
pub fn entry_rows(html: &str) -> Vec<Row> {
    let mut rows = rows(html);
    rows.retain(|row| {
        let name = row.href.rsplit('/').next().unwrap_or_default();
        let leads_on = ["/page/", "/minutes/"]
            .iter()
            .any(|part| row.href.contains(part));
        !leads_on && name.parse::<i64>().is_ok()
    });
    rows
}

/// White space as single spaces.
pub fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Checks that a page runs nothing but the service's own script and loads nothing from elsewhere, whatever was stored.
pub fn check_harmless(html: &str, path: &str) {
    let own = html.split_once("<script async src=/script/");
    let own = own.and_then(|(before, after)| {
        let (name, after) = after.split_once("></script></head>")?;
        let name = name.strip_suffix(".js")?;
        let sound = name.len() == 8 && name.bytes().all(|byte| byte.is_ascii_hexdigit());
        sound.then(|| format!("{before}</head>{after}"))
    });
    let html = own.as_deref().unwrap_or(html);
    let low = html.to_lowercase();
    for refused in ["<script", "javascript:", "<iframe", "<object", "<embed"] {
        assert!(!low.contains(refused), "{path} holds {refused}");
    }
    let document = Document::from(html);
    let mut styles = 0;
    for element in &document.select("*") {
        let name = element.nodes()[0].node_name().unwrap_or_default();
        styles += usize::from(&*name == "style");
        for attribute in element.attrs() {
            let (key, value) = (&*attribute.name.local, &*attribute.value);
            assert!(!key.starts_with("on"), "{path}: <{name} {key}={value}>");
            assert_ne!(key, "style", "{path}: <{name} {key}={value}>");
            let leads_away = value.contains("//");
            let may_lead = &*name == "a" && key == "href";
            assert!(!leads_away || may_lead, "{path}: <{name} {key}={value}>");
        }
    }
    assert_eq!(styles, 1, "{path}");
    let style = document.select("style").text();
    assert!(
        !style.contains("//") && !style.contains("@import"),
        "{path}"
    );
}
