-- A feed that the config names or once named. Instants in all tables are milliseconds since the Unix epoch.
CREATE TABLE feed (
    -- Never given to another feed, not even after a deletion.
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    -- The feed's identity: the address as the config has it.
    address TEXT NOT NULL UNIQUE,
    -- Where the feed has moved for good, so where it is fetched; NULL where that is the address itself.
    moved_address TEXT,
    -- The title that the feed gives itself.
    feed_title TEXT,
    -- The title that the config gives it, shown in preference.
    config_title TEXT,
    -- The group that the config puts it in.
    group_name TEXT,
    -- Its place in the config, from 0.
    position INTEGER NOT NULL,
    -- 1 once the config no longer names it: nothing of it is shown or fetched, and nothing of it is lost.
    hidden INTEGER NOT NULL DEFAULT 0 CHECK (hidden IN (0, 1)),
    -- 1 once the feed has said that it is gone for good; it is not asked again until the config names it anew.
    stopped INTEGER NOT NULL DEFAULT 0 CHECK (stopped IN (0, 1)),
    -- When it is to be fetched again.
    next_due INTEGER NOT NULL,
    -- How many fetches have failed in a row.
    failures INTEGER NOT NULL DEFAULT 0,
    -- When the first of those fetches failed; NULL where the last one succeeded.
    failing_since INTEGER,
    -- What was wrong with the last of them, for a person; NULL where the last one succeeded.
    fault TEXT,
    -- The ETag of the last body, byte for byte.
    etag BLOB,
    -- The Last-Modified of the last body, byte for byte.
    last_modified BLOB,
    -- BLAKE3 of the last body that was read to its end; NULL where something of it is still to be read.
    body_hash BLOB CHECK (length(body_hash) = 32),
    -- By which distiller and rule that body was read; the body is asked for anew under another one.
    reading TEXT,
    CHECK ((failures = 0) = (failing_since IS NULL)),
    CHECK ((failures = 0) = (fault IS NULL))
) STRICT;
