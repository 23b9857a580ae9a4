/** Puts a backup in the place of the gateway's database, so that whatever ends it early leaves a whole database there, the old or the new. */
import { existsSync, linkSync, mkdirSync, readdirSync, renameSync, rmSync, statSync } from 'node:fs'
import { basename, dirname, join } from 'node:path'
import Database from 'better-sqlite3'
import type { EpochMs } from '../../../../shared/time.ts'
import { StoreRefusal } from '../../refusal.ts'
import { takeLock } from '../lock.ts'
import { vacuumInto } from './backup.ts'
import { bytesOf, bytesWithLog, copyToDisk, type FreeBytes, freeBytes, mustFit, syncFile, syncFolder } from './disk.ts'
import { freeName, stampOf } from './names.ts'
import { type Progress, type Proof, verify } from './verify.ts'

export interface RestoreAsk {
  backup: string
  /** The database that a gateway opens. */
  target: string
  /** Without it an existing database is never touched. */
  over: boolean
  /** The old one is called after this moment. */
  at: EpochMs
}

export interface RestoreOptions {
  progress?: (progress: Progress) => void
  free?: FreeBytes
  /** Between two steps: where a test ends the process. */
  step?: (name: RestoreStep) => void
}

export type RestoreStep = 'copied' | 'gathered' | 'kept' | 'cleared' | 'placed'

export interface Restored {
  proof: Proof
  /** Where the old database lies now; null where there was none. */
  kept: string | null
}

export function restore(ask: RestoreAsk, options: RestoreOptions = {}): Restored {
  const { backup, target, over } = ask
  const proof = verify(backup, { ...(options.progress && { progress: options.progress }) })
  if (!proof.sound)
    throw new StoreRefusal(
      `The backup ${backup} is not sound and was not put in place: ${proof.told[0] ?? 'it cannot be read.'} \`cirewatch verify ${backup}\` tells everything.`,
    )
  mkdirSync(dirname(target), { recursive: true })
  const lock = takeLock(target)
  try {
    if (existsSync(target) && !over)
      throw new StoreRefusal(
        `There is a database ${target} already; it was left as it is. With --over it is kept beside under another name.`,
      )
    const kept = put(proof, ask, options)
    lock.release()
    return { proof, kept }
  } catch (error) {
    lock.undo()
    throw error
  }
}

function put(proof: Proof, { backup, target, at }: RestoreAsk, options: RestoreOptions): string | null {
  const { free = freeBytes, step = () => {}, progress } = options
  const folder = dirname(target)
  const half = `${target}.half`
  removeWithLogs(half)
  mustFit(bytesWithLog(backup), folder, 'the database', free)
  try {
    // Not file by file: a backup that somebody opened may have a log of its own.
    vacuumInto(backup, half)
    syncFile(half)
    // What is put in place must be what was proved: every reading once more, from the copy.
    if (verify(half, { ...(progress && { progress }) }).fingerprint !== proof.fingerprint)
      throw new StoreRefusal(`What was written to ${half} is not what was read from ${backup}; nothing was changed.`)
    step('copied')
    const kept = existsSync(target) ? keepOld(target, at, step) : null
    // The log of the old one must never meet the new one. It is empty by now, so without it the old one is whole all the same.
    removeLogs(target)
    syncFolder(folder)
    step('cleared')
    renameSync(half, target)
    syncFolder(folder)
    step('placed')
    return kept
  } catch (error) {
    removeWithLogs(half)
    if (error instanceof StoreRefusal) throw error
    const code = error instanceof Error && 'code' in error ? String(error.code) : String(error)
    throw new StoreRefusal(`The backup could not be put in place (${code}); what lies at ${target} is whole.`)
  }
}

function removeLogs(file: string): void {
  for (const log of ['-wal', '-shm', '-journal']) rmSync(`${file}${log}`, { force: true })
}

function removeWithLogs(file: string): void {
  rmSync(file, { force: true })
  removeLogs(file)
}

/** Gives the old one a second name, under which it stays. It keeps its first one until the new one takes it. */
function keepOld(target: string, at: EpochMs, step: (name: RestoreStep) => void): string {
  forgetSecondNames(target)
  const kept = freeName(`${target}.before-${stampOf(at)}`)
  gather(target)
  step('gathered')
  secondName(target, kept)
  // Only where the old one is too damaged to be gathered is anything left in its log.
  if (bytesOf(`${target}-wal`) > 0) secondName(`${target}-wal`, `${kept}-wal`)
  syncFolder(dirname(target))
  step('kept')
  return kept
}

/** Moves what is in the log home. A damaged database may not let itself be gathered; then its log is kept beside it. */
function gather(target: string): void {
  let db: Database.Database | undefined
  try {
    db = new Database(target, { fileMustExist: true, timeout: 0 })
    db.pragma('synchronous = FULL')
    const [{ busy } = { busy: 0 }] = db.pragma('wal_checkpoint(TRUNCATE)') as { busy: number }[]
    if (busy !== 0)
      throw new StoreRefusal(`Another program reads the database ${target}; close it, then restore again.`)
  } catch (error) {
    if (!(error instanceof Database.SqliteError)) throw error
    if (error.code.startsWith('SQLITE_BUSY'))
      throw new StoreRefusal(`Another program holds the database ${target}; close it, then restore again.`)
  } finally {
    db?.close()
  }
}

/** An earlier restore that was killed may have left the database with two names. One file with two names must not be opened by both. */
function forgetSecondNames(target: string): void {
  const { ino, nlink } = statSync(target)
  if (nlink < 2) return
  const beside = readdirSync(dirname(target)).filter((name) => name.startsWith(`${basename(target)}.before-`))
  for (const path of beside.map((name) => join(dirname(target), name))) if (statSync(path).ino === ino) rmSync(path)
}

function secondName(from: string, to: string): void {
  try {
    linkSync(from, to)
  } catch {
    // Some file systems know no second name for a file.
    copyToDisk(from, to)
  }
  syncFile(to)
}
