/** What a night is reviewed from: readings as they are meant, findings, acts and runs, all of it read before. */
import type { EntryOf, Finding, Foundry, Instrument, Quantity, SeriesId } from '../../../shared/contract/index.ts'
import type { DurationMs, EpochMs } from '../../../shared/time.ts'

/** Readings of one series in columns, rising by measured time; what has no meaning is bad. */
export interface NightColumns {
  t: Float64Array
  v: Float64Array
  quality: Uint8Array
  arrivedAt: Float64Array
}

export interface NightSeries {
  series: SeriesId
  quantity: Quantity
  instrument: Instrument
  silenceMs: DurationMs
  /** Older than this at arrival is backlog. */
  backlogMs: DurationMs
  columns: NightColumns
}

export interface NightRun {
  id: string
  kind: string
  station: string
  recipe: string
  revision: number
  piece: string | null
  startedAt: EpochMs
  startedBy: string
  endedAt: EpochMs | null
  closedBy: string | null
}

export interface NightMaterial {
  foundry: Foundry
  from: EpochMs
  to: EpochMs
  dusk: EpochMs
  dawn: EpochMs
  date: string
  now: EpochMs
  /** Of every dry room and of the surroundings; the leading series of the rest is told by `coverage` alone. */
  series: readonly NightSeries[]
  /** Of instruments elsewhere that fell silent: only what is stored of that time. */
  silent: readonly NightSeries[]
  coverage: readonly { series: SeriesId; coverage: number }[]
  /** Those that stood at any time of the night, and a day before. */
  findings: readonly Finding[]
  acts: readonly EntryOf<'act'>[]
  starts: readonly EntryOf<'start'>[]
  runs: readonly NightRun[]
}

/** Part of rising columns: from ≤ t < to. */
export function part(columns: NightColumns, keep: (i: number) => boolean): NightColumns {
  const at: number[] = []
  for (let i = 0; i < columns.t.length; i++) if (keep(i)) at.push(i)
  return {
    t: Float64Array.from(at, (i) => columns.t[i] as number),
    v: Float64Array.from(at, (i) => columns.v[i] as number),
    quality: Uint8Array.from(at, (i) => columns.quality[i] as number),
    arrivedAt: Float64Array.from(at, (i) => columns.arrivedAt[i] as number),
  }
}
