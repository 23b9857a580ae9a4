/** The review of one night: what was seen, what left its band and why, who saw it, and what it did to the shells (MEANING: night). */
import type { DurationMs, EpochMs } from '../time.ts'
import type { FindingKind } from './finding.ts'
import type { SeriesId } from './reading.ts'
import type { Tier } from './station.ts'

/** From noon to noon, site time; the dark hours are the house's. Twice a year it has 23 or 25 hours. */
export interface NightSpan {
  /** The local date on which it began. */
  date: string
  timeZone: string
  from: EpochMs
  to: EpochMs
  dusk: EpochMs
  dawn: EpochMs
  /** What can be told by now: the end of the night, or now. */
  upTo: EpochMs
}

export interface TimeSpan {
  from: EpochMs
  to: EpochMs
}

/** Whose band it is: the recipe of the drying that filled most of the night, else the station's own standing limits. */
export type BandOwner = { is: 'recipe'; recipe: string; revision: number } | { is: 'limits' }

export interface NightBand {
  from: number | null
  to: number | null
  owner: BandOwner
}

/** Somebody who acknowledged an alarm of it. */
export interface SeenBy {
  by: string
  at: EpochMs
}

export interface NightExcursion extends TimeSpan {
  side: 'below' | 'above'
  /** False where it began, or ended, unseen: it may be longer than can be told. */
  beginSeen: boolean
  endSeen: boolean
  peak: number
  peakAt: EpochMs
  /** Units × minutes beyond the limit. */
  beyond: number
  /** Whether any of it lies between dusk and dawn. */
  isDark: boolean
  /** The cause that was found for it, by its place among the causes of the room; null where none was. */
  cause: number | null
  seenBy: SeenBy[]
}

/** Sums over what was seen. */
export interface NightSums {
  /** Seen time / time. */
  coverage: number
  seenMs: DurationMs
  /** null where there is no band. */
  inBandMs: DurationMs | null
  mean: number | null
  min: number | null
  max: number | null
  /** Units × minutes beyond the band. */
  beyond: number
}

/** One series of a room through the night. */
export interface NightLine {
  series: SeriesId
  quantity: 'temperature' | 'humidity'
  /** The instrument that stands for the room. */
  isLeading: boolean
  readings: number
  band: NightBand | null
  /** Noon to noon, as far as it has come. */
  whole: NightSums
  /** Dusk to dawn, likewise; null before dusk. */
  dark: NightSums | null
  excursions: NightExcursion[]
  /** Never seen. */
  missing: TimeSpan[]
  /** Seen, but told only later: the instrument kept it. */
  backfilled: TimeSpan[]
}

export const nightCauseKinds = ['door', 'dehumidifier', 'cooling', 'heating', 'fan', 'power-cut', 'sensor'] as const
export type NightCauseKind = (typeof nightCauseKinds)[number]

/** One reason for or against a cause: a measured fact, in numbers. */
export interface CauseEvidence {
  is:
    | 'dew-point-step'
    | 'dew-point-ramp'
    | 'dew-point-flat'
    | 'dew-point-follows'
    | 'temperature-step'
    | 'temperature-ramp'
    | 'temperature-flat'
    | 'toward-corridor'
    | 'away-from-corridor'
    | 'door-open'
    | 'fan-still'
    | 'wax-warmer'
    | 'many-silent'
    | 'gateway-off'
    | 'other-probe-differs'
    | 'pinned'
    | 'stuck'
    | 'recovered'
    | 'after-power-cut'
  /** What it measures: °C, °C/h, minutes or instruments, as its kind says; 0 where it needs none. */
  value: number
}

/** What happened in a room, named. */
export interface NamedCause {
  kind: NightCauseKind
  from: EpochMs
  /** null while it lasts, or where its end was not seen. */
  to: EpochMs | null
  confidence: 'sure' | 'likely'
  evidence: CauseEvidence[]
  ruledOut: { kind: NightCauseKind; because: CauseEvidence }[]
  /** Minutes in which the room came back by 63 % after a door was shut; null where it was not seen. */
  recoveryMinutes: number | null
}

/** A drying in the room, and what the night did to it. */
export interface NightPiece {
  run: string
  piece: string | null
  recipe: string
  startedAt: EpochMs
  startedBy: string
  closedAt: EpochMs | null
  closedBy: string | null
  /** Of the time it stood in the room this night, seen and in band. */
  standsMs: DurationMs
  seenMs: DurationMs
  inBandMs: DurationMs
  /** Greatest change of the wax since the dip, °C, and the test piece that showed it; null where none is in the room. */
  swingC: number | null
  swingProbe: string | null
  swingLimitC: number | null
}

export interface NightRoom {
  station: string
  lines: NightLine[]
  causes: NamedCause[]
  pieces: NightPiece[]
}

/** An alarm that stood in the night: every time it was raised, in one line. */
export interface NightAlarm {
  id: string
  kind: FindingKind
  station: string
  subject: string
  tier: Tier
  since: EpochMs
  /** null while it stands. */
  until: EpochMs | null
  times: number
  seenBy: SeenBy[]
}

/** Instruments that fell silent together, or the gateway itself. */
export interface NightOutage extends TimeSpan {
  /** The gateway did not run: nothing was watched, whatever came later. */
  isGateway: boolean
  instruments: { instrument: string; isBackfilled: boolean }[]
}

/** What a page says that was made after late readings came. */
export interface NightAmendment {
  /** Readings of the night that came after it was over. */
  readings: number
  firstAt: EpochMs
  lastAt: EpochMs
  changes: {
    series: SeriesId
    coverageFrom: number
    coverageTo: number
    excursionsFrom: number
    excursionsTo: number
  }[]
}

export interface NightReview {
  night: NightSpan
  rooms: NightRoom[]
  alarms: NightAlarm[]
  outages: NightOutage[]
  /** Of every instrument that tells a temperature: how much of the dark hours was seen. */
  coverage: { series: SeriesId; coverage: number }[]
  amended: NightAmendment | null
}

/** One series of a room in a night of the calendar, noon to noon. */
export interface GlanceLine {
  coverage: number
  longestHoleMs: DurationMs
  seenMs: DurationMs
  inBandMs: DurationMs
  /** Units × minutes beyond the band. */
  beyond: number
  lowest: number | null
  highest: number | null
}

/** One night of a calendar, room by room, from sums alone. */
export interface NightGlance {
  date: string
  from: EpochMs
  to: EpochMs
  rooms: { station: string; temperature: GlanceLine | null; humidity: GlanceLine | null }[]
}

export interface NightsBody {
  timeZone: string
  /** The bands that all of these nights are held against, as they are now. */
  bands: { station: string; quantity: 'temperature' | 'humidity'; band: NightBand | null }[]
  /** Newest first. */
  items: NightGlance[]
}
