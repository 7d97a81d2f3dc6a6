//! The language of the service's own words: by the header, whole, and never cut.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use dom_query::{Document, NodeRef};
use fluent_syntax::ast::{Entry, Expression, Pattern, PatternElement, Resource};
use reqwest::{Method, StatusCode};
use tondo::config::{FullText, Subscription};

use super::house::{House, SCREENS, subscription};
use super::page::{buttons, one_line, rows};
use super::publisher::{Publisher, Reply, Written, atom};

/// A text of a page with the language that it is in, by the element nearest to it that tells one.
struct Told {
    language: String,
    text: String,
    /// Whether it is of a disc of running text.
    runs: bool,
}

/// The texts of a page: what stands in its elements, and what is said of those that cannot be seen.
fn told(html: &str) -> Vec<Told> {
    let document = Document::from(html);
    let mut found = Vec::new();
    walk(&document.html_root(), "", false, &mut found);
    found
}

fn walk(node: &NodeRef, language: &str, runs: bool, found: &mut Vec<Told>) {
    let own = node.attr("lang").map(|tag| tag.to_string());
    let language = own.as_deref().unwrap_or(language);
    let classes = node.attr("class").unwrap_or_default();
    let runs = runs || classes.split(' ').any(|class| matches!(class, "t" | "a"));
    let mut push = |text: &str| {
        found.push(Told {
            language: language.to_owned(),
            text: one_line(text),
            runs,
        });
    };
    for name in ["aria-label", "alt"] {
        node.attr(name).iter().for_each(|said| push(said));
    }
    let name = node.node_name().unwrap_or_default().to_string();
    let parts = node.children_it(false).any(|child| {
        let name = child.node_name().unwrap_or_default().to_string();
        matches!(name.as_str(), "small" | "span")
    });
    let whole = ["small", "span", "h1", "h2", "h3", "label", "title"].contains(&name.as_str());
    if whole || (!parts && ["p", "button"].contains(&name.as_str())) {
        push(&node.text());
    } else if !["style", "script", "pre", "table"].contains(&name.as_str()) {
        for child in node.children_it(false) {
            walk(&child, language, runs, found);
        }
    }
}

/// The texts of a message between its variables; of one that selects, those of each choice.
fn literals(pattern: &Pattern<&str>) -> Vec<Vec<String>> {
    let mut all = vec![vec![String::new()]];
    for element in &pattern.elements {
        match element {
            PatternElement::TextElement { value } => {
                for one in &mut all {
                    one.last_mut().expect("a text").push_str(value);
                }
            }
            PatternElement::Placeable { expression } => match expression {
                Expression::Inline(_) => all.iter_mut().for_each(|one| one.push(String::new())),
                Expression::Select { variants, .. } => {
                    let chosen = variants.iter().flat_map(|variant| literals(&variant.value));
                    all = chosen.collect();
                }
            },
        }
    }
    all
}

/// The messages of a language, each with its id and its literals, of which some have letters.
fn messages(language: &str) -> Vec<(String, Vec<Vec<String>>)> {
    let file = folder("templates/messages").join(format!("{language}.ftl"));
    let file = fs::read_to_string(file).expect("a file of messages");
    let resource: Resource<&str> = fluent_syntax::parser::parse(file.as_str()).expect("messages");
    let entries = resource.body.iter().filter_map(|entry| match entry {
        Entry::Message(message) => {
            let literals = literals(message.value.as_ref()?);
            Some((message.id.name.to_owned(), literals))
        }
        _ => None,
    });
    entries.collect()
}

/// Whether a text has these literals in this order, each as words of its own.
fn has(text: &str, literals: &[String]) -> bool {
    let mut rest = text;
    literals.iter().all(|literal| {
        let wanted = one_line(literal);
        let starts = rest.match_indices(&wanted).map(|(start, _)| start);
        let alone = |start: &usize| {
            let before = rest[..*start].chars().next_back();
            let after = rest[start + wanted.len()..].chars().next();
            let letter = |sign: Option<char>| sign.is_some_and(char::is_alphabetic);
            let (first, last) = (wanted.chars().next(), wanted.chars().next_back());
            !(letter(before) && letter(first) || letter(after) && letter(last))
        };
        let Some(start) = starts.into_iter().find(alone) else {
            return false;
        };
        rest = &rest[start + wanted.len()..];
        true
    })
}

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

/// Every page of a kind that the house has, and what leads there, as a German and an English browser get it.
async fn page(house: &House, path: &str, language: &str) -> (StatusCode, String) {
    let headers = [("accept", "text/html"), ("accept-language", language)];
    let answer = house.ask(Method::GET, path, &headers).await;
    let varies = answer.header("vary");
    assert!(varies.contains("accept-language"), "{path}: {varies}");
    (answer.status, answer.text())
}

