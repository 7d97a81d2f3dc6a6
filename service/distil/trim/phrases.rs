//! Phrases that pages put around their articles, and the words of dates, in a few languages: English,
//! German, French, Spanish, Portuguese, Italian, Dutch, Swedish, Polish. Knows no block.
//!
//! All are common practice, no source; they are compared whole, in lower case and without what is no
//! letter, so that no sentence of an article can be meant.

/// The letters and digits of a text in lower case, with single spaces between its words.
fn folded(text: &str) -> String {
    let spaced: String = text
        .to_lowercase()
        .chars()
        .map(|sign| if sign.is_alphanumeric() { sign } else { ' ' })
        .collect();
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

const FURNITURE: &[&str] = &[
    // Advertising.
    "ad",
    "ads",
    "advertisement",
    "advertisements",
    "advertising",
    "sponsored",
    "sponsored content",
    "anzeige",
    "werbung",
    "publicité",
    "annonce",
    "publicidad",
    "anuncio",
    "publicidade",
    "pubblicità",
    "advertentie",
    "reklama",
    "annons",
    "video ad feedback",
    "ad feedback",
    "article continues below",
    "advertisement continue reading the main story",
    // Sharing, printing, saving.
    "share",
    "share this",
    "share this article",
    "share this story",
    "share on",
    "print",
    "print this page",
    "printer friendly version",
    "email",
    "e mail",
    "save",
    "copy link",
    "teilen",
    "artikel teilen",
    "beitrag teilen",
    "drucken",
    "merken",
    "diese geschichte teilen",
    "partager",
    "imprimer",
    "compartir",
    "imprimir",
    "compartilhar",
    "condividi",
    "stampa",
    "delen",
    "dela",
    "udostępnij",
    "read or share this story",
    "like this",
    "gefällt mir",
    // Pictures and sound.
    "hide caption",
    "show caption",
    "toggle caption",
    "enlarge",
    "enlarge this image",
    "image caption",
    "image copyright",
    "play",
    "play video",
    "watch video",
    "listen",
    "loading",
    "bild vergrößern",
    "bild in lightbox öffnen",
    "video transcript",
    // Comments.
    "comments",
    "comment",
    "leave a comment",
    "leave a reply",
    "post a comment",
    "view comments",
    "no comments",
    "kommentare",
    "kommentar",
    "kommentar schreiben",
    "kommentare schreiben",
    "kommentar hinzufügen",
    "kommentare geschlossen",
    "keine kommentare",
    "commentaires",
    "comentarios",
    "comentários",
    "commenti",
    "reacties",
    "kommentarer",
    "komentarze",
    // Going on.
    "read more",
    "continue reading",
    "more",
    "menu",
    "back to top",
    "top",
    "next",
    "previous",
    "next article",
    "skip to content",
    "weiterlesen",
    "mehr",
    "mehr lesen",
    "nach oben",
    "zurück",
    "lire la suite",
    "leer más",
    "leia mais",
    "leggi tutto",
    "lees meer",
    "läs mer",
    "czytaj więcej",
    "lade weitere inhalte",
    "story highlights",
    "view in browser",
    "subscribe",
    "sign up",
    "newsletter abonnieren",
    "abonnieren",
    "s abonner",
    "suscribirse",
    "iscriviti",
];

const MORE: &[&str] = &[
    "related",
    "related posts",
    "related articles",
    "related stories",
    "related content",
    "related items",
    "related topics",
    "related news",
    "related links",
    "recommended",
    "recommended for you",
    "recommended reading",
    "you may also like",
    "you might also like",
    "more from",
    "more stories",
    "more on this",
    "more on this story",
    "more on this topic",
    "read next",
    "see also",
    "up next",
    "popular",
    "most read",
    "most popular",
    "trending",
    "latest news",
    "dont miss",
    "don t miss",
    "also read",
    "read also",
    "tags",
    "topics",
    "filed under",
    "share this",
    "ähnliche artikel",
    "ähnliche beiträge",
    "ähnliche themen",
    "verwandte artikel",
    "verwandte beiträge",
    "mehr zum thema",
    "zum thema",
    "mehr dazu",
    "weitere artikel",
    "weitere beiträge",
    "weitere themen",
    "weiterführende links",
    "weiterführender link",
    "das könnte sie auch interessieren",
    "das könnte dich auch interessieren",
    "auch interessant",
    "lesen sie auch",
    "meistgelesen",
    "nützliche links",
    "schlagworte",
    "schlagwörter",
    "themen",
    "articles similaires",
    "à lire aussi",
    "lire aussi",
    "sur le même sujet",
    "articles liés",
    "voir aussi",
    "artículos relacionados",
    "noticias relacionadas",
    "te puede interesar",
    "lea también",
    "lee también",
    "más información",
    "más noticias",
    "artigos relacionados",
    "notícias relacionadas",
    "leia também",
    "veja também",
    "articoli correlati",
    "leggi anche",
    "potrebbe interessarti",
    "gerelateerde artikelen",
    "lees ook",
    "meer over",
    "läs också",
    "läs mer om",
    "relaterade artiklar",
    "czytaj także",
    "zobacz także",
    "powiązane artykuły",
    "เรื่องที่เกี่ยวข้อง",
    "相关新闻",
    "相关阅读",
    "関連記事",
    "관련기사",
];

/// Words beside the names of authors and dates in a line of them.
const DATE_WORDS: &str = "by von par por di door av af autor autoren author authors text words published \
    updated posted on at last modified veröffentlicht aktualisiert am um den vom uhr publié le à mis jour \
    publicado el actualizado em pubblicato il alle aggiornato gepubliceerd op bijgewerkt min mins minute \
    minutes read am pm gmt utc est edt pst pdt bst cet cest mez mesz \
    monday tuesday wednesday thursday friday saturday sunday mon tue wed thu fri sat sun \
    montag dienstag mittwoch donnerstag freitag samstag sonntag mo di mi do fr sa so \
    lundi mardi mercredi jeudi vendredi samedi dimanche lunes martes miércoles jueves viernes sábado \
    domingo lunedì martedì mercoledì giovedì venerdì sabato domenica \
    january february march april may june july august september october november december jan feb mar \
    apr jun jul aug sep sept oct nov dec januar februar märz mai juni juli oktober dezember okt dez \
    janvier février mars avril juin juillet août septembre octobre novembre décembre \
    enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre de del \
    janeiro fevereiro março maio junho julho setembro outubro novembro dezembro \
    gennaio febbraio aprile maggio giugno luglio settembre ottobre dicembre \
    januari februari maart mei augustus";

/// Whether a text is a phrase of the page's own. One that ends as a sentence does may be of the article.
pub(super) fn is_furniture(text: &str) -> bool {
    if text.trim_end().ends_with(['.', '!', '?']) && !text.trim_end().ends_with("...") {
        return false;
    }
    let text = folded(text);
    let text = text.trim_matches(|sign: char| sign.is_ascii_digit() || sign == ' ');
    !text.is_empty() && FURNITURE.contains(&text)
}

/// Whether a text announces other articles.
pub(super) fn is_more_heading(text: &str) -> bool {
    MORE.contains(&folded(text).as_str())
}

/// Whether a word, in lower case, is of a date: a number, a month, a day, or what stands beside them.
pub(super) fn is_of_date(word: &str) -> bool {
    word.chars()
        .all(|sign| sign.is_numeric() || matches!(sign, '.' | ',' | ':'))
        || DATE_WORDS
            .split_ascii_whitespace()
            .any(|known| known == word)
}
