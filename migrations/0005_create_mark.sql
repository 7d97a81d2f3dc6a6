-- What a reader has done with an entry.
CREATE TABLE mark (
    -- The reader; 1 while the household is one reader.
    reader INTEGER NOT NULL CHECK (reader > 0),
    -- The entry.
    entry INTEGER NOT NULL REFERENCES entry (id),
    -- When the reader first opened it, in milliseconds since the Unix epoch; NULL where never.
    opened INTEGER,
    -- When the reader chose to keep it; NULL where not kept.
    kept INTEGER,
    -- The block that the reader has come to, from 0; NULL where nothing is remembered.
    place_block INTEGER CHECK (place_block >= 0),
    -- The character within that block, from 0.
    place_character INTEGER CHECK (place_character >= 0),
    PRIMARY KEY (reader, entry),
    CHECK ((place_block IS NULL) = (place_character IS NULL))
) STRICT, WITHOUT ROWID;
