/** Reads an arrival: when each reading of a block came, in which order, and what was doubted of it. */
import { qualityReasons } from '../../../shared/contract/index.ts'
import type { BlockColumns } from './block.ts'
import { ByteReader } from './byte-reader.ts'
import { Column } from './column.ts'
import { arrivalVersion, arrivedAbsolute, chunkReadings, claimedAbsolute, hasClaims, hasReasons } from './layout.ts'
import { readRuns } from './sparse.ts'

type ArrivalColumns = Pick<BlockColumns, 'arrivedAt' | 'seq' | 'reason' | 'claimedAt'>

/** `t` are the times of its course. Throws BlockDamaged. */
export function decodeArrival(bytes: Uint8Array, t: Float64Array): ArrivalColumns {
  const reader = new ByteReader('arrival', bytes)
  reader.version(arrivalVersion)
  reader.enter(0, bytes.length)
  reader.at = 1
  const flags = reader.byte()
  const count = reader.varint()
  if (count !== t.length) throw reader.damaged(`it tells of ${count} readings, its course of ${t.length}`)
  const arrivedAt = new Float64Array(count)
  const seq = new Float64Array(count)
  for (let from = 0; from < count; from += chunkReadings) {
    const length = Math.min(chunkReadings, count - from)
    new Column(reader, length).into(arrivedAt, from, 0)
    new Column(reader, length).into(seq, from, from === 0 ? 0 : (seq[from - 1] as number))
  }
  if ((flags & arrivedAbsolute) === 0)
    for (let i = 0; i < count; i++) arrivedAt[i] = (arrivedAt[i] as number) + (t[i] as number)
  const reason = new Int8Array(count).fill(-1)
  if (flags & hasReasons) readReasons(reader, reason)
  const claimedAt = new Float64Array(count).fill(Number.NaN)
  if (flags & hasClaims) readClaims(reader, claimedAt, flags & claimedAbsolute ? null : t)
  reader.finish()
  return { arrivedAt, seq, reason, claimedAt }
}

function readReasons(reader: ByteReader, reason: Int8Array): void {
  for (const { from, to, key } of readRuns(reader, reason.length)) {
    if (key >= qualityReasons.length) throw reader.damaged(`a reason that is not known: ${key}`)
    reason.fill(key, from, to)
  }
}

function readClaims(reader: ByteReader, claimedAt: Float64Array, t: Float64Array | null): void {
  const runs = readRuns(reader, claimedAt.length)
  const claims = new Float64Array(runs.reduce((sum, { from, to }) => sum + to - from, 0))
  for (let from = 0; from < claims.length; from += chunkReadings)
    new Column(reader, Math.min(chunkReadings, claims.length - from)).into(claims, from, 0)
  let next = 0
  for (const { from, to } of runs)
    for (let i = from; i < to; i++) claimedAt[i] = (claims[next++] as number) + (t === null ? 0 : (t[i] as number))
}
