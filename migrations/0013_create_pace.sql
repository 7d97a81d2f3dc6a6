-- How long articles are, and how fast a reader reads. Instants are milliseconds since the Unix epoch.

-- Serves the choice of articles by the time that they take: their lengths, without the pages that their texts fill.
CREATE INDEX article_by_length ON article (entry, words, language);

-- Where in which article a reader was told to be last, so that what is told next makes a stretch.
CREATE TABLE reading (
    -- The reader; 1 while the household is one reader.
    reader INTEGER PRIMARY KEY CHECK (reader > 0),
    -- The entry that was read.
    entry INTEGER NOT NULL REFERENCES entry (id) ON DELETE CASCADE,
    -- The block that the disc began in, from 0.
    place_block INTEGER NOT NULL CHECK (place_block >= 0),
    -- The character within that block, from 0.
    place_character INTEGER NOT NULL CHECK (place_character >= 0),
    -- When the disc was told.
    at INTEGER NOT NULL
) STRICT;

-- The stretches that a reader has read last, of which the pace is the median.
CREATE TABLE stretch (
    -- Grows in the order in which stretches were read.
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    -- The reader.
    reader INTEGER NOT NULL CHECK (reader > 0),
    -- How fast it was read, as a multiple of the published rate of its language.
    pace REAL NOT NULL CHECK (pace > 0)
) STRICT;

-- Serves the pace: a reader's last stretches.
CREATE INDEX stretch_by_reader ON stretch (reader, id);
