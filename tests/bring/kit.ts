/** What tests of bringing in share: a file read by its plan without a gateway, and a store of nothing. */
import type { Fate } from '../../gateway/store/store.ts'
import { bringIn, type Job } from '../../gateway/bring/bring.ts'
import { type Guessed, guess } from '../../gateway/bring/look.ts'
import {
  type BringPlan,
  type BringResult,
  bringLookBytesMax,
  type NewEntry,
  type Quality,
  seriesId,
} from '../../shared/contract/index.ts'

export const now = Date.UTC(2026, 10, 25, 12)

export type NewReading = Extract<NewEntry, { kind: 'reading' }>

export function guessed(sample: Uint8Array, file: string, siteZone = 'Europe/London'): Guessed {
  const found = guess({ sample: sample.subarray(0, bringLookBytesMax), file, siteZone, now, known: [] })
  if (!found) throw new Error(`${file} was not taken for a table.`)
  return found
}

/** In pieces that end anywhere, as a network would cut them. */
export async function* inPieces(bytes: Uint8Array, size: number): AsyncIterable<Uint8Array> {
  for (let i = 0; i < bytes.length; i += size) yield bytes.subarray(i, i + size)
}

export const nobody = { admit: seriesId }

/** Everything that would be stored, in the order of the lines. */
export async function readAll(
  bytes: Uint8Array,
  plan: BringPlan,
  more: Partial<Job> & { pieceBytes?: number } = {},
): Promise<{ result: BringResult; readings: NewReading[] }> {
  const readings: NewReading[] = []
  const { pieceBytes = 7, ...rest } = more
  const job: Job = { plan, file: 'table.csv', bytes: inPieces(bytes, pieceBytes), now, ...rest }
  const record = async (entries: NewEntry[]): Promise<Fate[]> => {
    for (const entry of entries) readings.push(entry as NewReading)
    return entries.map((entry) => ({ is: 'stored', entry: { ...entry, seq: 1 } }))
  }
  const result = await bringIn(job, { record, ...nobody }, () => now)
  return { result, readings }
}

export type Row = [at: string, value: number, quality?: Quality]

export function bySeries(readings: readonly NewReading[]): Record<string, Row[]> {
  const all: Record<string, Row[]> = {}
  for (const { series, measuredAt, value, quality } of readings) {
    const at = new Date(measuredAt).toISOString()
    all[series] ??= []
    all[series].push(quality === 'good' ? [at, value] : [at, value, quality])
  }
  return all
}
