/** What an instrument's value means: by the calibration that held when it was measured and, for infrared, by what it looks at. */
import type { EpochMs } from '../time.ts'
import { type CheckPoint, correct } from './correction.ts'
import { correctInfraredC, type InfraredRefusal, type InfraredScene } from './infrared.ts'

/** Plain data, so that it can be handed to another thread and compared. */
export interface Interpretation {
  /** Rising by `from`; each holds from then on, until the next. Before the first the value stands as it is. */
  calibrations: readonly { from: EpochMs; points: readonly CheckPoint[] }[]
  /** How it is set and what it looks at; null where nothing is corrected by radiance. */
  infrared: InfraredScene | null
}

/** Index of the calibration that holds at `measuredAt`; −1 before the first. */
export function calibrationAt({ calibrations }: Interpretation, measuredAt: EpochMs): number {
  let i = calibrations.length - 1
  while (i >= 0 && (calibrations[i] as { from: EpochMs }).from > measuredAt) i--
  return i
}

/**
 * What `readsC`, °C, measured at `measuredAt`, means, °C: first by the calibration of its day, then by the radiance. Or why it means
 * nothing. Within one calibration it rises with `readsC`, and what has no answer lies below or above all that has one: so
 * the lowest of many values stays the lowest, and where lowest and highest have an answer, all between them have.
 */
export function interpreted(of: Interpretation, readsC: number, measuredAt: EpochMs): number | InfraredRefusal {
  const held = of.calibrations[calibrationAt(of, measuredAt)]
  const indicatedC = held === undefined ? readsC : correct(held.points, readsC)
  return of.infrared === null ? indicatedC : correctInfraredC(of.infrared, indicatedC)
}
