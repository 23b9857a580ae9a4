/** Rate of a series: the slope through a dozen averages of its last stretch, steady under noise and bounded under flood. */
import { minuteMs } from '../time.ts'
import type { EpochMs } from '../time.ts'
import type { Trail } from './state.ts'

const buckets = 12
/** A slope through less than this part of the stretch is a guess, not a rate. */
const spanMin = 0.6

export const noTrail: Trail = { bucket: -1, count: 0, sumT: 0, sumV: 0, means: [] }

/** Takes in one value (°C) at `t`; the stretch is `overS` seconds long. Times must not fall. */
export function follow(trail: Trail, t: EpochMs, value: number, overS: number): Trail {
  const bucket = Math.floor((t * buckets) / (overS * 1_000))
  if (bucket === trail.bucket)
    return { bucket, count: trail.count + 1, sumT: trail.sumT + t, sumV: trail.sumV + value, means: trail.means }
  const closed = trail.count === 0 ? [] : [trail.sumT / trail.count, trail.sumV / trail.count]
  const means = [...trail.means, ...closed]
  let from = 0
  while (from < means.length && (means[from] as number) < t - overS * 1_000) from += 2
  return { bucket, count: 1, sumT: t, sumV: value, means: from === 0 ? means : means.slice(from) }
}

/** Slope by least squares, °C/min; null while too little of the stretch is seen. */
export function ratePerMinute(trail: Trail, overS: number): number | null {
  const means = trail.count === 0 ? trail.means : [...trail.means, trail.sumT / trail.count, trail.sumV / trail.count]
  const n = means.length / 2
  const first = means[0]
  if (n < 3 || first === undefined || (means[means.length - 2] as number) - first < spanMin * overS * 1_000) return null
  let sumX = 0
  let sumY = 0
  let sumXX = 0
  let sumXY = 0
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
