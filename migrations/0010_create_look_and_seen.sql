-- What a reader has had a look at: when, and what was marked as seen without being opened. Entries are told by their
-- ids, which grow in the order in which entries are stored, so that no clock and no date of a publisher counts.

-- The last look of a reader at the index.
CREATE TABLE look (
    -- The reader.
    reader INTEGER PRIMARY KEY CHECK (reader > 0),
    -- When the index was last gone to in it, in milliseconds since the Unix epoch.
    at INTEGER NOT NULL,
    -- The last entry that there was then.
    known INTEGER NOT NULL,
    -- The last entry that the look before had shown: later ones are new in this one.
    since INTEGER NOT NULL,
    -- The group whose index was gone to last; NULL where it was that of all.
    group_name TEXT
) STRICT;

-- Up to which entry a reader has marked a feed as seen.
CREATE TABLE seen (
    -- The reader.
    reader INTEGER NOT NULL CHECK (reader > 0),
    -- The feed.
    feed INTEGER NOT NULL REFERENCES feed (id),
    -- The last entry that the mark covers.
    upto INTEGER NOT NULL CHECK (upto >= before),
    -- The last one that it covered before its latest marking: 0 where none, as no entry has.
    before INTEGER NOT NULL CHECK (before >= 0),
    -- That marking, which may be gone.
    marking INTEGER NOT NULL,
    PRIMARY KEY (reader, feed)
) STRICT, WITHOUT ROWID;

-- The latest marking of a reader, which can be undone until the next one.
CREATE TABLE marking (
    -- Never given to another marking.
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    -- The reader.
    reader INTEGER NOT NULL CHECK (reader > 0),
    -- The group that was marked; NULL where it was all.
    group_name TEXT,
    -- How many entries were unread until then.
    entries INTEGER NOT NULL CHECK (entries >= 0)
) STRICT;

-- Serves the index: which of a feed's entries came after the last one that was seen.
CREATE INDEX entry_by_feed ON entry (feed);

-- Serves the choice of groups: the feeds of each.
CREATE INDEX feed_by_group ON feed (group_name) WHERE hidden = 0;
