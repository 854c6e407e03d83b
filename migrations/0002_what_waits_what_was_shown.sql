-- What a push can release, what a photo was shown by, and when an attempt to sign in failed.

-- Which entry waits for which: a push loads only what it can release. '' stands for everything that an entry may wait
-- for, where it was held before there was this table.
CREATE TABLE waiting (
    organisation TEXT NOT NULL,
    site TEXT NOT NULL,
    waits_for TEXT NOT NULL,
    entry TEXT NOT NULL,
    author TEXT NOT NULL,
    PRIMARY KEY (organisation, site, waits_for, entry)
);

CREATE INDEX waiting_by_entry ON waiting (organisation, site, entry);
CREATE INDEX waiting_by_author ON waiting (organisation, site, author);

INSERT INTO waiting (organisation, site, waits_for, entry, author)
SELECT organisation, site, '', id, '' FROM entries WHERE standing = 'held';

-- Which redacted entries showed a photo: whoever may see them is told that it was taken out.
CREATE TABLE photo_past_uses (
    organisation TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    site TEXT NOT NULL,
    entry TEXT NOT NULL,
    PRIMARY KEY (organisation, sha256, site, entry)
);

-- Failed attempts weigh less with time.
ALTER TABLE sign_in_attempts ADD COLUMN failed_at BIGINT NOT NULL DEFAULT 0;

-- Why an entry could not be read was kept in words that could quote it.
UPDATE entries SET refusal = '{"malformed":"the entry cannot be read"}'
WHERE standing = 'refused' AND refusal LIKE '{"malformed"%';
