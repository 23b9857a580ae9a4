/** By how many minutes one course comes after another: where a line through both, one of them shifted, leaves least. */
import type { Course } from './course.ts'

export interface Lag {
  /** The first comes so much later. */
  minutes: number
  /** What the line leaves unexplained there, and unshifted, as shares of how the first moves. */
  left: number
  unshifted: number
  /** Slope of the first on the second, and how far both moved (standard deviations). */
  slope: number
  /** What the line leaves where the first comes six minutes later. */
  late: number
  moved: number
  movedOther: number
}

interface Fit {
  left: number
  slope: number
  sdX: number
  sdY: number
  n: number
}

/** So little left unshifted: nothing is to be gained by a shift. */
const alikeLeft = 0.02
const lateBy = 6

/** As numbers alone, NaN where unseen: the sums below run some thousand times as often as anything else here. */
function numbersOf(course: Course): Float64Array {
  const numbers = new Float64Array(course.length)
  for (let k = 0; k < course.length; k++) numbers[k] = course[k] ?? Number.NaN
  return numbers
}

/** The line through x[k + lag] and y[k], over the last `most` pairs; both end at the same minute. */
function fitAt(x: Float64Array, y: Float64Array, lag: number, most: number): Fit | null {
  let n = 0
  let sx = 0
  let sy = 0
  let sxx = 0
  let syy = 0
  let sxy = 0
  const shift = x.length - y.length + lag
  const last = y.length - 1 - Math.max(0, lag)
  const first = Math.max(0, -shift, last - most + 1)
  for (let k = first; k <= last; k++) {
    const a = x[k + shift] as number
    const b = y[k] as number
    const product = a * b
    if (Number.isNaN(product)) continue
    n++
    sx += a
    sy += b
    sxx += a * a
    syy += b * b
    sxy += product
  }
  if (n < 10) return null
  const vx = sxx / n - (sx / n) ** 2
  const vy = syy / n - (sy / n) ** 2
  const c = sxy / n - (sx / n) * (sy / n)
  if (vx <= 1e-9 || vy <= 1e-9) return null
  return { left: 1 - (c * c) / (vx * vy), slope: c / vy, sdX: Math.sqrt(vx), sdY: Math.sqrt(vy), n }
}

/** Null where nothing moved enough to tell. Shares of what is left are of the deviation, not of its square. */
export function lagBetween(first: Course, second: Course, lagMax: number, least = 20, most = 240): Lag | null {
  const [x, y] = [numbersOf(first), numbersOf(second)]
  const fits: (Fit | null | undefined)[] = []
  const at = (lag: number): Fit | null => {
    const known = fits[lag + lagMax]
    if (known !== undefined) return known
    const fit = fitAt(x, y, lag, most)
    const kept = fit !== null && fit.n >= least && fit.slope > 0 ? fit : null
    fits[lag + lagMax] = kept
    return kept
  }
  const still = fitAt(x, y, 0, most)
  if (still === null || still.n < least) return null
  if (still.slope > 0 && Math.sqrt(Math.max(0, still.left)) <= alikeLeft)
    return lagFrom(0, still, still, at(lateBy) ?? still, 0)
  // Every third one first: a minimum is wider than that.
  let lowest: number | null = null
  const leaves = (lag: number | null): number => (lag === null ? Number.POSITIVE_INFINITY : (at(lag)?.left ?? 2))
  for (let lag = -3 * Math.floor(lagMax / 3); lag <= lagMax; lag += 3)
    if (at(lag) !== null && leaves(lag) < leaves(lowest)) lowest = lag
  if (lowest === null) return null
  const around = lowest
  for (const lag of [around - 2, around - 1, around + 1, around + 2])
    if (Math.abs(lag) <= lagMax && at(lag) !== null && leaves(lag) < leaves(lowest)) lowest = lag
  const best = at(lowest)
  if (best === null) return null
  const beside = (lag: number): number => (Math.abs(lag) <= lagMax ? at(lag)?.left : undefined) ?? best.left
  const [left, right] = [beside(lowest - 1), beside(lowest + 1)]
  const bend = left - 2 * best.left + right
  const offset = bend > 0 ? Math.max(-0.5, Math.min(0.5, (0.5 * (left - right)) / bend)) : 0
  return lagFrom(lowest, best, still, at(lateBy) ?? still, offset)
}

function lagFrom(lag: number, best: Fit, still: Fit, late: Fit, offset: number): Lag {
  const root = (v: number) => Math.sqrt(Math.max(0, v))
  return {
    minutes: Math.round((lag + offset) * 10) / 10,
    left: root(best.left),
    unshifted: root(still.left),
    slope: best.slope,
    late: root(late.left),
    moved: best.sdX,
    movedOther: best.sdY,
  }
}
