/** Rate of a series: the slope through a dozen averages of its last stretch, steady under noise and bounded under flood. */
import { type DurationMs, type EpochMs, minuteMs } from '../time.ts'
import type { Trail } from './state.ts'

const buckets = 12
/** A slope through less than this part of the stretch is a guess, not a rate. */
const spanMin = 0.6

export const noTrail: Trail = { bucket: -1, count: 0, sumT: 0, sumV: 0, means: [] }

/** Takes in one value (°C) at `t`; the stretch is `overMs` long. Times must not fall. */
export function follow(trail: Trail, t: EpochMs, value: number, overMs: DurationMs): Trail {
  const bucket = Math.floor((t * buckets) / overMs)
  const { count, sumT, sumV, means } = trail
  if (bucket === trail.bucket) return { bucket, count: count + 1, sumT: sumT + t, sumV: sumV + value, means }
  if (count === 0) return { bucket, count: 1, sumT: t, sumV: value, means }
  let from = 0
  while (from < means.length && (means[from] as number) < t - overMs) from += 2
  return { bucket, count: 1, sumT: t, sumV: value, means: [...means.slice(from), sumT / count, sumV / count] }
}

/** Slope by least squares, °C/min; null while too little of the stretch is seen. */
export function ratePerMinute(trail: Trail, overMs: DurationMs): number | null {
  const { count, means } = trail
  const first = means[0]
  if (count === 0 || first === undefined || means.length < 4) return null
  // The open bucket is the last point. Times are taken from the first, in minutes, so that no digits are lost to the epoch.
  const lastX = (trail.sumT / count - first) / minuteMs
  const lastY = trail.sumV / count
  if (lastX * minuteMs < spanMin * overMs) return null
  const n = means.length / 2 + 1
  let sumX = lastX
  let sumY = lastY
  let sumXX = lastX * lastX
  let sumXY = lastX * lastY
  for (let i = 0; i < means.length; i += 2) {
    const x = ((means[i] as number) - first) / minuteMs
    const y = means[i + 1] as number
    sumX += x
    sumY += y
    sumXX += x * x
    sumXY += x * y
  }
  return (n * sumXY - sumX * sumY) / (n * sumXX - sumX * sumX)
}
