-- A small fleet as the program stored it when this was its schema, written by that program itself through its API, and dumped.
-- Its weighings, the weights of a class, a show and a line, the mark of a guest and the zones of shows were added to the
-- dump by hand.
PRAGMA application_id = 1163284048;
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE migrations (id TEXT PRIMARY KEY NOT NULL);
INSERT INTO migrations VALUES('0001_initial');
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
INSERT INTO sleds VALUES('bluestem','Bluestem','The Crew',34.5,0.25,0.5,'{"sprocket_teeth":12,"chain_pitch_in":2,"axle_ratio":4.88,"final_ratio":5.29,"tire_circumference_ft":10.2}','{"tandem_to_pan_ft":28,"tandem_to_pan_plus_minus_ft":0.2,"empty_box_lb":5000,"blocks":[{"lb":2000,"count":8}],"most_in_box_lb":16000}',replace('brake relined;\nmarks repainted – 0,5 ft','\n',char(10)),NULL,0,0,2,1795611311766372,1795611311983719);
INSERT INTO sleds VALUES('fescue','Fescue','',31.0,0.0,0.5,'{"box_ft_per_turn":2.1,"axle_ratios":{"high":4.88,"low":6.6},"final_ratio":5.5,"tire_circumference_ft":10.2}','{}','',NULL,0,0,2,1795611311770034,1795611311986683);
INSERT INTO sleds VALUES('timothys-große','Timothy''s Größe','',NULL,0.0,0.5,'{}','{}','','{"owner":"The Ridge Crew","as_of":1795611311000000,"day_pct":0.9,"reading_pct":0.6,"day_df":9,"reading_df":31,"assumed_reading_pct":0.7,"weighing_lb":100,"weighing_df":4}',1,0,2,1795611311772210,1795611311996225);
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
INSERT INTO gears VALUES('wl63s2kagh3qb3mu','bluestem',0,'A',1.2099999999999999644,'');
INSERT INTO gears VALUES('i5u7znjkhji7jyxi','bluestem',1,'B',1.3100000000000000532,'');
INSERT INTO gears VALUES('hc6r7mdedax2ev5i','bluestem',2,'C',1.4199999999999999289,'');
INSERT INTO gears VALUES('xcy2i2x4k3ez3skn','fescue',0,'1',1.1999999999999999555,'high');
INSERT INTO gears VALUES('b6kt27cc22e7ngy4','fescue',1,'2',1.3500000000000000888,'high');
INSERT INTO gears VALUES('zwsafdrvi63oo2fg','fescue',2,'3 low',1.0500000000000000444,'low');
INSERT INTO gears VALUES('cthf5glkboemwykf','timothys-große',0,'one',NULL,'');
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
INSERT INTO changes VALUES('vlkj6mljlamyrfao','bluestem','2026-01-15','13 teeth in place of 12','{"sprocket_teeth":13}',NULL,'[]','by-ratio',0,1795611311983719);
INSERT INTO changes VALUES('grij55v2dafmqmg5','fescue','2025-06-01','box re-railed','{}',30.499999999999999999,'[{"id":"zwsafdrvi63oo2fg","ratio":1.1}]','unknown',0,1795611311986683);
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
INSERT INTO readings VALUES(1,'5adtndcztqlkjp4y','bluestem','wl63s2kagh3qb3mu',0.0,282.66680000000002337,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795611311775565,0,NULL,NULL);
INSERT INTO readings VALUES(2,'bg3zdgqpitdl26jq','bluestem','wl63s2kagh3qb3mu',4.0,252.92898550724640927,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311777578,0,NULL,NULL);
INSERT INTO readings VALUES(3,'fnhpnutphh5hl7vm','bluestem','i5u7znjkhji7jyxi',0.0,274.04959999999999808,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311781710,0,NULL,NULL);
INSERT INTO readings VALUES(4,'lvq3muhlr4i5gfsl','bluestem','i5u7znjkhji7jyxi',4.0,237.96648115942031153,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311795463,0,NULL,NULL);
INSERT INTO readings VALUES(5,'mzilf4wggxjcuopv','bluestem','hc6r7mdedax2ev5i',0.0,257.03300000000001545,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795611311798868,0,NULL,NULL);
INSERT INTO readings VALUES(6,'6udtekwdxppgngxq','bluestem','hc6r7mdedax2ev5i',4.0,223.16628985507250605,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311801450,0,NULL,NULL);
INSERT INTO readings VALUES(7,'w6winl42owfbkmgj','bluestem','wl63s2kagh3qb3mu',0.0,289.53320000000002209,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795611311835985,0,NULL,NULL);
INSERT INTO readings VALUES(8,'olmhigf6cfyc4um3','bluestem','wl63s2kagh3qb3mu',4.0,251.41141159420291727,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311837913,0,NULL,NULL);
INSERT INTO readings VALUES(9,'5wxi4j5n6lv22hli','bluestem','i5u7znjkhji7jyxi',0.0,272.42480000000000473,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311839770,0,NULL,NULL);
INSERT INTO readings VALUES(10,'v4y7ocggn233cutp','bluestem','i5u7znjkhji7jyxi',4.0,236.53006376811597987,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311841744,0,NULL,NULL);
INSERT INTO readings VALUES(11,'w7khpwzhsdauzwca','bluestem','hc6r7mdedax2ev5i',0.0,255.50000000000002841,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795611311843680,0,NULL,NULL);
INSERT INTO readings VALUES(12,'4akzp2dkgssr7f2l','bluestem','hc6r7mdedax2ev5i',4.0,228.5873333333333619,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311845644,0,NULL,NULL);
INSERT INTO readings VALUES(13,'iek7ez64zylwppuh','bluestem','wl63s2kagh3qb3mu',0.0,287.81660000000005085,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795611311856835,0,NULL,NULL);
INSERT INTO readings VALUES(14,'ytawy4h6mcpzsfpr','bluestem','wl63s2kagh3qb3mu',4.0,249.89383768115945372,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311858261,0,NULL,NULL);
INSERT INTO readings VALUES(15,'7j3df4y462gleimc','bluestem','i5u7znjkhji7jyxi',0.0,270.80000000000001136,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311859710,0,NULL,NULL);
INSERT INTO readings VALUES(16,'2yrzj4cgugzl47vb','bluestem','i5u7znjkhji7jyxi',4.0,242.27573333333336336,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311861250,0,NULL,NULL);
INSERT INTO readings VALUES(17,'k6lcdtouj3oi4dd4','bluestem','hc6r7mdedax2ev5i',0.0,253.96700000000001296,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795611311862853,0,NULL,NULL);
INSERT INTO readings VALUES(18,'4k46lj6xmtolug7f','bluestem','hc6r7mdedax2ev5i',4.0,227.23207246376816216,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311867461,0,NULL,NULL);
INSERT INTO readings VALUES(19,'g6pkakmvpwnawy7y','bluestem','hc6r7mdedax2ev5i',2.5,180.69999999999998862,'stopped-short',27.249999999999999999,NULL,'2026-05-09','2026-05-09','','','','','','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311897736,0,NULL,NULL);
INSERT INTO readings VALUES(20,'4k5gzawiilgodgqo','bluestem','wl63s2kagh3qb3mu',0.0,301.0,'past-top',NULL,NULL,'2026-05-09','evening run','','','','','','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311909736,0,NULL,NULL);
INSERT INTO readings VALUES(21,'apym5dso6iwr2l2q','fescue','xcy2i2x4k3ez3skn',0.0,283.10000000000002273,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311816853,0,NULL,NULL);
INSERT INTO readings VALUES(22,'vbejau7akwnfgzz4','fescue','xcy2i2x4k3ez3skn',4.0,249.52981935483873599,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311826078,0,NULL,NULL);
INSERT INTO readings VALUES(23,'ds7u4kytjrhku2pe','fescue','b6kt27cc22e7ngy4',0.0,266.19319999999999026,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795611311828003,0,NULL,NULL);
INSERT INTO readings VALUES(24,'55v7drn3zezvj4xr','fescue','b6kt27cc22e7ngy4',4.0,234.64463225806451874,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311830098,0,NULL,NULL);
INSERT INTO readings VALUES(25,'slzwx7s4dbczkuxg','fescue','zwsafdrvi63oo2fg',0.0,249.47000000000002727,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311832193,0,NULL,NULL);
INSERT INTO readings VALUES(26,'lcrjjik7m7lh72ux','fescue','zwsafdrvi63oo2fg',4.0,219.91935483870969391,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311834108,0,NULL,NULL);
INSERT INTO readings VALUES(27,'thkzgsybwrmal4jf','fescue','xcy2i2x4k3ez3skn',0.0,281.40140000000002373,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311847447,0,NULL,NULL);
INSERT INTO readings VALUES(28,'lzni6xyy7666obby','fescue','xcy2i2x4k3ez3skn',4.0,248.05039354838712029,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311849300,0,NULL,NULL);
INSERT INTO readings VALUES(29,'ald4ck62vwapwb5c','fescue','b6kt27cc22e7ngy4',0.0,264.58640000000002601,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795611311850920,0,NULL,NULL);
INSERT INTO readings VALUES(30,'ssez5bjw4mznt3v6','fescue','b6kt27cc22e7ngy4',4.0,233.24516129032258505,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311852350,0,NULL,NULL);
INSERT INTO readings VALUES(31,'blbi2n6syv2n6xsw','fescue','zwsafdrvi63oo2fg',0.0,255.53000000000002955,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311853933,0,NULL,NULL);
INSERT INTO readings VALUES(32,'qlavktk656etgsae','fescue','zwsafdrvi63oo2fg',4.0,218.59983870967744222,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311855313,0,NULL,NULL);
INSERT INTO readings VALUES(33,'iikbw5tgsm6mwkxt','fescue','xcy2i2x4k3ez3skn',0.0,279.70280000000002473,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311869084,0,NULL,NULL);
INSERT INTO readings VALUES(34,'2q63iqtgc2jzkbye','fescue','xcy2i2x4k3ez3skn',4.0,246.57096774193550459,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311870742,0,NULL,NULL);
INSERT INTO readings VALUES(35,'7kirwkruvxjul6j4','fescue','b6kt27cc22e7ngy4',0.0,271.01359999999999673,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795611311872991,0,NULL,NULL);
INSERT INTO readings VALUES(36,'qya272k3su2kyp7j','fescue','b6kt27cc22e7ngy4',4.0,231.84569032258065136,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311874869,0,NULL,NULL);
INSERT INTO readings VALUES(37,'c42egqmpxnqnnkfk','fescue','zwsafdrvi63oo2fg',0.0,254.0150000000000432,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311877760,0,NULL,NULL);
INSERT INTO readings VALUES(38,'fdj6qfc45r7vfp77','fescue','zwsafdrvi63oo2fg',4.0,217.28032258064516213,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311881409,0,NULL,NULL);
INSERT INTO readings VALUES(39,'ym6wg5hzujcopw4k','fescue','b6kt27cc22e7ngy4',0.0,627.10000000000002272,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','','','','','','','',NULL,NULL,NULL,'digits swapped',1795611311950409,0,NULL,NULL,1795611311945735,0,NULL,NULL);
INSERT INTO readings VALUES(40,'6cdov76d2yzfetek','fescue','b6kt27cc22e7ngy4',0.0,267.10000000000002273,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','','','','','','','',NULL,NULL,'ym6wg5hzujcopw4k',NULL,NULL,0,NULL,NULL,1795611311952309,0,NULL,NULL);
INSERT INTO readings VALUES(41,'2m6vivtjv4nib46r','timothys-große','cthf5glkboemwykf',0.0,271.30000000000001137,'stated',NULL,8.0,'2026-05-10','2026-05-10','','its owner','','','','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795611311914207,1,NULL,NULL);
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
INSERT INTO weighings VALUES(1,'weighing00000001','bluestem','2026-05-30',0.0,0.0,0.0,10720.0,NULL,NULL,'yard scale',20.0,'Hay Lane','Ann','',NULL,NULL,1795611311990001,NULL,NULL);
INSERT INTO weighings VALUES(2,'weighing00000002','bluestem','2026-05-30',30.0,0.0,0.0,16140.0,NULL,NULL,'yard scale',20.0,'Hay Lane','Ann','',NULL,NULL,1795611311990002,NULL,NULL);
INSERT INTO weighings VALUES(3,'weighing00000003','bluestem','2026-05-30',0.0,12000.0,0.0,9540.0,NULL,50000.0,'yard scale',20.0,'Hay Lane','Ann','',NULL,NULL,1795611311990003,NULL,NULL);
INSERT INTO weighings VALUES(4,'weighing00000004','bluestem','2026-05-30',30.0,12000.0,0.0,27740.0,NULL,50000.0,'yard scale',20.0,'Hay Lane','Ann','',NULL,NULL,1795611311990004,NULL,NULL);
INSERT INTO weighings VALUES(5,'weighing00000005','bluestem','2026-05-30',15.0,12000.0,0.0,8700.0,NULL,50000.0,'yard scale',20.0,'Hay Lane','Ann','','a digit misread',1795611311990000,1795611311990005,NULL,NULL);
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
INSERT INTO classes VALUES('farm-9500-lb','Farm 9500 lb','bluestem','hc6r7mdedax2ev5i',0.0,255.66566603649164336,2.9738260619896266234,'2026-11-25',12000.0,NULL,'bluestem','i5u7znjkhji7jyxi',1.5,259.52889601656187322,3.3686301427115097339,'2026-11-25',NULL,NULL,'Hay Lane Pullers','4 + 2',290.0,'pull-off from the second hook',1,1795611311954114,1795611311954114);
INSERT INTO classes VALUES('open-4x4','Open 4x4','fescue','xcy2i2x4k3ez3skn',0.0,283.09150660758996309,3.3407140973535831562,'2026-11-25',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'','',NULL,'',1,1795611311959174,1795611311959174);
INSERT INTO classes VALUES('stated','Stated','timothys-große','cthf5glkboemwykf',0.0,271.3000000000000682,8.0,'2026-11-25',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'','',NULL,'',1,1795611311963022,1795611311963022);
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
INSERT INTO shows VALUES('harvest-pull-2026-07-18','Harvest Pull','2026-07-18','Hay Lane','America/Chicago','The Promoter','fescue','',NULL,'gate at five',1,0,1,1795611311966296,1795611311966296);
INSERT INTO shows VALUES('next-summer-2099-07-18','Next Summer','2099-07-18','','UTC','','bluestem','',300.0,'',0,0,1,1795611311980237,1795611311980237);
CREATE TABLE show_classes (
    show_id  TEXT NOT NULL REFERENCES shows (id),
    class_id TEXT NOT NULL REFERENCES classes (id),
    position INTEGER NOT NULL, -- in running order
    PRIMARY KEY (show_id, class_id)
);
INSERT INTO show_classes VALUES('harvest-pull-2026-07-18','open-4x4',0);
INSERT INTO show_classes VALUES('harvest-pull-2026-07-18','farm-9500-lb',1);
INSERT INTO show_classes VALUES('next-summer-2099-07-18','farm-9500-lb',0);
INSERT INTO show_classes VALUES('next-summer-2099-07-18','stated',1);
INSERT INTO show_classes VALUES('next-summer-2099-07-18','open-4x4',2);
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
INSERT INTO as_run VALUES(1,'vqndbkkantngnirf','harvest-pull-2026-07-18','farm-9500-lb','fescue','b6kt27cc22e7ngy4',0.5,1,0,'4',8000.0,500.0,'track soft',263.18121918877636744,0,1795611311968111);
INSERT INTO as_run VALUES(2,'pml3ajvh7zvtpucg','harvest-pull-2026-07-18','farm-9500-lb','fescue','xcy2i2x4k3ez3skn',0.0,4,1,'',NULL,NULL,'',283.09150660758996309,0,1795611311976211);
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
INSERT INTO outcomes VALUES('harvest-pull-2026-07-18','farm-9500-lb',301.25,9,2,'soft','too light');
CREATE TABLE closed_sheets (
    show_id  TEXT PRIMARY KEY NOT NULL REFERENCES shows (id),
    format   INTEGER NOT NULL,
    document TEXT NOT NULL
);
INSERT INTO closed_sheets VALUES('harvest-pull-2026-07-18',1,'{"sled_name":"Fescue","rows":[{"class":{"id":"open-4x4","name":"Open 4x4","setting":{"sled":"fescue","gear_id":"xcy2i2x4k3ez3skn","gear":"1","start_ft":0,"top_out_ft":283.09150660758996,"plus_minus_ft":3.340714097353583,"noted_on":"2026-11-25"},"revision":0,"created_at":"0001-01-01T00:00:00Z","updated_at":"0001-01-01T00:00:00Z","today_ft":283.09150660758996},"home_sled_name":"Fescue","tonight":{"Sled":"fescue","Nearest":{"Gear":"1","StartFt":0,"TopOutFt":283.09150660758996,"LowFt":279.770503419783,"HighFt":286.45193161449015,"Basis":"measured","Readings":3,"StatedBy":"","DifferenceFt":0,"DifferenceLowFt":0,"DifferenceHighFt":0,"ChanceNearest":1,"BoxSpeed":10.950522808503383,"BoxSpeedLow":10.803917770614664,"BoxSpeedHigh":11.0991172207645,"Confidence":"clear","OutOfReach":false,"ComparedAt":"same-start"},"RunnerUp":{"Gear":"2","ChanceNearest":0},"MovedStart":{"Gear":"1","StartFt":0,"RoundedStartFt":0,"TopOutFt":283.09150660758996,"LowFt":279.770503419783,"HighFt":286.45193161449015,"DifferenceFt":0,"DifferenceLowFt":0,"DifferenceHighFt":0,"WorthIt":false},"Gears":[{"Gear":"1","StartFt":0,"TopOutFt":283.09150660758996,"LowFt":279.770503419783,"HighFt":286.45193161449015,"Basis":"measured","Readings":3,"StatedBy":"","DifferenceFt":0,"DifferenceLowFt":0,"DifferenceHighFt":0,"ChanceNearest":1},{"Gear":"2","StartFt":0,"TopOutFt":267.4956654049858,"LowFt":264.4621129445147,"HighFt":270.5640146854172,"Basis":"measured","Readings":4,"StatedBy":"","DifferenceFt":-15.595841202604163,"DifferenceLowFt":-18.367672964672106,"DifferenceHighFt":-12.824009440536221,"ChanceNearest":0},{"Gear":"3 low","StartFt":0,"TopOutFt":251.98489620149843,"LowFt":249.02881089327903,"HighFt":254.976071587521,"Basis":"measured","Readings":3,"StatedBy":"","DifferenceFt":-31.106610406091534,"DifferenceLowFt":-33.89663232031586,"DifferenceHighFt":-28.316588491867208,"ChanceNearest":0}],"Because":{"Reason":"","Sled":"","Gear":"","StartFt":0}}},{"class":{"id":"farm-9500-lb","name":"Farm 9500 lb","setting":{"sled":"bluestem","gear_id":"hc6r7mdedax2ev5i","gear":"C","start_ft":0,"top_out_ft":255.66566603649164,"plus_minus_ft":2.9738260619896266,"noted_on":"2026-11-25"},"pull_off":{"sled":"bluestem","gear_id":"i5u7znjkhji7jyxi","gear":"B","start_ft":1.5,"top_out_ft":259.5288960165619,"plus_minus_ft":3.3686301427115097,"noted_on":"2026-11-25"},"used_by":"Hay Lane Pullers","weights":"4 + 2","notes":"pull-off from the second hook","revision":0,"created_at":"0001-01-01T00:00:00Z","updated_at":"0001-01-01T00:00:00Z","today_ft":255.66566603649164,"pull_off_today_ft":259.5288960165619},"home_sled_name":"Bluestem","tonight":{"Sled":"fescue","Nearest":{"Gear":"3 low","StartFt":0,"TopOutFt":251.98489620149843,"LowFt":249.02881089327903,"HighFt":254.976071587521,"Basis":"measured","Readings":3,"StatedBy":"","DifferenceFt":-3.680769834993214,"DifferenceLowFt":-7.835909942396129,"DifferenceHighFt":0.4743702724097014,"ChanceNearest":0.9787003334743816,"BoxSpeed":12.30232465012943,"BoxSpeedLow":12.13762175849662,"BoxSpeedHigh":12.469262497097969,"Confidence":"clear","OutOfReach":false,"ComparedAt":"same-start"},"RunnerUp":{"Gear":"2","ChanceNearest":0.021299666525618426},"MovedStart":{"Gear":"2","StartFt":1.370975413257991,"RoundedStartFt":1.5,"TopOutFt":254.5523267563575,"LowFt":250.64616859662354,"HighFt":258.5193598604574,"DifferenceFt":-1.1133392801341415,"DifferenceLowFt":-6.031684805831204,"DifferenceHighFt":3.8050062455629208,"WorthIt":false},"Gears":[{"Gear":"1","StartFt":0,"TopOutFt":283.09150660758996,"LowFt":279.770503419783,"HighFt":286.45193161449015,"Basis":"measured","Readings":3,"StatedBy":"","DifferenceFt":27.42584057109832,"DifferenceLowFt":23.006761460177714,"DifferenceHighFt":31.844919682018926,"ChanceNearest":9.365377353904295e-22},{"Gear":"2","StartFt":0,"TopOutFt":267.4956654049858,"LowFt":264.4621129445147,"HighFt":270.5640146854172,"Basis":"measured","Readings":4,"StatedBy":"","DifferenceFt":11.829999368494157,"DifferenceLowFt":7.628291845116037,"DifferenceHighFt":16.031706891872275,"ChanceNearest":0.021299666525618426},{"Gear":"3 low","StartFt":0,"TopOutFt":251.98489620149843,"LowFt":249.02881089327903,"HighFt":254.976071587521,"Basis":"measured","Readings":3,"StatedBy":"","DifferenceFt":-3.680769834993214,"DifferenceLowFt":-7.835909942396129,"DifferenceHighFt":0.4743702724097014,"ChanceNearest":0.9787003334743816}],"Because":{"Reason":"","Sled":"","Gear":"","StartFt":0}},"pull_off_tonight":{"Sled":"fescue","Nearest":{"Gear":"2","StartFt":1.5,"TopOutFt":254.5523267563575,"LowFt":251.25270110365616,"HighFt":257.89528539373975,"Basis":"interpolated","Readings":0,"StatedBy":"","DifferenceFt":-4.976569260204371,"DifferenceLowFt":-9.67396067477845,"DifferenceHighFt":-0.27917784563029446,"ChanceNearest":0.8510923062305451,"BoxSpeed":11.588972835528496,"BoxSpeedLow":11.438288330740757,"BoxSpeedHigh":11.741642411799537,"Confidence":"close","OutOfReach":false,"ComparedAt":"same-start"},"RunnerUp":{"Gear":"1","ChanceNearest":0.14890766147083134},"MovedStart":{"Gear":"2","StartFt":0.9232667402936379,"RoundedStartFt":1,"TopOutFt":258.8667729725668,"LowFt":254.9249965437045,"HighFt":262.86949909889233,"DifferenceFt":-0.6621230439950523,"DifferenceLowFt":-5.852990894130838,"DifferenceHighFt":4.528744806140733,"WorthIt":false},"Gears":[{"Gear":"1","StartFt":1.5,"TopOutFt":269.3935304814163,"LowFt":265.80514976793177,"HighFt":273.03035448562014,"Basis":"interpolated","Readings":0,"StatedBy":"","DifferenceFt":9.864634464854419,"DifferenceLowFt":4.956848177584132,"DifferenceHighFt":14.772420752124706,"ChanceNearest":0.14890766147083134},{"Gear":"2","StartFt":1.5,"TopOutFt":254.5523267563575,"LowFt":251.25270110365616,"HighFt":257.89528539373975,"Basis":"interpolated","Readings":0,"StatedBy":"","DifferenceFt":-4.976569260204371,"DifferenceLowFt":-9.67396067477845,"DifferenceHighFt":-0.27917784563029446,"ChanceNearest":0.8510923062305451},{"Gear":"3 low","StartFt":1.5,"TopOutFt":239.79207864336144,"LowFt":236.5979957390225,"HighFt":243.0292818013945,"Basis":"interpolated","Readings":0,"StatedBy":"","DifferenceFt":-19.736817373200438,"DifferenceLowFt":-24.364098401102883,"DifferenceHighFt":-15.109536345297993,"ChanceNearest":3.2298623553472794e-8}],"Because":{"Reason":"","Sled":"","Gear":"","StartFt":0}}}]}');
CREATE TABLE touched (
    sled_id  TEXT PRIMARY KEY NOT NULL,
    revision BIGINT NOT NULL
);
INSERT INTO touched VALUES('bluestem',1);
INSERT INTO touched VALUES('fescue',1);
INSERT INTO touched VALUES('timothys-große',1);
CREATE TABLE state (
    id       INTEGER PRIMARY KEY NOT NULL CHECK (id = 1),
    revision BIGINT NOT NULL,
    key_salt BLOB NOT NULL
);
INSERT INTO state VALUES(1,3,X'452187d9f4a1be17432ea5d88c052dc283ab010d75f50ba8bbab1f5171759884');
CREATE TABLE keys (
    id           TEXT PRIMARY KEY NOT NULL,
    name         TEXT NOT NULL,
    role         TEXT NOT NULL,
    hash         BLOB NOT NULL UNIQUE,
    created_at   BIGINT NOT NULL,
    last_used_at BIGINT,
    ended_at     BIGINT
);
INSERT INTO keys VALUES('jqrjg675bbk2bein','first key','manager',X'93ee3702fa61f5d26c4d75fb4866683f8c5c5d2a368f7cedaca8592d258dd5ac',1795873291893215,1795877423143683,NULL);
CREATE TABLE sessions (
    hash        BLOB PRIMARY KEY NOT NULL,
    key_id      TEXT REFERENCES keys (id),
    fingerprint BLOB,
    created_at  BIGINT NOT NULL,
    expires_at  BIGINT NOT NULL,
    CHECK ((key_id IS NULL) <> (fingerprint IS NULL))
);
INSERT INTO sessions VALUES(X'4e0b031510c29ec6747c1ef55b7f942d1ff87fc5be0fbc6db99ef950c3a5a69e','jqrjg675bbk2bein',NULL,1795873293054464,1798465293054464);
CREATE TABLE sign_in_links (
    key_id     TEXT PRIMARY KEY NOT NULL REFERENCES keys (id),
    hash       BLOB NOT NULL,
    created_at BIGINT NOT NULL,
    expires_at BIGINT NOT NULL
);
INSERT INTO sign_in_links VALUES('jqrjg675bbk2bein',X'0b9d7f6c1d2f4f0f8a35c0a3c1f6b7d2e4a5968778695a4b3c2d1e0f00112233',1795877423143683,1795878023143683);
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
INSERT INTO idempotency_records VALUES('the-first-time',X'264b5337208cc2fe5ead3f5073cf6e9d649fdc6abf784a5658aa67f48bd21f9e','the key set at the start',201,'application/json','"1-6615655aaf0a6.rbuaCrXo"','/v1/shows/called-off-2099-08-01',X'7b22636c6173736573223a5b5d2c22637265617465645f6174223a22323032362d31312d32385431333a34313a33322e36313137355a222c2264617465223a22323039392d30382d3031222c226964223a2263616c6c65642d6f66662d323039392d30382d3031222c226e616d65223a2243616c6c6564206f6666222c226f766572223a66616c73652c2270756c6c6572735f75726c223a6e756c6c2c227265766973696f6e223a312c22736c6564223a22666573637565222c22757064617465645f6174223a22323032362d31312d32385431333a34313a33322e36313137355a227d',1795873292611750);
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
INSERT INTO history VALUES(1,1795873291893215,'','the program itself','manager','added','key','jqrjg675bbk2bein',NULL,'{"id":"jqrjg675bbk2bein","name":"first key","role":"manager","created_at":"2026-11-28T13:41:31.893215Z"}');
INSERT INTO history VALUES(2,1795611311766372,'zkmdkjjnfb7u4gdy','first key','manager','added','sled','bluestem',NULL,'{"id":"bluestem","name":"Bluestem","owner":"The Crew","travel_ft":34.5,"take_up_ft":0.25,"rail_mark_ft":0.5,"gears":[{"id":"wl63s2kagh3qb3mu","label":"A","ratio":1.21},{"id":"i5u7znjkhji7jyxi","label":"B","ratio":1.31},{"id":"hc6r7mdedax2ev5i","label":"C","ratio":1.42}],"driveline":{"sprocket_teeth":12,"chain_pitch_in":2,"axle_ratio":4.88,"final_ratio":5.29,"tire_circumference_ft":10.2},"notes":"brake relined;\nmarks repainted – 0,5 ft","revision":1,"created_at":"2026-11-25T12:55:11.766372Z","updated_at":"2026-11-25T12:55:11.766372Z"}');
INSERT INTO history VALUES(3,1795611311770034,'zkmdkjjnfb7u4gdy','first key','manager','added','sled','fescue',NULL,'{"id":"fescue","name":"Fescue","travel_ft":31,"take_up_ft":0,"rail_mark_ft":0.5,"gears":[{"id":"xcy2i2x4k3ez3skn","label":"1","ratio":1.2,"range":"high"},{"id":"b6kt27cc22e7ngy4","label":"2","ratio":1.35,"range":"high"},{"id":"zwsafdrvi63oo2fg","label":"3 low","ratio":1.05,"range":"low"}],"driveline":{"box_ft_per_turn":2.1,"axle_ratios":{"high":4.88,"low":6.6},"final_ratio":5.5,"tire_circumference_ft":10.2},"revision":1,"created_at":"2026-11-25T12:55:11.770034Z","updated_at":"2026-11-25T12:55:11.770034Z"}');
INSERT INTO history VALUES(4,1795611311772210,'zkmdkjjnfb7u4gdy','first key','manager','added','sled','timothys-große',NULL,'{"id":"timothys-große","name":"Timothy''s Größe","take_up_ft":0,"rail_mark_ft":0.5,"gears":[{"id":"cthf5glkboemwykf","label":"one"}],"revision":1,"created_at":"2026-11-25T12:55:11.77221Z","updated_at":"2026-11-25T12:55:11.77221Z"}');
INSERT INTO history VALUES(5,1795611311775565,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','5adtndcztqlkjp4y',NULL,'{"id":"5adtndcztqlkjp4y","sled":"bluestem","gear_id":"wl63s2kagh3qb3mu","gear":"A","start_ft":0,"distance_ft":282.6668,"ended":"topped-out","measured_on":"2025-05-10","day":"2025-05-10","place":"Hay Lane","note":"“crosswind” \u0026 dust; ''tail'' marked \u003clate\u003e","marked_by":"second person","taken_with":"tape","surface":"dry clay","weights":"3 + 2","tire_psi":32.5,"speed_mph":11.3,"created_at":"2026-11-25T12:55:11.775565Z"}');
INSERT INTO history VALUES(6,1795611311777578,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','bg3zdgqpitdl26jq',NULL,'{"id":"bg3zdgqpitdl26jq","sled":"bluestem","gear_id":"wl63s2kagh3qb3mu","gear":"A","start_ft":4,"distance_ft":252.9289855072464,"ended":"topped-out","measured_on":"2025-05-10","day":"2025-05-10","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.777578Z"}');
INSERT INTO history VALUES(7,1795611311781710,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','fnhpnutphh5hl7vm',NULL,'{"id":"fnhpnutphh5hl7vm","sled":"bluestem","gear_id":"i5u7znjkhji7jyxi","gear":"B","start_ft":0,"distance_ft":274.0496,"ended":"topped-out","measured_on":"2025-05-10","day":"2025-05-10","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.78171Z"}');
INSERT INTO history VALUES(8,1795611311795463,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','lvq3muhlr4i5gfsl',NULL,'{"id":"lvq3muhlr4i5gfsl","sled":"bluestem","gear_id":"i5u7znjkhji7jyxi","gear":"B","start_ft":4,"distance_ft":237.9664811594203,"ended":"topped-out","measured_on":"2025-05-10","day":"2025-05-10","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.795463Z"}');
INSERT INTO history VALUES(9,1795611311798868,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','mzilf4wggxjcuopv',NULL,'{"id":"mzilf4wggxjcuopv","sled":"bluestem","gear_id":"hc6r7mdedax2ev5i","gear":"C","start_ft":0,"distance_ft":257.033,"ended":"topped-out","measured_on":"2025-05-10","day":"2025-05-10","place":"Hay Lane","note":"“crosswind” \u0026 dust; ''tail'' marked \u003clate\u003e","marked_by":"second person","taken_with":"tape","surface":"dry clay","weights":"3 + 2","tire_psi":32.5,"speed_mph":11.3,"created_at":"2026-11-25T12:55:11.798868Z"}');
INSERT INTO history VALUES(10,1795611311801450,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','6udtekwdxppgngxq',NULL,'{"id":"6udtekwdxppgngxq","sled":"bluestem","gear_id":"hc6r7mdedax2ev5i","gear":"C","start_ft":4,"distance_ft":223.1662898550725,"ended":"topped-out","measured_on":"2025-05-10","day":"2025-05-10","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.80145Z"}');
INSERT INTO history VALUES(11,1795611311816853,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','apym5dso6iwr2l2q',NULL,'{"id":"apym5dso6iwr2l2q","sled":"fescue","gear_id":"xcy2i2x4k3ez3skn","gear":"1","start_ft":0,"distance_ft":283.1,"ended":"topped-out","measured_on":"2025-05-10","day":"2025-05-10","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.816853Z"}');
INSERT INTO history VALUES(12,1795611311826078,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','vbejau7akwnfgzz4',NULL,'{"id":"vbejau7akwnfgzz4","sled":"fescue","gear_id":"xcy2i2x4k3ez3skn","gear":"1","start_ft":4,"distance_ft":249.52981935483874,"ended":"topped-out","measured_on":"2025-05-10","day":"2025-05-10","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.826078Z"}');
INSERT INTO history VALUES(13,1795611311828003,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','ds7u4kytjrhku2pe',NULL,'{"id":"ds7u4kytjrhku2pe","sled":"fescue","gear_id":"b6kt27cc22e7ngy4","gear":"2","start_ft":0,"distance_ft":266.1932,"ended":"topped-out","measured_on":"2025-05-10","day":"2025-05-10","place":"Hay Lane","note":"“crosswind” \u0026 dust; ''tail'' marked \u003clate\u003e","marked_by":"second person","taken_with":"tape","surface":"dry clay","weights":"3 + 2","tire_psi":32.5,"speed_mph":11.3,"created_at":"2026-11-25T12:55:11.828003Z"}');
INSERT INTO history VALUES(14,1795611311830098,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','55v7drn3zezvj4xr',NULL,'{"id":"55v7drn3zezvj4xr","sled":"fescue","gear_id":"b6kt27cc22e7ngy4","gear":"2","start_ft":4,"distance_ft":234.64463225806452,"ended":"topped-out","measured_on":"2025-05-10","day":"2025-05-10","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.830098Z"}');
INSERT INTO history VALUES(15,1795611311832193,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','slzwx7s4dbczkuxg',NULL,'{"id":"slzwx7s4dbczkuxg","sled":"fescue","gear_id":"zwsafdrvi63oo2fg","gear":"3 low","start_ft":0,"distance_ft":249.47000000000003,"ended":"topped-out","measured_on":"2025-05-10","day":"2025-05-10","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.832193Z"}');
INSERT INTO history VALUES(16,1795611311834108,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','lcrjjik7m7lh72ux',NULL,'{"id":"lcrjjik7m7lh72ux","sled":"fescue","gear_id":"zwsafdrvi63oo2fg","gear":"3 low","start_ft":4,"distance_ft":219.9193548387097,"ended":"topped-out","measured_on":"2025-05-10","day":"2025-05-10","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.834108Z"}');
INSERT INTO history VALUES(17,1795611311835985,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','w6winl42owfbkmgj',NULL,'{"id":"w6winl42owfbkmgj","sled":"bluestem","gear_id":"wl63s2kagh3qb3mu","gear":"A","start_ft":0,"distance_ft":289.5332,"ended":"topped-out","measured_on":"2025-06-14","day":"2025-06-14","place":"Hay Lane","note":"“crosswind” \u0026 dust; ''tail'' marked \u003clate\u003e","marked_by":"second person","taken_with":"tape","surface":"dry clay","weights":"3 + 2","tire_psi":32.5,"speed_mph":11.3,"created_at":"2026-11-25T12:55:11.835985Z"}');
INSERT INTO history VALUES(18,1795611311837913,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','olmhigf6cfyc4um3',NULL,'{"id":"olmhigf6cfyc4um3","sled":"bluestem","gear_id":"wl63s2kagh3qb3mu","gear":"A","start_ft":4,"distance_ft":251.41141159420292,"ended":"topped-out","measured_on":"2025-06-14","day":"2025-06-14","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.837913Z"}');
INSERT INTO history VALUES(19,1795611311839770,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','5wxi4j5n6lv22hli',NULL,'{"id":"5wxi4j5n6lv22hli","sled":"bluestem","gear_id":"i5u7znjkhji7jyxi","gear":"B","start_ft":0,"distance_ft":272.4248,"ended":"topped-out","measured_on":"2025-06-14","day":"2025-06-14","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.83977Z"}');
INSERT INTO history VALUES(20,1795611311841744,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','v4y7ocggn233cutp',NULL,'{"id":"v4y7ocggn233cutp","sled":"bluestem","gear_id":"i5u7znjkhji7jyxi","gear":"B","start_ft":4,"distance_ft":236.53006376811598,"ended":"topped-out","measured_on":"2025-06-14","day":"2025-06-14","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.841744Z"}');
INSERT INTO history VALUES(21,1795611311843680,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','w7khpwzhsdauzwca',NULL,'{"id":"w7khpwzhsdauzwca","sled":"bluestem","gear_id":"hc6r7mdedax2ev5i","gear":"C","start_ft":0,"distance_ft":255.50000000000003,"ended":"topped-out","measured_on":"2025-06-14","day":"2025-06-14","place":"Hay Lane","note":"“crosswind” \u0026 dust; ''tail'' marked \u003clate\u003e","marked_by":"second person","taken_with":"tape","surface":"dry clay","weights":"3 + 2","tire_psi":32.5,"speed_mph":11.3,"created_at":"2026-11-25T12:55:11.84368Z"}');
INSERT INTO history VALUES(22,1795611311845644,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','4akzp2dkgssr7f2l',NULL,'{"id":"4akzp2dkgssr7f2l","sled":"bluestem","gear_id":"hc6r7mdedax2ev5i","gear":"C","start_ft":4,"distance_ft":228.58733333333336,"ended":"topped-out","measured_on":"2025-06-14","day":"2025-06-14","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.845644Z"}');
INSERT INTO history VALUES(23,1795611311847447,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','thkzgsybwrmal4jf',NULL,'{"id":"thkzgsybwrmal4jf","sled":"fescue","gear_id":"xcy2i2x4k3ez3skn","gear":"1","start_ft":0,"distance_ft":281.4014,"ended":"topped-out","measured_on":"2025-06-14","day":"2025-06-14","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.847447Z"}');
INSERT INTO history VALUES(24,1795611311849300,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','lzni6xyy7666obby',NULL,'{"id":"lzni6xyy7666obby","sled":"fescue","gear_id":"xcy2i2x4k3ez3skn","gear":"1","start_ft":4,"distance_ft":248.05039354838712,"ended":"topped-out","measured_on":"2025-06-14","day":"2025-06-14","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.8493Z"}');
INSERT INTO history VALUES(25,1795611311850920,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','ald4ck62vwapwb5c',NULL,'{"id":"ald4ck62vwapwb5c","sled":"fescue","gear_id":"b6kt27cc22e7ngy4","gear":"2","start_ft":0,"distance_ft":264.5864,"ended":"topped-out","measured_on":"2025-06-14","day":"2025-06-14","place":"Hay Lane","note":"“crosswind” \u0026 dust; ''tail'' marked \u003clate\u003e","marked_by":"second person","taken_with":"tape","surface":"dry clay","weights":"3 + 2","tire_psi":32.5,"speed_mph":11.3,"created_at":"2026-11-25T12:55:11.85092Z"}');
INSERT INTO history VALUES(26,1795611311852350,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','ssez5bjw4mznt3v6',NULL,'{"id":"ssez5bjw4mznt3v6","sled":"fescue","gear_id":"b6kt27cc22e7ngy4","gear":"2","start_ft":4,"distance_ft":233.24516129032259,"ended":"topped-out","measured_on":"2025-06-14","day":"2025-06-14","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.85235Z"}');
INSERT INTO history VALUES(27,1795611311853933,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','blbi2n6syv2n6xsw',NULL,'{"id":"blbi2n6syv2n6xsw","sled":"fescue","gear_id":"zwsafdrvi63oo2fg","gear":"3 low","start_ft":0,"distance_ft":255.53000000000003,"ended":"topped-out","measured_on":"2025-06-14","day":"2025-06-14","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.853933Z"}');
INSERT INTO history VALUES(28,1795611311855313,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','qlavktk656etgsae',NULL,'{"id":"qlavktk656etgsae","sled":"fescue","gear_id":"zwsafdrvi63oo2fg","gear":"3 low","start_ft":4,"distance_ft":218.59983870967744,"ended":"topped-out","measured_on":"2025-06-14","day":"2025-06-14","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.855313Z"}');
INSERT INTO history VALUES(29,1795611311856835,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','iek7ez64zylwppuh',NULL,'{"id":"iek7ez64zylwppuh","sled":"bluestem","gear_id":"wl63s2kagh3qb3mu","gear":"A","start_ft":0,"distance_ft":287.81660000000005,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","place":"Hay Lane","note":"“crosswind” \u0026 dust; ''tail'' marked \u003clate\u003e","marked_by":"second person","taken_with":"tape","surface":"dry clay","weights":"3 + 2","tire_psi":32.5,"speed_mph":11.3,"created_at":"2026-11-25T12:55:11.856835Z"}');
INSERT INTO history VALUES(30,1795611311858261,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','ytawy4h6mcpzsfpr',NULL,'{"id":"ytawy4h6mcpzsfpr","sled":"bluestem","gear_id":"wl63s2kagh3qb3mu","gear":"A","start_ft":4,"distance_ft":249.89383768115945,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.858261Z"}');
INSERT INTO history VALUES(31,1795611311859710,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','7j3df4y462gleimc',NULL,'{"id":"7j3df4y462gleimc","sled":"bluestem","gear_id":"i5u7znjkhji7jyxi","gear":"B","start_ft":0,"distance_ft":270.8,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.85971Z"}');
INSERT INTO history VALUES(32,1795611311861250,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','2yrzj4cgugzl47vb',NULL,'{"id":"2yrzj4cgugzl47vb","sled":"bluestem","gear_id":"i5u7znjkhji7jyxi","gear":"B","start_ft":4,"distance_ft":242.27573333333336,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.86125Z"}');
INSERT INTO history VALUES(33,1795611311862853,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','k6lcdtouj3oi4dd4',NULL,'{"id":"k6lcdtouj3oi4dd4","sled":"bluestem","gear_id":"hc6r7mdedax2ev5i","gear":"C","start_ft":0,"distance_ft":253.967,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","place":"Hay Lane","note":"“crosswind” \u0026 dust; ''tail'' marked \u003clate\u003e","marked_by":"second person","taken_with":"tape","surface":"dry clay","weights":"3 + 2","tire_psi":32.5,"speed_mph":11.3,"created_at":"2026-11-25T12:55:11.862853Z"}');
INSERT INTO history VALUES(34,1795611311867461,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','4k46lj6xmtolug7f',NULL,'{"id":"4k46lj6xmtolug7f","sled":"bluestem","gear_id":"hc6r7mdedax2ev5i","gear":"C","start_ft":4,"distance_ft":227.23207246376816,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.867461Z"}');
INSERT INTO history VALUES(35,1795611311869084,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','iikbw5tgsm6mwkxt',NULL,'{"id":"iikbw5tgsm6mwkxt","sled":"fescue","gear_id":"xcy2i2x4k3ez3skn","gear":"1","start_ft":0,"distance_ft":279.7028,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.869084Z"}');
INSERT INTO history VALUES(36,1795611311870742,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','2q63iqtgc2jzkbye',NULL,'{"id":"2q63iqtgc2jzkbye","sled":"fescue","gear_id":"xcy2i2x4k3ez3skn","gear":"1","start_ft":4,"distance_ft":246.5709677419355,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.870742Z"}');
INSERT INTO history VALUES(37,1795611311872991,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','7kirwkruvxjul6j4',NULL,'{"id":"7kirwkruvxjul6j4","sled":"fescue","gear_id":"b6kt27cc22e7ngy4","gear":"2","start_ft":0,"distance_ft":271.0136,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","place":"Hay Lane","note":"“crosswind” \u0026 dust; ''tail'' marked \u003clate\u003e","marked_by":"second person","taken_with":"tape","surface":"dry clay","weights":"3 + 2","tire_psi":32.5,"speed_mph":11.3,"created_at":"2026-11-25T12:55:11.872991Z"}');
INSERT INTO history VALUES(38,1795611311874869,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','qya272k3su2kyp7j',NULL,'{"id":"qya272k3su2kyp7j","sled":"fescue","gear_id":"b6kt27cc22e7ngy4","gear":"2","start_ft":4,"distance_ft":231.84569032258065,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.874869Z"}');
INSERT INTO history VALUES(39,1795611311877760,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','c42egqmpxnqnnkfk',NULL,'{"id":"c42egqmpxnqnnkfk","sled":"fescue","gear_id":"zwsafdrvi63oo2fg","gear":"3 low","start_ft":0,"distance_ft":254.01500000000004,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.87776Z"}');
INSERT INTO history VALUES(40,1795611311881409,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','fdj6qfc45r7vfp77',NULL,'{"id":"fdj6qfc45r7vfp77","sled":"fescue","gear_id":"zwsafdrvi63oo2fg","gear":"3 low","start_ft":4,"distance_ft":217.28032258064516,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","place":"Hay Lane","marked_by":"second person","taken_with":"tape","created_at":"2026-11-25T12:55:11.881409Z"}');
INSERT INTO history VALUES(41,1795611311897736,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','g6pkakmvpwnawy7y',NULL,'{"id":"g6pkakmvpwnawy7y","sled":"bluestem","gear_id":"hc6r7mdedax2ev5i","gear":"C","start_ft":2.5,"distance_ft":180.7,"ended":"stopped-short","end_ft":27.25,"measured_on":"2026-05-09","day":"2026-05-09","created_at":"2026-11-25T12:55:11.897736Z"}');
INSERT INTO history VALUES(42,1795611311909736,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','4k5gzawiilgodgqo',NULL,'{"id":"4k5gzawiilgodgqo","sled":"bluestem","gear_id":"wl63s2kagh3qb3mu","gear":"A","start_ft":0,"distance_ft":301,"ended":"past-top","measured_on":"2026-05-09","day":"evening run","created_at":"2026-11-25T12:55:11.909736Z"}');
INSERT INTO history VALUES(43,1795611311914207,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','2m6vivtjv4nib46r',NULL,'{"id":"2m6vivtjv4nib46r","sled":"timothys-große","gear_id":"cthf5glkboemwykf","gear":"one","start_ft":0,"distance_ft":271.3,"ended":"stated","plus_minus_ft":8,"measured_on":"2026-05-10","day":"2026-05-10","by":"its owner","created_at":"2026-11-25T12:55:11.914207Z"}');
INSERT INTO history VALUES(44,1795611311945735,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','ym6wg5hzujcopw4k',NULL,'{"id":"ym6wg5hzujcopw4k","sled":"fescue","gear_id":"b6kt27cc22e7ngy4","gear":"2","start_ft":0,"distance_ft":627.1,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","created_at":"2026-11-25T12:55:11.945735Z"}');
INSERT INTO history VALUES(45,1795611311950409,'zkmdkjjnfb7u4gdy','first key','manager','set aside','reading','ym6wg5hzujcopw4k','{"id":"ym6wg5hzujcopw4k","sled":"fescue","gear_id":"b6kt27cc22e7ngy4","gear":"2","start_ft":0,"distance_ft":627.1,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","created_at":"2026-11-25T12:55:11.945735Z"}','{"id":"ym6wg5hzujcopw4k","sled":"fescue","gear_id":"b6kt27cc22e7ngy4","gear":"2","start_ft":0,"distance_ft":627.1,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","set_aside":{"reason":"digits swapped","at":"2026-11-25T12:55:11.950409Z"},"created_at":"2026-11-25T12:55:11.945735Z"}');
INSERT INTO history VALUES(46,1795611311952309,'zkmdkjjnfb7u4gdy','first key','manager','added','reading','6cdov76d2yzfetek',NULL,'{"id":"6cdov76d2yzfetek","sled":"fescue","gear_id":"b6kt27cc22e7ngy4","gear":"2","start_ft":0,"distance_ft":267.1,"ended":"topped-out","measured_on":"2026-05-09","day":"2026-05-09","replaces":"ym6wg5hzujcopw4k","created_at":"2026-11-25T12:55:11.952309Z"}');
INSERT INTO history VALUES(47,1795611311954114,'zkmdkjjnfb7u4gdy','first key','manager','added','class','farm-9500-lb',NULL,'{"id":"farm-9500-lb","name":"Farm 9500 lb","setting":{"sled":"bluestem","gear_id":"hc6r7mdedax2ev5i","gear":"C","start_ft":0,"top_out_ft":255.66566603649164,"plus_minus_ft":2.9738260619896266,"noted_on":"2026-11-25"},"pull_off":{"sled":"bluestem","gear_id":"i5u7znjkhji7jyxi","gear":"B","start_ft":1.5,"top_out_ft":259.5288960165619,"plus_minus_ft":3.3686301427115097,"noted_on":"2026-11-25"},"used_by":"Hay Lane Pullers","weights":"4 + 2","notes":"pull-off from the second hook","revision":1,"created_at":"2026-11-25T12:55:11.954114Z","updated_at":"2026-11-25T12:55:11.954114Z"}');
INSERT INTO history VALUES(48,1795611311959174,'zkmdkjjnfb7u4gdy','first key','manager','added','class','open-4x4',NULL,'{"id":"open-4x4","name":"Open 4x4","setting":{"sled":"fescue","gear_id":"xcy2i2x4k3ez3skn","gear":"1","start_ft":0,"top_out_ft":283.09150660758996,"plus_minus_ft":3.340714097353583,"noted_on":"2026-11-25"},"revision":1,"created_at":"2026-11-25T12:55:11.959174Z","updated_at":"2026-11-25T12:55:11.959174Z"}');
INSERT INTO history VALUES(49,1795611311963022,'zkmdkjjnfb7u4gdy','first key','manager','added','class','stated',NULL,'{"id":"stated","name":"Stated","setting":{"sled":"timothys-große","gear_id":"cthf5glkboemwykf","gear":"one","start_ft":0,"top_out_ft":271.30000000000007,"plus_minus_ft":8,"noted_on":"2026-11-25"},"revision":1,"created_at":"2026-11-25T12:55:11.963022Z","updated_at":"2026-11-25T12:55:11.963022Z"}');
INSERT INTO history VALUES(50,1795611311966296,'zkmdkjjnfb7u4gdy','first key','manager','added','show','harvest-pull-2026-07-18',NULL,'{"id":"harvest-pull-2026-07-18","name":"Harvest Pull","date":"2026-07-18","place":"Hay Lane","promoter":"The Promoter","sled":"fescue","classes":["open-4x4","farm-9500-lb"],"notes":"gate at five","revision":1,"created_at":"2026-11-25T12:55:11.966296Z","updated_at":"2026-11-25T12:55:11.966296Z"}');
INSERT INTO history VALUES(51,1795611311968111,'','the program itself','manager','closed','sheet','harvest-pull-2026-07-18',NULL,'{"format":1,"document":{"sled_name":"Fescue","rows":[{"class":{"id":"open-4x4","name":"Open 4x4","setting":{"sled":"fescue","gear_id":"xcy2i2x4k3ez3skn","gear":"1","start_ft":0,"top_out_ft":283.09150660758996,"plus_minus_ft":3.340714097353583,"noted_on":"2026-11-25"},"revision":0,"created_at":"0001-01-01T00:00:00Z","updated_at":"0001-01-01T00:00:00Z","today_ft":283.09150660758996},"home_sled_name":"Fescue","tonight":{"Sled":"fescue","Nearest":{"Gear":"1","StartFt":0,"TopOutFt":283.09150660758996,"LowFt":279.770503419783,"HighFt":286.45193161449015,"Basis":"measured","Readings":3,"StatedBy":"","DifferenceFt":0,"DifferenceLowFt":0,"DifferenceHighFt":0,"ChanceNearest":1,"BoxSpeed":10.950522808503383,"BoxSpeedLow":10.803917770614664,"BoxSpeedHigh":11.0991172207645,"Confidence":"clear","OutOfReach":false,"ComparedAt":"same-start"},"RunnerUp":{"Gear":"2","ChanceNearest":0},"MovedStart":{"Gear":"1","StartFt":0,"RoundedStartFt":0,"TopOutFt":283.09150660758996,"LowFt":279.770503419783,"HighFt":286.45193161449015,"DifferenceFt":0,"DifferenceLowFt":0,"DifferenceHighFt":0,"WorthIt":false},"Gears":[{"Gear":"1","StartFt":0,"TopOutFt":283.09150660758996,"LowFt":279.770503419783,"HighFt":286.45193161449015,"Basis":"measured","Readings":3,"StatedBy":"","DifferenceFt":0,"DifferenceLowFt":0,"DifferenceHighFt":0,"ChanceNearest":1},{"Gear":"2","StartFt":0,"TopOutFt":267.4956654049858,"LowFt":264.4621129445147,"HighFt":270.5640146854172,"Basis":"measured","Readings":4,"StatedBy":"","DifferenceFt":-15.595841202604163,"DifferenceLowFt":-18.367672964672106,"DifferenceHighFt":-12.824009440536221,"ChanceNearest":0},{"Gear":"3 low","StartFt":0,"TopOutFt":251.98489620149843,"LowFt":249.02881089327903,"HighFt":254.976071587521,"Basis":"measured","Readings":3,"StatedBy":"","DifferenceFt":-31.106610406091534,"DifferenceLowFt":-33.89663232031586,"DifferenceHighFt":-28.316588491867208,"ChanceNearest":0}],"Because":{"Reason":"","Sled":"","Gear":"","StartFt":0}}},{"class":{"id":"farm-9500-lb","name":"Farm 9500 lb","setting":{"sled":"bluestem","gear_id":"hc6r7mdedax2ev5i","gear":"C","start_ft":0,"top_out_ft":255.66566603649164,"plus_minus_ft":2.9738260619896266,"noted_on":"2026-11-25"},"pull_off":{"sled":"bluestem","gear_id":"i5u7znjkhji7jyxi","gear":"B","start_ft":1.5,"top_out_ft":259.5288960165619,"plus_minus_ft":3.3686301427115097,"noted_on":"2026-11-25"},"used_by":"Hay Lane Pullers","weights":"4 + 2","notes":"pull-off from the second hook","revision":0,"created_at":"0001-01-01T00:00:00Z","updated_at":"0001-01-01T00:00:00Z","today_ft":255.66566603649164,"pull_off_today_ft":259.5288960165619},"home_sled_name":"Bluestem","tonight":{"Sled":"fescue","Nearest":{"Gear":"3 low","StartFt":0,"TopOutFt":251.98489620149843,"LowFt":249.02881089327903,"HighFt":254.976071587521,"Basis":"measured","Readings":3,"StatedBy":"","DifferenceFt":-3.680769834993214,"DifferenceLowFt":-7.835909942396129,"DifferenceHighFt":0.4743702724097014,"ChanceNearest":0.9787003334743816,"BoxSpeed":12.30232465012943,"BoxSpeedLow":12.13762175849662,"BoxSpeedHigh":12.469262497097969,"Confidence":"clear","OutOfReach":false,"ComparedAt":"same-start"},"RunnerUp":{"Gear":"2","ChanceNearest":0.021299666525618426},"MovedStart":{"Gear":"2","StartFt":1.370975413257991,"RoundedStartFt":1.5,"TopOutFt":254.5523267563575,"LowFt":250.64616859662354,"HighFt":258.5193598604574,"DifferenceFt":-1.1133392801341415,"DifferenceLowFt":-6.031684805831204,"DifferenceHighFt":3.8050062455629208,"WorthIt":false},"Gears":[{"Gear":"1","StartFt":0,"TopOutFt":283.09150660758996,"LowFt":279.770503419783,"HighFt":286.45193161449015,"Basis":"measured","Readings":3,"StatedBy":"","DifferenceFt":27.42584057109832,"DifferenceLowFt":23.006761460177714,"DifferenceHighFt":31.844919682018926,"ChanceNearest":9.365377353904295e-22},{"Gear":"2","StartFt":0,"TopOutFt":267.4956654049858,"LowFt":264.4621129445147,"HighFt":270.5640146854172,"Basis":"measured","Readings":4,"StatedBy":"","DifferenceFt":11.829999368494157,"DifferenceLowFt":7.628291845116037,"DifferenceHighFt":16.031706891872275,"ChanceNearest":0.021299666525618426},{"Gear":"3 low","StartFt":0,"TopOutFt":251.98489620149843,"LowFt":249.02881089327903,"HighFt":254.976071587521,"Basis":"measured","Readings":3,"StatedBy":"","DifferenceFt":-3.680769834993214,"DifferenceLowFt":-7.835909942396129,"DifferenceHighFt":0.4743702724097014,"ChanceNearest":0.9787003334743816}],"Because":{"Reason":"","Sled":"","Gear":"","StartFt":0}},"pull_off_tonight":{"Sled":"fescue","Nearest":{"Gear":"2","StartFt":1.5,"TopOutFt":254.5523267563575,"LowFt":251.25270110365616,"HighFt":257.89528539373975,"Basis":"interpolated","Readings":0,"StatedBy":"","DifferenceFt":-4.976569260204371,"DifferenceLowFt":-9.67396067477845,"DifferenceHighFt":-0.27917784563029446,"ChanceNearest":0.8510923062305451,"BoxSpeed":11.588972835528496,"BoxSpeedLow":11.438288330740757,"BoxSpeedHigh":11.741642411799537,"Confidence":"close","OutOfReach":false,"ComparedAt":"same-start"},"RunnerUp":{"Gear":"1","ChanceNearest":0.14890766147083134},"MovedStart":{"Gear":"2","StartFt":0.9232667402936379,"RoundedStartFt":1,"TopOutFt":258.8667729725668,"LowFt":254.9249965437045,"HighFt":262.86949909889233,"DifferenceFt":-0.6621230439950523,"DifferenceLowFt":-5.852990894130838,"DifferenceHighFt":4.528744806140733,"WorthIt":false},"Gears":[{"Gear":"1","StartFt":1.5,"TopOutFt":269.3935304814163,"LowFt":265.80514976793177,"HighFt":273.03035448562014,"Basis":"interpolated","Readings":0,"StatedBy":"","DifferenceFt":9.864634464854419,"DifferenceLowFt":4.956848177584132,"DifferenceHighFt":14.772420752124706,"ChanceNearest":0.14890766147083134},{"Gear":"2","StartFt":1.5,"TopOutFt":254.5523267563575,"LowFt":251.25270110365616,"HighFt":257.89528539373975,"Basis":"interpolated","Readings":0,"StatedBy":"","DifferenceFt":-4.976569260204371,"DifferenceLowFt":-9.67396067477845,"DifferenceHighFt":-0.27917784563029446,"ChanceNearest":0.8510923062305451},{"Gear":"3 low","StartFt":1.5,"TopOutFt":239.79207864336144,"LowFt":236.5979957390225,"HighFt":243.0292818013945,"Basis":"interpolated","Readings":0,"StatedBy":"","DifferenceFt":-19.736817373200438,"DifferenceLowFt":-24.364098401102883,"DifferenceHighFt":-15.109536345297993,"ChanceNearest":3.2298623553472794e-8}],"Because":{"Reason":"","Sled":"","Gear":"","StartFt":0}}}]}}');
INSERT INTO history VALUES(52,1795611311968111,'zkmdkjjnfb7u4gdy','first key','manager','added','as-run','vqndbkkantngnirf',NULL,'{"id":"vqndbkkantngnirf","show":"harvest-pull-2026-07-18","class":"farm-9500-lb","sled":"fescue","gear_id":"b6kt27cc22e7ngy4","gear":"2","start_ft":0.5,"from_hook":1,"weights":"4","note":"track soft","top_out_ft":263.18121918877637,"created_at":"2026-11-25T12:55:11.968111Z"}');
INSERT INTO history VALUES(53,1795611311976211,'zkmdkjjnfb7u4gdy','first key','manager','added','as-run','pml3ajvh7zvtpucg',NULL,'{"id":"pml3ajvh7zvtpucg","show":"harvest-pull-2026-07-18","class":"farm-9500-lb","sled":"fescue","gear_id":"xcy2i2x4k3ez3skn","gear":"1","start_ft":0,"from_hook":4,"pull_off":true,"top_out_ft":283.09150660758996,"created_at":"2026-11-25T12:55:11.976211Z"}');
INSERT INTO history VALUES(54,1795611311978431,'zkmdkjjnfb7u4gdy','first key','manager','added','outcome','harvest-pull-2026-07-18/farm-9500-lb',NULL,'{"longest_ft":301.25,"hooks":9,"full_pulls":2,"felt":"soft","note":"too light"}');
INSERT INTO history VALUES(55,1795611311980237,'zkmdkjjnfb7u4gdy','first key','manager','added','show','next-summer-2099-07-18',NULL,'{"id":"next-summer-2099-07-18","name":"Next Summer","date":"2099-07-18","sled":"bluestem","classes":["farm-9500-lb","stated","open-4x4"],"revision":1,"created_at":"2026-11-25T12:55:11.980237Z","updated_at":"2026-11-25T12:55:11.980237Z"}');
INSERT INTO history VALUES(56,1795611311983719,'zkmdkjjnfb7u4gdy','first key','manager','changed','sled','bluestem','{"id":"bluestem","name":"Bluestem","owner":"The Crew","travel_ft":34.5,"take_up_ft":0.25,"rail_mark_ft":0.5,"gears":[{"id":"wl63s2kagh3qb3mu","label":"A","ratio":1.21},{"id":"i5u7znjkhji7jyxi","label":"B","ratio":1.31},{"id":"hc6r7mdedax2ev5i","label":"C","ratio":1.42}],"driveline":{"sprocket_teeth":12,"chain_pitch_in":2,"axle_ratio":4.88,"final_ratio":5.29,"tire_circumference_ft":10.2},"notes":"brake relined;\nmarks repainted – 0,5 ft","revision":1,"created_at":"2026-11-25T12:55:11.766372Z","updated_at":"2026-11-25T12:55:11.766372Z"}','{"id":"bluestem","name":"Bluestem","owner":"The Crew","travel_ft":34.5,"take_up_ft":0.25,"rail_mark_ft":0.5,"gears":[{"id":"wl63s2kagh3qb3mu","label":"A","ratio":1.21},{"id":"i5u7znjkhji7jyxi","label":"B","ratio":1.31},{"id":"hc6r7mdedax2ev5i","label":"C","ratio":1.42}],"driveline":{"sprocket_teeth":13,"chain_pitch_in":2,"axle_ratio":4.88,"final_ratio":5.29,"tire_circumference_ft":10.2},"notes":"brake relined;\nmarks repainted – 0,5 ft","revision":2,"created_at":"2026-11-25T12:55:11.766372Z","updated_at":"2026-11-25T12:55:11.983719Z"}');
INSERT INTO history VALUES(57,1795611311983719,'zkmdkjjnfb7u4gdy','first key','manager','added','change','vlkj6mljlamyrfao',NULL,'{"id":"vlkj6mljlamyrfao","sled":"bluestem","made_on":"2026-01-15","what":"13 teeth in place of 12","driveline":{"sprocket_teeth":13},"effect":"by-ratio","created_at":"2026-11-25T12:55:11.983719Z"}');
INSERT INTO history VALUES(58,1795611311986683,'zkmdkjjnfb7u4gdy','first key','manager','changed','sled','fescue','{"id":"fescue","name":"Fescue","travel_ft":31,"take_up_ft":0,"rail_mark_ft":0.5,"gears":[{"id":"xcy2i2x4k3ez3skn","label":"1","ratio":1.2,"range":"high"},{"id":"b6kt27cc22e7ngy4","label":"2","ratio":1.35,"range":"high"},{"id":"zwsafdrvi63oo2fg","label":"3 low","ratio":1.05,"range":"low"}],"driveline":{"box_ft_per_turn":2.1,"axle_ratios":{"high":4.88,"low":6.6},"final_ratio":5.5,"tire_circumference_ft":10.2},"revision":1,"created_at":"2026-11-25T12:55:11.770034Z","updated_at":"2026-11-25T12:55:11.770034Z"}','{"id":"fescue","name":"Fescue","travel_ft":30.5,"take_up_ft":0,"rail_mark_ft":0.5,"gears":[{"id":"xcy2i2x4k3ez3skn","label":"1","ratio":1.2,"range":"high"},{"id":"b6kt27cc22e7ngy4","label":"2","ratio":1.35,"range":"high"},{"id":"zwsafdrvi63oo2fg","label":"3 low","ratio":1.1,"range":"low"}],"driveline":{"box_ft_per_turn":2.1,"axle_ratios":{"high":4.88,"low":6.6},"final_ratio":5.5,"tire_circumference_ft":10.2},"revision":2,"created_at":"2026-11-25T12:55:11.770034Z","updated_at":"2026-11-25T12:55:11.986683Z"}');
INSERT INTO history VALUES(59,1795611311986683,'zkmdkjjnfb7u4gdy','first key','manager','added','change','grij55v2dafmqmg5',NULL,'{"id":"grij55v2dafmqmg5","sled":"fescue","made_on":"2025-06-01","what":"box re-railed","travel_ft":30.5,"gears":[{"id":"zwsafdrvi63oo2fg","label":"3 low","ratio":1.1}],"effect":"unknown","created_at":"2026-11-25T12:55:11.986683Z"}');
INSERT INTO history VALUES(60,1795611311996225,'zkmdkjjnfb7u4gdy','first key','manager','retired','sled','timothys-große','{"id":"timothys-große","name":"Timothy''s Größe","take_up_ft":0,"rail_mark_ft":0.5,"gears":[{"id":"cthf5glkboemwykf","label":"one"}],"revision":1,"created_at":"2026-11-25T12:55:11.77221Z","updated_at":"2026-11-25T12:55:11.77221Z"}','{"id":"timothys-große","name":"Timothy''s Größe","take_up_ft":0,"rail_mark_ft":0.5,"gears":[{"id":"cthf5glkboemwykf","label":"one"}],"retired":true,"revision":2,"created_at":"2026-11-25T12:55:11.77221Z","updated_at":"2026-11-25T12:55:11.996225Z"}');
INSERT INTO history VALUES(61,1795873292523047,'jqrjg675bbk2bein','first key','manager','imported','fleet','',NULL,'{"classes":3,"readings":41,"shows":2,"sleds":3}');
INSERT INTO history VALUES(62,1795873292611750,'jqrjg675bbk2bein','first key','manager','added','show','called-off-2099-08-01',NULL,'{"id":"called-off-2099-08-01","name":"Called off","date":"2099-08-01","sled":"fescue","classes":null,"revision":1,"created_at":"2026-11-28T13:41:32.61175Z","updated_at":"2026-11-28T13:41:32.61175Z"}');
INSERT INTO history VALUES(63,1795873292809243,'jqrjg675bbk2bein','first key','manager','removed','show','called-off-2099-08-01','{"id":"called-off-2099-08-01","name":"Called off","date":"2099-08-01","sled":"fescue","classes":null,"revision":1,"created_at":"2026-11-28T13:41:32.61175Z","updated_at":"2026-11-28T13:41:32.61175Z"}',NULL);
INSERT INTO history VALUES(64,1795877423175626,'jqrjg675bbk2bein','first key','manager','added','inspection-list','bluestem',NULL,'{"sled":"bluestem","items":[{"id":"r5sonyrbh3cgx54n","what":"Chains – „pins“ too","every_shows":1,"calibration":true},{"id":"gmk6q3rpgopwcin7","what":"Belts","every_days":30}],"revision":1,"created_at":"2026-11-28T14:50:23.175626Z","updated_at":"2026-11-28T14:50:23.175626Z"}');
INSERT INTO history VALUES(65,1795877423774784,'jqrjg675bbk2bein','first key','manager','added','inspection','k7nexvmklwij3dq2',NULL,'{"id":"k7nexvmklwij3dq2","sled":"bluestem","item":"r5sonyrbh3cgx54n","what":"Chains – „pins“ too","well":false,"note":"a link is cracked","on":"2026-11-25","by":"Ann","signed_by":"first key","created_at":"2026-11-28T14:50:23.774784Z"}');
INSERT INTO history VALUES(66,1795877423784716,'jqrjg675bbk2bein','first key','manager','added','inspection','umxgs5qxy2r2ujkb',NULL,'{"id":"umxgs5qxy2r2ujkb","sled":"bluestem","item":"r5sonyrbh3cgx54n","what":"Chains – „pins“ too","well":true,"done":"a new link;\nas the maker says","on":"2026-11-25","show":"next-summer-2099-07-18","by":"first key","signed_by":"first key","created_at":"2026-11-28T14:50:23.784716Z"}');
CREATE TABLE history_sleds (
    seq     BIGINT NOT NULL REFERENCES history (seq),
    sled_id TEXT NOT NULL,
    PRIMARY KEY (sled_id, seq)
);
INSERT INTO history_sleds VALUES(2,'bluestem');
INSERT INTO history_sleds VALUES(3,'fescue');
INSERT INTO history_sleds VALUES(4,'timothys-große');
INSERT INTO history_sleds VALUES(5,'bluestem');
INSERT INTO history_sleds VALUES(6,'bluestem');
INSERT INTO history_sleds VALUES(7,'bluestem');
INSERT INTO history_sleds VALUES(8,'bluestem');
INSERT INTO history_sleds VALUES(9,'bluestem');
INSERT INTO history_sleds VALUES(10,'bluestem');
INSERT INTO history_sleds VALUES(11,'fescue');
INSERT INTO history_sleds VALUES(12,'fescue');
INSERT INTO history_sleds VALUES(13,'fescue');
INSERT INTO history_sleds VALUES(14,'fescue');
INSERT INTO history_sleds VALUES(15,'fescue');
INSERT INTO history_sleds VALUES(16,'fescue');
INSERT INTO history_sleds VALUES(17,'bluestem');
INSERT INTO history_sleds VALUES(18,'bluestem');
INSERT INTO history_sleds VALUES(19,'bluestem');
INSERT INTO history_sleds VALUES(20,'bluestem');
INSERT INTO history_sleds VALUES(21,'bluestem');
INSERT INTO history_sleds VALUES(22,'bluestem');
INSERT INTO history_sleds VALUES(23,'fescue');
INSERT INTO history_sleds VALUES(24,'fescue');
INSERT INTO history_sleds VALUES(25,'fescue');
INSERT INTO history_sleds VALUES(26,'fescue');
INSERT INTO history_sleds VALUES(27,'fescue');
INSERT INTO history_sleds VALUES(28,'fescue');
INSERT INTO history_sleds VALUES(29,'bluestem');
INSERT INTO history_sleds VALUES(30,'bluestem');
INSERT INTO history_sleds VALUES(31,'bluestem');
INSERT INTO history_sleds VALUES(32,'bluestem');
INSERT INTO history_sleds VALUES(33,'bluestem');
INSERT INTO history_sleds VALUES(34,'bluestem');
INSERT INTO history_sleds VALUES(35,'fescue');
INSERT INTO history_sleds VALUES(36,'fescue');
INSERT INTO history_sleds VALUES(37,'fescue');
INSERT INTO history_sleds VALUES(38,'fescue');
INSERT INTO history_sleds VALUES(39,'fescue');
INSERT INTO history_sleds VALUES(40,'fescue');
INSERT INTO history_sleds VALUES(41,'bluestem');
INSERT INTO history_sleds VALUES(42,'bluestem');
INSERT INTO history_sleds VALUES(43,'timothys-große');
INSERT INTO history_sleds VALUES(44,'fescue');
INSERT INTO history_sleds VALUES(45,'fescue');
INSERT INTO history_sleds VALUES(46,'fescue');
INSERT INTO history_sleds VALUES(47,'bluestem');
INSERT INTO history_sleds VALUES(48,'fescue');
INSERT INTO history_sleds VALUES(49,'timothys-große');
INSERT INTO history_sleds VALUES(50,'fescue');
INSERT INTO history_sleds VALUES(51,'fescue');
INSERT INTO history_sleds VALUES(52,'fescue');
INSERT INTO history_sleds VALUES(53,'fescue');
INSERT INTO history_sleds VALUES(54,'fescue');
INSERT INTO history_sleds VALUES(55,'bluestem');
INSERT INTO history_sleds VALUES(56,'bluestem');
INSERT INTO history_sleds VALUES(57,'bluestem');
INSERT INTO history_sleds VALUES(58,'fescue');
INSERT INTO history_sleds VALUES(59,'fescue');
INSERT INTO history_sleds VALUES(60,'timothys-große');
INSERT INTO history_sleds VALUES(61,'bluestem');
INSERT INTO history_sleds VALUES(61,'fescue');
INSERT INTO history_sleds VALUES(61,'timothys-große');
INSERT INTO history_sleds VALUES(62,'fescue');
INSERT INTO history_sleds VALUES(63,'fescue');
INSERT INTO history_sleds VALUES(64,'bluestem');
INSERT INTO history_sleds VALUES(65,'bluestem');
INSERT INTO history_sleds VALUES(66,'bluestem');
CREATE TABLE inspection_lists (
    sled_id    TEXT PRIMARY KEY NOT NULL REFERENCES sleds (id),
    items      TEXT NOT NULL,
    revision   BIGINT NOT NULL,
    created_at BIGINT NOT NULL,
    updated_at BIGINT NOT NULL
);
INSERT INTO inspection_lists VALUES('bluestem','[{"id":"r5sonyrbh3cgx54n","what":"Chains – „pins“ too","every_shows":1,"calibration":true},{"id":"gmk6q3rpgopwcin7","what":"Belts","every_days":30}]',1,1795877423175626,1795877423175626);
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
INSERT INTO inspections VALUES(1,'k7nexvmklwij3dq2','bluestem','r5sonyrbh3cgx54n','Chains – „pins“ too',0,'a link is cracked','','2026-11-25',NULL,'Ann','first key',1795877423774784);
INSERT INTO inspections VALUES(2,'umxgs5qxy2r2ujkb','bluestem','r5sonyrbh3cgx54n','Chains – „pins“ too',1,'',replace('a new link;\nas the maker says','\n',char(10)),'2026-11-25','next-summer-2099-07-18','first key','first key',1795877423784716);
CREATE INDEX changes_in_order ON changes (sled_id, made_on, created_at, id);
CREATE INDEX readings_by_date ON readings (sled_id, measured_on, seq);
CREATE INDEX readings_by_gear ON readings (sled_id, gear_id);
CREATE INDEX readings_by_batch ON readings (batch) WHERE batch IS NOT NULL;
CREATE INDEX weighings_by_date ON weighings (sled_id, weighed_on, seq);
CREATE INDEX classes_by_setting ON classes (setting_sled_id, setting_gear_id);
CREATE INDEX classes_by_pull_off ON classes (pull_off_sled_id, pull_off_gear_id);
CREATE INDEX shows_by_date ON shows (date, id);
CREATE INDEX shows_by_sled ON shows (sled_id);
CREATE INDEX shows_open ON shows (date, id) WHERE NOT closed AND NOT reopened;
CREATE INDEX show_classes_by_class ON show_classes (class_id);
CREATE INDEX as_run_by_show ON as_run (show_id, class_id);
CREATE INDEX as_run_by_gear ON as_run (sled_id, gear_id);
CREATE INDEX touched_by_revision ON touched (revision);
CREATE INDEX sessions_by_key ON sessions (key_id);
CREATE INDEX sessions_by_expiry ON sessions (expires_at);
CREATE INDEX idempotency_records_by_age ON idempotency_records (created_at);
CREATE INDEX history_by_person ON history (who, seq);
CREATE INDEX history_sleds_by_entry ON history_sleds (seq, sled_id);
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
CREATE INDEX inspections_by_sled ON inspections (sled_id, seq);
CREATE INDEX inspections_by_show ON inspections (show_id, seq);
COMMIT;
