-- Pages that a reader had fetched by the links of articles, and what a reader keeps.

ALTER TABLE feed ADD COLUMN
    -- 1 where it is no feed but a site of which pages were fetched by links: it is always hidden, and never asked by itself.
    site INTEGER NOT NULL DEFAULT 0 CHECK (site IN (0, 1));

-- What links led to whose address names another page than the one that was found there.
CREATE TABLE followed (
    -- BLAKE3 of the page that the link names, as service/distil/same_page.rs names pages, without its fragment.
    page_key BLOB PRIMARY KEY CHECK (length(page_key) = 32),
    -- The entry to which it led.
    entry INTEGER NOT NULL REFERENCES entry (id) ON DELETE CASCADE
) STRICT, WITHOUT ROWID;

-- Serves the deletion of an entry.
CREATE INDEX followed_by_entry ON followed (entry);

-- Serves the list of what is kept.
CREATE INDEX mark_by_kept ON mark (reader, kept DESC) WHERE kept IS NOT NULL;
