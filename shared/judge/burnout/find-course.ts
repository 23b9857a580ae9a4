/** What a kiln's air comes to while no burnout is said, value by value: at rest, found to be a burnout, or over. Pure. */
import type { Sample } from '../../series/columns.ts'
import { type DurationMs, type EpochMs, hourMs, minuteMs } from '../../time.ts'
import { hotAfter, isBurnout, leftAt, pointMs, restAfter, type Rest, withPoint } from './climb.ts'
import { type FindState, newFind } from './find-state.ts'
import { keptSince } from './kept.ts'
import { filled } from './watch.ts'

/** It is over when its air has been below this for so long: a door is shut again sooner. Where the examiner ends a firing, too. */
const overC = 120
const overMs = 30 * minuteMs
/** Unseen for longer than this, nobody knows whether it is still the same one. */
const unseenMs = 24 * hourMs
/** A kiln that was at rest is taken to have rested until it is seen again, unless that took longer. */
const restlessMs = 12 * hourMs
/** What was said before it left its rest is kept so long: a run may be said to have begun a while before the climb. */
const beforeMs = 30 * minuteMs
const middle = (values: readonly number[]) => {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted[sorted.length >> 1] as number
}

/** One more good value of the air; `isFull`: the point before it is. */
function gathered(find: FindState, sample: Sample): [FindState, isFull: boolean] {
  const [minute, closed] = filled(find.minute, minuteMs, sample)
  if (!closed) return [{ ...find, minute }, false]
  const [at, mean] = closed
  const pointAt = Math.floor(at / pointMs) * pointMs
  if (find.means.length === 0 || pointAt === find.pointAt)
    return [{ ...find, minute, pointAt, means: [...find.means, mean] }, false]
  // The middle one of its minutes: one wild value moves no point.
  const t = find.pointAt + (find.means.length * minuteMs) / 2
  const points = withPoint(find.points, { t, v: middle(find.means) })
  return [{ ...find, minute, pointAt, means: [mean], points }, true]
}

/** While nothing is found. */
function resting(before: FindState, slackMs: DurationMs): FindState {
  const { points } = before
  const { t, v } = points.at(-1) as { t: EpochMs; v: number }
  const isStale = t - (points.at(-2)?.t ?? before.rest?.at ?? t) > restlessMs
  const rest = restAfter(isStale ? null : before.rest, points, slackMs)
  const since = rest === before.rest ? (before.since ?? leftAt(points, rest)) : leftAt(points, rest)
  const kept = keptSince(before.kept, rest.at - beforeMs)
  const hot = hotAfter(before.hot, points, before.rest)
  const next = { ...before, rest, since, hot, kept }
  return isBurnout(points, rest, hot, slackMs)
    ? { ...next, hot: null, heat: { since: since ?? rest.at, fromC: rest.c, topC: v, at: t, coldSince: null } }
    : next
}

/** While one is under way: hotter, cold, or over since that instant. */
function heated(find: FindState): [FindState, over: EpochMs | null] {
  const before = find.heat as NonNullable<FindState['heat']>
  const { t, v } = find.points.at(-1) as { t: EpochMs; v: number }
  if (t - before.at > unseenMs) return [find, before.at]
  const coldSince = v < overC ? (before.coldSince ?? t) : null
  const heat = { ...before, at: t, topC: Math.max(before.topC, v), coldSince }
  return [{ ...find, heat }, coldSince !== null && t - coldSince >= overMs ? coldSince : null]
}

/** Whatever it does next is counted from here. */
export function restNow({ points }: FindState): Rest | null {
  const newest = points.at(-1)
  return newest ? { at: newest.t, c: newest.v } : null
}

/** One more good value of the air; when one that was found was over, if it is. */
export function airSeen(before: FindState, sample: Sample, slackMs: DurationMs): [FindState, over: EpochMs | null] {
  // A clock that ran ahead and was set right: nobody knows how what comes now lies to what was.
  const isBack = sample.t < before.minute.at || sample.t < (before.points.at(-1)?.t ?? -Infinity)
  const [find, isFull] = gathered(isBack ? findBroken(before, sample.t) : before, sample)
  if (!isFull) return [find, null]
  return find.heat === null ? [resting(find, slackMs), null] : heated(find)
}

/** After a step of our clock the course is broken; what was found stays found, and began no later than now. */
export function findBroken(find: FindState, now: EpochMs): FindState {
  const { rest, heat } = find
  const back = (t: EpochMs) => Math.min(t, now)
  return {
    ...newFind,
    rest: rest && { ...rest, at: back(rest.at) },
    since: find.since === null ? null : back(find.since),
    heat: heat && {
      ...heat,
      since: back(heat.since),
      at: back(heat.at),
      coldSince: heat.coldSince === null ? null : back(heat.coldSince),
    },
    finding: find.finding,
    past: find.past,
  }
}
