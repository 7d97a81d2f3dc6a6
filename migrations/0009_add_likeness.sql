-- Which articles of several feeds are near-identical.

-- What the text of an article is compared by. One that is too short has none.
CREATE TABLE likeness (
    -- The entry whose article it is of.
    entry INTEGER PRIMARY KEY REFERENCES article (entry) ON DELETE CASCADE,
    -- The least values of its shingles: the form that service/distil/likeness.rs owns.
    signature BLOB NOT NULL CHECK (length(signature) = 240)
) STRICT;

-- The bands of those signatures, by which near-identical ones are found.
CREATE TABLE likeness_band (
    -- A hash of the band's values and its number.
    band INTEGER NOT NULL,
    -- The entry whose article has it.
    entry INTEGER NOT NULL REFERENCES likeness (entry) ON DELETE CASCADE,
    PRIMARY KEY (band, entry)
) STRICT, WITHOUT ROWID;

-- Serves the deletion of an article's bands.
CREATE INDEX likeness_band_by_entry ON likeness_band (entry);

-- The text that the entry has in common with entries of other feeds: the id of the first of them, so that all
-- have one number; NULL while no other has it. The index shows one entry of a text.
ALTER TABLE entry ADD COLUMN alike INTEGER;

-- Serves the index: whether another entry has the same text.
CREATE INDEX entry_by_alike ON entry (alike) WHERE alike IS NOT NULL;
