/** Says on stderr how far long work has come: in place on a terminal, in some lines elsewhere. */
import type { BackupProgress } from '../store/sqlite/keeping/backup.ts'
import { tell } from './verb.ts'

/** Lines in all where nobody watches: enough to see that it lives. */
const linesMax = 20

const doing: Record<BackupProgress['stage'], string> = {
  copying: 'Copying',
  pages: 'Checking every page',
  journal: 'Reading the journal',
  series: 'Reading every reading',
  arrival: 'Following the order of arrival',
}

export function progressTeller(): (progress: BackupProgress) => void {
  let last = ''
  return (progress) => {
    const what = doing[progress.stage]
    const share = 'of' in progress && progress.of > 1 ? Math.floor((progress.done / progress.of) * linesMax) : null
    const line = share === null ? what : `${what}: ${Math.round((share * 100) / linesMax)} %`
    if (line === last) return
    last = line
    if (process.stderr.isTTY) process.stderr.write(`\r\x1b[K${line} …`)
    else tell(`${line} …`)
  }
}

/** Leaves the line that was written in place. */
export function progressOver(): void {
  if (process.stderr.isTTY) process.stderr.write('\r\x1b[K')
}
