/** How the water of a coat went on a night that was weighed: a course in drying power, not in hours, so that nights of other air can stand beside it. Pure. */
import type { Minutes } from '../causes/course.ts'
import type { DryingCourse } from './course.ts'

/** Somebody weighed the piece, or read its indicator: the share of the dip's water that was still there, 0 … 1. */
export interface Weighed {
  at: number
  moisture: number
}

/** Drying power since the dip, °C·h of depression, minute by minute; where nothing was seen, as it was last. */
export function drivenOf({ depressionC, dip }: DryingCourse): Minutes {
  const driven = new Float64Array(depressionC.length)
  let last = 0
  for (let i = 0; i < driven.length; i++) {
    const now = depressionC[i] as number
    if (!Number.isNaN(now)) last = Math.max(0, now)
    driven[i] = i <= dip ? 0 : (driven[i - 1] as number) + last / 60
  }
  return driven
}

/** Less than this no scale tells from nothing. */
export const moistureLeast = 1e-3

/** First at a steady rate, from `bend` on ever slower: what is left then halves again and again. */
export interface MoistureCourse {
  /** Share lost for each °C·h at first. */
  rate: number
  /** °C·h at which it bends. */
  bend: number
  /** Of what is left, the share lost for each °C·h after the bend. */
  fall: number
}

export function moistureAt({ rate, bend, fall }: MoistureCourse, driven: number): number {
  const atBend = Math.max(0.01, 1 - rate * bend)
  return driven <= bend ? 1 - rate * driven : atBend * Math.exp(-fall * (driven - bend))
}

/** °C·h at which so much is left. */
export function drivenAt(course: MoistureCourse, moisture: number): number {
  const atBend = Math.max(0.01, 1 - course.rate * course.bend)
  return moisture >= atBend ? (1 - moisture) / course.rate : course.bend + Math.log(atBend / moisture) / course.fall
}

/** A scale's standard uncertainty, as a share of the dip's water. Common practice, no source. */
const scaleSd = 0.01
/** No shell keeps to two stages exactly, and what counts is the end: as a share of what is left. */
const shapeSd = 0.07
const weighedLeast = 4

/** By least squares over a grid that closes in; null where too little was weighed, or it was never nearly dry. */
export function moistureCourse(points: readonly { driven: number; moisture: number }[]): MoistureCourse | null {
  const low = Math.min(...points.map((p) => p.moisture))
  if (points.length < weighedLeast || low > 0.15) return null
  const last = Math.max(...points.map((p) => p.driven))
  if (!(last > 0)) return null
  const off = (c: MoistureCourse) =>
    points.reduce(
      (sum, p) => sum + ((p.moisture - moistureAt(c, p.driven)) / Math.hypot(scaleSd, shapeSd * p.moisture)) ** 2,
      0,
    )
  let best: MoistureCourse = { rate: 1 / last, bend: last / 3, fall: 3 / last }
  let least = Number.POSITIVE_INFINITY
  // The bend is told by what is left there; so no candidate is below nothing.
  let [leftSpan, endSpan, fallSpan] = [
    [0.1, 0.97],
    [0.05, 1],
    [0.3, 30],
  ] as [[number, number], [number, number], [number, number]]
  for (let round = 0; round < 5; round++) {
    const steps = 12
    let at = [0, 0, 0] as [number, number, number]
    const of = ([a, b]: [number, number], i: number) => a * (b / a) ** (i / steps)
    for (let i = 0; i <= steps; i++)
      for (let k = 0; k <= steps; k++)
        for (let m = 0; m <= steps; m++) {
          const [left, end, fall] = [of(leftSpan, i), of(endSpan, k), of(fallSpan, m)]
          const one = { rate: (1 - left) / (end * last), bend: end * last, fall: fall / last }
          const sum = off(one)
          if (sum < least) {
            ;[least, best] = [sum, one]
            at = [left, end, fall]
          }
        }
    if (at[0] === 0) break
    const closer = (middle: number, [a, b]: [number, number]): [number, number] => {
      const reach = (b / a) ** (1.5 / steps)
      return [Math.max(a, middle / reach), Math.min(b, middle * reach)]
    }
    ;[leftSpan, endSpan, fallSpan] = [closer(at[0], leftSpan), closer(at[1], endSpan), closer(at[2], fallSpan)]
  }
  return best
}
