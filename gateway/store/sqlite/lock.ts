/** One gateway at a time: a lock held on a file beside the database, which the system lets go by itself when the process dies. */
import { existsSync, rmSync } from 'node:fs'
import Database from 'better-sqlite3'
import { StoreRefusal } from '../refusal.ts'

export interface Lock {
  release(): void
  /** Lets go and takes the lock file away again, if there was none before. */
  undo(): void
}

/**
 * The lock is not taken on the database itself, so that a second connection may still read it (long scans, a copy for safe keeping).
 * An exclusive transaction that never writes leaves the lock file empty.
 */
export function takeLock(file: string): Lock {
  const path = `${file}.lock`
  const isNew = !existsSync(path)
  const db = new Database(path, { timeout: 0 })
  try {
    db.pragma('journal_mode = MEMORY')
    db.exec('BEGIN EXCLUSIVE')
  } catch (error) {
    db.close()
    if (error instanceof Database.SqliteError && error.code === 'SQLITE_BUSY')
      throw new StoreRefusal(`Another gateway is using the database ${file}; two must not share one.`)
    throw error
  }
  return {
    release: () => {
      db.close()
    },
    undo: () => {
      if (isNew) rmSync(path, { force: true })
      db.close()
    },
  }
}
