-- Ids are text. Times are microseconds since 1970-01-01 UTC: they sort as numbers, survive a copy to another database
-- to the last digit, and need no time type. Dates are ISO 8601. Distances are feet and weights
-- pounds, exactly as given. Only SQLite knows the application id, INTEGER PRIMARY KEY (an identity column elsewhere),
-- randomblob and BLOB.

PRAGMA application_id = 1163284048; -- "EVNP": tells our files from those of other programs

-- A sled's parts and gears stand here as they were before the first change; see changes. driveline is JSON with the
-- parts that are known: sprocket_teeth, chain_pitch_in, box_ft_per_turn, axle_ratio, axle_ratios (by range),
-- final_ratio, other_ratio, tire_circumference_ft. loading is JSON with what is known of its load: lengths in feet, weights
-- in pounds, their plus-or-minus, blocks and limits. guest is JSON: whose the
-- sled is, of which moment, and how repeatable its crew measures; null for a sled of one's own.
CREATE TABLE sleds (
    id           TEXT PRIMARY KEY NOT NULL,
    name         TEXT NOT NULL,
    owner        TEXT NOT NULL,
    travel_ft    DOUBLE PRECISION CHECK (travel_ft > 0),
    take_up_ft   DOUBLE PRECISION NOT NULL CHECK (take_up_ft >= 0),
    rail_mark_ft DOUBLE PRECISION NOT NULL CHECK (rail_mark_ft > 0),
    driveline    TEXT NOT NULL,
    loading      TEXT NOT NULL,
    notes        TEXT NOT NULL,
    guest        TEXT,
    retired      BOOLEAN NOT NULL,
    invented     BOOLEAN NOT NULL,
    revision     BIGINT NOT NULL,
    created_at   BIGINT NOT NULL,
    updated_at   BIGINT NOT NULL
);

-- range is that of a two-speed axle, by its name; empty where there is none or it is not known.
CREATE TABLE gears (
    id       TEXT PRIMARY KEY NOT NULL,
    sled_id  TEXT NOT NULL REFERENCES sleds (id),
    position INTEGER NOT NULL,
    label    TEXT NOT NULL,
    ratio    DOUBLE PRECISION CHECK (ratio > 0),
    "range"  TEXT NOT NULL,
    UNIQUE (sled_id, label),
    UNIQUE (sled_id, id)
);

-- Changes of a sled's parts. driveline, travel_ft and gears hold what a change gives, the rest stays. gears is a JSON
-- list of {"id", "ratio", "range"}, null where no gear was given. Today's parts are those of sleds and gears with every
-- change applied in the order of made_on, created_at and id. ends_weighings: weighings before made_on no longer count.
CREATE TABLE changes (
    id             TEXT PRIMARY KEY NOT NULL,
    sled_id        TEXT NOT NULL REFERENCES sleds (id),
    made_on        TEXT NOT NULL,
    what           TEXT NOT NULL,
    driveline      TEXT NOT NULL,
    travel_ft      DOUBLE PRECISION CHECK (travel_ft > 0),
    gears          TEXT,
    effect         TEXT NOT NULL CHECK (effect IN ('by-ratio', 'unknown')),
    ends_weighings BOOLEAN NOT NULL,
    created_at     BIGINT NOT NULL
);
CREATE INDEX changes_in_order ON changes (sled_id, made_on, created_at, id);

-- seq is the order of writing. Readings are never deleted one by one. confirmed_at is when somebody said that a reading
-- counts although it stands out. batch is the request that a reading came with, where that brought many; with_batch says
-- that it was set aside together with all of them. Of a guest, from_owner says that its owner's document brought
-- it, and the owner's reason stands beside that of this crew, which set_aside_reason holds where there is one.
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
    from_owner       BOOLEAN NOT NULL,
    owner_set_aside_reason TEXT,
    owner_set_aside_at     BIGINT,
    CHECK ((set_aside_reason IS NULL) = (set_aside_at IS NULL)),
    CHECK ((owner_set_aside_reason IS NULL) = (owner_set_aside_at IS NULL)),
    CHECK (owner_set_aside_at IS NULL OR (from_owner AND set_aside_at IS NOT NULL)),
    CHECK (NOT with_batch OR (set_aside_at IS NOT NULL AND batch IS NOT NULL)),
    FOREIGN KEY (sled_id, gear_id) REFERENCES gears (sled_id, id)
);
CREATE INDEX readings_by_date ON readings (sled_id, measured_on, seq);
CREATE INDEX readings_by_gear ON readings (sled_id, gear_id);
CREATE INDEX readings_by_batch ON readings (batch) WHERE batch IS NOT NULL;

