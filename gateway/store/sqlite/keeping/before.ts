/** A database of an older version is copied before it is changed; the copy stays until a person takes it away. */
import { existsSync, renameSync, rmSync, statSync } from 'node:fs'
import { dirname } from 'node:path'
import Database from 'better-sqlite3'
import { StoreRefusal } from '../../refusal.ts'
import { applicationId } from '../migrations.ts'
import { bytesOf, bytesWithLog, copyToDisk, type FreeBytes, freeBytes, mustFit, syncFolder } from './disk.ts'
import { freeName, stampOf } from './names.ts'

/**
 * Call it while holding the lock. The copy is called after the moment the database was last written, so a second try after a crash finds
 * the first one's copy. Resolves with its name; throws a StoreRefusal, having changed nothing, where it cannot be made.
 */
export function copyBefore(file: string, version: number, free: FreeBytes = freeBytes): string {
  const folder = dirname(file)
  try {
    gather(file)
    const wish = `${file}.v${version}-${stampOf(Math.floor(statSync(file).mtimeMs))}`
    if (isCopy(wish, file, version)) return wish
    mustFit(bytesWithLog(file), folder, `the copy of the database of version ${version}`, free)
    const copy = freeName(wish)
    const half = `${copy}.half`
    rmSync(half, { force: true })
    copyToDisk(file, half)
    if (!isCopy(half, file, version))
      throw new StoreRefusal(`The copy ${half} cannot be read back; the database ${file} was left as it is.`)
    renameSync(half, copy)
    syncFolder(folder)
    return copy
  } catch (error) {
    if (error instanceof StoreRefusal) throw error
    const code = error instanceof Error && 'code' in error ? String(error.code) : String(error)
    throw new StoreRefusal(
      `The database ${file} is of an older version and must be copied before it is changed, which failed (${code}); it was left as it is.`,
    )
  }
}

/** Moves what a crash left in the log home, so that the one file holds everything. */
function gather(file: string): void {
  const db = new Database(file, { fileMustExist: true })
  try {
    db.pragma('synchronous = FULL')
    const [{ busy } = { busy: 0 }] = db.pragma('wal_checkpoint(TRUNCATE)') as { busy: number }[]
    if (busy !== 0) throw new StoreRefusal(`Another program reads the database ${file}; close it and start again.`)
  } finally {
    db.close()
  }
}

/** True where it opens, is whole, of this version and of the same size. */
function isCopy(copy: string, file: string, version: number): boolean {
  if (!existsSync(copy) || bytesOf(copy) !== bytesOf(file)) return false
  const db = new Database(copy, { fileMustExist: true })
  try {
    db.pragma('query_only = ON')
    const found = db.pragma('quick_check', { simple: true })
    const owner = db.pragma('application_id', { simple: true })
    return found === 'ok' && owner === applicationId && db.pragma('user_version', { simple: true }) === version
  } catch {
    return false
  } finally {
    db.close()
  }
}
