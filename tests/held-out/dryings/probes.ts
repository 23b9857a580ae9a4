/** What instruments make of a run: offsets, lags, noise, uneven times, readings that never came. */
import type { Chance } from '../lies/chance.ts'
import { saturationPa } from './air.ts'
import type { Series } from './scene.ts'

export interface Probes {
  known: { waxC: number; airC: number; humidity: number }
  /** Drawn from what is known of them; the same in all nights of a piece. */
  offWaxC: number
  offAirC: number
  offHumidity: number
  noiseWaxC: number
  noiseAirC: number
  noiseHumidity: number
  grainC: number
  lagAirS: number
  lagVapourS: number
}

export function probesOf(c: Chance): Probes {
  const known = { waxC: c.pick([0.1, 0.15, 0.25]), airC: c.pick([0.1, 0.2, 0.3]), humidity: c.pick([1, 1.5, 2.5]) }
  return {
    known,
    offWaxC: known.waxC * c.near(1, 3),
    offAirC: known.airC * c.near(1, 3),
    offHumidity: known.humidity * c.near(1, 3),
    noiseWaxC: c.scaled(0.01, 0.08),
    noiseAirC: c.scaled(0.01, 0.08),
    noiseHumidity: c.scaled(0.05, 0.5),
    grainC: c.pick([0.01, 0.01, 0.0625, 0.1]),
    lagAirS: c.scaled(40, 300),
    lagVapourS: c.scaled(8, 60),
  }
}

/** Values on an even grid, a step apart. */
export interface Course {
  from: number
  stepMs: number
  airC: number[]
  vapourPa: number[]
  waxC: number[]
}

export interface Hole {
  from: number
  until: number
}

function at(values: readonly number[], place: number): number {
  const low = Math.min(values.length - 2, Math.floor(place))
  return values[low]! + (values[low + 1]! - values[low]!) * (place - low)
}

/** Every half minute or so, and one in a hundred lost. */
function* times(c: Chance, course: Course, hole: Hole | null): Generator<number> {
  const until = course.from + course.stepMs * (course.airC.length - 1)
  for (let t = course.from + c.whole(0, 29_999); t < until; t += c.whole(22_000, 38_000)) {
    if (c.often(0.01) || (hole !== null && t >= hole.from && t < hole.until)) continue
    yield t
  }
}

const grain = (v: number, step: number) => Math.round(Math.round(v / step) * step * 1e4) / 1e4

/** A capillary of vapour inside a slower thermometer: its relative humidity belongs to its own temperature. */
export function climateSeen(
  c: Chance,
  p: Probes,
  course: Course,
  hole: Hole | null,
): { air: Series; humidity: Series } {
  const t: number[] = []
  const air: number[] = []
  const humidity: number[] = []
  let [airC, vapour, last] = [course.airC[0]!, course.vapourPa[0]!, course.from]
  for (const now of times(c, course, hole)) {
    const place = (now - course.from) / course.stepMs
    const passed = (now - last) / 1_000
    airC += (at(course.airC, place) - airC) * (1 - Math.exp(-passed / p.lagAirS))
    vapour += (at(course.vapourPa, place) - vapour) * (1 - Math.exp(-passed / p.lagVapourS))
    last = now
    const percent = (100 * vapour) / saturationPa(airC) + p.offHumidity + p.noiseHumidity * c.normal()
    t.push(now)
    air.push(grain(airC + p.offAirC + p.noiseAirC * c.normal(), p.grainC))
    humidity.push(grain(Math.min(100, Math.max(0, percent)), 0.1))
  }
  return { air: { t, v: air }, humidity: { t, v: humidity } }
}

export function waxSeen(c: Chance, p: Probes, course: Course, hole: Hole | null): Series {
  const t: number[] = []
  const v: number[] = []
  for (const now of times(c, course, hole)) {
    t.push(now)
    v.push(grain(at(course.waxC, (now - course.from) / course.stepMs) + p.offWaxC + p.noiseWaxC * c.normal(), p.grainC))
  }
  return { t, v }
}