-- A weighing is what a scale under a sled's pan read with the box at a mark, and blocks in it and on the pan. seq is the order
-- of writing. Weighings are never deleted one by one. Of a guest, the owner's reason stands beside that of this crew, as for
-- a reading.
CREATE TABLE weighings (
    seq              INTEGER PRIMARY KEY NOT NULL,
    id               TEXT NOT NULL UNIQUE,
    sled_id          TEXT NOT NULL REFERENCES sleds (id),
    weighed_on       TEXT NOT NULL,
    box_at_ft        DOUBLE PRECISION NOT NULL CHECK (box_at_ft >= 0),
    in_box_lb        DOUBLE PRECISION NOT NULL CHECK (in_box_lb >= 0),
    on_pan_lb        DOUBLE PRECISION NOT NULL CHECK (on_pan_lb >= 0),
    pan_lb           DOUBLE PRECISION NOT NULL CHECK (pan_lb > 0),
    tandem_lb        DOUBLE PRECISION CHECK (tandem_lb >= 0),
    total_lb         DOUBLE PRECISION CHECK (total_lb > 0),
    scale            TEXT NOT NULL,
    scale_step_lb    DOUBLE PRECISION CHECK (scale_step_lb > 0),
    place            TEXT NOT NULL,
    noted_by         TEXT NOT NULL,
    note             TEXT NOT NULL,
    set_aside_reason TEXT,
    set_aside_at     BIGINT,
    created_at       BIGINT NOT NULL,
    owner_set_aside_reason TEXT,
    owner_set_aside_at     BIGINT,
    CHECK ((set_aside_reason IS NULL) = (set_aside_at IS NULL)),
    CHECK ((owner_set_aside_reason IS NULL) = (owner_set_aside_at IS NULL)),
    CHECK (owner_set_aside_at IS NULL OR set_aside_at IS NOT NULL)
);
CREATE INDEX weighings_by_date ON weighings (sled_id, weighed_on, seq);

