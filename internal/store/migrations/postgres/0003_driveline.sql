-- A sled's parts and their changes. What stands in sleds and gears (travel_ft, driveline, ratio, range) are the parts before the
-- first change; today's are those with every change put in, in order of made_on, created_at and id. Whatever else holds in the
-- first migration holds here.

-- JSON, only with the parts that are known: sprocket_teeth, chain_pitch_in, box_ft_per_turn, axle_ratio, axle_ratios (by
-- range), final_ratio, other_ratio, tire_circumference_ft. Numbers come back to the last digit.
ALTER TABLE sleds ADD COLUMN driveline TEXT COLLATE "C" NOT NULL DEFAULT '{}';

-- Of a two-speed axle, by its name; empty where there is none or it is not known.
ALTER TABLE gears ADD COLUMN "range" TEXT COLLATE "C" NOT NULL DEFAULT '';

-- driveline, travel_ft and gears hold what the change gives; the rest stays. gears is a JSON list of {"id", "ratio", "range"}.
CREATE TABLE changes (
    id         TEXT COLLATE "C" PRIMARY KEY NOT NULL,
    sled_id    TEXT COLLATE "C" NOT NULL REFERENCES sleds (id),
    made_on    TEXT COLLATE "C" NOT NULL,
    what       TEXT COLLATE "C" NOT NULL,
    driveline  TEXT COLLATE "C" NOT NULL,
    travel_ft  DOUBLE PRECISION CHECK (travel_ft > 0),
    gears      TEXT COLLATE "C" NOT NULL,
    effect     TEXT COLLATE "C" NOT NULL CHECK (effect IN ('by-ratio', 'unknown')),
    created_at BIGINT NOT NULL
);
CREATE INDEX changes_in_order ON changes (sled_id, made_on, created_at, id);
