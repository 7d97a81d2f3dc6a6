-- An entry that a feed lists or once listed. It stays when the feed drops it.
CREATE TABLE entry (
    -- Never given to another entry.
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    -- The feed that it came from.
    feed INTEGER NOT NULL REFERENCES feed (id),
    -- What the feed calls it by; unique within the feed.
    identity TEXT NOT NULL,
    -- When it was first seen, in milliseconds since the Unix epoch.
    first_seen INTEGER NOT NULL,
    -- When it was published; the instant at which it was first seen, where the feed gives none or one in the future.
    published INTEGER NOT NULL,
    -- The address that it links to.
    link TEXT,
    -- Its title as the feed gives it, as plain text.
    title TEXT,
    -- How often its web page was asked for in vain since it last changed.
    attempts INTEGER NOT NULL DEFAULT 0,
    -- BLAKE3 of all that the feed says of it and of the rule it was read by; NULL where it is to be read again.
    fingerprint BLOB CHECK (length(fingerprint) = 32),
    UNIQUE (feed, identity)
) STRICT;

-- Serves the index: the newest entries of each feed.
CREATE INDEX entry_by_feed_and_date ON entry (feed, published DESC, id DESC);
