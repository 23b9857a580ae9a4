/** Dated calibrations of an instrument: which one holds for a reading, what it makes of it, and how sure that is. */
import type { EpochMs } from '../time.ts'
import { type CheckPoint, correct } from './correction.ts'
import { uniformU } from './tolerance.ts'

/** A check point with the standard uncertainty of the whole comparison there, °C: of the reference and of how it was held. */
export interface CalibrationPoint extends CheckPoint {
  uC: number
}

/** One calibration. Points rise in `readsC`. */
export interface Calibration {
  at: EpochMs
  /** As left: how it reads from `at` on. */
  points: readonly CalibrationPoint[]
  /** As found: how it had come to read before anybody touched it; absent where that was not looked at, or nothing was adjusted. */
  found?: readonly CalibrationPoint[] | undefined
}

/**
 * The calibration that holds for what was measured at `measuredAt`: the newest that is not later; of two at one instant the one that
 * stands later in the list. Null before the first. Calibrations may come in any order; a new one never changes what an older one says
 * of the time before it.
 */
export function valid(calibrations: readonly Calibration[], measuredAt: EpochMs): Calibration | null {
  let best: Calibration | null = null
  for (const calibration of calibrations)
    if (calibration.at <= measuredAt && (best === null || calibration.at >= best.at)) best = calibration
  return best
}

export interface CalibratedValue {
  isC: number
  /** Standard uncertainty of the correction, °C. */
  uC: number
  /** Whether it lies between the first and the last check point. */
  within: boolean
}

/**
 * What an instrument means, °C, where it reads `readsC`: by `correct` through the points, with the uncertainty that leaves.
 * At a point its own. Between two points theirs in proportion (one reference, so that they do not even each other out), and half of what
 * the offset changes from one to the other, at most, for a curve that nobody looked at: uniform, largest in the middle (JCGM 100:2008,
 * 4.3.7; the shape is ours). Beyond the points that of the last, and all that the offset changes over the checked range. Null
 * without points, or for what is no number.
 */
export function calibrated(points: readonly CalibrationPoint[], readsC: number): CalibratedValue | null {
  const [first, last] = [points[0], points[points.length - 1]]
  if (first === undefined || last === undefined || Number.isNaN(readsC)) return null
  const within = readsC >= first.readsC && readsC <= last.readsC
  const uC = within
    ? uncertaintyWithin(points, readsC)
    : uncertaintyBeyond(points, readsC < first.readsC ? first : last)
  return { isC: correct(points, readsC), uC, within }
}

const offset = ({ readsC, isC }: CheckPoint): number => isC - readsC

function uncertaintyWithin(points: readonly CalibrationPoint[], readsC: number): number {
  const above = points.findIndex((point) => point.readsC >= readsC)
  const high = points[above] as CalibrationPoint
  const low = points[above - 1]
  if (low === undefined || high.readsC === readsC) return high.uC
  const f = (readsC - low.readsC) / (high.readsC - low.readsC)
  const bend = 2 * f * (1 - f) * Math.abs(offset(high) - offset(low))
  return Math.hypot(low.uC + f * (high.uC - low.uC), uniformU(bend))
}

function uncertaintyBeyond(points: readonly CalibrationPoint[], end: CalibrationPoint): number {
  const offsets = points.map(offset)
  return Math.hypot(end.uC, uniformU(Math.max(...offsets) - Math.min(...offsets)))
}

/** How far an instrument had gone at one point since it was last calibrated, °C, and the standard uncertainty of that. */
export interface Drift {
  readsC: number
  driftC: number
  uC: number
}

/**
 * How far an instrument had gone by the time of `next`, at each point as found (as left where nothing was adjusted): what it was then
 * taken to mean, less what it meant. Positive: it had come to read too high. Uncertainties of both calibrations are taken as independent.
 * Empty where `before` has no points.
 */
export function drift(before: Calibration, next: Calibration): Drift[] {
  return (next.found ?? next.points).flatMap(({ readsC, isC, uC }) => {
    const then = calibrated(before.points, readsC)
    return then === null ? [] : [{ readsC, driftC: then.isC - isC, uC: Math.hypot(then.uC, uC) }]
  })
}
