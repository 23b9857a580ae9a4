/** Names of backups: the moment they are of, in UTC, in letters that every file system takes and that sort by time. */
import { existsSync } from 'node:fs'
import type { EpochMs } from '../../../../shared/time.ts'

const pattern = /^cirewatch-(\d{4}-\d\d-\d\d)T(\d\d)-(\d\d)-(\d\d)Z\.db$/

/** 2026-11-25T03-00-00Z, to the second. */
export function stampOf(at: EpochMs): string {
  return `${new Date(at).toISOString().slice(0, 19).replaceAll(':', '-')}Z`
}

export function backupName(at: EpochMs): string {
  return `cirewatch-${stampOf(at)}.db`
}

/** When a backup of this name was made; null where the name is none of ours. */
export function timeOfBackup(name: string): EpochMs | null {
  const [, day, hour, minute, second] = pattern.exec(name) ?? []
  if (day === undefined) return null
  const at = Date.parse(`${day}T${hour}:${minute}:${second}Z`)
  // A day that no calendar has is no name of ours either.
  return Number.isNaN(at) || backupName(at) !== name ? null : at
}

/** What a backup is called until it is verified, and how one that was never finished is known. */
export function halfName(name: string): string {
  return `${name}.half`
}

export function isHalf(name: string): boolean {
  return /^cirewatch-[\dTZ-]+\.db\.half(-journal|-wal|-shm)?$/.test(name)
}

/** The name itself, or with a number behind it where it is taken. */
export function freeName(wish: string): string {
  for (let n = 1; ; n++) {
    const name = n === 1 ? wish : `${wish}-${n}`
    if (!existsSync(name)) return name
  }
}
