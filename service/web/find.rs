//! Finding articles by their words: the field to type them in, what is found, and the last searches. Never reads
//! articles.

use axum::extract::Query;
use axum::extract::rejection::QueryRejection;
use axum::http::{HeaderMap, Method, StatusCode};
use axum::response::Response;
use jiff::Timestamp;
use serde::Deserialize;
use url::form_urlencoded;

use super::asked::Asked;
use super::cache::Printed;
use super::error::WebError;
use super::{Web, answer, message};
use crate::distil::block::Block;
use crate::distil::language::{Direction, Language};
use crate::store::{ENTRIES_A_PAGE, Hit, MOST_CHARACTERS, READER, Sought, Unsought};
use crate::typeset::units::{LEAST_TARGET, WIDE_TARGET};
use crate::typeset::{Item, LineKind, Lines, Row, RowText, Screen, Spacing, typeset};
use crate::view::{Field, First, PageView, PrintError, Target};
use crate::words::Words;

/// What is looked for, and which page of what is found, from 0.
#[derive(Deserialize)]
pub struct Asking {
    q: Option<String>,
    #[serde(default)]
    page: usize,
}

/// The field, or what is found by the words that were typed there. Going to the first page of what is found puts the
/// search among the last ones.
pub async fn find(
    web: Web,
    Asked(screen): Asked<String>,
    method: Method,
    headers: HeaderMap,
    asking: Result<Query<Asking>, QueryRejection>,
) -> Response {
    let shown = async {
        let known: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
        let Query(asking) = asking.map_err(|_| WebError::NoPage)?;
        let goes = method == Method::GET && answer::is_navigation(&headers);
        let printed = show(&web, known, asking, goes).await?;
        Ok(answer::page(&headers, StatusCode::OK, &printed))
    };
    let shown = shown.await;
    message::or_message(&web, &screen, &headers, shown).await
}

/// Forgets the last searches, and leads back to the field.
pub async fn forget(web: Web, Asked(screen): Asked<String>, headers: HeaderMap) -> Response {
    let done = async {
        let known: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
        web.shared.store.forget_searches(READER).await?;
        Ok(answer::lead_to(&format!("/{known}/find")))
    };
    let done = done.await;
    message::or_message(&web, &screen, &headers, done).await
}

async fn show(web: &Web, screen: Screen, asking: Asking, goes: bool) -> Result<Printed, WebError> {
    let store = &web.shared.store;
    let Some(typed) = asking.q else {
        return ask(web, screen, Told::default()).await;
    };
    let sought = match Sought::parse(&typed) {
        Ok(sought) => sought,
        Err(why) => return ask(web, screen, Told::of(web.words, why, &typed)).await,
    };
    let found = store.find(&sought).await?;
    if found.entries.is_empty() {
        let told = Told {
            said: Some(web.words.nothing_found()),
            advice: vec![web.words.none_has_all(&sought.words)],
            typed: sought.words,
        };
        return ask(web, screen, told).await;
    }
    let mut pages = found.entries.chunks(ENTRIES_A_PAGE).skip(asking.page);
    let entries = pages.next().ok_or(WebError::NoPage)?;
    let now = web.shared.clock.now();
    let results = Results {
        hits: store.hits(READER, entries).await?,
        count: web.words.found(found.entries.len(), found.more),
        further: pages.next().map(|_| asking.page + 1),
        page: u32::try_from(asking.page).unwrap_or(u32::MAX),
        words: sought.words.clone(),
    };
    if goes && asking.page == 0 {
        store.remember_search(READER, &sought, now).await?;
    }
    let composer = web.clone();
    let printed = web
        .shared
        .pool
        .run(move || compose(&composer, screen, &results, now))
        .await??;
    Ok(printed)
}

/// What is told around the field.
#[derive(Default)]
struct Told {
    /// What stands above it in place of its name.
    said: Option<&'static str>,
    /// What to do, on the next disc.
    advice: Vec<String>,
    /// The words that were typed.
    typed: String,
}

impl Told {
    fn of(words: Words, why: Unsought, typed: &str) -> Self {
        let (said, advice) = match why {
            Unsought::Nothing | Unsought::SignsAlone => {
                (words.type_a_word(), words.no_words().to_owned())
            }
            Unsought::TooMuch => (words.fewer_words(), words.too_many_words()),
        };
        Self {
            said: Some(said),
            advice: vec![advice],
            typed: typed.chars().take(MOST_CHARACTERS).collect(),
        }
    }
}

/// The page with the field, and the last searches below it.
async fn ask(web: &Web, screen: Screen, mut told: Told) -> Result<Printed, WebError> {
    let store = &web.shared.store;
    let searches = store.searches(READER).await?;
    let unfindable = store.unfindable_count().await?;
    if unfindable > 0 {
        told.advice.push(web.words.not_findable_yet(unfindable));
    }
    let composer = web.clone();
    let printed = web
        .shared
        .pool
        .run(move || compose_field(&composer, screen, &told, &searches))
        .await??;
    Ok(printed)
}

