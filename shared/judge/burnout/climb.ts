/** How a kiln's air climbs, told by points of five minutes: at rest, falling, on its way up, or hot out of a hole. Pure. */
import type { Point } from '../../series/columns.ts'
import { type DurationMs, type EpochMs, hourMs, minuteMs } from '../../time.ts'

/** Where the air last rested: its lowest level there, and until when it was about there. */
export interface Rest {
  at: EpochMs
  c: number
}

export const pointMs = 5 * minuteMs
/** Points are kept so long. Reason: a door that was open on a hot kiln is forgotten by then, whatever comes back from its walls. */
const keptMs = 3 * hourMs
/** Within so much of its lowest the air rests; noise and the day's draughts stay below it. Common practice, no source. */
const restsWithinC = 4
/** Below this a kiln that stands still is taken to be cold, also where it is warmer than it was in the morning. */
const coldC = 60
const stillC = 3
/** And one that loses more than this in half an hour, twice, is cooling. */
const fallsC = 2
/** Hotter than any drying at low heat (60 to 120 °C) with its overshoot and its probe's error. Our choice. */
const burnoutFromC = 135
/** And so much above its rest. */
const climbedC = 60
/**
 * It has to rise in each of four steps of ten minutes, in the last by at least this part of them all, and to fall back at no point between: a
 * test firing of twenty minutes does not do the first, a drying that comes to its level not the second, a probe gone wild not the third. Our
 * choice.
 */
const steps = 4
const stepMs = 10 * minuteMs
const stepC = 3
const lastPart = 0.18
/** And to get beyond where it was in the last hours: what a hot wall gives back when a door is shut does not. */
const beyondC = 5
/** Out of a hole: so hot, so long. */
const hotC = 200
const hotMs = hourMs
const holeMs = 15 * minuteMs

export function withPoint(points: readonly Point[], point: Point): readonly Point[] {
  return [...points.filter((p) => p.t > point.t - keptMs), point]
}

const newest = (points: readonly Point[]) => points.at(-1) as Point

/** The newest at or before this time, where it is not older than `slackMs`. */
function levelAt(points: readonly Point[], t: EpochMs, slackMs: DurationMs): number | null {
  const one = points.findLast((p) => p.t <= t)
  return one && t - one.t <= slackMs ? one.v : null
}

/** Whether it fell in each of two half hours: an open door is shut again sooner. */
function falls(points: readonly Point[], slackMs: DurationMs): boolean {
  const { t, v } = newest(points)
  const [half, whole] = [30, 60].map((m) => levelAt(points, t - m * minuteMs, slackMs))
  return half != null && whole != null && v < half - fallsC && half < whole - fallsC
}

/** Whether it stood still for an hour, as far as it was seen. */
function stands(points: readonly Point[]): boolean {
  const { t } = newest(points)
  const hour = points.filter((p) => p.t >= t - hourMs)
  const all = hour.map((p) => p.v)
  return t - (hour[0] as Point).t >= 0.75 * hourMs && Math.max(...all) - Math.min(...all) < stillC
}

/** Where it rests, after one more point: it follows the air down at once, and up only while that is cold and stands still. */
export function restAfter(before: Rest | null, points: readonly Point[], slackMs: DurationMs): Rest {
  const { t, v } = newest(points)
  if (before === null || v <= before.c) return { at: t, c: v }
  if (v <= before.c + restsWithinC) return { at: t, c: before.c }
  return falls(points, slackMs) || (v < coldC && stands(points)) ? { at: t, c: v } : before
}

function crossing(points: readonly Point[], after: EpochMs, c: number): EpochMs | null {
  const at = points.findIndex((p) => p.t > after && p.v > c)
  const [a, b] = [points[at - 1], points[at]]
  // Within a hole nobody knows when.
  return !a || !b || a.v > c || b.t - a.t > holeMs ? null : a.t + ((c - a.v) / (b.v - a.v)) * (b.t - a.t)
}

/** The level it left: the middle one of its last hour at rest, for its lowest is lower than that. */
function leftC(points: readonly Point[], rest: Rest): number {
  const last = points.filter((p) => p.t >= rest.at - hourMs && p.t <= rest.at - 2 * pointMs).map((p) => p.v)
  return last.sort((a, b) => a - b)[last.length >> 1] ?? rest.c
}

/** When it left its rest: where the line of its first degrees meets the level it left. Null while it has not. */
export function leftAt(points: readonly Point[], rest: Rest): EpochMs | null {
  const level = leftC(points, rest)
  const [low, high] = [level + restsWithinC + 1, level + 3 * (restsWithinC + 1)]
  if (newest(points).v <= high) return null
  const [from, to] = [low, high].map((c) => crossing(points, rest.at - pointMs, c))
  return from == null || to == null ? rest.at : Math.round(Math.max(rest.at - hourMs, from - (to - from) / 2))
}

/** °C/h over the last twenty minutes; 0 where that was not seen. */
export function rateOf(points: readonly Point[], slackMs: DurationMs): number {
  const { t, v } = newest(points)
  const before = levelAt(points, t - 2 * stepMs, slackMs)
  return before === null ? 0 : ((v - before) * hourMs) / (2 * stepMs)
}

function goesOnRising(points: readonly Point[], slackMs: DurationMs): boolean {
  const { t, v } = newest(points)
  const levels = [v]
  for (let step = 1; step <= steps; step++) {
    const below = levelAt(points, t - step * stepMs, slackMs)
    if (below === null || (levels.at(-1) as number) - below < stepC) return false
    levels.push(below)
  }
  if (v - (levels[1] as number) < lastPart * (v - (levels.at(-1) as number))) return false
  const climb = points.filter((p) => p.t >= t - steps * stepMs)
  if (climb.some((p, i) => p.v <= (climb[i - 1]?.v ?? -Infinity) - stillC)) return false
  const earlier = points.filter((p) => p.t <= t - steps * stepMs).map((p) => p.v)
  return v >= Math.max(...earlier) + beyondC
}

/** Where it came hot out of a hole since it rested; null where it did not, or is so hot no longer. */
export function hotAfter(before: Point | null, points: readonly Point[], rest: Rest | null): Point | null {
  const now = newest(points)
  if (now.v < hotC || rest === null || rest.c >= coldC) return null
  const last = points.at(-2)
  return before ?? (last === undefined || now.t - last.t > holeMs ? now : null)
}

/** It has stayed as hot for an hour: nobody saw it climb. */
const staysHot = (hot: Point, now: Point) => now.t - hot.t >= hotMs && now.v >= hot.v - beyondC

/** Whether this is a burnout, and not a drying, a test firing, a door or a broken probe. */
export function isBurnout(points: readonly Point[], rest: Rest, hot: Point | null, slackMs: DurationMs): boolean {
  const now = newest(points)
  if (now.v < burnoutFromC || now.v < rest.c + climbedC) return false
  return goesOnRising(points, slackMs) || (hot !== null && staysHot(hot, now))
}
