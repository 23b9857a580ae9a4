/** The readings of a bench as one text file, so that every reference is loaded with the same ones in the way it likes best. */
import { closeSync, openSync, writeSync } from 'node:fs'
import Database from 'better-sqlite3'
import { openCourse } from '../../../gateway/store/sealed/course.ts'

const linesAtOnce = 50_000

/** Writes line after line; whoever makes them need not hold them all. */
export function writeTable(file: string, lines: Iterable<string>): void {
  const handle = openSync(file, 'w', 0o644)
  let waiting: string[] = []
  const flush = () => {
    if (waiting.length > 0) writeSync(handle, `${waiting.join('\n')}\n`)
    waiting = []
  }
  for (const line of lines) {
    waiting.push(line)
    if (waiting.length === linesAtOnce) flush()
  }
  flush()
  closeSync(handle)
}

/** Every reading of a database of ours from `since` on, as a line of a chart's columns, block by block. */
export function* chartLines(file: string, since = Number.NEGATIVE_INFINITY): Generator<string> {
  const db = new Database(file, { readonly: true })
  const blocks = db.prepare<[], { series: number; course: Buffer }>('SELECT series, course FROM block ORDER BY id')
  for (const { series, course } of blocks.iterate()) {
    const opened = openCourse(course)
    const [t, v] = [opened.times(), opened.values()]
    for (let i = 0; i < t.length; i++) if ((t[i] as number) >= since) yield `${series},${t[i]},${v[i]}`
  }
  db.close()
}

/** The columns that a replay needs, and the two that a chart needs. */
export const allColumns = ['series', 't', 'v', 'quality', 'arrived_at', 'seq', 'reason', 'claimed_at'] as const
export const chartColumns = ['series', 't', 'v'] as const
