-- How often a feed wants to be asked, as its server and the feed itself say. A feed that says nothing has none.
CREATE TABLE rhythm (
    -- The feed.
    feed INTEGER PRIMARY KEY REFERENCES feed (id),
    -- For how many seconds the last answer that said so stays fresh by its header.
    fresh_seconds INTEGER CHECK (fresh_seconds >= 0),
    -- RSS 2.0's ttl, in minutes.
    ttl_minutes INTEGER CHECK (ttl_minutes > 0),
    -- The minutes between two of its editions by the RSS syndication module.
    update_minutes INTEGER CHECK (update_minutes > 0),
    -- RSS 2.0's skipHours: bit 0 is the hour from midnight GMT, bit 23 the last one.
    skip_hours INTEGER NOT NULL CHECK (skip_hours BETWEEN 0 AND 16777215),
    -- RSS 2.0's skipDays: bit 0 is Monday in GMT, bit 6 Sunday.
    skip_days INTEGER NOT NULL CHECK (skip_days BETWEEN 0 AND 127)
) STRICT;
