-- An entry distilled. An entry that could not be distilled has none.
CREATE TABLE article (
    -- The entry that it is of.
    entry INTEGER PRIMARY KEY REFERENCES entry (id),
    -- Its title as plain text.
    title TEXT NOT NULL,
    -- The language of most of it: a BCP 47 tag in lower case, 'und' where unknown.
    language TEXT NOT NULL,
    -- The way most of its text runs.
    direction TEXT NOT NULL CHECK (direction IN ('ltr', 'rtl')),
    -- How many words it has.
    words INTEGER NOT NULL CHECK (words >= 0),
    -- The version of the distiller that made it.
    distiller INTEGER NOT NULL,
    -- Who wrote it: a JSON array of names.
    authors TEXT NOT NULL,
    -- BLAKE3 of the column blocks.
    blocks_hash BLOB NOT NULL CHECK (length(blocks_hash) = 32),
    -- Its blocks and links: JSON in the versioned form that service/store/block_form.rs owns.
    blocks TEXT NOT NULL,
    -- What it was distilled from: gzipped JSON in the versioned form that service/store/source_form.rs owns.
    source BLOB NOT NULL
) STRICT;

-- Serves the search for articles of an older distiller.
CREATE INDEX article_by_distiller ON article (distiller, entry);
