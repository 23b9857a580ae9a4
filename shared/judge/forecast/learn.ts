/** What a pot teaches: how its cooling bends, how fast each of its coolings was, how far its thermostat lets it, how far off it was foretold. */
import { coolingRate, lossExponent } from '../../physics/cooling.ts'
import { minuteMs } from '../../time.ts'
import {
  binC,
  binFromC,
  binOf,
  bins,
  type Course,
  type CourseFacts,
  type Learnt,
  medianOf,
  type Point,
  type Wager,
} from './course.ts'
import { fallOf } from './falling.ts'
import { missOf, classOf, spreadOf } from './spread.ts'
import { airOf } from './slope.ts'

const remembered = 12
const missesKept = 60
const noRates = Array.from({ length: bins }, () => ({ fellC: 0, bareC: 0 }))
/** A bin is believed once the wax fell so far in it, and a cooling after so many bins. */
const fellCMin = 1.4
const binsMin = 3
/** Leads at which a silent wager is made, min. */
const wagerLeads = [3.5, 9, 21] as const

/** One more point of a falling course: how far it fell goes to its bin, up or down as it comes, or noise would make it faster than it is. */
export function withRate(course: Course, before: Point, now: Point): Course {
  const c = (before.c + now.c) / 2
  const above = c - airOf(course)
  if (above < 5 || now.t - before.t > 2 * minuteMs) return course
  const at = binOf(c)
  const cell = course.rates[at] as { fellC: number; bareC: number }
  const bareC = above ** lossExponent * ((now.t - before.t) / 1_000)
  const next = { fellC: cell.fellC + before.c - now.c, bareC: cell.bareC + bareC }
  return { ...course, rates: course.rates.with(at, next) }
}

/** A cooling is over: what it was goes into what is known of the pot. */
export function learntFrom(course: Course): Learnt {
  const { learnt, rates } = course
  const visited = rates.flatMap(({ bareC }, i) => (bareC > 0 ? [i] : []))
  // Where it was let go its element still warmed it, and where it stayed it may have been held: neither is how it cools.
  const [lowest, highest] = [visited[0] ?? 0, visited.at(-1) ?? 0]
  const known = rates.flatMap(({ fellC, bareC }, i) =>
    i > lowest && i < highest && fellC >= fellCMin ? [{ i, x: Math.log(fellC / bareC) }] : [],
  )
  if (known.length < binsMin) return learnt
  // Congealing is slower by far: the scale is told by the faster half.
  const rests = known.map(({ i, x }) => x - (learnt.bend[i] as number)).sort((a, b) => a - b)
  const scale = medianOf(learnt.scenes < 2 ? rests.slice(rests.length >> 1) : rests)
  const bend = [...learnt.bend]
  const seen = [...learnt.seen]
  for (const { i, x } of known) {
    const n = Math.min(7, seen[i] as number)
    bend[i] = ((bend[i] as number) * n + (x - scale)) / (n + 1)
    seen[i] = (seen[i] as number) + 1
  }
  return { ...learnt, scenes: learnt.scenes + 1, bend, seen, scales: [...learnt.scales, scale].slice(-remembered) }
}

export function ended(course: Course): Course {
  return { ...course, learnt: learntFrom(course), rates: noRates, wagers: [] }
}

/** A thermostat's turn from rising to falling. */
export function withTop(learnt: Learnt, topC: number): Learnt {
  return { ...learnt, tops: [...learnt.tops, topC].slice(-remembered) }
}

/** A heat-up is over: what its heater gave between a quarter and nine tenths of the way. */
export function withPush(course: Course, rising: readonly Point[]): Learnt {
  const { learnt } = course
  const part = rising.slice(Math.floor(rising.length * 0.25), Math.ceil(rising.length * 0.9))
  const [a, b] = [part[0], part.at(-1)]
  if (!a || !b || b.c - a.c < 4 || b.t - a.t < minuteMs) return learnt
  const scale = learnt.scales.length === 0 ? 0 : Math.exp(medianOf(learnt.scales))
  const push = ((b.c - a.c) * 1_000) / (b.t - a.t) + coolingRate((a.c + b.c) / 2, airOf(course), scale)
  return { ...learnt, pushes: [...learnt.pushes, push].slice(-remembered) }
}

/** Share of the way from one temperature down to another of which this pot has shown nothing yet. */
export function unlearntBetween(course: Course, facts: CourseFacts, fromC: number, toC: number): number {
  const [low, high] = [binOf(Math.min(fromC, toC)), binOf(Math.max(fromC, toC))]
  let [unknown, all] = [0, 0]
  for (let i = low; i <= high; i++) {
    all++
    const c = binFromC + i * binC
    // Well above congealing the bare law is known to hold.
    const isBent = facts.congealing === null ? c < 70 : c < facts.congealing.toC + 3
    if ((course.learnt.seen[i] as number) === 0) unknown += isBent ? 1 : 0.15
  }
  return all === 0 ? 0 : unknown / all
}

/** Silent forecasts are made and held against what came of them. */
export function wagered(course: Course, facts: CourseFacts, now: Point): Course {
  let { learnt } = course
  const open: Wager[] = []
  for (const wager of course.wagers) {
    const told = wager.at - wager.madeAt
    const taken = now.t - wager.madeAt
    const came = now.c <= wager.targetC
    // What takes three times as long was held or heated meanwhile: that is no error of the forecast.
    if (!came) {
      if (taken < 3 * told + minuteMs) open.push(wager)
      continue
    }
    const at = classOf(told)
    const miss = missOf(told, taken) / wager.spread
    learnt = {
      ...learnt,
      misses: learnt.misses.with(
        at,
        [...(learnt.misses[at] ?? []), Math.max(-8, Math.min(8, miss))].slice(-missesKept),
      ),
    }
  }
  const fall = open.length < 9 ? fallOf({ ...course, learnt }, facts, false) : null
  if (fall?.line && now.t - course.since > 90_000)
    for (const minutes of wagerLeads) {
      const targetC = fall.own.back(fall.level + fall.scale * minutes * 60)
      if (
        !(targetC > airOf(course) + 5) ||
        open.some(
          (w) => Math.abs(w.targetC - targetC) < 0.8 && classOf(w.at - w.madeAt) === classOf(minutes * minuteMs),
        )
      )
        continue
      const spread = spreadOf(
        minutes * minuteMs,
        fall.scaleU,
        fall.levelS,
        course.airC !== null,
        unlearntBetween(course, facts, now.c, targetC),
      )
      open.push({ targetC, madeAt: now.t, at: now.t + minutes * minuteMs, spread })
    }
  return { ...course, learnt, wagers: open }
}
