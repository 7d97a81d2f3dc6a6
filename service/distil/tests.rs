//! The whole way from a source to an article, by example and by property.

use super::*;
use crate::distil::extract::extract_article;
use proptest::prelude::*;

fn at(address: &str) -> Url {
    Url::parse(address).expect("an address")
}

fn source(content: Option<&str>) -> Source {
    Source {
        address: Some(at("https://quay.example.org/a")),
        base: at("https://quay.example.org/"),
        title: Some("A title".to_owned()),
        authors: Vec::new(),
        declared_language: Language::parse("en"),
        content: content.map(str::to_owned),
        page: None,
        further: Vec::new(),
        enclosures: Vec::new(),
    }
}

fn entry(content: Option<&str>, summary: Option<&str>) -> Entry {
    Entry {
        identity: "1".to_owned(),
        link: Some(at("https://quay.example.org/a")),
        title: None,
        authors: Vec::new(),
        published: None,
        content: content.map(str::to_owned),
        summary: summary.map(str::to_owned),
        base: at("https://quay.example.org/"),
        language: None,
        enclosures: Vec::new(),
    }
}

fn talk() -> Enclosure {
    Enclosure {
        address: at("https://quay.example.org/talk.mp3"),
        media_type: Some("audio/mpeg".to_owned()),
        length_bytes: Some(12_216_320),
        duration_seconds: Some(2_530),
    }
}

#[test]
fn a_teaser_wants_its_page() {
    let long = "word ".repeat(130);
    let check = |entry: &Entry, rule: FullText, expected: bool| {
        assert_eq!(wants_page(entry, rule), expected, "{entry:?}");
    };
    check(&entry(Some("short"), None), FullText::Auto, true);
    check(&entry(Some(&long), None), FullText::Auto, false);
    check(&entry(Some(&long), None), FullText::Always, true);
    check(&entry(Some("short"), None), FullText::Never, false);
    check(&entry(None, Some(&long)), FullText::Auto, true);
    check(&entry(None, Some(&long.repeat(3))), FullText::Auto, false);
    check(&entry(None, None), FullText::Auto, true);
    for end in ["…", "...", "[…]", "[...]", "(…) "] {
        check(
            &entry(Some(&format!("<p>{long}{end}</p>")), None),
            FullText::Auto,
            true,
        );
    }
    check(
        &entry(Some(&format!("{long}.)")), None),
        FullText::Auto,
        false,
    );
    check(
        &Entry {
            link: None,
            ..entry(Some("short"), None)
        },
        FullText::Always,
        false,
    );
    check(
        &Entry {
            enclosures: vec![talk()],
            ..entry(Some("short"), None)
        },
        FullText::Auto,
        false,
    );
}

#[test]
fn the_longer_of_feed_and_page_is_taken() {
    let sentence = "The dredger came through the north gate on Monday, and by the evening the channel was deep enough. ";
    let page = Page {
        html: format!(
            "<html lang=de><title>T</title><body><article>{}</article></body>",
            format!("<p>{sentence}</p>").repeat(8)
        ),
        address: at("https://quay.example.org/a"),
    };
    let teaser = Source {
        page: Some(page.clone()),
        ..source(Some("The dredger came…"))
    };
    let (article, warnings) = distil(&teaser);
    assert_eq!(
        (article.blocks.len(), article.language.tag(), warnings.len()),
        (8, "de", 0)
    );
    let full = sentence.repeat(20);
    let (article, _) = distil(&Source {
        page: Some(page),
        ..source(Some(&full))
    });
    assert_eq!((article.blocks.len(), article.language.tag()), (1, "en"));
    let broken = Page {
        html: "<p>".to_owned(),
        address: at("https://quay.example.org/a"),
    };
    let (article, warnings) = distil(&Source {
        page: Some(broken),
        ..source(Some("Still here."))
    });
    assert_eq!((article.words, warnings.len()), (2, 1));
}

