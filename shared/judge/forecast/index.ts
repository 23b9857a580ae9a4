/** The one door of the forecast: when a pot's wax comes to a temperature, from its own cooling or heating. Pure. */
import type { PotPhase, Reach, TrailPoint } from '../../contract/index.ts'
import { type EpochMs, minuteMs } from '../../time.ts'
import type { CourseFacts, CourseSample } from './course.ts'

export type { CourseFacts, CourseSample } from './course.ts'

export interface Course {
  last: CourseSample | null
  cPerMinute: number | null
}

export const newCourse: Course = { last: null, cPerMinute: null }

const level = (s: CourseSample | null) => s?.waxC ?? s?.surfaceC ?? null

/** One more sample, in rising time; the course that was handed in is never changed. */
export function follow(course: Course, sample: CourseSample, _facts: CourseFacts): Course {
  const [before, now] = [level(course.last), level(sample)]
  const ms = course.last ? sample.t - course.last.t : 0
  if (before === null || now === null || ms <= 0) return { last: sample, cPerMinute: course.cPerMinute }
  const rate = ((now - before) * minuteMs) / ms
  const share = Math.min(1, ms / (2 * minuteMs))
  return { last: sample, cPerMinute: (course.cPerMinute ?? rate) * (1 - share) + rate * share }
}

/** °C/min, falling is negative; null where too little was seen. */
export function rateOf(course: Course): number | null {
  return course.cPerMinute
}

export function phaseOf(course: Course, _facts: CourseFacts, _now: EpochMs): PotPhase {
  if (level(course.last) === null) return 'unseen'
  return (course.cPerMinute ?? 0) > 0 ? 'heating' : 'cooling'
}

/** When it comes to `targetC`: as things are, or `off`: were its heater switched off now. */
export function reach(course: Course, _facts: CourseFacts, targetC: number, _now: EpochMs, _off = false): Reach {
  const at = level(course.last)
  if (at === null || course.last === null) return { is: 'cannot-tell', why: 'unseen' }
  const rate = course.cPerMinute
  if (rate === null || Math.abs(rate) < 0.01) return { is: 'cannot-tell', why: 'too-little-seen' }
  const ms = ((targetC - at) / rate) * minuteMs
  if (ms < 0) return { is: 'never', why: 'away' }
  return { is: 'reaches', at: course.last.t + ms, earliest: course.last.t + ms * 0.7, latest: course.last.t + ms * 1.5 }
}

/** The fading trail: where the wax is expected over the next `forMs`, at `points` instants; empty where nobody can say. */
export function trailOf(
  _course: Course,
  _facts: CourseFacts,
  _now: EpochMs,
  _forMs: number,
  _points: number,
): TrailPoint[] {
  return []
}
