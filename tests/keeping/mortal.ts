/** Work in a process of its own that ends it, as a power cut would, at a moment that the test chose. */
import { writeSync } from 'node:fs'
import { backUp } from '../../gateway/store/sqlite/keeping/backup.ts'
import { restore } from '../../gateway/store/sqlite/keeping/restore.ts'

function die(): void {
  process.kill(process.pid, 'SIGKILL')
}

/** Says when it begins to copy; dies when its proof comes to `dieAt`, or is killed by the test. */
export function backup(ask: { source: string; folder: string; at: number; dieAt: string }): void {
  const progress = ({ stage }: { stage: string }) => {
    writeSync(1, `${stage}\n`)
    if (stage === ask.dieAt) die()
  }
  backUp(ask, { progress })
}

/** Says why it was refused, where it was. */
export function refusedBackup(ask: { source: string; folder: string; at: number }): void {
  try {
    backUp(ask)
    writeSync(1, 'made')
  } catch (error) {
    writeSync(1, error instanceof Error ? `${error.name}: ${error.message}` : String(error))
  }
}

export function bringBack(ask: { backup: string; target: string; over: boolean; at: number; dieAt: string }): void {
  const dieAt = (name: string) => {
    if (name === ask.dieAt) die()
  }
  restore(ask, { progress: ({ stage }) => dieAt(stage), step: dieAt })
}
