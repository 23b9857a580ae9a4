/** Readings as instruments give them, made from a seed: a slow course at a tenth of a degree with noise, neither measured nor arriving quite on the beat. Invented. */
import { type Chance, chance } from '../../../simulators/random.ts'

export const seed = 20_260_301

/** How a series is made. `jitterMs` and `noiseC` are standard deviations. */
export interface Manner {
  stepMs: number
  jitterMs: number
  noiseC: number
}

export const usual: Manner = { stepMs: 1_000, jitterMs: 2, noiseC: 0.15 }

export const mannerTold = ({ stepMs, jitterMs, noiseC }: Manner): string =>
  `one a ${stepMs} ms with a jitter of σ ${jitterMs} ms, 0.1 °C with a noise of σ ${noiseC} °C on a slow course, arriving 8 ms later and more`

/** Every network has its least delay; what comes on top of it falls off quickly. */
const delayMsMin = 8
const delayMsMean = 12
const hour = 3_600_000

/** One series in columns: times rise strictly, and so do arrivals. */
export interface Noisy {
  t: Float64Array
  v: Float64Array
  arrivedAt: Float64Array
}

/** What a series follows, in its unit; `nth` of the bench. */
export type Course = (t: number, nth: number) => number

/** The slow course: a pot that is heated by a thermostat, in a room with a day. */
function courseC(t: number, nth: number): number {
  return (
    70 +
    nth +
    3 * Math.sin((2 * Math.PI * t) / (24 * hour)) +
    4 * Math.sin((2 * Math.PI * (t + nth * 7_000)) / (0.62 * hour))
  )
}

export function noisy(
  nth: number,
  from: number,
  count: number,
  manner: Manner = usual,
  course: Course = courseC,
): Noisy {
  const random = chance(seed, `series/${nth}`)
  const made: Noisy = {
    t: new Float64Array(count),
    v: new Float64Array(count),
    arrivedAt: new Float64Array(count),
  }
  let [last, lastArrival] = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY]
  for (let i = 0; i < count; i++) {
    const t = Math.max(last + 1, Math.round(from + i * manner.stepMs + manner.jitterMs * within3(random)))
    const arrival = Math.max(lastArrival, Math.round(t + delayMsMin - delayMsMean * Math.log(1 - random.next())))
    made.t[i] = last = t
    made.v[i] = Math.round((course(t, nth) + manner.noiseC * random.gauss()) * 10) / 10
    made.arrivedAt[i] = lastArrival = arrival
  }
  return made
}

/** Beyond three standard deviations neighbours could change places. */
function within3(random: Chance): number {
  return Math.max(-3, Math.min(3, random.gauss()))
}