#[test]
fn the_pages_of_an_article_are_joined_and_repeat_nothing() {
    let paragraph = |name: &str| {
        format!(
            "<p>{name} came through the north gate on Monday, and by the evening the channel was deep enough for all.</p>"
        )
    };
    let page = |address: &str, names: &[&str]| Page {
        html: format!(
            "<html lang=en><title>T</title><body><article><p><a href=b>{}</a> is what this is about, as was said at the \
             beginning of the week.</p>{}</article></body>",
            "The dredger",
            names.iter().map(|name| paragraph(name)).collect::<String>()
        ),
        address: at(address),
    };
    let whole = Source {
        page: Some(page(
            "https://quay.example.org/a",
            &["The dredger", "The ferry", "The pilots"],
        )),
        further: vec![page(
            "https://quay.example.org/a/2",
            &["The tug", "The buoy", "The gulls"],
        )],
        ..source(None)
    };
    let (article, warnings) = distil(&whole);
    assert!(warnings.is_empty(), "{warnings:?}");
    let texts: Vec<String> = article.blocks.iter().map(Block::text).collect();
    assert_eq!(texts.len(), 7, "{texts:?}");
    assert!(texts[6].starts_with("The gulls"));
    assert_eq!(article.links[0].address, "https://quay.example.org/b");
}

#[test]
fn what_the_feed_does_not_say_its_page_does() {
    let page = Page {
        html: format!(
            "<html lang=en><head><title>Tides | Gazette</title><meta name=author content='By Ada Quill'>\
             <meta property=article:published_time content=2026-11-02T07:00:00Z></head><body><h1>Tides</h1>{}</body></html>",
            "<p>The dredger came through the north gate on Monday, and the channel was deep enough.</p>".repeat(6)
        ),
        address: at("https://quay.example.org/a"),
    };
    let (article, _) = distil(&Source {
        title: None,
        page: Some(page),
        ..source(None)
    });
    assert_eq!(
        (article.title.as_str(), article.authors.as_slice()),
        ("Tides", &["Ada Quill".to_owned()][..])
    );
    assert_eq!(
        article.published.map(|at| at.to_string()).as_deref(),
        Some("2026-11-02T07:00:00Z")
    );
}

#[test]
fn a_title_is_always_found() {
    let title = |content: Option<&str>| {
        distil(&Source {
            title: None,
            ..source(content)
        })
        .0
        .title
    };
    assert_eq!(
        title(Some("<p>Word.</p><h2>Ebb  and <i>flood</i></h2>")),
        "Ebb and flood"
    );
    assert_eq!(
        title(Some("<p>one two three four five six seven eight nine</p>")),
        "one two three four five six seven eight…"
    );
    assert_eq!(title(Some("<p>one two</p>")), "one two");
    assert_eq!(title(None), "https://quay.example.org/a");
    let (article, _) = distil(&source(Some("<h1>A  TITLE</h1><p>Text.</p>")));
    assert_eq!(
        (article.title.as_str(), article.blocks.len()),
        ("A title", 1)
    );
}

#[test]
fn enclosures_are_told_and_linked_at_the_end() {
    let (article, warnings) = distil(&Source {
        enclosures: vec![talk()],
        ..source(Some("<p>Two words.</p>"))
    });
    let last = article.blocks.last().expect("a block");
    assert_eq!(last.text(), "Audio, 43 min, 12 MB");
    assert_eq!(last.runs[0].link, Some(0));
    assert_eq!(
        article.links[0].address,
        "https://quay.example.org/talk.mp3"
    );
    assert_eq!((article.words, warnings.len()), (2, 0));
}

#[test]
fn an_undeclared_language_is_detected_on_the_body() {
    let german = "Die Bohnen stehen in diesem Jahr spät, aber die Beete am Deich sind schon gehackt, und wer noch \
        Saatgut braucht, findet am Schuppen eine Kiste mit Tüten, aus der sich jeder bedienen darf, solange er im \
        Herbst wieder etwas hineinlegt und es ordentlich beschriftet.";
    let undeclared = |text: &str| {
        distil(&Source {
            declared_language: None,
            ..source(Some(text))
        })
        .0
    };
    assert_eq!(undeclared(german).language.tag(), "de");
    assert_eq!(undeclared("Short.").language.tag(), "und");
    // A program declares English where nobody has told it; an element that says otherwise holds.
    let greek = "Σήμερα η θάλασσα είναι ήρεμη στο λιμάνι και τα καΐκια βγαίνουν νωρίς για ψάρεμα.";
    let declared = |text: &str| distil(&source(Some(text))).0;
    assert_eq!(declared(greek).language.tag(), "el");
    assert_eq!(declared(german).language.tag(), "en");
    let quoted = declared(&format!("<p>As they say:<p lang=el>{greek}"));
    let languages: Vec<&str> = quoted
        .blocks
        .iter()
        .map(|block| block.language.tag())
        .collect();
    assert_eq!((quoted.language.tag(), languages), ("en", vec!["en", "el"]));
    let cherokee = undeclared("ᎣᏏᏲ ᎢᎬᏱ ᏗᏓᎴᎲᏍᎬ");
    assert_eq!(
        (cherokee.language.tag(), cherokee.direction),
        ("und", Direction::Ltr)
    );
    assert_eq!(
        undeclared("<div lang=he>שלום</div>").direction,
        Direction::Rtl
    );
}