-- A class means the top-outs its settings stood for when they were noted, whatever the charts say later.
-- A setting without a sled and a gear is a distance.
CREATE TABLE classes (
    id                     TEXT PRIMARY KEY NOT NULL,
    name                   TEXT NOT NULL,
    setting_sled_id        TEXT,
    setting_gear_id        TEXT,
    setting_start_ft       DOUBLE PRECISION NOT NULL CHECK (setting_start_ft >= 0),
    setting_stood_for_ft   DOUBLE PRECISION,
    setting_plus_minus_ft  DOUBLE PRECISION,
    setting_noted_on       TEXT NOT NULL,
    setting_in_box_lb      DOUBLE PRECISION CHECK (setting_in_box_lb >= 0),
    setting_on_pan_lb      DOUBLE PRECISION CHECK (setting_on_pan_lb >= 0),
    pull_off_sled_id       TEXT,
    pull_off_gear_id       TEXT,
    pull_off_start_ft      DOUBLE PRECISION CHECK (pull_off_start_ft >= 0),
    pull_off_stood_for_ft  DOUBLE PRECISION,
    pull_off_plus_minus_ft DOUBLE PRECISION,
    pull_off_noted_on      TEXT,
    pull_off_in_box_lb     DOUBLE PRECISION CHECK (pull_off_in_box_lb >= 0),
    pull_off_on_pan_lb     DOUBLE PRECISION CHECK (pull_off_on_pan_lb >= 0),
    used_by                TEXT NOT NULL,
    weights                TEXT NOT NULL,
    ends_ft                DOUBLE PRECISION CHECK (ends_ft > 0), -- where it usually ends
    notes                  TEXT NOT NULL,
    revision               BIGINT NOT NULL,
    created_at             BIGINT NOT NULL,
    updated_at             BIGINT NOT NULL,
    CHECK ((setting_stood_for_ft IS NULL) = (setting_plus_minus_ft IS NULL)),
    CHECK ((pull_off_stood_for_ft IS NULL) = (pull_off_plus_minus_ft IS NULL)),
    CHECK ((setting_gear_id IS NULL) = (setting_sled_id IS NULL)),
    CHECK ((pull_off_gear_id IS NULL) = (pull_off_sled_id IS NULL)),
    CHECK (setting_gear_id IS NOT NULL OR setting_stood_for_ft IS NOT NULL),
    CHECK (pull_off_gear_id IS NOT NULL OR pull_off_stood_for_ft IS NOT NULL OR pull_off_start_ft IS NULL),
    CHECK (pull_off_start_ft IS NOT NULL OR pull_off_stood_for_ft IS NULL),
    CHECK (pull_off_start_ft IS NOT NULL OR pull_off_gear_id IS NULL),
    CHECK ((pull_off_start_ft IS NULL) = (pull_off_noted_on IS NULL)),
    FOREIGN KEY (setting_sled_id, setting_gear_id) REFERENCES gears (sled_id, id),
    FOREIGN KEY (pull_off_sled_id, pull_off_gear_id) REFERENCES gears (sled_id, id)
);
CREATE INDEX classes_by_setting ON classes (setting_sled_id, setting_gear_id);
CREATE INDEX classes_by_pull_off ON classes (pull_off_sled_id, pull_off_gear_id);

-- zone: the time zone of the place, by its IANA name. closed: its sheet is in closed_sheets. reopened: somebody opened
-- it again after it was over, so that its date alone does not close it.
CREATE TABLE shows (
    id           TEXT PRIMARY KEY NOT NULL,
    name         TEXT NOT NULL,
    date         TEXT NOT NULL,
    place        TEXT NOT NULL,
    zone         TEXT NOT NULL,
    promoter     TEXT NOT NULL,
    sled_id      TEXT REFERENCES sleds (id), -- null while none is booked
    replaces     TEXT NOT NULL, -- name of the sled that was booked before; empty where none was
    full_pull_ft DOUBLE PRECISION CHECK (full_pull_ft > 0),
    notes        TEXT NOT NULL,
    closed       BOOLEAN NOT NULL,
    reopened     BOOLEAN NOT NULL,
    revision     BIGINT NOT NULL,
    created_at   BIGINT NOT NULL,
    updated_at   BIGINT NOT NULL,
    CHECK (NOT (closed AND reopened))
);
CREATE INDEX shows_by_date ON shows (date, id);
CREATE INDEX shows_by_sled ON shows (sled_id);
CREATE INDEX shows_open ON shows (date, id) WHERE NOT closed AND NOT reopened;

CREATE TABLE show_classes (
    show_id  TEXT NOT NULL REFERENCES shows (id),
    class_id TEXT NOT NULL REFERENCES classes (id),
    position INTEGER NOT NULL, -- in running order
    PRIMARY KEY (show_id, class_id)
);
CREATE INDEX show_classes_by_class ON show_classes (class_id);

