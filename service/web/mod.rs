//! What a browser is answered: the router, the state that its pages share, and the layers that
//! every answer passes. Never writes SQL, fetches or sanitises.

mod after;
mod answer;
mod article;
mod asked;
mod cache;
mod error;
mod find;
mod follow;
mod fonts;
mod guard;
mod hand;
mod index;
mod keeping;
mod links;
mod message;
mod place;
mod policy;
mod root;
mod screens;
mod script;
mod seen;
mod stored;
mod words;

use std::convert::Infallible;
use std::io;
use std::sync::Arc;
use std::time::Duration;

use axum::extract::{DefaultBodyLimit, FromRequestParts};
use axum::http::StatusCode;
use axum::http::request::Parts;
use axum::routing::{get, post};
use axum::{Router, middleware};
use jiff::tz::TimeZone;
use tokio::net::TcpListener;
use tokio_util::sync::CancellationToken;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::timeout::TimeoutLayer;

use crate::clock::Clock;
use crate::config::ReadEntries;
use crate::font::{FontError, FontFiles, REGULAR, Typeface};
use crate::pool::Pool;
use crate::refresh::Conductor;
use crate::store::Store;
use crate::typeset::Screen;
use crate::view::{PrintError, Script, Styles};
use crate::words::Words;

/// What all pages share, and the words for whom it answers. Cheap to clone.
#[derive(Clone)]
pub struct Web {
    shared: Arc<Shared>,
    words: Words,
}

/// Handlers take it as it answers their request; what all share they are not given without its words.
impl FromRequestParts<Arc<Shared>> for Web {
    type Rejection = Infallible;

    async fn from_request_parts(
        parts: &mut Parts,
        shared: &Arc<Shared>,
    ) -> Result<Self, Infallible> {
        Ok(Self {
            shared: Arc::clone(shared),
            words: words::wanted(&parts.headers),
        })
    }
}

/// What all pages share.
pub struct Shared {
    store: Store,
    /// What has pages of links fetched.
    conductor: Conductor,
    pool: Pool,
    clock: Clock,
    time_zone: TimeZone,
    screen: Screen,
    hosts: Vec<String>,
    read_entries: ReadEntries,
    typeface: Arc<Typeface>,
    fonts: FontFiles,
    style: Styles,
    script: Script,
    cache: cache::Cache,
}

/// What the household has set.
pub struct Settings {
    /// The zone that times are shown in.
    pub time_zone: TimeZone,
    /// The screen of a browser that has chosen none.
    pub screen: Screen,
    /// Names that the service answers to, beside every address by number and `localhost`.
    pub hosts: Vec<String>,
    /// How the index shows entries that were read.
    pub read_entries: ReadEntries,
}

/// The largest body of a request: a form with a choice or two.
const MOST_BODY_BYTES: usize = 4 * 1024;

/// The longest that an answer may take: a book in the largest size takes some seconds.
const MOST_TIME: Duration = Duration::from_secs(60);

impl Web {
    /// Makes the fonts and the style sheet ready, which takes some tenths of a second.
    ///
    /// # Errors
    /// The font cannot be read.
    pub fn new(
        store: Store,
        conductor: Conductor,
        pool: Pool,
        clock: Clock,
        settings: Settings,
    ) -> Result<Self, WebSetupError> {
        let typeface = Typeface::read(REGULAR)?;
        let fonts = FontFiles::make(REGULAR)?;
        let style = Styles::make(&typeface, &fonts)?;
        let Settings {
            time_zone,
            screen,
            hosts,
            read_entries,
        } = settings;
        let cache = cache::Cache::new();
        let typeface = Arc::new(typeface);
        let shared = Shared {
            store,
            conductor,
            pool,
            clock,
            time_zone,
            screen,
            hosts,
            read_entries,
            typeface,
            fonts,
            style,
            script: Script::turning(),
            cache,
        };
        Ok(Self {
            shared: Arc::new(shared),
            words: Words::default(),
        })
    }

