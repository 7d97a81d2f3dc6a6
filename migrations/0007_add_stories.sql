-- What several entries tell alike, and what has changed since it was read. Instants are milliseconds since
-- the Unix epoch.

-- BLAKE3 of the page that the entry links to, as service/distil/same_page.rs names pages; NULL where it links to none.
ALTER TABLE entry ADD COLUMN page_key BLOB CHECK (length(page_key) = 32);
-- The story that the entry tells: the id of the first entry that told it, so that all who tell it have one number;
-- NULL while no other entry tells it. The index shows one entry of a story.
ALTER TABLE entry ADD COLUMN story INTEGER;
-- When the publisher last changed the article after it was first stored; NULL where never.
ALTER TABLE article ADD COLUMN edited INTEGER;
-- When the reader last opened the entry; NULL where never.
ALTER TABLE mark ADD COLUMN last_opened INTEGER;

UPDATE mark SET last_opened = opened;

-- Serves the search for other entries that link to the same page, those with a story first.
CREATE INDEX entry_by_page ON entry (page_key, story DESC) WHERE page_key IS NOT NULL;
-- Serves the index: whether another entry tells the same story.
CREATE INDEX entry_by_story ON entry (story) WHERE story IS NOT NULL;
-- Serves the index: the newest entries of all feeds.
CREATE INDEX entry_by_date ON entry (published DESC, id DESC);
