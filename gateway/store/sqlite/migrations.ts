/** The shape of the database, as ordered steps; each is applied once, in one transaction with the version it leads to. */
import type { Database } from 'better-sqlite3'
import { StoreRefusal } from '../refusal.ts'
import { Shelf } from './shelf.ts'

/** Marks a database file as ours: the letters "Cire". */
export const applicationId = 0x43697265

/**
 * Step n leads to version n + 1. A step that has been released never changes.
 *
 * A delivery is the readings of one commit in order of arrival, as two columns of numbers (32-bit series, 64-bit float instant,
 * little-endian). It stands in for an index by seq, which would cost every append a sixth of its speed; replay looks each reading up, as long as it is a row.
 * `quality` and `reason` are places in the lists of the contract, which therefore only ever grow at their end.
 */
const steps: readonly ((db: Database) => void)[] = [
  sql(`CREATE TABLE series (
     id INTEGER PRIMARY KEY,
     name TEXT NOT NULL UNIQUE
   ) STRICT;
   CREATE TABLE reading (
     series INTEGER NOT NULL,
     measured_at INTEGER NOT NULL,
     seq INTEGER NOT NULL,
     arrived_at INTEGER NOT NULL,
     value REAL NOT NULL,
     quality INTEGER NOT NULL,
     reason INTEGER,
     claimed_at INTEGER,
     PRIMARY KEY (series, measured_at)
   ) STRICT, WITHOUT ROWID;
   CREATE TABLE claim (
     series INTEGER NOT NULL,
     claimed_at INTEGER NOT NULL,
     measured_at INTEGER NOT NULL,
     PRIMARY KEY (series, claimed_at)
   ) STRICT, WITHOUT ROWID;
   CREATE TABLE delivery (
     first_seq INTEGER PRIMARY KEY,
     series BLOB NOT NULL,
     instants BLOB NOT NULL
   ) STRICT;
   CREATE TABLE note (
     seq INTEGER PRIMARY KEY,
     kind TEXT NOT NULL,
     body TEXT NOT NULL,
     once TEXT
   ) STRICT;
   CREATE UNIQUE INDEX note_once ON note (once) WHERE once IS NOT NULL;
   CREATE INDEX note_kind ON note (kind, seq);
   CREATE TABLE pruned (
     kind TEXT PRIMARY KEY,
     entries INTEGER NOT NULL,
     newest_seq INTEGER NOT NULL
   ) STRICT, WITHOUT ROWID;
   CREATE TABLE finding (
     id TEXT PRIMARY KEY,
     station TEXT NOT NULL,
     since INTEGER NOT NULL,
     raised_seq INTEGER NOT NULL,
     cleared_at INTEGER,
     body TEXT NOT NULL
   ) STRICT;
   CREATE INDEX finding_since ON finding (since, raised_seq, id);
   CREATE INDEX finding_station ON finding (station, since, raised_seq, id);
   CREATE TABLE snapshot (
     id INTEGER PRIMARY KEY CHECK (id = 1),
     seq INTEGER NOT NULL,
     state TEXT NOT NULL,
     shape INTEGER NOT NULL
   ) STRICT;`),
  // Sealed hours. A sheet holds the headers of one series and one UTC day; its id is made of both (sheetIdOf). A block is in as many
  // spans of seq as it has readings in. `sealing` keeps what need not be counted,
  // and the head, for a delivery goes once all its readings are in blocks.
  sql(`CREATE TABLE sheet (
     id INTEGER PRIMARY KEY,
     headers BLOB NOT NULL
   ) STRICT;
   CREATE TABLE block (
     id INTEGER PRIMARY KEY,
     series INTEGER NOT NULL,
     course BLOB NOT NULL,
     arrival BLOB NOT NULL
   ) STRICT;
   CREATE TABLE seq_span (
     span INTEGER NOT NULL,
     block INTEGER NOT NULL,
     PRIMARY KEY (span, block)
   ) STRICT, WITHOUT ROWID;
   CREATE TABLE sealing (
     id INTEGER PRIMARY KEY CHECK (id = 1),
     head INTEGER NOT NULL,
     blocks INTEGER NOT NULL,
     readings INTEGER NOT NULL,
     bytes INTEGER NOT NULL
   ) STRICT;
   INSERT INTO sealing (id, head, blocks, readings, bytes) VALUES (1, 0, 0, 0, 0);`),
  // Readings of each series in blocks, so that a start need not count them in ten years of headers.
  (db) => {
    db.exec('ALTER TABLE series ADD COLUMN sealed INTEGER NOT NULL DEFAULT 0')
    const shelf = new Shelf(db)
    const count = db.prepare<[number, number]>('UPDATE series SET sealed = ? WHERE id = ?')
    for (const id of db.prepare<[], number>('SELECT id FROM series').pluck().all()) count.run(shelf.countOf(id), id)
  },
]

function sql(text: string): (db: Database) => void {
  return (db) => db.exec(text)
}

export const schemaVersion = steps.length

/** Throws a StoreRefusal unless this file is empty, or ours and no newer than we are. Only reads. */
export function inspect(db: Database, file: string): void {
  const version = db.pragma('user_version', { simple: true }) as number
  const owner = db.pragma('application_id', { simple: true }) as number
  const tables = db.prepare('SELECT count(*) FROM sqlite_schema').pluck().get() as number
  if (owner === 0 && version === 0 && tables === 0) return
  if (owner !== applicationId)
    throw new StoreRefusal(`The file ${file} is not a Cirewatch database; it was left as it is.`)
  if (version > schemaVersion)
    throw new StoreRefusal(
      `The database ${file} was written by a newer Cirewatch (its version is ${version}, this one knows ${schemaVersion}); it was left as it is.`,
    )
}

/** Brings an inspected database to our version. */
export function migrate(db: Database): void {
  db.transaction(() => {
    const version = db.pragma('user_version', { simple: true }) as number
    for (const step of steps.slice(version)) step(db)
    db.pragma(`application_id = ${applicationId}`)
    db.pragma(`user_version = ${schemaVersion}`)
  }).immediate()
}
