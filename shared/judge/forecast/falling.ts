/** Wax that falls: how fast, from its own slope and from what this pot did before, and how sure that is. */
import { type Course, type CourseFacts, medianOf, type Point, unrestOf } from './course.ts'
import { airOf, bendOf, type Line, lineThrough, movingPoints, OwnTime } from './slope.ts'

/** After so long a point counts a third, s: a lid or a hand is followed within minutes, but noise must not decide. */
const forgetSMin = 150
const forgetSMax = 1_500
/** In that time the wax should fall so many times its unrest. */
const clearOfUnrest = 30
/** Coolings of one pot scatter so much at least (fill, lid), in ln of the scale. */
const habitU = 0.22

export interface Fall {
  own: OwnTime
  /** Own time now, and own seconds a second. */
  level: number
  scale: number
  /** Uncertainty of ln scale. */
  scaleU: number
  /** Of the level, s. */
  levelS: number
  line: Line | null
}

function habit(course: Course): { mean: number; u: number } | null {
  const { scales } = course.learnt
  if (scales.length === 0) return null
  const mean = medianOf(scales)
  const off = scales.length < 3 ? habitU : 1.4826 * medianOf(scales.map((s) => Math.abs(s - mean)))
  return { mean, u: Math.max(habitU, off) }
}

/** The line of the cooling: long enough to be sure of, and short where the wax has begun to go another way. */
function lineNow(points: readonly Point[], own: OwnTime, unrestC: number): Line | null {
  const t = points.map((p) => p.t / 1_000)
  const v = points.map((p) => own.at(p.c))
  const [first, last] = [points[0], points.at(-1)]
  if (!first || !last || last.t === first.t) return null
  const cPerS = Math.max(1e-5, (first.c - last.c) / ((last.t - first.t) / 1_000))
  const forgetS = Math.min(forgetSMax, Math.max(forgetSMin, (clearOfUnrest * unrestC) / cPerS))
  const long = lineThrough(t, v, forgetS)
  const short = lineThrough(t, v, forgetS / 4)
  if (long === null || short === null) return long
  const apart = Math.abs(long.slope - short.slope)
  const isOther = apart > 2.5 * Math.hypot(long.slopeU, short.slopeU) && apart > 0.12 * long.slope
  return isOther && short.slope > 0 ? short : long
}

/** Null where it does not fall, or too little is known of how it would. `off`: were it switched off now. */
export function fallOf(course: Course, facts: CourseFacts, off: boolean): Fall | null {
  const last = course.points.at(-1)
  if (!last) return null
  const airC = airOf(course)
  const points = movingPoints(course, true)
  const topC = Math.max(last.c, ...points.map((p) => p.c)) + 1
  const own = new OwnTime(bendOf(course, facts), airC, topC)
  const before = habit(course)
  const line = off ? null : lineNow(points, own, unrestOf(course.points))
  if (line === null || line.slope <= 0) {
    if (before === null || (!off && line !== null)) return null
    return { own, level: own.at(last.c), scale: Math.exp(before.mean), scaleU: before.u, levelS: 20, line }
  }
  const seenU = Math.min(2, line.slopeU / line.slope)
  const fitted = Math.log(line.slope)
  const [a, b] = [1 / seenU ** 2, before === null ? 0 : 1 / before.u ** 2]
  const scale = Math.exp((fitted * a + (before?.mean ?? 0) * b) / (a + b))
  return {
    own,
    level: line.level,
    scale,
    scaleU: 1 / Math.sqrt(a + b),
    levelS: line.rest / line.slope / Math.sqrt(Math.min(line.n, 12)),
    line,
  }
}
