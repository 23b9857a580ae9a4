/** What a held-out cooling is: all that a foundry would see of it, what nobody in the foundry sees, and the questions that are asked of a forecast. */
import type { DurationMs, EpochMs } from '../../../shared/time.ts'

/** What somebody typed about a pot when it was set up; a nominal value may be off by what such values are off. */
export interface PotAsTyped {
  id: string
  waxKg: number
  /** The thermostat's dial, °C; null where nobody wrote it down. */
  setPointC: number | null
  /** The wax's congealing range from its data sheet, °C; null where nobody has the sheet. */
  congealing: { fromC: number; toC: number } | null
}

/** What came in at one instant. Null: nothing came, or there is no such instrument. */
export interface CoolingSample {
  t: EpochMs
  /** The thermocouple at mid-depth, with its lag, noise and resolution, °C. */
  waxC: number | null
  /** An infrared thermometer that looks at the surface, °C. */
  surfaceC: number | null
  /** The workshop's air beside the pots, °C. */
  airC: number | null
  /** Whether the heater draws current. */
  heating: boolean | null
}

/** When does the wax come to `targetC`? Asked at `askedAt`, of what came in up to then. */
export interface Question {
  askedAt: EpochMs
  targetC: number
  /** The first instant after `askedAt` at which the leading instrument, free of noise and rounding, is at the target; null: not within two hours. */
  reachedAt: EpochMs | null
}

/** What really happened; for the report by class, never for the estimator. */
export interface CoolingTruth {
  waxKg: number
  /** In words of our own: lid-on, lid-off, top-up, stirred, probe-out, rim, power-cut … with when. */
  happenings: readonly { at: EpochMs; what: string }[]
  lead: 'thermocouple' | 'infrared'
}

export interface CoolingScene {
  id: string
  pot: PotAsTyped
  intervalMs: DurationMs
  samples: readonly CoolingSample[]
  questions: readonly Question[]
  truth: CoolingTruth
}

/** One pot with its coolings and heat-ups in the order in which they happened. The first `learning` ones are its past and are asked nothing. */
export interface PotStory {
  pot: PotAsTyped
  learning: number
  scenes: readonly CoolingScene[]
}
