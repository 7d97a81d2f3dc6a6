-- The last fetches of each feed that changed something or failed. One that found nothing new leaves no line.
CREATE TABLE fetch_log (
    -- Grows with time.
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    -- The feed that was fetched.
    feed INTEGER NOT NULL REFERENCES feed (id),
    -- When it was fetched, in milliseconds since the Unix epoch.
    fetched_at INTEGER NOT NULL,
    -- The HTTP status of the answer; NULL where there was none.
    status INTEGER,
    -- The size of the answer's body.
    body_bytes INTEGER NOT NULL,
    -- How many entries were new.
    added INTEGER NOT NULL,
    -- How many known entries had changed.
    changed INTEGER NOT NULL,
    -- What was wrong, for a person; NULL where nothing was.
    fault TEXT
) STRICT;

-- Serves the trimming to the last lines of a feed.
CREATE INDEX fetch_log_by_feed ON fetch_log (feed, id);
