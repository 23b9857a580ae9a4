/** What few readings of a block have: which, as runs of neighbours that have the same. */
import type { ByteReader } from './byte-reader.ts'
import type { ByteWriter } from './byte-writer.ts'

/** Readings from ≤ index < to that all have this. */
export interface Run {
  from: number
  to: number
  key: number
}

/** A key is −1 for readings that have nothing. */
export function runsOf(keys: Int8Array): Run[] {
  const runs: Run[] = []
  let last: Run | null = null
  for (let i = 0; i < keys.length; i++) {
    const key = keys[i] as number
    if (last !== null && last.to === i && last.key === key) last.to++
    else if (key >= 0) {
      last = { from: i, to: i + 1, key }
      runs.push(last)
    }
  }
  return runs
}

export function writeRuns(out: ByteWriter, runs: readonly Run[]): void {
  out.varint(runs.length)
  let behind = 0
  for (const { from, to, key } of runs) {
    out.varint(from - behind)
    out.varint(to - from)
    out.byte(key)
    behind = to
  }
}

export function readRuns(reader: ByteReader, length: number): Run[] {
  const count = reader.varint()
  if (count > length) throw reader.damaged('it tells of more than there are readings')
  const runs: Run[] = []
  let behind = 0
  for (let i = 0; i < count; i++) {
    const from = behind + reader.varint()
    const to = from + reader.varint()
    if (to <= from || to > length) throw reader.damaged('it tells of readings that are not there')
    runs.push({ from, to, key: reader.byte() })
    behind = to
  }
  return runs
}
