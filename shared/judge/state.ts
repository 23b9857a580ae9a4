/** What the judge holds: plain data that survives JSON, so that a snapshot is the whole of it. */
import type { Alarm, Finding, NoAnswer, Quality, Recipe, Run } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import type { FindState } from './burnout/find-state.ts'
import type { KilnLearnt } from './burnout/learn.ts'
import type { BurnoutState } from './burnout/state.ts'
import type { Examination } from './examine/index.ts'
import type { Overlap } from './overlap.ts'
import type { PotState } from './pot-state.ts'
import type { Rules } from './rules.ts'

/** Shape of the state below. A snapshot of another shape is not read; the journal is folded from the beginning instead. */
export const stateShape = 7

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
  /** As it is meant; as it was sent where it means nothing. */
  value: number
  quality: Quality
  /** Why its newest value means no temperature. */
  noAnswer: NoAnswer | null
  arrivedAt: EpochMs
  /** When the newest value that was not bad was measured; null before the first. */
  goodAt: EpochMs | null
  /** And when it arrived (before the first: when the series first spoke). Being unseen counts from here. */
  sightAt: EpochMs
  /** Readings that came late, ever. */
  late: number
  conditions: readonly Condition[]
  /** One for each rate limit, in the order of the limits. */
  trails: readonly Trail[]
  /** Its instrument speaks, but not of this. */
  blind: Finding | null
}

export interface InstrumentState {
  /** When it was last heard, in the gateway's time; silence counts from here. */
  heardAt: EpochMs
  /** When it was last quiet or faulty and came back, in the gateway's time: its series get their time to follow. */
  backAt: EpochMs
  /** When its last reading came, of whatever quality, in the gateway's time. */
  spokeAt: EpochMs
  /** The newest instant it measured; null before the first. */
  lastAt: EpochMs | null
  /** The newest instant of which it had a value that was not bad; null before the first. */
  goodAt: EpochMs | null
  saidOffline: boolean
  quiet: Finding | null
  /** It says that it cannot measure, and has measured nothing since. */
  unable: { since: EpochMs; text: string } | null
  /** That, once announced. */
  fault: Finding | null
  clock: Finding | null
  /** While its clock is called wrong: since when it has been right again. */
  clockRightSince: EpochMs | null
  /** When it came into the document: where it never was checked, its next check counts from here. */
  metAt: EpochMs
  /** When it was last checked against a reference, by an act. */
  checkedAt: EpochMs | null
  /** Its check is due. */
  due: Finding | null
}

export interface RunState {
  run: Run
  recipe: Recipe
  conditions: readonly Condition[]
  /** What its series have in common: what was seen, and what of it in band (drying). */
  overlaps: readonly Overlap[]
  /** For each quantity of its band, since when it is outside (drying). */
  outSince: readonly (EpochMs | null)[]
  /** Of burnouts. */
  burnout?: BurnoutState
}

/** A doubt that was announced. */
export interface Announced {
  key: string
  finding: Finding
}

export interface StationState {
  instruments: readonly InstrumentState[]
  series: readonly SeriesState[]
  runs: readonly RunState[]
  /** What the examiner holds, when it last looked for silence, and the doubts that stand. */
  exam: Examination
  examinedAt: EpochMs
  doubts: readonly Announced[]
  /** Of pots and bench cups; null elsewhere. */
  pot: PotState | null
  /** What its burnouts have taught of a kiln; null before the first, and elsewhere. */
  kiln: KilnLearnt | null
  /** Of kilns: what the air did while no burnout was said; null elsewhere. */
  find: FindState | null
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
  findings: readonly Finding[]
  alarms: readonly Alarm[]
  /** Stations whose findings or runs changed. */
  stations: ReadonlySet<string>
}
