-- An entry whose article was swept away leaves a remainder, so that it does not come back while its feed lists it.
ALTER TABLE entry ADD COLUMN
    -- When its article was swept away, in milliseconds since the Unix epoch; NULL where it was not.
    swept INTEGER;

-- Serves the sweep: whether an entry is kept or was lately opened. The check of the reference uses it too.
CREATE INDEX mark_by_entry ON mark (entry);

-- Serves the sweep: how many entries a feed has, and since when.
CREATE INDEX entry_by_feed_and_age ON entry (feed, first_seen) WHERE swept IS NULL;
