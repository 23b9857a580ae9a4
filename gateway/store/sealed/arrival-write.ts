/** Writes an arrival: what the replay of a block by order of arrival needs beside its course. */
import type { BlockColumns } from './block.ts'
import { ByteWriter } from './byte-writer.ts'
import { writeColumn } from './column-write.ts'
import { arrivalVersion, arrivedAbsolute, chunkReadings, claimedAbsolute, hasClaims, hasReasons } from './layout.ts'
import { type Run, runsOf, writeRuns } from './sparse.ts'

export function writeArrival({ t, arrivedAt, seq, reason, claimedAt }: BlockColumns): Uint8Array {
  const count = t.length
  const reasons = runsOf(reason)
  const { claims, claimed } = claimsOf(claimedAt, t)
  const arrived = behind(arrivedAt, t)
  const out = new ByteWriter(count * 4 + 64)
  out.byte(arrivalVersion)
  out.byte(
    (arrived.isAbsolute ? arrivedAbsolute : 0) |
      (reasons.length > 0 ? hasReasons : 0) |
      (claims.length > 0 ? hasClaims : 0) |
      (claimed.isAbsolute ? claimedAbsolute : 0),
  )
  out.varint(count)
  for (let from = 0; from < count; from += chunkReadings) {
    const to = Math.min(count, from + chunkReadings)
    writeColumn(out, arrived.numbers, from, to, 0)
    writeColumn(out, seq, from, to, from === 0 ? 0 : (seq[from - 1] as number))
  }
  if (reasons.length > 0) writeRuns(out, reasons)
  if (claims.length > 0) {
    writeRuns(out, claims)
    const { numbers } = claimed
    for (let from = 0; from < numbers.length; from += chunkReadings)
      writeColumn(out, numbers, from, Math.min(numbers.length, from + chunkReadings), 0)
  }
  out.sum(0)
  return out.written()
}

/** Which readings claimed another time, and what those claimed, in order. */
function claimsOf(claimedAt: Float64Array, t: Float64Array): { claims: Run[]; claimed: Lags } {
  const keys = new Int8Array(t.length)
  for (let i = 0; i < t.length; i++) keys[i] = Number.isNaN(claimedAt[i]) ? -1 : 0
  const claims = runsOf(keys)
  const together = (column: Float64Array) =>
    Float64Array.from(claims.flatMap(({ from, to }) => [...column.slice(from, to)]))
  return { claims, claimed: behind(together(claimedAt), together(t)) }
}

interface Lags {
  numbers: Float64Array
  isAbsolute: boolean
}

/** How far each lies behind the reading; or as it is, where that is further than a number can tell exactly. */
function behind(instants: Float64Array, t: Float64Array): Lags {
  const lags = new Float64Array(t.length)
  for (let i = 0; i < t.length; i++) {
    const lag = (instants[i] as number) - (t[i] as number)
    if (lag > Number.MAX_SAFE_INTEGER || lag < -Number.MAX_SAFE_INTEGER) return { numbers: instants, isAbsolute: true }
    lags[i] = lag
  }
  return { numbers: lags, isAbsolute: false }
}
