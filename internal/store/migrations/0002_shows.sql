-- Classes and shows. Dates are ISO 8601; whatever else holds in the first migration holds here.

-- A class means the top-outs its settings stood for when they were noted, whatever the charts say later. A setting without a sled
-- and a gear is a distance.
CREATE TABLE classes (
    id                     TEXT PRIMARY KEY NOT NULL,
    name                   TEXT NOT NULL,
    setting_sled_id        TEXT,
    setting_gear_id        TEXT,
    setting_start_ft       DOUBLE PRECISION NOT NULL CHECK (setting_start_ft >= 0),
    setting_stood_for_ft   DOUBLE PRECISION,
    setting_plus_minus_ft  DOUBLE PRECISION,
    setting_noted_on       TEXT NOT NULL,
    pull_off_sled_id       TEXT,
    pull_off_gear_id       TEXT,
    pull_off_start_ft      DOUBLE PRECISION CHECK (pull_off_start_ft >= 0),
    pull_off_stood_for_ft  DOUBLE PRECISION,
    pull_off_plus_minus_ft DOUBLE PRECISION,
    pull_off_noted_on      TEXT,
    used_by                TEXT NOT NULL,
    weights                TEXT NOT NULL,
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

-- kept: its sheet is kept as it stood, in sheets. reopened: somebody opened it again after it was over, so that its date
-- alone does not close it.
CREATE TABLE shows (
    id         TEXT PRIMARY KEY NOT NULL,
    name       TEXT NOT NULL,
    date       TEXT NOT NULL,
    place      TEXT NOT NULL,
    promoter   TEXT NOT NULL,
    sled_id    TEXT NOT NULL REFERENCES sleds (id),
    notes      TEXT NOT NULL,
    kept       BOOLEAN NOT NULL,
    reopened   BOOLEAN NOT NULL,
    revision   BIGINT NOT NULL,
    created_at BIGINT NOT NULL,
    updated_at BIGINT NOT NULL,
    CHECK (NOT (kept AND reopened))
);
CREATE INDEX shows_by_date ON shows (date, id);
CREATE INDEX shows_by_sled ON shows (sled_id);
CREATE INDEX shows_open ON shows (date, id) WHERE NOT kept AND NOT reopened;

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

-- The sheet a show was run with. The document is JSON; its format says how to read it, so that a later program still
-- reads what an earlier one kept.
CREATE TABLE sheets (
    show_id  TEXT PRIMARY KEY NOT NULL REFERENCES shows (id),
    format   INTEGER NOT NULL,
    document TEXT NOT NULL
);
