/** How fast a pot rises, told by care itself: a ceiling must not hang on the forecast. Plain data. */
import { type DurationMs, type EpochMs, minuteMs } from '../../time.ts'

/** Means of half a minute each, the oldest first, at most six minutes. */
export interface RiseTrail {
  openAt: EpochMs | null
  sum: number
  n: number
  means: readonly { t: EpochMs; c: number }[]
}

export const noRise: RiseTrail = { openAt: null, sum: 0, n: 0, means: [] }

const bucketMs: DurationMs = 30_000
const kept = 12
/** A mean that lies so far from the one before is no wax that was heated: a probe was put back, or taken out. */
const jumpC = 15
const holeMs = 3 * minuteMs

export function risen(trail: RiseTrail, t: EpochMs, c: number): RiseTrail {
  const { openAt, sum, n, means } = trail
  if (openAt === null || t < openAt) return { openAt: t, sum: c, n: 1, means: t < (openAt ?? t) ? [] : means }
  if (t - openAt < bucketMs) return { openAt, sum: sum + c, n: n + 1, means }
  const mean = { t: openAt + Math.min(bucketMs, t - openAt) / 2, c: sum / n }
  const last = means.at(-1)
  const isBroken = last !== undefined && (mean.t - last.t > holeMs || Math.abs(mean.c - last.c) > jumpC)
  return { openAt: t, sum: c, n: 1, means: isBroken ? [mean] : [...means, mean].slice(-kept) }
}

/** How hot it is without a brush in it: the median of the last three means; null where there are fewer. */
export function calmC({ means }: RiseTrail): number | null {
  const [a, b, c] = means.slice(-3).map((m) => m.c)
  if (a === undefined || b === undefined || c === undefined) return null
  return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c))
}

/** °C/min over the last two to three minutes: the median of the slopes between means a minute apart. Null while too little was seen. */
export function risingPerMinute({ means }: RiseTrail): number | null {
  const recent = means.slice(-7)
  if (recent.length < 4) return null
  const slopes = recent.slice(2).map((m, i) => {
    const before = recent[i] as { t: EpochMs; c: number }
    return ((m.c - before.c) * minuteMs) / (m.t - before.t)
  })
  return slopes.sort((a, b) => a - b)[slopes.length >> 1] ?? null
}