fn compose_field(
    web: &Web,
    screen: Screen,
    told: &Told,
    searches: &[String],
) -> Result<Printed, PrintError> {
    let (said, own) = (web.words, web.words.language());
    let advice: Vec<Block> = told
        .advice
        .iter()
        .map(|text| said.paragraph(text.as_str()))
        .collect();
    let mut items: Vec<Item> = advice.iter().map(Item::Block).collect();
    let mut targets = vec![Target::none(own, Direction::Ltr); items.len()];
    let unknown = Language::unknown();
    for words in searches {
        items.push(Item::Entry(row(
            &[(words, LineKind::Title)],
            &unknown,
            LEAST_TARGET,
        )));
        targets.push(Target::to(address(screen, words, 0), &unknown));
    }
    let action = format!("/{screen}/find");
    let controls = [
        (said.index(), format!("/{screen}/"), false),
        (said.forget_searches(), format!("{action}/forget"), true),
    ];
    let shown = if searches.is_empty() { 1 } else { 2 };
    for (name, href, sends) in controls.into_iter().take(shown) {
        items.push(Item::Control(row(
            &[(name, LineKind::Control)],
            own,
            LEAST_TARGET,
        )));
        targets.push(Target {
            sends,
            ..Target::to(href, own)
        });
    }
    let field = Field {
        screen,
        action: &action,
        name: said.find_words(),
        said: told.said,
        words: &told.typed,
        most_characters: MOST_CHARACTERS,
        button: said.find(),
        own: said,
    };
    let title = match told.typed.is_empty() {
        true => said.find().to_owned(),
        false => said.find_title(&told.typed),
    };
    let page = PageView {
        title: &title,
        language: own,
        direction: Direction::Ltr,
        discs: &typeset(&items, &screen, &web.shared.typeface),
        targets: &targets,
        words: said,
        sizes_of: None,
        style: &web.shared.style,
        script: None,
    };
    page.print_after(Some(First::Field(&field)))
        .map(Printed::new)
}

/// A page of what was found.
struct Results {
    hits: Vec<Hit>,
    /// How many there are in all, for a person.
    count: String,
    /// The next page.
    further: Option<usize>,
    /// This page, from 0.
    page: u32,
    words: String,
}

fn compose(
    web: &Web,
    screen: Screen,
    results: &Results,
    now: Timestamp,
) -> Result<Printed, PrintError> {
    let (said, own) = (web.words, web.words.language());
    let labels: Vec<String> = results
        .hits
        .iter()
        .map(|hit| label(web, screen, hit, now))
        .collect();
    let mut items = Vec::new();
    let mut targets = Vec::new();
    for (hit, label) in results.hits.iter().zip(&labels) {
        let mut texts = vec![(hit.title.as_str(), LineKind::Title)];
        texts.extend(label.lines().map(|line| (line, LineKind::Label)));
        let mut row = row(&texts, own, WIDE_TARGET);
        row.texts[0].language = &hit.language;
        let parts = row.texts.iter().map(|text| text.language.clone());
        let parts = parts.collect();
        items.push(Item::Entry(row));
        targets.push(Target {
            seen: hit.opened,
            direction: hit.direction,
            parts,
            ..Target::to(format!("/{screen}/{}", hit.entry), &hit.language)
        });
    }
    let further = results
        .further
        .map(|page| address(screen, &results.words, page));
    let further = further.map(|href| (said.further(), None, href));
    let again = [
        (
            said.find(),
            Some(results.count.as_str()),
            format!("/{screen}/find"),
        ),
        (said.index(), None, format!("/{screen}/")),
    ];
    for (name, detail, href) in further.into_iter().chain(again) {
        let mut texts = vec![(name, LineKind::Control)];
        texts.extend(detail.map(|detail| (detail, LineKind::Label)));
        items.push(Item::Control(row(&texts, own, LEAST_TARGET)));
        targets.push(Target::to(href, own));
    }
    let title = said.find_title(&results.words);
    let title = said.title_of_page(&title, results.page);
    message::own_page(web, screen, &title, &items, &targets)
}

/// What stands below a title: when it was published, and where, as far as there is room.
fn label(web: &Web, screen: Screen, hit: &Hit, now: Timestamp) -> String {
    let time = web
        .words
        .short_time(hit.published, now, &web.shared.time_zone, screen);
    match (screen.spacing, screen.lines) {
        (Spacing::Wide, Lines::Six) => time,
        _ => format!("{time}\n{}", hit.feed_title),
    }
}

/// A title may take three lines, what a control is called two, each label one.
fn row<'a>(texts: &[(&'a str, LineKind)], language: &'a Language, height: f64) -> Row<'a> {
    let texts = texts.iter().map(|(text, kind)| RowText {
        text,
        language,
        kind: *kind,
        most_lines: match kind {
            LineKind::Title => 3,
            LineKind::Control => 2,
            _ => 1,
        },
    });
    Row {
        texts: texts.collect(),
        height,
    }
}

/// The address of a page of what is found by words, from 0.
fn address(screen: Screen, words: &str, page: usize) -> String {
    let mut query = form_urlencoded::Serializer::new(String::new());
    query.append_pair("q", words);
    if page > 0 {
        query.append_pair("page", &page.to_string());
    }
    format!("/{screen}/find?{}", query.finish())
}
