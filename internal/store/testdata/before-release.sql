-- A small fleet as the program kept it when this was its schema, written by that program itself through its API, and dumped.
PRAGMA application_id = 1163284048;
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE migrations (id TEXT PRIMARY KEY NOT NULL);
INSERT INTO migrations VALUES('0001_fleet');
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
INSERT INTO sleds VALUES('bluestem','Bluestem','The Crew',34.5,0.25,0.5,replace('brake relined;\nmarks repainted – 0,5 ft','\n',char(10)),0,1,1795610266087546,1795610266087546);
INSERT INTO sleds VALUES('fescue','Fescue','',31.0,0.0,0.5,'',0,1,1795610266090845,1795610266090845);
INSERT INTO sleds VALUES('timothys-große','Timothy''s Größe','',NULL,0.0,0.5,'',1,2,1795610266092488,1795610266175337);
CREATE TABLE gears (
    id       TEXT PRIMARY KEY NOT NULL,
    sled_id  TEXT NOT NULL REFERENCES sleds (id),
    position INTEGER NOT NULL,
    label    TEXT NOT NULL,
    ratio    DOUBLE PRECISION CHECK (ratio > 0),
    UNIQUE (sled_id, label),
    UNIQUE (sled_id, id)
);
INSERT INTO gears VALUES('b3zk3z6zvyzaugxn','bluestem',0,'A',NULL);
INSERT INTO gears VALUES('b3djmcsuyos42xao','bluestem',1,'B',NULL);
INSERT INTO gears VALUES('gcpa7rt6wdcb6dpt','bluestem',2,'C',NULL);
INSERT INTO gears VALUES('ti37xqpjg7gqwzkl','fescue',0,'1',NULL);
INSERT INTO gears VALUES('4taa5eakv27tnvcu','fescue',1,'2',NULL);
INSERT INTO gears VALUES('rg7pzviliozzw6uo','fescue',2,'3 low',NULL);
INSERT INTO gears VALUES('pwbrgzp2digi7mr4','timothys-große',0,'one',NULL);
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
    created_at       BIGINT NOT NULL,
    CHECK ((set_aside_reason IS NULL) = (set_aside_at IS NULL)),
    FOREIGN KEY (sled_id, gear_id) REFERENCES gears (sled_id, id)
);
INSERT INTO readings VALUES(1,'577eoqzcvodplaji','bluestem','b3zk3z6zvyzaugxn',0.0,282.66680000000002337,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,1795610266097067);
INSERT INTO readings VALUES(2,'cg5whgsi46bcrgg7','bluestem','b3zk3z6zvyzaugxn',4.0,252.92898550724640927,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266101086);
INSERT INTO readings VALUES(3,'44hftqzrifpacnov','bluestem','b3djmcsuyos42xao',0.0,274.04959999999999808,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266102808);
INSERT INTO readings VALUES(4,'3sd3ltnhrb4eglrb','bluestem','b3djmcsuyos42xao',4.0,237.96648115942031153,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266105224);
INSERT INTO readings VALUES(5,'2tle4dwa4vltloku','bluestem','gcpa7rt6wdcb6dpt',0.0,257.03300000000001545,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,1795610266107511);
INSERT INTO readings VALUES(6,'tlirnkdjnqk5b3fx','bluestem','gcpa7rt6wdcb6dpt',4.0,223.16628985507250605,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266109674);
INSERT INTO readings VALUES(7,'wr65ivegm4gtptha','fescue','ti37xqpjg7gqwzkl',0.0,283.10000000000002273,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266111717);
INSERT INTO readings VALUES(8,'fr6l62zd6cjrc3e4','fescue','ti37xqpjg7gqwzkl',4.0,249.52981935483873599,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266114570);
INSERT INTO readings VALUES(9,'hsftzszljuipqxrc','fescue','4taa5eakv27tnvcu',0.0,266.19319999999999026,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,1795610266116657);
INSERT INTO readings VALUES(10,'zkpamv7oantafhob','fescue','4taa5eakv27tnvcu',4.0,234.64463225806451874,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266119339);
INSERT INTO readings VALUES(11,'qodnh4npxmtjah46','fescue','rg7pzviliozzw6uo',0.0,249.47000000000002727,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266121140);
INSERT INTO readings VALUES(12,'nury3nzdn5pdp2ji','fescue','rg7pzviliozzw6uo',4.0,219.91935483870969391,'topped-out',NULL,NULL,'2025-05-10','2025-05-10','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266122858);
INSERT INTO readings VALUES(13,'ivs7sugwty42gthy','bluestem','b3zk3z6zvyzaugxn',0.0,289.53320000000002209,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,1795610266124616);
INSERT INTO readings VALUES(14,'meleyvhgioajqg2j','bluestem','b3zk3z6zvyzaugxn',4.0,251.41141159420291727,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266126829);
INSERT INTO readings VALUES(15,'6uyan67cwgsbtjlq','bluestem','b3djmcsuyos42xao',0.0,272.42480000000000473,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266128878);
INSERT INTO readings VALUES(16,'c4fj3wnaiktqqyae','bluestem','b3djmcsuyos42xao',4.0,236.53006376811597987,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266130592);
INSERT INTO readings VALUES(17,'vp4z2nc3yg22jcuc','bluestem','gcpa7rt6wdcb6dpt',0.0,255.50000000000002841,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,1795610266132341);
INSERT INTO readings VALUES(18,'sfxh5qx7jjhwxash','bluestem','gcpa7rt6wdcb6dpt',4.0,228.5873333333333619,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266133967);
INSERT INTO readings VALUES(19,'sbxe4tqtvr773dbi','fescue','ti37xqpjg7gqwzkl',0.0,281.40140000000002373,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266135532);
INSERT INTO readings VALUES(20,'efwubh6nagy5vnjg','fescue','ti37xqpjg7gqwzkl',4.0,248.05039354838712029,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266137266);
INSERT INTO readings VALUES(21,'ceupgn2f4zyonynd','fescue','4taa5eakv27tnvcu',0.0,264.58640000000002601,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,1795610266138900);
INSERT INTO readings VALUES(22,'p4jx5oue7a5lvnbf','fescue','4taa5eakv27tnvcu',4.0,233.24516129032258505,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266140471);
INSERT INTO readings VALUES(23,'jqnosvfkdf7wc4zz','fescue','rg7pzviliozzw6uo',0.0,255.53000000000002955,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266142011);
INSERT INTO readings VALUES(24,'osppmk6g2wehjooy','fescue','rg7pzviliozzw6uo',4.0,218.59983870967744222,'topped-out',NULL,NULL,'2025-06-14','2025-06-14','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266143369);
INSERT INTO readings VALUES(25,'vfyxxqo6s4ylcxhq','bluestem','b3zk3z6zvyzaugxn',0.0,287.81660000000005085,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,1795610266144981);
INSERT INTO readings VALUES(26,'r3fmdkjzrl4j6ri7','bluestem','b3zk3z6zvyzaugxn',4.0,249.89383768115945372,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266146415);
INSERT INTO readings VALUES(27,'tvfgvkxkdudw6rfr','bluestem','b3djmcsuyos42xao',0.0,270.80000000000001136,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266147924);
INSERT INTO readings VALUES(28,'m4amk7cjuzntasps','bluestem','b3djmcsuyos42xao',4.0,242.27573333333336336,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266149336);
INSERT INTO readings VALUES(29,'vtw4f7sgjcypb4a5','bluestem','gcpa7rt6wdcb6dpt',0.0,253.96700000000001296,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,1795610266150945);
INSERT INTO readings VALUES(30,'ldlzcsjh6gxnfgqv','bluestem','gcpa7rt6wdcb6dpt',4.0,227.23207246376816216,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266152315);
INSERT INTO readings VALUES(31,'s5fmnb23pfpn4dz5','fescue','ti37xqpjg7gqwzkl',0.0,279.70280000000002473,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266153996);
INSERT INTO readings VALUES(32,'vo3kashs3z6mljex','fescue','ti37xqpjg7gqwzkl',4.0,246.57096774193550459,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266155632);
INSERT INTO readings VALUES(33,'hhfpqefmwtjyaqth','fescue','4taa5eakv27tnvcu',0.0,271.01359999999999673,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','“crosswind” & dust; ''tail'' marked <late>','second person','tape','dry clay','3 + 2',32.5,11.30000000000000071,NULL,NULL,NULL,1795610266159514);
INSERT INTO readings VALUES(34,'tchd3mh7vwe7srlm','fescue','4taa5eakv27tnvcu',4.0,231.84569032258065136,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266161275);
INSERT INTO readings VALUES(35,'najjkw6uecgt7ivv','fescue','rg7pzviliozzw6uo',0.0,254.0150000000000432,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266162856);
INSERT INTO readings VALUES(36,'vfenvc7ykdpgkug5','fescue','rg7pzviliozzw6uo',4.0,217.28032258064516213,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','Hay Lane','','','second person','tape','','',NULL,NULL,NULL,NULL,NULL,1795610266164332);
INSERT INTO readings VALUES(37,'2565v4m3e7h7eujo','bluestem','gcpa7rt6wdcb6dpt',2.5,180.69999999999998862,'stopped-short',27.249999999999999999,NULL,'2026-05-09','2026-05-09','','','','','','','',NULL,NULL,NULL,NULL,NULL,1795610266166002);
INSERT INTO readings VALUES(38,'gbplhdzlohypncay','bluestem','b3zk3z6zvyzaugxn',0.0,301.0,'past-top',NULL,NULL,'2026-05-09','evening run','','','','','','','',NULL,NULL,NULL,NULL,NULL,1795610266167315);
INSERT INTO readings VALUES(39,'qfylg7ebnytrqomu','timothys-große','pwbrgzp2digi7mr4',0.0,271.30000000000001137,'stated',NULL,8.0,'2026-05-10','2026-05-10','','its owner','','','','','',NULL,NULL,NULL,NULL,NULL,1795610266168682);
INSERT INTO readings VALUES(40,'3nqcpe5lsbj4xvdl','fescue','4taa5eakv27tnvcu',0.0,627.10000000000002272,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','','','','','','','',NULL,NULL,NULL,'digits swapped',1795610266171748,1795610266170223);
INSERT INTO readings VALUES(41,'ocr5lttp2lno5tan','fescue','4taa5eakv27tnvcu',0.0,267.10000000000002273,'topped-out',NULL,NULL,'2026-05-09','2026-05-09','','','','','','','',NULL,NULL,'3nqcpe5lsbj4xvdl',NULL,NULL,1795610266173013);
CREATE TABLE touched (
    sled_id  TEXT PRIMARY KEY NOT NULL,
    revision BIGINT NOT NULL
);
INSERT INTO touched VALUES('bluestem',41);
INSERT INTO touched VALUES('fescue',45);
INSERT INTO touched VALUES('timothys-große',46);
CREATE TABLE state (
    id       INTEGER PRIMARY KEY NOT NULL CHECK (id = 1),
    revision BIGINT NOT NULL,
    key_salt BLOB NOT NULL
);
INSERT INTO state VALUES(1,46,X'dffdc4a7937928b6859549262e7f8c8f74626fc402e0961f8c17b25c56a0a3c0');
CREATE TABLE keys (
    id           TEXT PRIMARY KEY NOT NULL,
    name         TEXT NOT NULL,
    role         TEXT NOT NULL,
    hash         BLOB NOT NULL UNIQUE,
    created_at   BIGINT NOT NULL,
    last_used_at BIGINT
);
INSERT INTO keys VALUES('fxomoxzbi7mvxvc3','first key','manager',X'3e0b7e971ad21df6a5ad1f6f9dbcb9ff58bca7bfb32dd3d674a347674a753f90',1795610266006947,1795610266076830);
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
INSERT INTO answers VALUES('a-key-of-the-phone',X'dcda6616a0046417b523d3f337b993525b66fd50e1166b92863924907edd2a39',201,'application/json','W/"Pfe-AqLasmdpZx9y"','/v1/readings/577eoqzcvodplaji',X'7b22637265617465645f6174223a22323032362d31312d32355431323a33373a34362e3039373036375a222c22646179223a22323032352d30352d3130222c2264697374616e63655f6674223a3238322e363636382c22656e646564223a22746f707065642d6f7574222c2267656172223a2241222c226964223a22353737656f717a63766f64706c616a69222c226d61726b65645f6279223a227365636f6e6420706572736f6e222c226d656173757265645f6f6e223a22323032352d30352d3130222c226e6f7465223a22e2809c63726f737377696e64e2809d205c753030323620647573743b20277461696c27206d61726b6564205c75303033636c6174655c7530303365222c22706c616365223a22486179204c616e65222c227365745f6173696465223a6e756c6c2c22736c6564223a22626c75657374656d222c2273706565645f6d7068223a31312e332c2273746172745f6674223a302c2273757266616365223a2264727920636c6179222c2274616b656e5f77697468223a2274617065222c22747972655f707369223a33322e352c2277656967687473223a2233202b2032227d',1795610266097067);
CREATE INDEX readings_by_date ON readings (sled_id, measured_on, seq);
CREATE INDEX readings_by_gear ON readings (sled_id, gear_id);
CREATE INDEX touched_by_revision ON touched (revision);
CREATE INDEX answers_by_age ON answers (created_at);
COMMIT;