-- seq is the order of writing.
CREATE TABLE as_run (
    seq          INTEGER PRIMARY KEY NOT NULL,
    id           TEXT NOT NULL UNIQUE,
    show_id      TEXT NOT NULL,
    class_id     TEXT NOT NULL,
    sled_id      TEXT NOT NULL,
    gear_id      TEXT NOT NULL,
    start_ft     DOUBLE PRECISION NOT NULL CHECK (start_ft >= 0),
    from_hook    INTEGER NOT NULL CHECK (from_hook > 0),
    pull_off     BOOLEAN NOT NULL,
    weights      TEXT NOT NULL,
    in_box_lb    DOUBLE PRECISION CHECK (in_box_lb >= 0),
    on_pan_lb    DOUBLE PRECISION CHECK (on_pan_lb >= 0),
    note         TEXT NOT NULL,
    top_out_ft   DOUBLE PRECISION,
    show_changed BOOLEAN NOT NULL,
    created_at   BIGINT NOT NULL,
    FOREIGN KEY (show_id, class_id) REFERENCES show_classes (show_id, class_id),
    FOREIGN KEY (sled_id, gear_id) REFERENCES gears (sled_id, id)
);
CREATE INDEX as_run_by_show ON as_run (show_id, class_id);
CREATE INDEX as_run_by_gear ON as_run (sled_id, gear_id);

CREATE TABLE outcomes (
    show_id    TEXT NOT NULL,
    class_id   TEXT NOT NULL,
    longest_ft DOUBLE PRECISION CHECK (longest_ft > 0),
    hooks      INTEGER CHECK (hooks >= 0),
    full_pulls INTEGER CHECK (full_pulls >= 0),
    felt       TEXT NOT NULL,
    note       TEXT NOT NULL,
    PRIMARY KEY (show_id, class_id),
    FOREIGN KEY (show_id, class_id) REFERENCES show_classes (show_id, class_id)
);

-- The sheet of a show that is over, as it stood. The document is JSON; its format says how to read it, so that a later
-- version still reads what an earlier one stored.
CREATE TABLE closed_sheets (
    show_id  TEXT PRIMARY KEY NOT NULL REFERENCES shows (id),
    format   INTEGER NOT NULL,
    document TEXT NOT NULL
);

-- What a crew looks at on a sled. items is a JSON list of {"id", "what", "every_shows" or "every_days", "calibration"}.
CREATE TABLE inspection_lists (
    sled_id    TEXT PRIMARY KEY NOT NULL REFERENCES sleds (id),
    items      TEXT NOT NULL,
    revision   BIGINT NOT NULL,
    created_at BIGINT NOT NULL,
    updated_at BIGINT NOT NULL
);

-- seq is the order of writing. The item may have left the list since; what is its words as they were. noted_by is who
-- looked, signed_by the name of the key.
CREATE TABLE inspections (
    seq        INTEGER PRIMARY KEY NOT NULL,
    id         TEXT NOT NULL UNIQUE,
    sled_id    TEXT NOT NULL REFERENCES sleds (id),
    item_id    TEXT NOT NULL,
    what       TEXT NOT NULL,
    well       BOOLEAN NOT NULL,
    note       TEXT NOT NULL,
    done       TEXT NOT NULL,
    made_on    TEXT NOT NULL,
    show_id    TEXT REFERENCES shows (id),
    noted_by   TEXT NOT NULL,
    signed_by  TEXT NOT NULL,
    created_at BIGINT NOT NULL
);
CREATE INDEX inspections_by_sled ON inspections (sled_id, seq);
CREATE INDEX inspections_by_show ON inspections (show_id, seq);

-- The fleet's revision when a sled, its gears, its changes, readings or weighings were last written. A row outlives its sled,
-- so that whoever has a copy in memory sees that it is gone.
CREATE TABLE touched (
    sled_id  TEXT PRIMARY KEY NOT NULL,
    revision BIGINT NOT NULL
);
CREATE INDEX touched_by_revision ON touched (revision);

-- One row. The revision counts the writes that changed the fleet.
CREATE TABLE state (
    id       INTEGER PRIMARY KEY NOT NULL CHECK (id = 1),
    revision BIGINT NOT NULL,
    key_salt BLOB NOT NULL
);
INSERT INTO state (id, revision, key_salt) VALUES (1, 0, randomblob(32));

-- A key that has ended stays, so that its id is never given again.
CREATE TABLE keys (
    id           TEXT PRIMARY KEY NOT NULL,
    name         TEXT NOT NULL,
    role         TEXT NOT NULL,
    hash         BLOB NOT NULL UNIQUE,
    created_at   BIGINT NOT NULL,
    last_used_at BIGINT,
    ended_at     BIGINT
);

