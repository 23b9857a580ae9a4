/** Follows a pot: samples become points, points that do not fit wait to be believed, turns and breaks begin the course anew. */
import { minuteMs, secondMs } from '../../time.ts'
import { bucketMs, type Course, type CourseFacts, type CourseSample, middleOf, type Point, unrestOf } from './course.ts'
import { ended, wagered, withPush, withRate, withTop } from './learn.ts'

const keptMs = 30 * minuteMs
/** A point may lie so far from where the course leads before it is odd, °C. Reason: a brush takes half a degree, a stir two. */
const oddC = 0.9
/** Odd points are believed after so long; where they lie so far off that no wax gets there, they must be a probe in the air. */
const believedMs = 50 * secondMs
const farC = 9
const farBelievedMs = 4 * minuteMs
/** A turn is one after so much, °C. */
const turnCMin = 0.4
/** Nothing for so long: how fast it went before says nothing any more. */
const holeMs = 10 * minuteMs

/** Where the last points lead at `t`. */
function ledTo(course: Course, t: number): number | null {
  const [a, b] = [course.points.at(-4) ?? course.points[0], course.points.at(-1)]
  if (!a || !b) return null
  if (a === b || b.t - a.t > 3 * minuteMs) return b.c
  return b.c + ((b.c - a.c) / (b.t - a.t)) * Math.min(t - b.t, minuteMs) * 0.7
}

function begunAt(course: Course, t: number): Course {
  return { ...course, since: t, odd: [] }
}

/** The highest or lowest point of the course that goes on, if it has turned from there by more than noise. */
function turned(course: Course, now: Point): Course {
  const running = course.points.filter((p) => p.t >= course.since)
  if (running.length < 4) return course
  const turnC = Math.max(turnCMin, 3.5 * unrestOf(course.points))
  let [top, low] = [running[0] as Point, running[0] as Point]
  for (const p of running) {
    if (p.c >= top.c) top = p
    if (p.c <= low.c) low = p
  }
  const recent = running.slice(-3)
  const isFalling = recent.every((p) => p.c < top.c - turnC) && top.t > low.t
  const isRising = recent.every((p) => p.c > low.c + turnC) && low.t > top.t
  if (isFalling && top !== running[0]) {
    const turns = [...course.turns, { ...top, high: true }].slice(-8)
    const rising = running.filter((p) => p.t <= top.t)
    const learnt = withTop(withPush(course, rising), top.c)
    return { ...begunAt({ ...course, learnt }, top.t), turns, odd: [] }
  }
  if (isRising && low !== running[0]) {
    const fell = (running[0] as Point).c - low.c
    // A cooling that was one, not a thermostat's breath, is learnt from.
    const over = fell > 8 ? ended(course) : { ...course, rates: ended(course).rates, wagers: [] }
    return { ...begunAt(over, low.t), turns: [...course.turns, { ...low, high: false }].slice(-8) }
  }
  return now.t - (running[0] as Point).t > 3 * 60 * minuteMs ? begunAt(course, now.t - keptMs) : course
}

/** Odd points have been believed: something happened, and the course begins with them. */
function shaken(course: Course): Course {
  const [first] = course.odd
  if (!first) return course
  const points = [...course.points, ...course.odd]
  return { ...course, points, since: first.t, odd: [], shakenAt: first.t, wagers: [] }
}

function withPoint(course: Course, facts: CourseFacts, now: Point): Course {
  const last = course.points.at(-1)
  if (!last || now.t - last.t > holeMs) {
    const over = last && now.t - last.t > 60 * minuteMs ? ended(course) : course
    return { ...over, points: [now], since: now.t, odd: [], turns: [], wagers: [], shakenAt: null }
  }
  const led = ledTo(course, now.t) as number
  const off = Math.abs(now.c - led)
  if (off > Math.max(oddC, 5 * unrestOf(course.points)) + Math.abs(now.t - last.t) / 60_000) {
    const odd = [...course.odd, now]
    const waits = off > farC ? farBelievedMs : believedMs
    return now.t - (odd[0] as Point).t >= waits ? shaken({ ...course, odd }) : { ...course, odd }
  }
  const points = [...course.points.filter((p) => p.t > now.t - keptMs), now]
  let next: Course = turned({ ...course, points, odd: [] }, now)
  const top = next.points.find((p) => p.t >= next.since)
  if (top && now.c < top.c - 1 && now.t - next.since > minuteMs) {
    next = withRate(next, last, now)
    if (points.length % 3 === 0) next = wagered(next, facts, now)
  }
  return next
}

/** One more sample, in rising time; the course that was handed in is never changed. */
export function follow(course: Course, sample: CourseSample, facts: CourseFacts): Course {
  const lead = sample.waxC !== null ? 'wax' : 'surface'
  const value = sample.waxC ?? sample.surfaceC
  const airC =
    sample.airC === null
      ? course.airC
      : course.airC === null
        ? sample.airC
        : course.airC + 0.02 * (sample.airC - course.airC)
  const wasOn = course.heating === true
  let next: Course = { ...course, airC, heating: sample.heating }
  if (value === null) return next
  // Surface and depth are two temperatures: what leads now begins its own course.
  if (lead !== course.lead) next = { ...next, lead, points: [], open: [], openAt: null, odd: [], turns: [], wagers: [] }
  // A heater that goes off tells the turn before the wax does.
  if (wasOn && sample.heating === false && next.points.length > 0) next = { ...next, shakenAt: null }
  const { openAt } = next
  if (openAt === null) return { ...next, openAt: sample.t, open: [value] }
  if (sample.t - openAt < bucketMs) return { ...next, open: [...next.open, value] }
  const point = { t: openAt + Math.min(bucketMs, Math.max(0, sample.t - openAt)) / 2, c: middleOf(next.open) }
  return withPoint({ ...next, openAt: sample.t, open: [value] }, facts, point)
}
