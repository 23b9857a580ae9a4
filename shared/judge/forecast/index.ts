/** The one door of the forecast: when a pot's wax comes to a temperature, from its own cooling or heating. Pure. */
import type { PotPhase, Reach, TrailPoint } from '../../contract/index.ts'
import { type EpochMs, minuteMs } from '../../time.ts'
import type { Course, CourseFacts, Point } from './course.ts'
import { type Fall, fallOf } from './falling.ts'
import { unlearntBetween } from './learn.ts'
import { riseOf } from './rising.ts'
import { airOf, type Line, lineThrough, runningPoints } from './slope.ts'
import { interval, spreadOf } from './spread.ts'

export { type Course, type CourseFacts, type CourseSample, newCourse } from './course.ts'
export { follow } from './follow.ts'

/** Farther than this nobody is told a time: lids and hands decide before, not the law. */
const aheadMsMax = 90 * minuteMs
/** After something happened to it, so long nothing is said, unless this pot is known well. */
const settleMs = 75_000
/** A forecast that may be off by more than this, in logarithm, is none. */
const spreadMax = 1.05
/** So near to where its thermostat turns nobody knows which breath of it gets there, °C. */
const nearTopC = 4
/** °C/s below which it stands. */
const standsCPerS = 0.004 / 60
const coldC = 40

type Way = 'falls' | 'rises' | 'held' | 'stands' | 'unknown'

/** Between the marks of its thermostat: two turns or more within an hour, and not yet below the lowest. */
function isHeld(course: Course, last: Point): boolean {
  const recent = course.turns.filter((turn) => last.t - turn.t < 60 * minuteMs)
  const highs = recent.filter((turn) => turn.high)
  const lows = recent.filter((turn) => !turn.high)
  if (highs.length + lows.length < 3 || lows.length === 0) return false
  const lowest = Math.min(...lows.map((turn) => turn.c))
  const highest = Math.max(...highs.map((turn) => turn.c))
  return highest - lowest < 9 && last.c > lowest - 0.5 && last.c < highest + 1
}

function wayOf(course: Course): Way {
  const last = course.points.at(-1)
  const points = runningPoints(course)
  const first = points[0]
  if (!last || !first) return 'unknown'
  if (course.heating === null && isHeld(course, last)) return 'held'
  if (course.heating !== null && isHeld(course, last) && course.heating) return 'held'
  if (last.t - first.t < 40_000) return 'unknown'
  const line = slopeNow(points)
  if (line === null || Math.abs(line.slope) < standsCPerS || Math.abs(line.slope) < 0.7 * line.slopeU) return 'stands'
  return line.slope < 0 ? 'falls' : 'rises'
}

/** °C/s, over minutes where it is clear, over a quarter of an hour where noise hides it. */
function slopeNow(points: readonly Point[]): Line | null {
  const t = points.map((p) => p.t / 1_000)
  const c = points.map((p) => p.c)
  const quick = lineThrough(t, c, 100)
  return quick && Math.abs(quick.slope) > 1.5 * quick.slopeU ? quick : lineThrough(t, c, 500)
}

/** °C/min, falling is negative; null where too little was seen. */
export function rateOf(course: Course): number | null {
  const points = runningPoints(course)
  const [first, last] = [points[0], points.at(-1)]
  if (!first || !last || last.t - first.t < 40_000) return null
  const line = slopeNow(points)
  return line === null ? null : line.slope * 60
}

export function phaseOf(course: Course, facts: CourseFacts, now: EpochMs): PotPhase {
  const last = course.points.at(-1)
  if (!last || now - last.t > 10 * minuteMs) return 'unseen'
  const way = wayOf(course)
  const { congealing } = facts
  const isBand = congealing !== null && last.c >= congealing.fromC - 2 && last.c <= congealing.toC + 1
  if (way === 'rises') return congealing !== null && last.c < congealing.toC ? 'melting' : 'heating'
  if (way === 'held') return 'held'
  if (last.c < coldC) return 'cold'
  if (isBand) return 'congealing'
  if (way === 'stands') return last.c < airOf(course) + 6 ? 'cold' : 'held'
  return 'cooling'
}

function told(course: Course, now: EpochMs, ms: number, spread: number): Reach {
  if (!(ms < aheadMsMax)) return { is: 'cannot-tell', why: 'too-far' }
  if (spread > spreadMax) return { is: 'cannot-tell', why: 'hardly-moves' }
  const [least, most] = interval(course, ms, spread)
  return { is: 'reaches', at: now + ms, earliest: now + least, latest: now + most }
}

