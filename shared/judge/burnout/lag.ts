/** How a load follows its kiln's air: heat goes into a body as a sum of decays, for its core close to three lags one behind the other. */
import type { DurationMs } from '../../time.ts'

/**
 * The second and the third lag as parts of the first: roots of J0 for a long cylinder, (2.405/5.520)² and (2.405/8.654)² (Carslaw and Jaeger,
 * Conduction of Heat in Solids, table of roots). A film on the surface moves them a little; the fit of the first takes that in.
 */
export const second = (2.405 / 5.52) ** 2
export const third = (2.405 / 8.654) ** 2

/** Temperatures of the three lags, the last of them the core's. */
export type Lags = readonly [number, number, number]

/** How much of the way to its input each lag goes in one step. */
export interface Pace {
  first: number
  second: number
  third: number
}

export function paceOf(lagMs: DurationMs, stepMs: DurationMs): Pace {
  const share = (ms: number) => -Math.expm1(-stepMs / ms)
  return { first: share(lagMs), second: share(second * lagMs), third: share(third * lagMs) }
}

export function follow([a, b, c]: Lags, airC: number, pace: Pace): Lags {
  const x = a + (airC - a) * pace.first
  const y = b + (x - b) * pace.second
  return [x, y, c + (y - c) * pace.third]
}

/** Air and core in steps of one length, oldest first. */
export interface Course {
  stepMs: DurationMs
  airC: readonly number[]
  coreC: readonly number[]
}

/** A step weighs half as much when it is so many hours older: a hot kiln radiates, and what held at 200 °C no longer does at 700. */
const halfHours = 4

/** Led by the air from the first core temperature on: weighted mean square of what it misses, K², and where it ends. */
export function led(course: Course, lagMs: DurationMs, offsetC: number): { missK2: number; end: Lags } {
  const { airC, coreC, stepMs } = course
  const pace = paceOf(lagMs, stepMs)
  const first = coreC[0] as number
  let lags: Lags = [first, first, first]
  const fade = 0.5 ** (stepMs / (halfHours * 3_600_000))
  let [sum, weights] = [0, 0]
  for (let i = 1; i < airC.length; i++) {
    lags = follow(lags, (airC[i] as number) + offsetC, pace)
    const miss = (coreC[i] as number) - lags[2]
    sum = sum * fade + miss * miss
    weights = weights * fade + 1
  }
  return { missK2: weights > 0 ? sum / weights : 0, end: lags }
}

/** What was known of the lag before: the middle of its logarithm, and its spread. */
export interface Prior {
  logMs: number
  spread: number
}

const [leastMs, mostMs] = [2 * 60_000, 60 * 3_600_000]
const grid = 24
/** What a core misses by nature of the model, K: the film is not the same at every temperature, a probe not quite in the core. */
const modelK = 6
/** Steps of one course do not count each for itself: the next one misses like the last. */
const independentSteps = 12

/** The lag that tells the course best, with what was known before; null where the course is too short to say anything. */
export function fitted(course: Course, offsetC: number, prior: Prior): { lagMs: DurationMs; end: Lags } | null {
  if (course.coreC.length < 3) return null
  const n = Math.min(course.coreC.length / independentSteps, 12)
  const cost = (log: number) => {
    const { missK2 } = led(course, Math.exp(log), offsetC)
    return (n * missK2) / modelK ** 2 + ((log - prior.logMs) / prior.spread) ** 2
  }
  const [low, high] = [Math.log(leastMs), Math.log(mostMs)]
  const step = (high - low) / (grid - 1)
  let [best, least] = [low, Infinity]
  for (let i = 0; i < grid; i++) {
    const c = cost(low + i * step)
    if (c < least) [best, least] = [low + i * step, c]
  }
  // Between the grid's points: a parabola through the best one and its neighbours.
  const [a, c] = [cost(best - step), cost(best + step)]
  const bend = a - 2 * least + c
  const log = bend > 0 ? best + (step * (a - c)) / (2 * bend) : best
  const lagMs = Math.exp(Math.min(high, Math.max(low, log)))
  return { lagMs, end: led(course, lagMs, offsetC).end }
}
