/** What the judge holds: plain data that survives JSON, so that a snapshot is the whole of it. */
import type { Alarm, Finding, Quality, Recipe, Run } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import type { Rules } from './rules.ts'

/** Shape of the state below. A snapshot of another shape is not read; the journal is folded from the beginning instead. */
export const stateShape = 1

/** Where one limit stands with one series: in breach since, back since, and the finding that was announced. */
export interface Condition {
  key: string
  since: EpochMs | null
  backSince: EpochMs | null
  finding: Finding | null
}

/** The last stretch of a series in a dozen averages, for its rate. */
export interface Trail {
  bucket: number
  count: number
  sumT: number
  sumV: number
  /** Means of the closed buckets, oldest first: time, value, time, value … */
  means: readonly number[]
}

export interface SeriesState {
  /** Greatest measuredAt judged so far; null before the first reading. What lies at or before it is late. */
  frontier: EpochMs | null
  value: number
  quality: Quality
  arrivedAt: EpochMs
  /** Readings that came late, ever. */
  late: number
  conditions: readonly Condition[]
  trail: Trail | null
}

export interface InstrumentState {
  /** When it was last heard, in the gateway's time; silence counts from here. */
  heardAt: EpochMs
  /** The newest instant it measured; null before the first. */
  lastAt: EpochMs | null
  saidOffline: boolean
  quiet: Finding | null
  fault: Finding | null
  clock: Finding | null
}

export interface RunState {
  run: Run
  recipe: Recipe
  conditions: readonly Condition[]
  /** What the last judged moment was, to step from. */
  last: { t: EpochMs; v: number; good: boolean; target: number } | null
  /** Temperature at which the present segment began (burnout). */
  segmentFromC: number | null
}

export interface StationState {
  instruments: readonly InstrumentState[]
  series: readonly SeriesState[]
  runs: readonly RunState[]
}

export interface House {
  rules: Rules
  seq: number
  /** Time of the last entry. */
  at: EpochMs
  stations: readonly StationState[]
  /** Every alarm that is not normal. */
  alarms: readonly Alarm[]
}

/** What one entry changed, for those who must be told. */
export interface Changes {
  findings: Finding[]
  alarms: Alarm[]
  /** Stations whose findings or runs changed. */
  stations: Set<string>
}
