/** A backup in a process of its own: nothing that arrives meanwhile waits for it, and a gateway that is asked to stop can end it at once. */
import { constants, setPriority } from 'node:os'
import { backUp, type BackupAsk, type BackupDone, type BackupProgress } from './backup.ts'

/** What comes back: any number of progress, then how it ended. */
export type BackupTold = { progress: BackupProgress } | { done: BackupDone } | { refused: string }

const tell = (told: BackupTold, then: () => void = () => {}) => {
  if (process.connected) process.send?.(told, undefined, undefined, then)
  else then()
}

/** Only once the last word has left: a line that is cut with words still in it takes them along. */
const end = () => process.exit()

function obey(ask: BackupAsk): void {
  try {
    // Readings come first, also where there is one core.
    setPriority(constants.priority.PRIORITY_BELOW_NORMAL)
    tell({ done: backUp(ask, { progress: (progress) => tell({ progress }) }) }, end)
  } catch (error) {
    tell({ refused: error instanceof Error ? error.message : String(error) }, end)
  }
}

process.once('message', (ask: BackupAsk) => obey(ask))