    /// The router with all its layers.
    pub fn router(self) -> Router {
        Router::new()
            .route("/", get(root::root))
            .route("/whole", post(root::answered))
            .route("/screen", post(screens::choose))
            .route("/favicon.ico", get(fonts::no_icon))
            .route("/font/licence", get(fonts::licence))
            .route("/font/{name}", get(fonts::font))
            .route("/script/{name}", get(script::script))
            .route("/{screen}/", get(index::newest))
            .route("/{screen}/page/{page}", get(index::older))
            .route("/{screen}/group/{group}/", get(index::of_group))
            .route(
                "/{screen}/group/{group}/page/{page}",
                get(index::older_of_group),
            )
            .route(
                "/{screen}/group/{group}/upto/{entry}",
                post(seen::mark_group),
            )
            .route("/{screen}/upto/{entry}", post(seen::mark_all))
            .route("/{screen}/seen/{marking}", get(seen::told))
            .route("/{screen}/seen/{marking}/undo", post(seen::undo))
            .route("/{screen}/after/{entry}", get(after::after))
            .route("/{screen}/reads", get(root::sizes))
            .route("/{screen}/minutes/{minutes}", get(index::fitting))
            .route(
                "/{screen}/minutes/{minutes}/page/{page}",
                get(index::further),
            )
            .route("/{screen}/minutes/{minutes}/forget", post(index::forget))
            .route("/{screen}/find", get(find::find))
            .route("/{screen}/kept", get(index::kept))
            .route("/{screen}/kept/{page}", get(index::older_kept))
            .route("/{screen}/find/forget", post(find::forget))
            .route("/{screen}/{entry}", get(article::article))
            .route("/{screen}/{entry}/links", get(links::links))
            .route(
                "/{screen}/{entry}/links/{link}",
                get(follow::told).post(follow::follow),
            )
            .route("/{screen}/{entry}/links/{link}/hand", get(hand::hand_link))
            .route(
                "/{screen}/{entry}/links/{link}/hand/{picture}",
                get(hand::picture_of_link),
            )
            .route("/{screen}/{entry}/on", get(place::on))
            .route("/{screen}/{entry}/keep", post(keeping::keep))
            .route("/{screen}/{entry}/let-go", post(keeping::let_go))
            .route("/{screen}/{entry}/place", post(place::turned))
            .route("/{screen}/{entry}/hand", get(hand::hand))
            .route("/{screen}/{entry}/hand/{picture}", get(hand::picture))
            .route(hand::SHORT_WAY, get(hand::lead))
            .route(hand::SHORT_WAY_OF_LINK, get(hand::lead_to_link))
            .fallback(message::no_page)
            .layer(CatchPanicLayer::custom(error::panicked))
            .layer(middleware::from_fn_with_state(self.clone(), guard::guard))
            .layer(middleware::from_fn_with_state(self.clone(), policy::policy))
            .layer(DefaultBodyLimit::max(MOST_BODY_BYTES))
            .layer(TimeoutLayer::with_status_code(
                StatusCode::REQUEST_TIMEOUT,
                MOST_TIME,
            ))
            .with_state(self.shared)
    }

    /// Serves until `shutdown` is cancelled; answers that have begun are ended.
    ///
    /// # Errors
    /// The listener fails.
    pub async fn serve(self, listener: TcpListener, shutdown: CancellationToken) -> io::Result<()> {
        axum::serve(listener, self.router())
            .with_graceful_shutdown(shutdown.cancelled_owned())
            .await
    }
}

/// Why the pages cannot be made ready.
#[derive(Debug, thiserror::Error)]
pub enum WebSetupError {
    /// The font.
    #[error(transparent)]
    Font(#[from] FontError),
    /// A style sheet.
    #[error("a style sheet cannot be printed: {0}")]
    Style(#[from] PrintError),
}
