//! The table of rooms as data: what each part of the service may import. It never reads a file.
//!
//! DEVELOPERS.md draws the same table with its reasons. A row is found by the longest module path
//! that begins a file's own, so a file of a room can have a stricter row than the room.

/// What the files below one module path may import of the service's other modules.
pub struct Room {
    /// The module path below the crate, `distil::feed`; `main` is the binary, and the empty path
    /// the root of the library.
    pub path: &'static str,
    /// Module paths whose items may be imported. What lies below `path` is always allowed.
    pub may: &'static [&'static str],
    /// Module paths that are refused although `may` covers them.
    pub but_not: &'static [&'static str],
    /// A pure room knows no runtime, files, network, environment or system time.
    pub pure: bool,
}

const fn room(path: &'static str, may: &'static [&'static str]) -> Room {
    Room {
        path,
        may,
        but_not: &[],
        pure: false,
    }
}

const fn pure(path: &'static str, may: &'static [&'static str]) -> Room {
    Room {
        path,
        may,
        but_not: &[],
        pure: true,
    }
}

impl Room {
    const fn but_not(mut self, refused: &'static [&'static str]) -> Self {
        self.but_not = refused;
        self
    }
}

/// Every room of the service. A module without a row is a mistake in itself.
pub const ROOMS: &[Room] = &[
    room("", &[]),
    room("main", &["command"]),
    room(
        "command",
        &[
            "address", "clock", "config", "distil", "fetch", "font", "opml", "paint", "pool",
            "refresh", "store", "town", "typeset", "view", "web", "words",
        ],
    ),
    room("config", &[]),
    room("clock", &[]),
    room("pool", &[]),
    pure("address", &[]),
    pure("opml", &[]),
    // Each stage of distilling knows the type that it is handed and no other stage.
    pure("distil", &[]),
    pure("distil::feed", &["distil"]).but_not(&[
        "distil::block",
        "distil::extract",
        "distil::sanitise",
    ]),
    pure("distil::extract", &["distil"]).but_not(&[
        "distil::block",
        "distil::feed",
        "distil::sanitise",
    ]),
    pure("distil::furniture", &[]),
    pure("distil::metadata", &["distil"]).but_not(&[
        "distil::block",
        "distil::extract",
        "distil::feed",
        "distil::sanitise",
    ]),
    pure("distil::sanitise", &["distil"]).but_not(&[
        "distil::block",
        "distil::extract",
        "distil::feed",
    ]),
    pure("distil::discover", &["distil"]).but_not(&[
        "distil::block",
        "distil::extract",
        "distil::feed",
        "distil::sanitise",
    ]),
    pure("distil::block", &["distil"]).but_not(&["distil::extract", "distil::feed"]),
    pure("distil::language", &[]),
    // The typesetter knows articles as blocks only, and its inner stages know no text at all: of
    // the font they take measures.
    pure("typeset", &["distil::block", "distil::language", "font"]),
    pure("typeset::units", &[]),
    pure(
        "typeset::screen",
        &["font::Ink", "font::Typeface", "typeset::units"],
    ),
    pure("typeset::linebreak", &["typeset::search", "typeset::units"]),
    pure(
        "typeset::search",
        &["typeset::linebreak", "typeset::window"],
    ),
    pure("typeset::window", &["typeset::linebreak"]),
    // Tests alone: whole articles of the demo, beside first fit.
    pure("typeset::articles", &["distil", "font", "town", "typeset"]),
    pure("typeset::grid::tests", &["distil", "font", "typeset"]),
    pure(
        "typeset::hyphenate",
        &["distil::language", "typeset::units"],
    ),
    pure("font", &["typeset::units"]),
    pure("hand", &["distil::block", "distil::language"]),
    pure("hand::code", &[]),
    pure("hand::size", &[]),
    pure("palette", &[]),
    pure("words", &["distil::language"]),
    pure(
        "paint",
        &[
            "distil::block",
            "distil::language",
            "font",
            "palette",
            "typeset",
        ],
    ),
    room(
        "view",
        &["clock", "distil", "font", "palette", "typeset", "words"],
    ),
    room("store", &["clock", "config", "distil"]),
    room("fetch", &["address", "clock"]),
    room(
        "refresh",
        &[
            "address", "clock", "config", "distil", "fetch", "pool", "store",
        ],
    ),
    room(
        "web",
        &[
            "clock", "config", "distil", "font", "hand", "pool", "refresh", "store", "typeset",
            "view", "words",
        ],
    ),
    room("town", &["clock"]),
];

/// Crates that only some modules may name, by the name that code uses.
pub const CRATES: &[(&str, &[&str])] = &[
    ("allsorts", &["font"]),
    ("ammonia", &["distil::sanitise"]),
    ("askama", &["view", "town"]),
    ("axum", &["web", "town"]),
    ("chardetng", &["distil"]),
    ("clap", &["main", "command"]),
    ("dom_query", &["distil"]),
    ("dom_smoothie", &["distil::extract"]),
    ("encoding_rs", &["distil"]),
    ("feed_rs", &["distil::feed"]),
    ("fluent_bundle", &["words"]),
    ("fluent_syntax", &["words"]),
    ("hyper", &["web"]),
    ("hyphenation", &["typeset::hyphenate"]),
    ("if_addrs", &["command"]),
    ("include_dir", &["town"]),
    ("indicatif", &["command"]),
    ("moka", &["web"]),
    ("notosans", &["font"]),
    ("qrcode", &["hand::code"]),
    ("quick_xml", &["opml"]),
    ("reqwest", &["fetch"]),
    ("rustix", &["pool"]),
    ("sqlx", &["store"]),
    ("stop_words", &["distil::gist"]),
    ("tempfile", &["command", "config"]),
    ("tiny_skia", &["paint"]),
    ("toml", &["config", "town"]),
    ("toml_edit", &["config"]),
    ("tower", &["web", "town"]),
    ("tower_http", &["web", "town"]),
    ("tracing_subscriber", &["main", "command"]),
    ("ttf2woff2", &["font"]),
    ("ttf_parser", &["font", "paint"]),
    ("unic_langid", &["words"]),
    ("whatlang", &["distil::language"]),
];

/// Paths that no pure room may name, each with what may be named below it all the same.
pub const IMPURE: &[(&str, &[&str])] = &[
    ("axum", &[]),
    ("futures", &[]),
    ("hyper", &[]),
    ("reqwest", &[]),
    ("sqlx", &[]),
    ("tokio", &[]),
    ("tokio_util", &[]),
    ("std::env", &[]),
    ("std::fs", &[]),
    ("std::future", &[]),
    (
        "std::io",
        &["Cursor", "Error", "ErrorKind", "Read", "Write"],
    ),
    (
        "std::net",
        &["AddrParseError", "IpAddr", "Ipv4Addr", "Ipv6Addr"],
    ),
    ("std::os", &[]),
    ("std::process", &[]),
    ("std::thread", &[]),
    ("std::time", &["Duration"]),
];

/// The only names at the top of the repository besides dotfiles; `target` is never committed.
pub const TOP_LEVEL: &[&str] = &[
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "migrations",
    "service",
    "target",
    "templates",
    "tests",
];

/// The most lines of a file, its tests not counted.
pub const MOST_LINES: usize = 400;
