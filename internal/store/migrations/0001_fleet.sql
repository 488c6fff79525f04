-- The fleet as first kept. Ids are text. Times are microseconds since 1970-01-01 UTC: they sort as numbers, survive
-- a copy to another database to the last digit, and need no time type. Distances are feet, exactly as given.
-- What only SQLite understands is the application id, INTEGER PRIMARY KEY (an identity column elsewhere),
-- randomblob and BLOB.

PRAGMA application_id = 1163284048; -- "EVNP": tells our files from those of other programs

CREATE TABLE sleds (
    id           TEXT PRIMARY KEY NOT NULL,
    name         TEXT NOT NULL,
    owner        TEXT NOT NULL,
    travel_ft    DOUBLE PRECISION CHECK (travel_ft > 0),
    take_up_ft   DOUBLE PRECISION NOT NULL CHECK (take_up_ft >= 0),
    rail_mark_ft DOUBLE PRECISION NOT NULL CHECK (rail_mark_ft > 0),
    notes        TEXT NOT NULL,
    retired      BOOLEAN NOT NULL,
    revision     BIGINT NOT NULL,
    created_at   BIGINT NOT NULL,
    updated_at   BIGINT NOT NULL
);

CREATE TABLE gears (
    id       TEXT PRIMARY KEY NOT NULL,
    sled_id  TEXT NOT NULL REFERENCES sleds (id),
    position INTEGER NOT NULL,
    label    TEXT NOT NULL,
    ratio    DOUBLE PRECISION CHECK (ratio > 0),
    UNIQUE (sled_id, label),
    UNIQUE (sled_id, id)
);

-- seq is the order of writing. Readings are never deleted, so it never repeats. batch names the request that a reading came with where
-- that brought many; with_batch says that it was set aside together with all of them. confirmed_at is when somebody said that it
-- counts though it stands out.
CREATE TABLE readings (
    seq              INTEGER PRIMARY KEY NOT NULL,
    id               TEXT NOT NULL UNIQUE,
    sled_id          TEXT NOT NULL,
    gear_id          TEXT NOT NULL,
    start_ft         DOUBLE PRECISION NOT NULL CHECK (start_ft >= 0),
    distance_ft      DOUBLE PRECISION NOT NULL CHECK (distance_ft > 0),
    ended            TEXT NOT NULL,
    end_ft           DOUBLE PRECISION,
    plus_minus_ft    DOUBLE PRECISION,
    measured_on      TEXT NOT NULL,
    day              TEXT NOT NULL,
    place            TEXT NOT NULL,
    noted_by         TEXT NOT NULL,
    note             TEXT NOT NULL,
    marked_by        TEXT NOT NULL,
    taken_with       TEXT NOT NULL,
    surface          TEXT NOT NULL,
    weights          TEXT NOT NULL,
    tire_psi         DOUBLE PRECISION,
    speed_mph        DOUBLE PRECISION,
    replaces         TEXT REFERENCES readings (id),
    set_aside_reason TEXT,
    set_aside_at     BIGINT,
    with_batch       BOOLEAN NOT NULL,
    confirmed_at     BIGINT,
    batch            TEXT,
    created_at       BIGINT NOT NULL,
    CHECK ((set_aside_reason IS NULL) = (set_aside_at IS NULL)),
    CHECK (NOT with_batch OR (set_aside_at IS NOT NULL AND batch IS NOT NULL)),
    FOREIGN KEY (sled_id, gear_id) REFERENCES gears (sled_id, id)
);
CREATE INDEX readings_by_date ON readings (sled_id, measured_on, seq);
CREATE INDEX readings_by_gear ON readings (sled_id, gear_id);
CREATE INDEX readings_by_batch ON readings (batch) WHERE batch IS NOT NULL;

-- The fleet's revision when a sled, its gears or its readings were last written. A row outlives its sled, so that
-- whoever keeps a copy sees that it is gone.
CREATE TABLE touched (
    sled_id  TEXT PRIMARY KEY NOT NULL,
    revision BIGINT NOT NULL
);
CREATE INDEX touched_by_revision ON touched (revision);

-- One row. The revision counts the writes that touched a sled.
CREATE TABLE state (
    id       INTEGER PRIMARY KEY NOT NULL CHECK (id = 1),
    revision BIGINT NOT NULL,
    key_salt BLOB NOT NULL
);
INSERT INTO state (id, revision, key_salt) VALUES (1, 0, randomblob(32));

CREATE TABLE keys (
    id           TEXT PRIMARY KEY NOT NULL,
    name         TEXT NOT NULL,
    role         TEXT NOT NULL,
    hash         BLOB NOT NULL UNIQUE,
    created_at   BIGINT NOT NULL,
    last_used_at BIGINT
);

-- First answers to requests that carried an idempotency key.
CREATE TABLE answers (
    key          TEXT PRIMARY KEY NOT NULL,
    request      BLOB NOT NULL,
    status       INTEGER NOT NULL,
    content_type TEXT NOT NULL,
    etag         TEXT NOT NULL,
    location     TEXT NOT NULL,
    body         BLOB NOT NULL,
    created_at   BIGINT NOT NULL
);
CREATE INDEX answers_by_age ON answers (created_at);
