/** One backup: a whole copy of the database as it is at one moment, taken while readings arrive, verified before it gets its name. */
import { existsSync, mkdirSync, readdirSync, renameSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import type { EpochMs } from '../../../../shared/time.ts'
import { StoreRefusal } from '../../refusal.ts'
import { bytesOf, bytesWithLog, type FreeBytes, freeBytes, mustFit, syncFile, syncFolder } from './disk.ts'
import { backupName, halfName, isHalf } from './names.ts'
import { openToRead, type Progress, verify } from './verify.ts'

export interface BackupAsk {
  /** The database of a gateway, running or not. */
  source: string
  folder: string
  /** The moment it is called after. */
  at: EpochMs
}

export interface BackupDone {
  name: string
  at: EpochMs
  bytes: number
  readings: number
  series: number
  /** Entries of the journal that are no readings. */
  entries: number
}

/** `copying` until the copy is on the disk, then what its proof looks at. */
export type BackupProgress = { stage: 'copying'; half: string; bytes: number } | Progress

export interface BackupOptions {
  progress?: (progress: BackupProgress) => void
  free?: FreeBytes
}

/**
 * Works on the thread it is called on, for as long as it takes. Reads through a connection of its own: one read transaction while it
 * copies, so the log of a running gateway grows meanwhile by what arrives. Whatever ends it early leaves at most a file that says of
 * itself that it is half, which the next backup takes away. An existing file is never written over.
 */
export function backUp({ source, folder, at }: BackupAsk, options: BackupOptions = {}): BackupDone {
  const { progress = () => {}, free = freeBytes } = options
  const name = backupName(at)
  const target = join(folder, name)
  const half = join(folder, halfName(name))
  makeFolder(folder)
  removeHalves(folder)
  if (existsSync(target)) throw new StoreRefusal(`There is a backup ${target} already; it was left as it is.`)
  const bytes = bytesWithLog(source)
  mustFit(bytes, folder, 'the backup', free)
  try {
    progress({ stage: 'copying', half, bytes })
    vacuumInto(source, half)
    syncFile(half)
    const proof = verify(half, { fingerprints: false, progress })
    if (!proof.sound)
      throw new StoreRefusal(`The backup is not sound and was not kept: ${proof.told[0] ?? 'it cannot be read.'}`)
    // Two backups of one second: only one gets the name.
    if (existsSync(target)) throw new StoreRefusal(`There is a backup ${target} already; it was left as it is.`)
    renameSync(half, target)
    syncFolder(folder)
    const { readings, series, journal } = proof
    return { name, at, bytes: bytesOf(target), readings, series: series.length, entries: journal.entries }
  } catch (error) {
    rmSync(half, { force: true })
    throw refusalOf(error, folder)
  }
}

function makeFolder(folder: string): void {
  try {
    mkdirSync(folder, { recursive: true })
  } catch (error) {
    throw refusalOf(error, folder)
  }
}

/** Everything of a database, its log included, as one file that needs none. */
export function vacuumInto(source: string, half: string): void {
  const db = openToRead(source)
  try {
    // SQLite counts a copy elsewhere as writing.
    db.pragma('query_only = OFF')
    db.prepare('VACUUM INTO ?').run(half)
  } finally {
    db.close()
  }
}

/** What a killed gateway left behind. */
function removeHalves(folder: string): void {
  for (const name of readdirSync(folder)) if (isHalf(name)) rmSync(join(folder, name), { force: true })
}

function refusalOf(error: unknown, folder: string): StoreRefusal {
  if (error instanceof StoreRefusal) return error
  const code = error instanceof Error && 'code' in error ? String(error.code) : ''
  if (code === 'SQLITE_FULL' || code === 'ENOSPC')
    return new StoreRefusal(`The disk became full while the backup was written to ${folder}; nothing of it was kept.`)
  if (code.startsWith('SQLITE_CORRUPT'))
    return new StoreRefusal('The database is damaged and cannot be copied; `cirewatch verify` says where.')
  if (code !== '') return new StoreRefusal(`The backup could not be written to ${folder} (${code}).`)
  return new StoreRefusal(`The backup could not be made: ${error instanceof Error ? error.message : String(error)}`)
}