#[test]
fn hostile_content_costs_an_article_and_no_more() {
    for unit in [
        "<div>",
        "<b id=1>x",
        "<p><i>x",
        "<blockquote>",
        "<ul><li>",
        "<table><tr><td>",
        "&lt;b&gt;",
        "<ol><li><table><tr><td>a<td>b",
    ] {
        let (article, _) = distil(&source(Some(&unit.repeat(100_000))));
        assert!(article.blocks.len() <= 200_000, "{unit}");
    }
    let (article, warnings) = distil(&source(Some("")));
    assert!(article.blocks.is_empty() && warnings.len() == 1);
}

proptest! {
    #[test]
    fn any_bytes_give_an_article_or_none(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        let _either = extract_article(&bytes, None, &at("https://quay.example.org/a"));
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let page = Page { html: format!("<p>{text}"), address: at("https://quay.example.org/a") };
        let (article, _) = distil(&Source { page: Some(page), title: None, ..source(Some(&text)) });
        prop_assert!(!article.title.is_empty());
    }
}

fn told(content: String) -> (Article, Vec<String>) {
    distil(&Source {
        address: None,
        base: Url::parse("http://kestrel-quay.example/").unwrap(),
        title: Some("Tables of the harbour ".repeat(20_000)),
        authors: vec!["Edmund Larkspur ".repeat(500); 40],
        declared_language: Language::parse("en"),
        content: Some(content),
        page: None,
        further: Vec::new(),
        enclosures: Vec::new(),
    })
}

#[test]
fn a_table_does_not_multiply_its_labels_without_end() {
    let heads = format!("<th>{}</th>", "Height above the sill ".repeat(60)).repeat(40);
    let row = format!("<tr>{}</tr>", "<td>1</td>".repeat(40));
    let table = format!("<table><tr>{heads}</tr>{}</table>", row.repeat(500));
    let (article, warnings) = told(table.repeat(5));
    let characters: usize = article
        .blocks
        .iter()
        .map(|block| block.text().chars().count())
        .sum();
    assert!(characters <= block::MOST_CHARACTERS, "{characters}");
    assert!(
        warnings
            .iter()
            .any(|warning| warning.contains("its end may be missing")),
        "{warnings:?}"
    );
    assert!(article.title.chars().count() <= 301 && article.title.ends_with('…'));
    assert!(article.authors.len() <= 10 && article.authors[0].chars().count() <= 101);
}

#[test]
fn a_book_ends_where_an_article_must() {
    let (article, warnings) = told("<p>The tide came in and the tide went out.</p>".repeat(50_000));
    let characters: usize = article
        .blocks
        .iter()
        .map(|block| block.text().chars().count())
        .sum();
    assert!(
        (290_000..=block::MOST_CHARACTERS).contains(&characters),
        "{characters}"
    );
    assert!(
        warnings
            .iter()
            .any(|warning| warning.contains("its end may be missing")),
        "{warnings:?}"
    );
}

#[test]
fn links_beyond_the_most_are_plain_text() {
    let links: String = (0..2_000)
        .map(|n| format!("<a href='/{n}'>buoy</a> "))
        .collect();
    let (article, _) = told(format!("<p>{links}</p>"));
    assert_eq!(article.links.len(), 500);
    assert_eq!(article.blocks[0].text().split(' ').count(), 2_000);
}
