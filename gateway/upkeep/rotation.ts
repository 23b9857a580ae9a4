/** Which backup is due and which may go: rules over a list of moments. Pure. */
import type { BackupListed } from '../../shared/contract/index.ts'
import { type EpochMs, hourMs } from '../../shared/time.ts'

/** When the next one is due; now where there is none yet. A backup from the future was made by a wrong clock and counts for nothing here. */
export function dueAt(backups: readonly BackupListed[], everyHours: number, now: EpochMs): EpochMs {
  const newest = backups.reduce((most, { at }) => (at <= now ? Math.max(most, at) : most), Number.NEGATIVE_INFINITY)
  return newest === Number.NEGATIVE_INFINITY ? now : newest + everyHours * hourMs
}

/** Those beyond the newest `keep`, oldest first. What lies in the future is left alone until its time has come. */
export function surplus(backups: readonly BackupListed[], keep: number, now: EpochMs): BackupListed[] {
  return backups
    .filter(({ at }) => at <= now)
    .sort((a, b) => b.at - a.at)
    .slice(keep)
    .reverse()
}
