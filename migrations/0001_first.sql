-- The first tables. One text for SQLite and PostgreSQL: TEXT, BIGINT and 0/1 only; times are
-- milliseconds since 1970 by the server's clock. The organisation stands in every key.

CREATE TABLE organisations (
    id TEXT NOT NULL PRIMARY KEY,
    name TEXT NOT NULL,
    created_at BIGINT NOT NULL
);

CREATE TABLE people (
    organisation TEXT NOT NULL REFERENCES organisations (id),
    id TEXT NOT NULL,
    sign_in TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    role TEXT NOT NULL,
    password TEXT NOT NULL,
    active BIGINT NOT NULL,
    created_at BIGINT NOT NULL,
    PRIMARY KEY (organisation, id)
);

-- last_seq is the lock and the counter of a site's ledger. The summary and the columns that
-- follow it are derived from the ledger and may be rebuilt at any time.
CREATE TABLE sites (
    organisation TEXT NOT NULL REFERENCES organisations (id),
    id TEXT NOT NULL,
    name TEXT NOT NULL,
    name_folded TEXT NOT NULL,
    time_zone TEXT NOT NULL,
    spa TEXT NOT NULL,
    practice TEXT NOT NULL,
    last_seq BIGINT NOT NULL,
    last_received_at BIGINT,
    created_at BIGINT NOT NULL,
    summary TEXT,
    summary_seq BIGINT NOT NULL,
    summary_date TEXT,
    hold_point TEXT,
    state TEXT,
    score BIGINT,
    waits_for TEXT,
    PRIMARY KEY (organisation, id)
);

CREATE INDEX sites_by_name ON sites (organisation, name_folded, id);

CREATE TABLE entries (
    organisation TEXT NOT NULL,
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    seq BIGINT,
    raw TEXT NOT NULL,
    digest TEXT,
    received_at BIGINT NOT NULL,
    effective_at BIGINT,
    standing TEXT NOT NULL,
    refusal TEXT,
    PRIMARY KEY (organisation, site, id),
    FOREIGN KEY (organisation, site) REFERENCES sites (organisation, id)
);

CREATE UNIQUE INDEX entries_by_seq ON entries (organisation, site, seq);
CREATE INDEX entries_by_standing ON entries (organisation, site, standing);

CREATE TABLE documents (
    organisation TEXT NOT NULL REFERENCES organisations (id),
    digest TEXT NOT NULL,
    kind TEXT NOT NULL,
    name TEXT NOT NULL,
    body TEXT NOT NULL,
    created_at BIGINT NOT NULL,
    PRIMARY KEY (organisation, digest)
);

CREATE TABLE sessions (
    token_hash TEXT NOT NULL PRIMARY KEY,
    organisation TEXT NOT NULL REFERENCES organisations (id),
    person TEXT NOT NULL,
    invitation TEXT,
    created_at BIGINT NOT NULL,
    expires_at BIGINT NOT NULL
);

CREATE TABLE invitations (
    organisation TEXT NOT NULL,
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    token_hash TEXT NOT NULL UNIQUE,
    person TEXT NOT NULL,
    name TEXT NOT NULL,
    created_by TEXT NOT NULL,
    created_at BIGINT NOT NULL,
    expires_at BIGINT NOT NULL,
    revoked_at BIGINT,
    PRIMARY KEY (organisation, site, id),
    FOREIGN KEY (organisation, site) REFERENCES sites (organisation, id)
);

CREATE TABLE sign_in_attempts (
    sign_in_hash TEXT NOT NULL PRIMARY KEY,
    failures BIGINT NOT NULL,
    blocked_until BIGINT NOT NULL
);

-- Personal data stands outside the ledger so that it can be erased.
CREATE TABLE contacts (
    organisation TEXT NOT NULL,
    site TEXT NOT NULL,
    id TEXT NOT NULL,
    party TEXT NOT NULL,
    name TEXT NOT NULL,
    phone TEXT NOT NULL,
    email TEXT NOT NULL,
    address TEXT NOT NULL,
    access_code TEXT NOT NULL,
    changed_at BIGINT NOT NULL,
    PRIMARY KEY (organisation, site, id),
    FOREIGN KEY (organisation, site) REFERENCES sites (organisation, id)
);

CREATE TABLE photos (
    organisation TEXT NOT NULL REFERENCES organisations (id),
    sha256 TEXT NOT NULL,
    media_type TEXT NOT NULL,
    bytes BIGINT NOT NULL,
    state TEXT NOT NULL,
    changed_at BIGINT NOT NULL,
    PRIMARY KEY (organisation, sha256)
);

-- Which entries show a photo: decides who may see it, and when its bytes may go.
CREATE TABLE photo_uses (
    organisation TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    site TEXT NOT NULL,
    entry TEXT NOT NULL,
    PRIMARY KEY (organisation, sha256, site, entry)
);
