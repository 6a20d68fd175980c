PRAGMA application_id = 1212566599;
PRAGMA user_version = 1;
BEGIN TRANSACTION;
CREATE TABLE events (
    job TEXT NOT NULL REFERENCES jobs (id),
    seq INTEGER NOT NULL,
    at TEXT NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (job, seq)
);
INSERT INTO "events" VALUES('2026-11-25-1',1,'2026-11-25T13:14:26.605943+00:00','job opened','{"at":"2026-11-25T13:14:26.605943Z","kind":"job opened","title":"Adjustment of the gate latch","revision":"1","procedure_sha256":"6e1f1bb607f5a4bfb7409874e8524bc08b03d18febc792d1318a55519082349c","procedure_text":"\ntitle: Adjustment of the gate latch\nitem: Bench gauge, pattern C\nrevision: 1\nsteps:\n  - id: load\n    do: Press the spring down and hook it.\n    dangers:\n      - say: Spring under load. Keep your face clear.\n        until: release\n  - id: set\n    do: Set the latch clearance.\n    fasteners: {count: 2, size: M2 x 5, head: cheese head, left-hand thread: true}\n    lubricant: {which: instrument oil, where: the pivot, how much: one drop}\n    why: Too tight and it sticks.\n    details: Use the long blade.\n    measure:\n      name: latch clearance\n      also: clearance\n      unit: thou\n      limits: [3, 5]\n      target: 4\n      tool: {name: feeler blades, resolution: 0.5 thou}\n  - id: cure\n    do: Put one drop of lacquer on the screw.\n    wait: {for: 10 minutes, name: lacquer}\n    rests on: set\n  - id: prove\n    do: Measure both clearances.\n    measure:\n      - {name: latch clearance, unit: thou, limits: [3, 5], when: as left}\n      - {name: stop gap, unit: mm, at most: 0.5}\n    rests on: [set, cure]\n  - id: release\n    do: Let the spring down.\n    check: Does the latch fall by itself?\n","procedure_name":"gate-latch","item":"Bench gauge, pattern C","serial":"114","owner":"Mill Lane"}');
INSERT INTO "events" VALUES('2026-11-25-1',2,'2026-11-25T13:14:26.605943+00:00','step entered','{"at":"2026-11-25T13:14:26.605943Z","step":"load","kind":"step entered"}');
INSERT INTO "events" VALUES('2026-11-25-1',3,'2026-11-25T13:14:36.035144+00:00','step done','{"at":"2026-11-25T13:14:36.035144Z","step":"load","heard":"done","recogniser":"typed","kind":"step done","missing":[]}');
INSERT INTO "events" VALUES('2026-11-25-1',4,'2026-11-25T13:14:37.665707+00:00','step entered','{"at":"2026-11-25T13:14:37.665707Z","step":"set","heard":"next","recogniser":"typed","kind":"step entered"}');
INSERT INTO "events" VALUES('2026-11-25-1',5,'2026-11-25T13:14:45.288957+00:00','reading logged','{"at":"2026-11-25T13:14:45.288957Z","step":"set","heard":"log clearance four thou","recogniser":"typed","kind":"reading logged","id":"e5","characteristic":"latch clearance","occasion":"as set","value":"4","unit":"thou","as_said":"4 thou","decision":"in limits","limits":"3 to 5 thou","tool":"feeler blades","uncertainty":"0.25 thou"}');
INSERT INTO "events" VALUES('2026-11-25-1',6,'2026-11-25T13:14:47.820082+00:00','reading settled','{"at":"2026-11-25T13:14:47.820082Z","step":"set","kind":"reading settled","id":"e5"}');
INSERT INTO "events" VALUES('2026-11-25-1',7,'2026-11-25T13:14:49.720081+00:00','reading logged','{"at":"2026-11-25T13:14:49.720081Z","step":"set","heard":"wrong it is five thou","recogniser":"typed","kind":"reading logged","id":"e7","characteristic":"latch clearance","occasion":"as set","value":"5","unit":"thou","as_said":"5 thou","decision":"undecided","beyond":"0 thou","side":"high","limits":"3 to 5 thou","tool":"feeler blades","uncertainty":"0.25 thou","corrects":"e5"}');
INSERT INTO "events" VALUES('2026-11-25-1',8,'2026-11-25T13:14:55.184019+00:00','reading settled','{"at":"2026-11-25T13:14:55.184019Z","step":"set","kind":"reading settled","id":"e7"}');
INSERT INTO "events" VALUES('2026-11-25-1',9,'2026-11-25T13:14:56.184019+00:00','entry withdrawn','{"at":"2026-11-25T13:14:56.184019Z","step":"set","heard":"take back","recogniser":"typed","kind":"entry withdrawn","id":"e7","why":"taken back"}');
INSERT INTO "events" VALUES('2026-11-25-1',10,'2026-11-25T13:15:04.454831+00:00','reading logged','{"at":"2026-11-25T13:15:04.454831Z","step":"set","heard":"log clearance nine thou","recogniser":"typed","kind":"reading logged","id":"e10","characteristic":"latch clearance","occasion":"as set","value":"9","unit":"thou","as_said":"9 thou","decision":"out of limits","beyond":"4 thou","side":"high","limits":"3 to 5 thou","tool":"feeler blades","uncertainty":"0.25 thou"}');
INSERT INTO "events" VALUES('2026-11-25-1',11,'2026-11-25T13:15:10.906644+00:00','reading settled','{"at":"2026-11-25T13:15:10.906644Z","step":"set","kind":"reading settled","id":"e10"}');
INSERT INTO "events" VALUES('2026-11-25-1',12,'2026-11-25T13:15:12.206644+00:00','outcome given','{"at":"2026-11-25T13:15:12.206644Z","step":"set","heard":"accept within wear","recogniser":"typed","kind":"outcome given","id":"e10","outcome":"accepted","reason":"within wear"}');
INSERT INTO "events" VALUES('2026-11-25-1',13,'2026-11-25T13:15:15.185831+00:00','step done','{"at":"2026-11-25T13:15:15.185831Z","step":"set","heard":"next","recogniser":"typed","kind":"step done","missing":[]}');
INSERT INTO "events" VALUES('2026-11-25-1',14,'2026-11-25T13:15:15.185831+00:00','step entered','{"at":"2026-11-25T13:15:15.185831Z","step":"cure","heard":"next","recogniser":"typed","kind":"step entered"}');
INSERT INTO "events" VALUES('2026-11-25-1',15,'2026-11-25T13:15:21.834456+00:00','timer started','{"at":"2026-11-25T13:15:21.834456Z","step":"cure","heard":"start the timer","recogniser":"typed","kind":"timer started","name":"lacquer","seconds":600.0}');
INSERT INTO "events" VALUES('2026-11-25-1',16,'2026-11-25T13:15:29.574894+00:00','note kept','{"at":"2026-11-25T13:15:29.574894Z","step":"cure","heard":"the pivot is worn oval","recogniser":"typed","kind":"note kept","id":"e16","text":"the pivot is worn oval","seconds":1.5}');
INSERT INTO "events" VALUES('2026-11-25-1',17,'2026-11-25T13:25:21.834456+00:00','timer rang','{"at":"2026-11-25T13:25:21.834456Z","step":"cure","kind":"timer rang","name":"lacquer"}');
INSERT INTO "events" VALUES('2026-11-25-1',18,'2026-11-25T13:26:33.570706+00:00','step done','{"at":"2026-11-25T13:26:33.570706Z","step":"cure","heard":"next","recogniser":"typed","kind":"step done","missing":[]}');
INSERT INTO "events" VALUES('2026-11-25-1',19,'2026-11-25T13:26:33.570706+00:00','step entered','{"at":"2026-11-25T13:26:33.570706Z","step":"prove","heard":"next","recogniser":"typed","kind":"step entered"}');
INSERT INTO "events" VALUES('2026-11-25-1',20,'2026-11-25T13:26:44.018144+00:00','reading logged','{"at":"2026-11-25T13:26:44.018144Z","step":"prove","heard":"log stop gap nought point four","recogniser":"typed","kind":"reading logged","id":"e20","characteristic":"stop gap","occasion":"as set","value":"0.4","unit":"mm","as_said":"0.4 mm","decision":"in limits","limits":"at most 0.5 mm"}');
INSERT INTO "events" VALUES('2026-11-25-1',21,'2026-11-25T13:26:47.268081+00:00','reading settled','{"at":"2026-11-25T13:26:47.268081Z","step":"prove","kind":"reading settled","id":"e20"}');
INSERT INTO "events" VALUES('2026-11-25-1',22,'2026-11-25T13:26:48.568081+00:00','job paused','{"at":"2026-11-25T13:26:48.568081Z","step":"prove","heard":"pause the job","recogniser":"typed","kind":"job paused"}');
INSERT INTO "events" VALUES('2026-11-25-1',23,'2026-11-25T13:14:27.633984+00:00','job resumed','{"at":"2026-11-25T13:14:27.633984Z","step":"prove","kind":"job resumed"}');
INSERT INTO "events" VALUES('2026-11-25-1',24,'2026-11-25T13:14:43.376172+00:00','step entered','{"at":"2026-11-25T13:14:43.376172Z","step":"prove","heard":"yes","recogniser":"typed","kind":"step entered"}');
INSERT INTO "events" VALUES('2026-11-25-1',25,'2026-11-25T13:14:56.702984+00:00','job finished','{"at":"2026-11-25T13:14:56.702984Z","step":"prove","heard":"yes","recogniser":"typed","kind":"job finished","open_points":["two steps not done"]}');
INSERT INTO "events" VALUES('2026-11-25-2',1,'2026-11-25T13:14:28.224860+00:00','job opened','{"at":"2026-11-25T13:14:28.224860Z","kind":"job opened","title":"Adjustment of the gate latch","revision":"1","procedure_sha256":"6e1f1bb607f5a4bfb7409874e8524bc08b03d18febc792d1318a55519082349c","procedure_text":"\ntitle: Adjustment of the gate latch\nitem: Bench gauge, pattern C\nrevision: 1\nsteps:\n  - id: load\n    do: Press the spring down and hook it.\n    dangers:\n      - say: Spring under load. Keep your face clear.\n        until: release\n  - id: set\n    do: Set the latch clearance.\n    fasteners: {count: 2, size: M2 x 5, head: cheese head, left-hand thread: true}\n    lubricant: {which: instrument oil, where: the pivot, how much: one drop}\n    why: Too tight and it sticks.\n    details: Use the long blade.\n    measure:\n      name: latch clearance\n      also: clearance\n      unit: thou\n      limits: [3, 5]\n      target: 4\n      tool: {name: feeler blades, resolution: 0.5 thou}\n  - id: cure\n    do: Put one drop of lacquer on the screw.\n    wait: {for: 10 minutes, name: lacquer}\n    rests on: set\n  - id: prove\n    do: Measure both clearances.\n    measure:\n      - {name: latch clearance, unit: thou, limits: [3, 5], when: as left}\n      - {name: stop gap, unit: mm, at most: 0.5}\n    rests on: [set, cure]\n  - id: release\n    do: Let the spring down.\n    check: Does the latch fall by itself?\n","procedure_name":"gate-latch","item":"Bench gauge, pattern C"}');
INSERT INTO "events" VALUES('2026-11-25-2',2,'2026-11-25T13:14:28.224860+00:00','step entered','{"at":"2026-11-25T13:14:28.224860Z","step":"load","kind":"step entered"}');
INSERT INTO "events" VALUES('2026-11-25-2',3,'2026-11-25T13:14:37.651936+00:00','step done','{"at":"2026-11-25T13:14:37.651936Z","step":"load","heard":"next","recogniser":"typed","kind":"step done","missing":[]}');
INSERT INTO "events" VALUES('2026-11-25-2',4,'2026-11-25T13:14:37.651936+00:00','step entered','{"at":"2026-11-25T13:14:37.651936Z","step":"set","heard":"next","recogniser":"typed","kind":"step entered"}');
INSERT INTO "events" VALUES('2026-11-25-2',5,'2026-11-25T13:14:49.503874+00:00','reading logged','{"at":"2026-11-25T13:14:49.503874Z","step":"set","heard":"log clearance four thou","recogniser":"typed","kind":"reading logged","id":"e5","characteristic":"latch clearance","occasion":"as set","value":"4","unit":"thou","as_said":"4 thou","decision":"in limits","limits":"3 to 5 thou","tool":"feeler blades","uncertainty":"0.25 thou"}');
INSERT INTO "events" VALUES('2026-11-25-2',6,'2026-11-25T13:14:52.135061+00:00','reading settled','{"at":"2026-11-25T13:14:52.135061Z","step":"set","kind":"reading settled","id":"e5"}');
CREATE TABLE jobs (
    id TEXT PRIMARY KEY NOT NULL,
    opened TEXT NOT NULL,
    title TEXT NOT NULL,
    procedure TEXT NOT NULL,
    item TEXT,
    serial TEXT,
    owner TEXT,
    steps INTEGER NOT NULL
);
INSERT INTO "jobs" VALUES('2026-11-25-1','2026-11-25T13:14:26.605943+00:00','Adjustment of the gate latch','gate-latch','Bench gauge, pattern C','114','Mill Lane',5);
INSERT INTO "jobs" VALUES('2026-11-25-2','2026-11-25T13:14:28.224860+00:00','Adjustment of the gate latch','gate-latch','Bench gauge, pattern C',NULL,NULL,5);
CREATE INDEX events_by_kind ON events (kind, job, seq);
CREATE TRIGGER events_stay BEFORE UPDATE ON events
    BEGIN SELECT RAISE(ABORT, 'events are never changed'); END;
CREATE TRIGGER events_are_kept BEFORE DELETE ON events
    BEGIN SELECT RAISE(ABORT, 'events are never deleted'); END;
CREATE TRIGGER events_follow BEFORE INSERT ON events
    WHEN NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM events WHERE job = NEW.job)
    BEGIN SELECT RAISE(ABORT, 'events are added at the end only'); END;
CREATE TRIGGER jobs_stay BEFORE UPDATE ON jobs
    BEGIN SELECT RAISE(ABORT, 'jobs are never changed'); END;
CREATE TRIGGER jobs_are_kept BEFORE DELETE ON jobs
    BEGIN SELECT RAISE(ABORT, 'jobs are never deleted'); END;
CREATE TRIGGER jobs_are_new BEFORE INSERT ON jobs
    WHEN EXISTS (SELECT 1 FROM jobs WHERE id = NEW.id)
    BEGIN SELECT RAISE(ABORT, 'jobs are never replaced'); END;
COMMIT;
