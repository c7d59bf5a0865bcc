BEGIN TRANSACTION;
CREATE TABLE boottop_schema (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT boottop_schema_pkc PRIMARY KEY (version_num)
);
INSERT INTO "boottop_schema" VALUES('0001');
CREATE TABLE documents (
	job TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	name TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	saved TEXT NOT NULL, 
	content BLOB, 
	sha256 TEXT NOT NULL, 
	CONSTRAINT pk_documents PRIMARY KEY (job, kind, name, version), 
	CONSTRAINT fk_documents_job FOREIGN KEY(job) REFERENCES jobs (id)
);
INSERT INTO "documents" VALUES('00000000-0000-4000-8000-0000000003e7','job','job.toml',1,'2026-04-18T09:30:15.123456Z',X'5B626F61745D0A','x');
CREATE TABLE events (
	job TEXT NOT NULL, 
	seq BIGINT NOT NULL, 
	id TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	happened TEXT NOT NULL, 
	recorded TEXT NOT NULL, 
	received TEXT NOT NULL, 
	device TEXT NOT NULL, 
	device_order BIGINT NOT NULL, 
	who TEXT NOT NULL, 
	zone TEXT, 
	data TEXT NOT NULL, 
	chain TEXT NOT NULL, 
	CONSTRAINT pk_events PRIMARY KEY (job, seq), 
	CONSTRAINT fk_events_job FOREIGN KEY(job) REFERENCES jobs (id), 
	CONSTRAINT uq_events_id UNIQUE (id)
);
INSERT INTO "events" VALUES('00000000-0000-4000-8000-0000000003e7',1,'00000000-0000-4000-8000-000000000001','coat_finished','2026-04-18T09:31:15.123456Z','2026-04-18T09:33:15.123456Z','2026-04-18T09:30:15.123456Z','phone-a',1,'Ana','topside port','{"coat":2,"litres":1.75,"people":null,"product":"demo-copper-epoxy-a"}','2a1f4231d6a071a2113a52f3cf2c255565511a9eeffd24b050c6188b42ee966e');
INSERT INTO "events" VALUES('00000000-0000-4000-8000-0000000003e7',2,'00000000-0000-4000-8000-000000000002','coat_finished','2026-04-18T09:32:15.123456Z','2026-04-18T09:34:15.123456Z','2026-04-18T09:30:15.123456Z','phone-a',2,'Ana','topside port','{"coat":2,"litres":1.75,"people":null,"product":"demo-copper-epoxy-a"}','4fe71421ee39f3663770167f474f792b06a188db1d02ce52bf17dbd9a0184732');
INSERT INTO "events" VALUES('00000000-0000-4000-8000-0000000003e7',3,'00000000-0000-4000-8000-000000000003','coat_finished','2026-04-18T09:33:15.123456Z','2026-04-18T09:35:15.123456Z','2026-04-18T09:30:15.123456Z','phone-a',3,'Ana','topside port','{"coat":2,"litres":1.75,"people":null,"product":"demo-copper-epoxy-a"}','8202b169e4e5c67437b7df0d4ccb68749ae1060ad49bbabaed4ab0b93227d4a4');
INSERT INTO "events" VALUES('00000000-0000-4000-8000-0000000003e7',4,'00000000-0000-4000-8000-000000000004','coat_finished','2026-04-18T09:34:15.123456Z','2026-04-18T09:36:15.123456Z','2026-04-18T09:30:15.123456Z','phone-a',4,'Ana','topside port','{"coat":2,"litres":1.75,"people":null,"product":"demo-copper-epoxy-a"}','4786485dfc52fd429f6d6e5b2c8cabad74ec8a51c3b3d45e6b6c260b65a42f33');
INSERT INTO "events" VALUES('00000000-0000-4000-8000-0000000003e7',5,'00000000-0000-4000-8000-000000000005','coat_finished','2026-04-18T09:35:15.123456Z','2026-04-18T09:37:15.123456Z','2026-04-18T09:30:15.123456Z','phone-a',5,'Ana','topside port','{"coat":2,"litres":1.75,"people":null,"product":"demo-copper-epoxy-a"}','9af6c027a5e3ff45e545eb3aaf577be4eb3ecbe73c69863ac9f59d253df24cd5');
INSERT INTO "events" VALUES('00000000-0000-4000-8000-0000000003e7',6,'00000000-0000-4000-8000-000000000006','coat_finished','2026-04-18T09:36:15.123456Z','2026-04-18T09:38:15.123456Z','2026-04-18T09:30:15.123456Z','phone-a',6,'Ana','topside port','{"coat":2,"litres":1.75,"people":null,"product":"demo-copper-epoxy-a"}','eef667c72b5ee53c61d6aac2103c59886bb2daee3f5f26afd1c4ee6e07633dcc');
INSERT INTO "events" VALUES('00000000-0000-4000-8000-0000000003e7',7,'00000000-0000-4000-8000-000000000007','coat_finished','2026-04-18T09:37:15.123456Z','2026-04-18T09:39:15.123456Z','2026-04-18T09:30:15.123456Z','phone-a',7,'Ana','topside port','{"coat":2,"litres":1.75,"people":null,"product":"demo-copper-epoxy-a"}','9ca3a3e3945ba280581a56e961adc6228d43e00396f4a32cd7e076c423c6552d');
INSERT INTO "events" VALUES('00000000-0000-4000-8000-0000000003e7',8,'00000000-0000-4000-8000-000000000008','coat_finished','2026-04-18T09:38:15.123456Z','2026-04-18T09:40:15.123456Z','2026-04-18T09:30:15.123456Z','phone-a',8,'Ana','topside port','{"coat":2,"litres":1.75,"people":null,"product":"demo-copper-epoxy-a"}','b9108d603e4a76ce3a774939f37c4a1555cfc9db4f409c04359d622f8c958c27');
INSERT INTO "events" VALUES('00000000-0000-4000-8000-0000000003e7',9,'00000000-0000-4000-8000-000000000009','coat_finished','2026-04-18T09:39:15.123456Z','2026-04-18T09:41:15.123456Z','2026-04-18T09:30:15.123456Z','phone-a',9,'Ana','topside port','{"coat":2,"litres":1.75,"people":null,"product":"demo-copper-epoxy-a"}','47267a4f1780eee5b5be073c0b5cc0b6c673b429590f6f314185321e44fb690e');
INSERT INTO "events" VALUES('00000000-0000-4000-8000-0000000003e7',10,'00000000-0000-4000-8000-00000000000a','coat_finished','2026-04-18T09:40:15.123456Z','2026-04-18T09:42:15.123456Z','2026-04-18T09:30:15.123456Z','phone-a',10,'Ana','topside port','{"coat":2,"litres":1.75,"people":null,"product":"demo-copper-epoxy-a"}','641e3d80f1524ddfddd9113f3f5732648e4f5aed054d0d7f470e52930aa9b547');
INSERT INTO "events" VALUES('00000000-0000-4000-8000-0000000003e7',11,'00000000-0000-4000-8000-00000000000b','coat_finished','2026-04-18T09:41:15.123456Z','2026-04-18T09:43:15.123456Z','2026-04-18T09:30:15.123456Z','phone-a',11,'Ana','topside port','{"coat":2,"litres":1.75,"people":null,"product":"demo-copper-epoxy-a"}','4c25bf5c62903a240aba8ec4e8aba4d0200d6b0d211a66355cdd8831736f516a');
INSERT INTO "events" VALUES('00000000-0000-4000-8000-0000000003e7',12,'00000000-0000-4000-8000-00000000000c','coat_finished','2026-04-18T09:42:15.123456Z','2026-04-18T09:44:15.123456Z','2026-04-18T09:30:15.123456Z','phone-a',12,'Ana','topside port','{"coat":2,"litres":1.75,"people":null,"product":"demo-copper-epoxy-a"}','c4a99f875f9685b3c9e774b5fd187e11eec78ae47fce3c838e46d0ceb9b96046');
CREATE TABLE jobs (
	id TEXT NOT NULL, 
	name TEXT NOT NULL, 
	created TEXT NOT NULL, 
	events BIGINT NOT NULL, 
	head TEXT NOT NULL, 
	CONSTRAINT pk_jobs PRIMARY KEY (id)
);
INSERT INTO "jobs" VALUES('00000000-0000-4000-8000-0000000003e7','Gannet 2026','2026-04-18T09:30:15.123456Z',12,'c4a99f875f9685b3c9e774b5fd187e11eec78ae47fce3c838e46d0ceb9b96046');
CREATE TABLE photos (
	job TEXT NOT NULL, 
	sha256 TEXT NOT NULL, 
	size_bytes BIGINT NOT NULL, 
	content_type TEXT NOT NULL, 
	path TEXT NOT NULL, 
	received TEXT NOT NULL, 
	CONSTRAINT pk_photos PRIMARY KEY (job, sha256), 
	CONSTRAINT fk_photos_job FOREIGN KEY(job) REFERENCES jobs (id)
);
CREATE TRIGGER events_no_update BEFORE UPDATE ON events BEGIN SELECT RAISE(ABORT, 'events are never changed: a correction is a new event'); END;
CREATE TRIGGER events_no_delete BEFORE DELETE ON events BEGIN SELECT RAISE(ABORT, 'events are never deleted: a correction is a new event'); END;
COMMIT;