/// The paths of pages of each kind, for a screen.
async fn paths(house: &House, screen: &str, found: &str) -> Vec<String> {
    let index = format!("/{screen}/");
    let home = house.open_page(&index).await.text();
    let mut links = rows(&home).into_iter().map(|row| row.href);
    let group = links.find(|href| href.contains("/group/"));
    let mut paths: Vec<String> = group.into_iter().collect();
    paths.extend(
        ["", "page/0", "page/1", "find", "find?q=%21", "none"].map(|end| format!("{index}{end}")),
    );
    paths.push(format!("{index}find?q={found}"));
    paths.push(format!("{index}find?q=nosuchword"));
    paths.push(format!("{index}find?q={}", "ebb+".repeat(60)));
    let articles = house.articles().await;
    let linked = articles.iter().find(|article| !article.links.is_empty());
    let entry = linked.unwrap_or(&articles[0]).entry;
    paths.extend(["", "/links", "/hand"].map(|end| format!("{index}{entry}{end}")));
    paths
}

/// What stands on every screen before anything is marked as seen, after it, and once that is undone.
async fn everywhere(house: &House, found: &str, mut look: impl AsyncFnMut(&str)) {
    for screen in SCREENS {
        for path in paths(house, screen, found).await {
            look(&path).await;
        }
    }
    let home = house.open_page("/round-10/").await.text();
    let told = house
        .tap(&buttons(&home).pop().expect("what marks as seen"))
        .await;
    let end = told.strip_prefix("/round-10/").expect("a path");
    for screen in SCREENS {
        look(&format!("/{screen}/")).await;
        look(&format!("/{screen}/{end}")).await;
    }
    let undo = buttons(&house.open_page(&told).await.text()).remove(0);
    house.tap(&undo).await;
    for screen in SCREENS {
        look(&format!("/{screen}/{end}")).await;
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_german_browser_is_told_nothing_in_english() {
    let house = House::with_town_in_groups().await;
    let german = messages("de");
    let others = messages("en")
        .into_iter()
        .filter(|message| !german.contains(message));
    let lettered = |literals: &Vec<String>| {
        literals
            .iter()
            .any(|text| text.chars().any(char::is_alphabetic))
    };
    let english: Vec<(String, Vec<String>)> = others
        .flat_map(|(id, all)| all.into_iter().map(move |literals| (id.clone(), literals)))
        .filter(|(_, literals)| lettered(literals))
        // "Apr" is in "Apr.".
        .filter(|(_, literals)| {
            let mut told = german.iter().flat_map(|(_, all)| all);
            !told.any(|german| has(&german.join(" "), literals))
        })
        .collect();
    assert!(english.len() > 90, "{}", english.len());
    let mut told_in_german = BTreeSet::new();
    let articles = house.articles().await;
    let names: Vec<&str> = articles
        .iter()
        .flat_map(|article| [article.title.as_str(), article.feed_title.as_str()])
        .collect();
    let look = async |path: &str| {
        let (_, html) = page(&house, path, "de-AT,de;q=0.9,en;q=0.5").await;
        let texts = told(&html);
        let own: Vec<&Told> = texts.iter().filter(|told| told.language == "de").collect();
        assert!(!own.is_empty(), "{path}: {html}");
        for told in own {
            let named = |text: String, name: &&str| text.replace(name, "");
            let text = names.iter().fold(told.text.clone(), named);
            for (id, literals) in &english {
                assert!(!has(&text, literals), "{path}: {id} in {text:?}");
            }
            let known = german.iter().filter(|(_, all)| {
                all.iter()
                    .any(|literals| lettered(literals) && has(&told.text, literals))
            });
            told_in_german.extend(known.map(|(id, _)| id.clone()));
        }
        // No word of the service's own is told in another language: it is known by what only it says.
        let strange = texts
            .iter()
            .filter(|told| told.language != "de" && !told.runs);
        for told in strange {
            assert!(told.text != "Next disc" && told.text != "Index", "{path}");
        }
    };
    everywhere(&house, "harbour", look).await;
    // Of all messages, those of names of months and of faults that the town does not have are left.
    assert!(told_in_german.len() > 45, "{told_in_german:?}");
}

#[tokio::test]
async fn the_language_of_a_page_is_that_of_its_words() {
    let house = House::with_town().await;
    let lang = |html: &str| {
        let document = Document::from(html);
        document.select("html").attr_or("lang", "").to_string()
    };
    let entry = house.articles().await[0].entry;
    let article = format!("/round-10/{entry}");
    let mut tags = BTreeSet::new();
    for (wanted, own) in [
        ("de", "de"),
        ("en", "en"),
        ("fr", "en"),
        ("fr, de;q=0.1", "de"),
        ("de;q=0, en;q=0.1", "en"),
    ] {
        let (status, html) = page(&house, "/round-10/", wanted).await;
        assert_eq!(
            (status, lang(&html).as_str()),
            (StatusCode::OK, own),
            "{wanted}"
        );
        let (status, html) = page(&house, "/round-10/none", wanted).await;
        assert_eq!((status, lang(&html).as_str()), (StatusCode::NOT_FOUND, own));
        // An article's own language stays, and what is not in it says so.
        let (_, html) = page(&house, &article, wanted).await;
        assert_eq!(lang(&html), "en-gb");
        let next = told(&html)
            .into_iter()
            .find(|told| ["Next disc", "Weiter"].contains(&told.text.as_str()));
        let next = next.expect("what leads on");
        assert_eq!(next.language, if own == "de" { "de" } else { "en-gb" });
        let headers = [("accept-language", wanted)];
        tags.insert(
            house
                .ask(Method::GET, &article, &headers)
                .await
                .header("etag")
                .to_owned(),
        );
    }
    assert_eq!(tags.len(), 2, "a page has a tag for each language");
}

/// A feed with entries in every month of the year, of a name that fits any line.
fn dated(publisher: &Publisher, title: &str, group: &str, count: usize) -> Subscription {
    let link = "<p>See <a href=\"https://quay.example/\">the quay</a> at ebb.</p>";
    let written = (0..count).map(|place| Written {
        title: format!("Ebb {place}"),
        updated: format!(
            "2031-{:02}-28T23:{:02}:00Z",
            place % 12 + 1,
            place / 12 + 10
        ),
        ..Written::new(&format!("{title}-{place}"), &link.repeat(20 + place))
    });
    let written: Vec<Written> = written.collect();
    publisher.set(
        &format!("/{title}"),
        Reply::atom(atom(&publisher.address("/"), title, &written)),
    );
    Subscription {
        full_text: FullText::Never,
        group: Some(group.to_owned()),
        ..subscription(&publisher.address(&format!("/{title}")))
    }
}

/// Minutes from the house's start to the last day of that year, and from there into the next.
const TO_DECEMBER: i64 = 274 * 24 * 60;
const TO_JANUARY: i64 = 5 * 24 * 60;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn no_word_of_the_services_own_is_cut_at_any_size() {
    let publisher = Publisher::start().await;
    let feeds = [("quay", "Town"), ("pier", "Club"), ("lock", "Town")];
    let house = House::open(
        feeds
            .map(|(title, group)| dated(&publisher, title, group, 48))
            .to_vec(),
    )
    .await;
    house.open_page("/round-10/").await;
    house.pass_time(TO_DECEMBER);
    assert_eq!(
        house
            .pass()
            .await
            .iter()
            .map(|report| report.added)
            .sum::<u32>(),
        144
    );
    let mut cut = BTreeSet::new();
    for further in [0, TO_JANUARY] {
        house.pass_time(further);
        let look = async |path: &str| {
            for language in ["en", "de"] {
                let (_, html) = page(&house, path, language).await;
                let own = told(&html)
                    .into_iter()
                    .filter(|told| told.language == language);
                // An address is told as far as there is room.
                let own =
                    own.filter(|told| told.text.ends_with('…') && !told.text.starts_with("127"));
                cut.extend(own.map(|told| format!("{path}, {language}: {}", told.text)));
            }
        };
        everywhere(&house, "ebb", look).await;
    }
    assert_eq!(cut, BTreeSet::new());
}

/// The string literals of a source, up to its tests.
fn strings(source: &str) -> Vec<String> {
    let source = source.split("#[cfg(test)]").next().unwrap_or_default();
    let lines = source
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"));
    let code: Vec<&str> = lines.collect();
    let code = code.join("\n");
    code.split('"')
        .skip(1)
        .step_by(2)
        .map(str::to_owned)
        .collect()
}

#[test]
fn every_message_is_used_and_none_is_missing() {
    let mut sources: Vec<PathBuf> = vec![
        folder("service/web/words.rs"),
        folder("service/view/words.rs"),
    ];
    let further = fs::read_dir(folder("service/web/words")).expect("words");
    sources.extend(
        further
            .map(|file| file.expect("a file").path())
            .filter(|path| !path.ends_with("tests.rs")),
    );
    let read = |path: &PathBuf| fs::read_to_string(path).expect("a source");
    let mut named: BTreeSet<String> = sources
        .iter()
        .flat_map(|path| strings(&read(path)))
        .collect();
    let file = fs::read_to_string(folder("templates/messages/en.ftl")).expect("messages");
    let ids: BTreeSet<String> = messages("en").into_iter().map(|(id, _)| id).collect();
    // One may be there for others alone, as the names of months are.
    let within = ids
        .iter()
        .filter(|id| file.contains(&format!("{{ {id} }}")));
    let within: BTreeSet<String> = within.cloned().collect();
    // The empty one, and kinds of what a link leads to (RFC 6838).
    for other in ["", "audio", "image", "text", "video"] {
        named.remove(other);
    }
    named.retain(|name| {
        name.chars()
            .all(|sign| sign.is_ascii_lowercase() || sign == '-')
    });
    let unused: Vec<&String> = ids
        .iter()
        .filter(|id| !named.contains(*id) && !within.contains(*id))
        .collect();
    assert_eq!(unused, [""; 0]);
    let variable = |name: &String| file.contains(&format!("${name} "));
    let missing: Vec<&String> = named
        .iter()
        .filter(|name| !ids.contains(*name) && !variable(name))
        .collect();
    assert_eq!(missing, [""; 0]);
}
