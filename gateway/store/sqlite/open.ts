/** Opens the database file so that a commit means "on disk", or refuses with one sentence and touches nothing. */
import { accessSync, constants, mkdirSync, statSync } from 'node:fs'
import { dirname } from 'node:path'
import Database from 'better-sqlite3'
import { StoreRefusal } from '../refusal.ts'
import { copyBefore } from './keeping/before.ts'
import { type Lock, takeLock } from './lock.ts'
import { inspect, migrate, schemaVersion } from './migrations.ts'

export interface OpenFile {
  db: Database.Database
  lock: Lock
}

/** How long a statement waits for a foreign connection (a person with a database tool) before it fails. The loop stands still meanwhile. */
const foreignLockMsMax = 250

/** Pages in the write-ahead log before they are moved home. Reason: four times the default writes the hot pages a quarter as often. */
const walPagesMax = 4_000

/** Memory for pages, kB. Reason: the tails of 10,000 series at 4 kB would be 40 MB; a fifth of them must not push the gateway past its limit. */
const cacheKb = 8_000

export function openFile(file: string): OpenFile {
  mustBeWritable(file)
  const lock = refusing(file, () => takeLock(file))
  try {
    return refusing(file, () => {
      const version = inspectFile(file)
      if (version > 0 && version < schemaVersion) copyBefore(file, version)
      const db = new Database(file, { timeout: foreignLockMsMax })
      try {
        makeDurable(db, file)
        migrate(db)
      } catch (error) {
        db.close()
        throw error
      }
      return { db, lock }
    })
  } catch (error) {
    lock.undo()
    throw error
  }
}

function mustBeWritable(file: string): void {
  const folder = dirname(file)
  try {
    mkdirSync(folder, { recursive: true })
    accessSync(folder, constants.W_OK)
  } catch (error) {
    throw new StoreRefusal(`The folder ${folder} cannot be written (${codeOf(error)}).`)
  }
  if (sizeOf(file) === null) return
  try {
    accessSync(file, constants.R_OK | constants.W_OK)
  } catch (error) {
    throw new StoreRefusal(`The database ${file} cannot be written (${codeOf(error)}).`)
  }
}

/**
 * Looks before anything is written, and gives the version found; 0 where there is nothing yet. A log that a crash left behind would be
 * moved home by closing a writable connection, so then we look through a read-only one; without a log it is the other way round, for a
 * read-only connection would leave files behind.
 */
function inspectFile(file: string): number {
  const bytes = sizeOf(file)
  if (bytes === null || bytes === 0) return 0
  const logLeft = (sizeOf(`${file}-wal`) ?? 0) > 0
  const db = new Database(file, { readonly: logLeft, fileMustExist: true, timeout: foreignLockMsMax })
  try {
    inspect(db, file)
    return db.pragma('user_version', { simple: true }) as number
  } finally {
    db.close()
  }
}

/** better-sqlite3 re-opens a database in log mode with synchronous=NORMAL, so it is set on every open, and read back. */
function makeDurable(db: Database.Database, file: string): void {
  db.pragma('journal_mode = WAL')
  db.pragma('synchronous = FULL')
  // On macOS a plain fsync stops in the drive's memory; elsewhere these two change nothing.
  db.pragma('fullfsync = ON')
  db.pragma('checkpoint_fullfsync = ON')
  db.pragma(`wal_autocheckpoint = ${walPagesMax}`)
  db.pragma(`cache_size = -${cacheKb}`)
  const mode = db.pragma('journal_mode', { simple: true })
  const synchronous = db.pragma('synchronous', { simple: true })
  if (mode !== 'wal' || synchronous !== 2)
    throw new StoreRefusal(
      `The database ${file} cannot be kept safe on this file system (journal ${mode}, synchronous ${synchronous}).`,
    )
}

/** Turns what SQLite says into one sentence for a person. */
function refusing<T>(file: string, work: () => T): T {
  try {
    return work()
  } catch (error) {
    if (!(error instanceof Database.SqliteError)) throw error
    throw new StoreRefusal(sentenceFor(error.code, file))
  }
}

function sentenceFor(code: string, file: string): string {
  if (code === 'SQLITE_NOTADB') return `The file ${file} is not a Cirewatch database; it was left as it is.`
  if (code.startsWith('SQLITE_CORRUPT')) return `The database ${file} is damaged; it was left as it is.`
  if (code.startsWith('SQLITE_BUSY')) return `Another program holds the database ${file}; close it and start again.`
  if (code === 'SQLITE_FULL') return `The disk is full; the database ${file} could not be opened.`
  return `The database ${file} cannot be opened or written (${code}).`
}

function sizeOf(file: string): number | null {
  return statSync(file, { throwIfNoEntry: false })?.size ?? null
}

function codeOf(error: unknown): string {
  return error instanceof Error && 'code' in error ? String(error.code) : String(error)
}
