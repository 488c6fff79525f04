-- A small fleet as the program kept it when this was its schema, written by that program itself through its API, and dumped.
PRAGMA application_id = 1163284048;
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE migrations (id TEXT PRIMARY KEY NOT NULL);
INSERT INTO migrations VALUES('0001_fleet');
INSERT INTO migrations VALUES('0002_shows');
INSERT INTO migrations VALUES('0003_driveline');
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
, driveline TEXT NOT NULL DEFAULT '{}');
INSERT INTO sleds VALUES('bluestem','Bluestem','The Crew',34.5,0.25,0.5,replace('brake relined;\nmarks repainted – 0,5 ft','\n',char(10)),0,2,1795610268421731,1795610268772167,'{"sprocket_teeth":12,"chain_pitch_in":2,"axle_ratio":4.88,"final_ratio":5.29,"tire_circumference_ft":10.2}');
INSERT INTO sleds VALUES('fescue','Fescue','',31.0,0.0,0.5,'',0,2,1795610268433157,1795610268774275,'{"box_ft_per_turn":2.1,"axle_ratios":{"high":4.88,"low":6.6},"final_ratio":5.5,"tire_circumference_ft":10.2}');
INSERT INTO sleds VALUES('timothys-große','Timothy''s Größe','',NULL,0.0,0.5,'',1,2,1795610268446712,1795610268776713,'{}');
CREATE TABLE gears (
    id       TEXT PRIMARY KEY NOT NULL,
    sled_id  TEXT NOT NULL REFERENCES sleds (id),
    position INTEGER NOT NULL,
    label    TEXT NOT NULL,
    ratio    DOUBLE PRECISION CHECK (ratio > 0), "range" TEXT NOT NULL DEFAULT '',
    UNIQUE (sled_id, label),
    UNIQUE (sled_id, id)
);
INSERT INTO gears VALUES('v2dembjdzgloi62z','bluestem',0,'A',1.2099999999999999644,'');
INSERT INTO gears VALUES('6yi26sbwp3wp7l4m','bluestem',1,'B',1.3100000000000000532,'');
INSERT INTO gears VALUES('pcpsveta3rrq3e4c','bluestem',2,'C',1.4199999999999999289,'');
INSERT INTO gears VALUES('lqhckx33c5dqobbf','fescue',0,'1',1.1999999999999999555,'high');
INSERT INTO gears VALUES('mymkwz5izla5tvm4','fescue',1,'2',1.3500000000000000888,'high');
INSERT INTO gears VALUES('xj3a5lg27phha43x','fescue',2,'3 low',1.0500000000000000444,'low');
INSERT INTO gears VALUES('4bf6y5cq6eu2wkbz','timothys-große',0,'one',NULL,'');
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
INSERT INTO readings VALUES(1,'nblr66db4vf3oloc','bluestem','v2dembjdzgloi62z',0.0,282.66680000000002337,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795610268480638);
INSERT INTO readings VALUES(2,'xje462woqaqy2vfn','bluestem','v2dembjdzgloi62z',4.0,252.92898550724640927,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268493829);
INSERT INTO readings VALUES(3,'n2iq54kw5smv2j72','bluestem','6yi26sbwp3wp7l4m',0.0,274.04959999999999808,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268542154);
INSERT INTO readings VALUES(4,'h4d62eldtxdjqrph','bluestem','6yi26sbwp3wp7l4m',4.0,237.96648115942031153,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268546033);
INSERT INTO readings VALUES(5,'ichoufgf372o564l','bluestem','pcpsveta3rrq3e4c',0.0,257.03300000000001545,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795610268558474);
INSERT INTO readings VALUES(6,'3ljfexujtiij4j4n','bluestem','pcpsveta3rrq3e4c',4.0,223.16628985507250605,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268562135);
INSERT INTO readings VALUES(7,'q7gwssimtwxkpw7g','fescue','lqhckx33c5dqobbf',0.0,283.10000000000002273,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268570260);
INSERT INTO readings VALUES(8,'y3ko34cr2xoq3ipc','fescue','lqhckx33c5dqobbf',4.0,249.52981935483873599,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268573609);
INSERT INTO readings VALUES(9,'7zkmpe3cj7bwrzjc','fescue','mymkwz5izla5tvm4',0.0,266.19319999999999026,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795610268577284);
INSERT INTO readings VALUES(10,'vw2qtgvjx6ds6qnn','fescue','mymkwz5izla5tvm4',4.0,234.64463225806451874,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268584724);
INSERT INTO readings VALUES(11,'pm5xnmp6tu42afx3','fescue','xj3a5lg27phha43x',0.0,249.47000000000002727,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268593424);
INSERT INTO readings VALUES(12,'tv5pwjqz6kmhvlxx','fescue','xj3a5lg27phha43x',4.0,219.91935483870969391,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268605724);
INSERT INTO readings VALUES(13,'4y2pzk6if6twspiz','bluestem','v2dembjdzgloi62z',0.0,289.53320000000002209,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795610268611345);
INSERT INTO readings VALUES(14,'uyyfnrf3b2aei3tm','bluestem','v2dembjdzgloi62z',4.0,251.41141159420291727,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268696621);
INSERT INTO readings VALUES(15,'guzsbvixb4yd2vwb','bluestem','6yi26sbwp3wp7l4m',0.0,272.42480000000000473,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268699171);
INSERT INTO readings VALUES(16,'dl2ardwjii7gf5qc','bluestem','6yi26sbwp3wp7l4m',4.0,236.53006376811597987,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268700856);
INSERT INTO readings VALUES(17,'fdgbdolc6yi7pjpa','bluestem','pcpsveta3rrq3e4c',0.0,255.50000000000002841,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795610268702679);
INSERT INTO readings VALUES(18,'gbese5ychaxr7spx','bluestem','pcpsveta3rrq3e4c',4.0,228.5873333333333619,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268704009);
INSERT INTO readings VALUES(19,'p4xricqkxc7v5hqw','fescue','lqhckx33c5dqobbf',0.0,281.40140000000002373,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268705674);
INSERT INTO readings VALUES(20,'4wbiyvtsszdjwz4s','fescue','lqhckx33c5dqobbf',4.0,248.05039354838712029,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268707544);
INSERT INTO readings VALUES(21,'76g3uvwuwk3ffarg','fescue','mymkwz5izla5tvm4',0.0,264.58640000000002601,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795610268709158);
INSERT INTO readings VALUES(22,'lffleys6juyci42x','fescue','mymkwz5izla5tvm4',4.0,233.24516129032258505,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268710424);
INSERT INTO readings VALUES(23,'aj3kz2f22n3s4c7r','fescue','xj3a5lg27phha43x',0.0,255.53000000000002955,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268711781);
INSERT INTO readings VALUES(24,'xcqx5qqddywhswgt','fescue','xj3a5lg27phha43x',4.0,218.59983870967744222,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268713282);
INSERT INTO readings VALUES(25,'q7k3qvv7fb655j5b','bluestem','v2dembjdzgloi62z',0.0,287.81660000000005085,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795610268715126);
INSERT INTO readings VALUES(26,'ulbxy2dc4ljh7a3f','bluestem','v2dembjdzgloi62z',4.0,249.89383768115945372,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268717100);
INSERT INTO readings VALUES(27,'kvcelchyg4lcjvtl','bluestem','6yi26sbwp3wp7l4m',0.0,270.80000000000001136,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268718999);
INSERT INTO readings VALUES(28,'czfhlachifsb2vpk','bluestem','6yi26sbwp3wp7l4m',4.0,242.27573333333336336,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268720899);
INSERT INTO readings VALUES(29,'i75yqafdb57pgrul','bluestem','pcpsveta3rrq3e4c',0.0,253.96700000000001296,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795610268722694);
INSERT INTO readings VALUES(30,'lq2vcf3w7srbxxqa','bluestem','pcpsveta3rrq3e4c',4.0,227.23207246376816216,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268724650);
INSERT INTO readings VALUES(31,'dd7k2wcpvvngvkkd','fescue','lqhckx33c5dqobbf',0.0,279.70280000000002473,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268726268);
INSERT INTO readings VALUES(32,'sefemjsfslb3srlc','fescue','lqhckx33c5dqobbf',4.0,246.57096774193550459,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268727522);
INSERT INTO readings VALUES(33,'2a3icjbn24lku3op','fescue','mymkwz5izla5tvm4',0.0,271.01359999999999673,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,0,NULL,NULL,1795610268728980);
INSERT INTO readings VALUES(34,'agklaz2jdrvmnaii','fescue','mymkwz5izla5tvm4',4.0,231.84569032258065136,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268730389);
INSERT INTO readings VALUES(35,'mi6w2u5kpv2pyo6w','fescue','xj3a5lg27phha43x',0.0,254.0150000000000432,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268731849);
INSERT INTO readings VALUES(36,'ik4zx4pnmodznqho','fescue','xj3a5lg27phha43x',4.0,217.28032258064516213,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268733414);
INSERT INTO readings VALUES(37,'5tkzi3rdnwednrn2','bluestem','pcpsveta3rrq3e4c',2.5,180.69999999999998862,'stopped-short',27.249999999999999999,NULL,'2026-05-09','2026-05-09','','','','','','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268737818);
INSERT INTO readings VALUES(38,'ma5gvvutytjn7lwh','bluestem','v2dembjdzgloi62z',0.0,301.0,'past-top',NULL,NULL,'2026-05-09','evening run','','','','','','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268739000);
INSERT INTO readings VALUES(39,'jrrxk5wjc77efrjq','timothys-große','4bf6y5cq6eu2wkbz',0.0,271.30000000000001137,'stated',NULL,8.0,'2026-05-10','2026-05-10','','its owner','','','','','',NULL,NULL,NULL,NULL,NULL,0,NULL,NULL,1795610268740726);
INSERT INTO readings VALUES(40,'wzedmj6s2c4heyd2','fescue','mymkwz5izla5tvm4',0.0,627.10000000000002272,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','','','','','','','',NULL,NULL,NULL,'digits swapped',1795610268743449,0,NULL,NULL,1795610268742226);
INSERT INTO readings VALUES(41,'u6yo7ik2sgezdncm','fescue','mymkwz5izla5tvm4',0.0,267.10000000000002273,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','','','','','','','',NULL,NULL,'wzedmj6s2c4heyd2',NULL,NULL,0,NULL,NULL,1795610268744795);
CREATE TABLE touched (
    sled_id  TEXT PRIMARY KEY NOT NULL,
    revision BIGINT NOT NULL
);
INSERT INTO touched VALUES('bluestem',54);
INSERT INTO touched VALUES('fescue',55);
INSERT INTO touched VALUES('timothys-große',56);
CREATE TABLE state (
    id       INTEGER PRIMARY KEY NOT NULL CHECK (id = 1),
    revision BIGINT NOT NULL,
    key_salt BLOB NOT NULL
);
INSERT INTO state VALUES(1,56,X'5ed656051edb7ab70413a2255de950b81a6c85c7ef528916c22c805a3faaac17');
CREATE TABLE keys (
    id           TEXT PRIMARY KEY NOT NULL,
    name         TEXT NOT NULL,
    role         TEXT NOT NULL,
    hash         BLOB NOT NULL UNIQUE,
    created_at   BIGINT NOT NULL,
    last_used_at BIGINT
);
INSERT INTO keys VALUES('um3hpykkr4iprnx2','first key','manager',X'2751e0f16fc90f5594fcd39001dd5b762075cfa84f4af3fa86271a232d1bc6ad',1795610268270344,1795610268416581);
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
INSERT INTO answers VALUES('a-key-of-the-phone',X'dcda6616a0046417b523d3f337b993525b66fd50e1166b92863924907edd2a39',201,'application/json','W/"oYs3qsWGX1ORAUCm"','/v1/readings/nblr66db4vf3oloc',X'7b22637265617465645f6174223a22323032362d31312d32355431323a33373a34382e3438303633385a222c22646179223a22323032352d30352d3130222c2264697374616e63655f6674223a3238322e363636382c22656e646564223a22746f707065642d6f7574222c2267656172223a2241222c226964223a226e626c7236366462347666336f6c6f63222c226d61726b65645f6279223a227365636f6e6420706572736f6e222c226d656173757265645f6f6e223a22323032352d30352d3130222c226e6f7465223a22e2809c63726f737377696e64e2809d205c753030323620647573743b20277461696c27206d61726b6564205c75303033636c6174655c7530303365222c22706c616365223a22486179204c616e65222c227365745f6173696465223a6e756c6c2c22736c6564223a22626c75657374656d222c2273706565645f6d7068223a31312e332c2273746172745f6674223a302c2273757266616365223a2264727920636c6179222c2274616b656e5f77697468223a2274617065222c22747972655f707369223a33322e352c2277656967687473223a2233202b2032227d',1795610268480638);
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
INSERT INTO classes VALUES('farm-9500-lb','Farm 9500 lb','bluestem','pcpsveta3rrq3e4c',0.0,255.66566603649164336,2.9738260619896266234,'2026-11-25','bluestem','6yi26sbwp3wp7l4m',1.5,259.52889601656187322,3.3686301427115097339,'2026-11-25','Hay Lane Pullers','4 + 2','pull-off from the second hook',1,1795610268746870,1795610268746870);
INSERT INTO classes VALUES('open-4x4','Open 4x4','fescue','lqhckx33c5dqobbf',0.0,283.09150660758996309,3.3407140973535831562,'2026-11-25',NULL,NULL,NULL,NULL,NULL,NULL,'','','',1,1795610268751128,1795610268751128);
INSERT INTO classes VALUES('stated','Stated','timothys-große','4bf6y5cq6eu2wkbz',0.0,271.3000000000000682,8.0,'2026-11-25',NULL,NULL,NULL,NULL,NULL,NULL,'','','',1,1795610268753231,1795610268753231);
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
INSERT INTO shows VALUES('harvest-pull-2026-07-18','Harvest Pull','2026-07-18','Hay Lane','The Promoter','fescue','gate at five',1,0,1,1795610268755477,1795610268755477);
INSERT INTO shows VALUES('next-summer-2099-07-18','Next Summer','2099-07-18','','','bluestem','',0,0,1,1795610268769987,1795610268769987);
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
    note         TEXT NOT NULL,
    top_out_ft   DOUBLE PRECISION,
    show_changed BOOLEAN NOT NULL,
    created_at   BIGINT NOT NULL,
    FOREIGN KEY (show_id, class_id) REFERENCES show_classes (show_id, class_id),
    FOREIGN KEY (sled_id, gear_id) REFERENCES gears (sled_id, id)
);
INSERT INTO as_run VALUES(1,'2gbwq3rmislcbkvu','harvest-pull-2026-07-18','farm-9500-lb','fescue','mymkwz5izla5tvm4',0.5,1,0,'4','track soft',263.18121918877636744,0,1795610268757706);
INSERT INTO as_run VALUES(2,'4eishomry5gmjwa6','harvest-pull-2026-07-18','farm-9500-lb','fescue','lqhckx33c5dqobbf',0.0,4,1,'','',283.09150660758996309,0,1795610268765562);
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
CREATE TABLE sheets (
    show_id  TEXT PRIMARY KEY NOT NULL REFERENCES shows (id),
    format   INTEGER NOT NULL,
    document TEXT NOT NULL
);
INSERT INTO sheets VALUES('harvest-pull-2026-07-18',1,'{"sled_name":"Fescue","rows":[{"class":"open-4x4","name":"Open 4x4","home":{"sled":"fescue","gear_id":"lqhckx33c5dqobbf","gear":"1","start_ft":0,"stood_for_ft":283.09150660758996,"plus_minus_ft":3.340714097353583,"noted_on":"2026-11-25","today_ft":283.09150660758996},"home_sled_name":"Fescue","tonight":{"sled":"fescue","nearest":{"gear":"1","start_ft":0,"top_out_ft":283.09150660758996,"low_ft":279.770503419783,"high_ft":286.45193161449015,"basis":"measured","readings":3,"difference_ft":0,"difference_low_ft":0,"difference_high_ft":0,"chance_nearest":1,"box_speed":10.950522808503383,"box_speed_low":10.803917770614664,"box_speed_high":11.0991172207645,"confidence":"clear","out_of_reach":false,"compared_at":"same-start"},"runner_up":{"gear":"2","chance_nearest":0},"moved_start":{"gear":"1","start_ft":0,"rounded_start_ft":0,"top_out_ft":283.09150660758996,"low_ft":279.770503419783,"high_ft":286.45193161449015,"difference_ft":0,"difference_low_ft":0,"difference_high_ft":0,"worth_it":false},"gears":[{"gear":"1","start_ft":0,"top_out_ft":283.09150660758996,"low_ft":279.770503419783,"high_ft":286.45193161449015,"basis":"measured","readings":3,"difference_ft":0,"difference_low_ft":0,"difference_high_ft":0,"chance_nearest":1},{"gear":"2","start_ft":0,"top_out_ft":267.4956654049858,"low_ft":264.4621129445147,"high_ft":270.5640146854172,"basis":"measured","readings":4,"difference_ft":-15.595841202604163,"difference_low_ft":-18.367672964672106,"difference_high_ft":-12.824009440536221,"chance_nearest":0},{"gear":"3 low","start_ft":0,"top_out_ft":251.98489620149843,"low_ft":249.02881089327903,"high_ft":254.976071587521,"basis":"measured","readings":3,"difference_ft":-31.106610406091534,"difference_low_ft":-33.89663232031586,"difference_high_ft":-28.316588491867208,"chance_nearest":0}]}},{"class":"farm-9500-lb","name":"Farm 9500 lb","used_by":"Hay Lane Pullers","weights":"4 + 2","notes":"pull-off from the second hook","home":{"sled":"bluestem","gear_id":"pcpsveta3rrq3e4c","gear":"C","start_ft":0,"stood_for_ft":255.66566603649164,"plus_minus_ft":2.9738260619896266,"noted_on":"2026-11-25","today_ft":255.66566603649164},"home_sled_name":"Bluestem","tonight":{"sled":"fescue","nearest":{"gear":"3 low","start_ft":0,"top_out_ft":251.98489620149843,"low_ft":249.02881089327903,"high_ft":254.976071587521,"basis":"measured","readings":3,"difference_ft":-3.680769834993214,"difference_low_ft":-7.835909942396129,"difference_high_ft":0.4743702724097014,"chance_nearest":0.9787003334743816,"box_speed":12.30232465012943,"box_speed_low":12.13762175849662,"box_speed_high":12.469262497097969,"confidence":"clear","out_of_reach":false,"compared_at":"same-start"},"runner_up":{"gear":"2","chance_nearest":0.021299666525618426},"moved_start":{"gear":"2","start_ft":1.370975413257991,"rounded_start_ft":1.5,"top_out_ft":254.5523267563575,"low_ft":250.64616859662354,"high_ft":258.5193598604574,"difference_ft":-1.1133392801341415,"difference_low_ft":-6.031684805831204,"difference_high_ft":3.8050062455629208,"worth_it":false},"gears":[{"gear":"1","start_ft":0,"top_out_ft":283.09150660758996,"low_ft":279.770503419783,"high_ft":286.45193161449015,"basis":"measured","readings":3,"difference_ft":27.42584057109832,"difference_low_ft":23.006761460177714,"difference_high_ft":31.844919682018926,"chance_nearest":9.365377353904295e-22},{"gear":"2","start_ft":0,"top_out_ft":267.4956654049858,"low_ft":264.4621129445147,"high_ft":270.5640146854172,"basis":"measured","readings":4,"difference_ft":11.829999368494157,"difference_low_ft":7.628291845116037,"difference_high_ft":16.031706891872275,"chance_nearest":0.021299666525618426},{"gear":"3 low","start_ft":0,"top_out_ft":251.98489620149843,"low_ft":249.02881089327903,"high_ft":254.976071587521,"basis":"measured","readings":3,"difference_ft":-3.680769834993214,"difference_low_ft":-7.835909942396129,"difference_high_ft":0.4743702724097014,"chance_nearest":0.9787003334743816}]},"pull_off":{"home":{"sled":"bluestem","gear_id":"6yi26sbwp3wp7l4m","gear":"B","start_ft":1.5,"stood_for_ft":259.5288960165619,"plus_minus_ft":3.3686301427115097,"noted_on":"2026-11-25","today_ft":259.5288960165619},"tonight":{"sled":"fescue","nearest":{"gear":"2","start_ft":1.5,"top_out_ft":254.5523267563575,"low_ft":251.25270110365616,"high_ft":257.89528539373975,"basis":"interpolated","readings":0,"difference_ft":-4.976569260204371,"difference_low_ft":-9.67396067477845,"difference_high_ft":-0.27917784563029446,"chance_nearest":0.8510923062305451,"box_speed":11.588972835528496,"box_speed_low":11.438288330740757,"box_speed_high":11.741642411799537,"confidence":"close","out_of_reach":false,"compared_at":"same-start"},"runner_up":{"gear":"1","chance_nearest":0.14890766147083134},"moved_start":{"gear":"2","start_ft":0.9232667402936379,"rounded_start_ft":1,"top_out_ft":258.8667729725668,"low_ft":254.9249965437045,"high_ft":262.86949909889233,"difference_ft":-0.6621230439950523,"difference_low_ft":-5.852990894130838,"difference_high_ft":4.528744806140733,"worth_it":false},"gears":[{"gear":"1","start_ft":1.5,"top_out_ft":269.3935304814163,"low_ft":265.80514976793177,"high_ft":273.03035448562014,"basis":"interpolated","readings":0,"difference_ft":9.864634464854419,"difference_low_ft":4.956848177584132,"difference_high_ft":14.772420752124706,"chance_nearest":0.14890766147083134},{"gear":"2","start_ft":1.5,"top_out_ft":254.5523267563575,"low_ft":251.25270110365616,"high_ft":257.89528539373975,"basis":"interpolated","readings":0,"difference_ft":-4.976569260204371,"difference_low_ft":-9.67396067477845,"difference_high_ft":-0.27917784563029446,"chance_nearest":0.8510923062305451},{"gear":"3 low","start_ft":1.5,"top_out_ft":239.79207864336144,"low_ft":236.5979957390225,"high_ft":243.0292818013945,"basis":"interpolated","readings":0,"difference_ft":-19.736817373200438,"difference_low_ft":-24.364098401102883,"difference_high_ft":-15.109536345297993,"chance_nearest":3.2298623553472794e-8}]}}}]}');
CREATE TABLE changes (
    id         TEXT PRIMARY KEY NOT NULL,
    sled_id    TEXT NOT NULL REFERENCES sleds (id),
    made_on    TEXT NOT NULL,
    what       TEXT NOT NULL,
    driveline  TEXT NOT NULL,
    travel_ft  DOUBLE PRECISION CHECK (travel_ft > 0),
    gears      TEXT NOT NULL,
    effect     TEXT NOT NULL CHECK (effect IN ('by-ratio', 'unknown')),
    created_at BIGINT NOT NULL
);
INSERT INTO changes VALUES('3qaj47rspavup6eb','bluestem','2026-01-15','13 teeth in place of 12','{"sprocket_teeth":13}',NULL,'[]','by-ratio',1795610268772167);
INSERT INTO changes VALUES('f6rdpru55izb24m4','fescue','2025-06-01','box re-railed','{}',30.499999999999999999,'[{"id":"xj3a5lg27phha43x","ratio":1.1}]','unknown',1795610268774275);
CREATE INDEX readings_by_date ON readings (sled_id, measured_on, seq);
CREATE INDEX readings_by_gear ON readings (sled_id, gear_id);
CREATE INDEX readings_by_batch ON readings (batch) WHERE batch IS NOT NULL;
CREATE INDEX touched_by_revision ON touched (revision);
CREATE INDEX answers_by_age ON answers (created_at);
CREATE INDEX classes_by_setting ON classes (setting_sled_id, setting_gear_id);
CREATE INDEX classes_by_pull_off ON classes (pull_off_sled_id, pull_off_gear_id);
CREATE INDEX shows_by_date ON shows (date, id);
CREATE INDEX shows_by_sled ON shows (sled_id);
CREATE INDEX shows_open ON shows (date, id) WHERE NOT kept AND NOT reopened;
CREATE INDEX show_classes_by_class ON show_classes (class_id);
CREATE INDEX as_run_by_show ON as_run (show_id, class_id);
CREATE INDEX as_run_by_gear ON as_run (sled_id, gear_id);
CREATE INDEX changes_in_order ON changes (sled_id, made_on, created_at, id);
COMMIT;
