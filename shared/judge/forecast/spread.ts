/** The spread of a forecast: how far off it may be, from how it was made, and from how far off this pot's own forecasts were. */
import type { DurationMs } from '../../time.ts'
import { type Course, medianOf } from './course.ts'

/** Classes of lead, upper ends, min. */
const classEnds = [5, 15] as const
/** A lead is held against another by the logarithm of both, each with this much added: seconds matter near the event. */
const floorMs = 15_000

export function classOf(leadMs: DurationMs): 0 | 1 | 2 {
  const minutes = leadMs / 60_000
  return minutes < classEnds[0] ? 0 : minutes < classEnds[1] ? 1 : 2
}

export function missOf(toldMs: DurationMs, trueMs: DurationMs): number {
  return Math.log((Math.max(0, trueMs) + floorMs) / (Math.max(0, toldMs) + floorMs))
}

/** One standard spread of `missOf`, before the pot's own history is asked. */
export function spreadOf(
  leadMs: DurationMs,
  scaleU: number,
  levelS: number,
  airKnown: boolean,
  unlearnt: number,
): number {
  const minutes = leadMs / 60_000
  const level = (levelS * 1_000) / (leadMs + floorMs)
  return Math.hypot(0.022, scaleU, level, 0.004 * minutes, airKnown ? 0 : 0.03, 0.25 * unlearnt)
}

/** Tenth and ninetieth of the hundred, in spreads, by class of lead: calibrated on development coolings, not on the held-out ones. */
const usual: readonly (readonly [number, number])[] = [
  [-1.55, 1.25],
  [-1.02, 1.02],
  [-1.15, 0.8],
]
/** So many forecasts of its own weigh as much as the calibration, and no pot is believed to be off by more than this against it. */
const usualWeight = 15
const factorMax = 1.7
/** Of a normal spread the middle of ten to ninety lies so much farther out than half of all misses. */
const middleToEnd = 1.9

/** Four in five lie between these, in spreads: as usual, wider or narrower as this pot's own forecasts were off. */
export function between(course: Course, leadMs: DurationMs): [number, number] {
  const at = classOf(leadMs)
  const [low, high] = usual[at] as readonly [number, number]
  const own = course.learnt.misses[at] ?? []
  if (own.length < 5) return [low, high]
  const seen = (medianOf(own.map(Math.abs)) * middleToEnd) / ((high - low) / 2)
  const bounded = Math.min(factorMax, Math.max(1 / factorMax, seen))
  const factor = bounded ** (own.length / (own.length + usualWeight))
  return [low * factor, high * factor]
}

/** The interval around a lead. */
export function interval(course: Course, leadMs: DurationMs, spread: number): [DurationMs, DurationMs] {
  const [low, high] = between(course, leadMs)
  const end = (z: number) => Math.max(0, (leadMs + floorMs) * Math.exp(z * spread) - floorMs)
  return [Math.min(leadMs, end(low)), Math.max(leadMs, end(high))]
}