-- A browser that is signed in. Of its token only the hash is stored. A session of the key that is set from outside has
-- no key_id; it is valid as long as that key has the fingerprint.
CREATE TABLE sessions (
    hash        BLOB PRIMARY KEY NOT NULL,
    key_id      TEXT REFERENCES keys (id),
    fingerprint BLOB,
    created_at  BIGINT NOT NULL,
    expires_at  BIGINT NOT NULL,
    CHECK ((key_id IS NULL) <> (fingerprint IS NULL))
);
CREATE INDEX sessions_by_key ON sessions (key_id);
CREATE INDEX sessions_by_expiry ON sessions (expires_at);

-- A link that signs one browser in with a key, once. Of its secret only the hash is stored.
CREATE TABLE sign_in_links (
    key_id     TEXT PRIMARY KEY NOT NULL REFERENCES keys (id),
    hash       BLOB NOT NULL,
    created_at BIGINT NOT NULL,
    expires_at BIGINT NOT NULL
);

-- First answers to requests that carried an idempotency key. digest is the hash of the request; sender is the id of the
-- key it came with, or what the program calls who has none in the database.
CREATE TABLE idempotency_records (
    key          TEXT PRIMARY KEY NOT NULL,
    digest       BLOB NOT NULL,
    sender       TEXT NOT NULL,
    status       INTEGER NOT NULL,
    content_type TEXT NOT NULL,
    etag         TEXT NOT NULL,
    location     TEXT NOT NULL,
    body         BLOB NOT NULL,
    created_at   BIGINT NOT NULL
);
CREATE INDEX idempotency_records_by_age ON idempotency_records (created_at);

-- One entry for each thing that a write changed, in the same transaction. Entries are only ever added; triggers enforce
-- it. at is the time of the write; key_id, who and role are those of the key it was made with, as they were then. act
-- and kind say what was done to what; subject is its id. before and after are JSON, null where there is nothing. seq is
-- the order of writing.
CREATE TABLE history (
    seq     INTEGER PRIMARY KEY NOT NULL CHECK (seq > 0),
    at      BIGINT NOT NULL,
    key_id  TEXT NOT NULL,
    who     TEXT NOT NULL,
    role    TEXT NOT NULL,
    act     TEXT NOT NULL,
    kind    TEXT NOT NULL,
    subject TEXT NOT NULL,
    before  TEXT,
    after   TEXT
);
CREATE INDEX history_by_person ON history (who, seq);

-- The sleds that an entry is about: none, one, or those of a bulk import.
CREATE TABLE history_sleds (
    seq     BIGINT NOT NULL REFERENCES history (seq),
    sled_id TEXT NOT NULL,
    PRIMARY KEY (sled_id, seq)
);
CREATE INDEX history_sleds_by_entry ON history_sleds (seq, sled_id);

-- INSERT OR REPLACE removes a row without a DELETE, so it is refused by itself. There, a seq that is still to be
-- assigned is -1.
CREATE TRIGGER history_is_not_replaced BEFORE INSERT ON history WHEN EXISTS (SELECT 1 FROM history WHERE seq = NEW.seq)
    BEGIN SELECT RAISE(ABORT, 'history is only added to'); END;
CREATE TRIGGER history_is_not_changed BEFORE UPDATE ON history
    BEGIN SELECT RAISE(ABORT, 'history is only added to'); END;
CREATE TRIGGER history_is_not_removed BEFORE DELETE ON history
    BEGIN SELECT RAISE(ABORT, 'history is only added to'); END;
CREATE TRIGGER history_sleds_are_not_changed BEFORE UPDATE ON history_sleds
    BEGIN SELECT RAISE(ABORT, 'history is only added to'); END;
CREATE TRIGGER history_sleds_are_not_removed BEFORE DELETE ON history_sleds
    BEGIN SELECT RAISE(ABORT, 'history is only added to'); END;