function falls(course: Course, facts: CourseFacts, fall: Fall, targetC: number, now: EpochMs): Reach {
  if (targetC <= airOf(course) + 1) return { is: 'never', why: 'air' }
  const last = course.points.at(-1) as Point
  const own = fall.own.at(targetC)
  const ms = ((own - fall.level) / fall.scale) * 1_000 - (now - last.t)
  const unlearnt = unlearntBetween(course, facts, last.c, targetC)
  if (unlearnt > 0.75 && targetC < (facts.congealing?.toC ?? 66)) return { is: 'cannot-tell', why: 'congealing' }
  if (!Number.isFinite(ms)) return { is: 'cannot-tell', why: 'too-far' }
  const lead = Math.max(0, ms)
  return told(course, now, lead, spreadOf(lead, fall.scaleU, fall.levelS, course.airC !== null, unlearnt))
}

/** When it comes to `targetC`: as things are, or `off`: were its heater switched off now. */
export function reach(course: Course, facts: CourseFacts, targetC: number, now: EpochMs, off = false): Reach {
  const last = course.points.at(-1)
  if (!last || now - last.t > 10 * minuteMs) return { is: 'cannot-tell', why: 'unseen' }
  const way = off ? 'falls' : wayOf(course)
  const isKnown = course.learnt.scales.length >= 2
  if (!off && course.odd.length >= 4 && now - (course.odd[0]?.t ?? now) > 30_000)
    return { is: 'cannot-tell', why: 'disturbed' }
  if (way === 'held') return { is: 'never', why: 'held' }
  const down = targetC < last.c
  // A heater that is seen to be off lets the wax go, though nothing shows yet.
  const isLetGo = course.heating === false && isKnown && down && (way === 'stands' || way === 'rises')
  if (way === 'stands' && !isLetGo) return { is: 'cannot-tell', why: 'hardly-moves' }
  if (way === 'unknown' && !(isKnown && down)) {
    const isShaken = course.shakenAt !== null && now - course.shakenAt < settleMs
    return { is: 'cannot-tell', why: isShaken ? 'disturbed' : 'too-little-seen' }
  }
  if (way === 'rises' && !isLetGo) {
    if (down) return { is: 'never', why: 'away' }
    const rise = riseOf(course)
    if (rise === null || !rise.known) return { is: 'cannot-tell', why: 'too-little-seen' }
    const top =
      course.learnt.tops.length >= 2
        ? Math.max(...course.learnt.tops)
        : facts.setPointC === null
          ? Infinity
          : facts.setPointC + 8
    if (targetC > top + 1.5) return { is: 'never', why: 'held' }
    const ms = rise.secondsTo(targetC) * 1_000 - (now - last.t)
    if (!Number.isFinite(ms)) return { is: 'cannot-tell', why: 'too-far' }
    const lead = Math.max(0, ms)
    const levelS = rise.line.rest / rise.rate / Math.sqrt(Math.min(rise.line.n, 10))
    return told(
      course,
      now,
      lead,
      Math.hypot(
        targetC > top - nearTopC ? 0.5 : 0.18,
        spreadOf(lead, rise.line.slopeU / rise.line.slope, levelS, true, 0),
      ),
    )
  }
  if (!down) return { is: 'never', why: 'away' }
  const fall = fallOf(course, facts, off || isLetGo || way === 'unknown')
  return fall === null ? { is: 'cannot-tell', why: 'too-little-seen' } : falls(course, facts, fall, targetC, now)
}

/** The fading trail: where the wax is expected over the next `forMs`, at `points` instants; empty where nobody can say. */
export function trailOf(course: Course, facts: CourseFacts, now: EpochMs, forMs: number, points: number): TrailPoint[] {
  const way = wayOf(course)
  const last = course.points.at(-1)
  const fall = way === 'falls' ? fallOf(course, facts, false) : null
  if (!last || fall === null) return []
  return Array.from({ length: points }, (_, i): TrailPoint => {
    const ms = (forMs * (i + 1)) / points
    const unlearnt = unlearntBetween(course, facts, last.c, fall.own.back(fall.level + (fall.scale * ms) / 1_000))
    const [least, most] = interval(course, ms, spreadOf(ms, fall.scaleU, fall.levelS, course.airC !== null, unlearnt))
    // Who comes early is farther down by then: the fast end of the leads is the low end of the wax.
    const at = (share: number) => fall.own.back(fall.level + (fall.scale * ms * share) / 1_000)
    return { at: now + ms, lowC: at(ms / Math.max(1, least)), midC: at(1), highC: at(ms / Math.max(1, most)) }
  })
}
