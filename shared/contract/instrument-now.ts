/** An instrument as it stands now, and over its life: what pages show of it. Times are epoch ms. */
import type { EpochMs } from '../time.ts'
import type { Doubt } from './doubt.ts'
import type { Calibration, Instrument } from './instrument.ts'
import type { Check } from './journal.ts'
import type { Quantity } from './quantity.ts'
import type { Quality, SeriesId } from './reading.ts'

export interface SeriesNow {
  series: SeriesId
  quantity: Quantity
  unit: string
  /** As it was sent. */
  value: number
  /** What it means, by calibration and infrared setting; null where there is no answer. */
  trueValue: number | null
  /** Why there is none. */
  noAnswer?: string
  measuredAt: EpochMs
  quality: Quality
}

/** How sure a temperature is, and on whose word. */
export interface Sureness {
  /** Expanded uncertainty (k = 2, about 95 %) at its newest value, °C; null where nothing is known of it. */
  expandedC: number | null
  /** `check`: a calibration with its points; `class`: the tolerance class of new wire; `infrared`: emissivity and background. */
  from: 'check' | 'class' | 'infrared' | 'unknown'
}

export interface CheckDone extends Check {
  /** Number of the journal entry. */
  seq: number
  at: EpochMs
  by: string
}

export interface InstrumentNow extends Instrument {
  series: SeriesNow[]
  sureness: Sureness
  /** Since when there are readings of it; null where there are none. */
  since: EpochMs | null
  /** The last check or calibration, and when the next one is due; null where none was made, or none is asked for. */
  checkedAt: EpochMs | null
  dueAt: EpochMs | null
  /** Doubts that stand now. */
  doubts: Doubt[]
}

/** A doubt that was announced, and when it ended. */
export interface DoubtPast {
  finding: string
  doubt: Doubt
  raisedAt: EpochMs
  clearedAt?: EpochMs
}

/** Everything that happened to one instrument, for its page. */
export interface InstrumentLife {
  instrument: InstrumentNow
  checks: CheckDone[]
  calibrations: Calibration[]
  doubts: DoubtPast[]
  /** Hours and passes of a thermocouple, as its station has seen them since it was claimed. */
  hoursAbove800: number
  passes250to550: number
  hoursAt250to550: number
  firings: number
  /** Against its twin, firing by firing, the newest last. */
  differences: { firing: number; at: EpochMs; against: string; bandC: number; differenceC: number }[]
}

/** What a check against a reference would find now; `check` is null where it cannot be made, with the sentence why. */
export type CheckTried = { check: Check; differenceC: number; sentence: string } | { check: null; sentence: string }

/** What a comparison of an infrared instrument with a contact probe gives. */
export type EmissivityTried =
  | { emissivity: number; u: number; pairs: number; sentence: string }
  | { emissivity: null; sentence: string }
