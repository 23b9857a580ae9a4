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

/** The line through x[k + lag] and y[k], over the last `most` pairs. */
function fitAt(x: Course, y: Course, lag: number, most: number): Fit | null {
  let [n, sx, sy, sxx, syy, sxy] = [0, 0, 0, 0, 0, 0]
  // Both courses end at the same minute.
  const last = Math.min(0, -lag)
  for (let k = last; k > last - most; k--) {
    const [a, b] = [x[x.length - 1 + k + lag], y[y.length - 1 + k]]
    if (a === undefined || b === undefined) break
    if (a === null || b === null) continue
    n++
    sx += a
    sy += b
    sxx += a * a
    syy += b * b
    sxy += a * b
  }
  if (n < 10) return null
  const [vx, vy, c] = [sxx / n - (sx / n) ** 2, syy / n - (sy / n) ** 2, sxy / n - (sx / n) * (sy / n)]
  if (vx <= 1e-9 || vy <= 1e-9) return null
  return { left: 1 - (c * c) / (vx * vy), slope: c / vy, sdX: Math.sqrt(vx), sdY: Math.sqrt(vy), n }
}

/** Null where nothing moved enough to tell. Shares of what is left are of the deviation, not of its square. */
export function lagBetween(x: Course, y: Course, lagMax: number, least = 20, most = 240): Lag | null {
  const fits: (Fit | null)[] = []
  for (let lag = -lagMax; lag <= lagMax; lag++) {
    const fit = fitAt(x, y, lag, most)
    fits.push(fit !== null && fit.n >= least ? fit : null)
  }
  let at = -1
  fits.forEach((fit, k) => {
    if (fit && fit.slope > 0 && (at < 0 || fit.left < (fits[at] as Fit).left)) at = k
  })
  const [best, plain] = [fits[at], fits[lagMax]]
  if (!best || !plain) return null
  const [left, right] = [fits[at - 1]?.left ?? best.left, fits[at + 1]?.left ?? best.left]
  const bend = left - 2 * best.left + right
  const offset = bend > 0 ? Math.max(-0.5, Math.min(0.5, (0.5 * (left - right)) / bend)) : 0
  const root = (v: number) => Math.sqrt(Math.max(0, v))
  return {
    minutes: Math.round((at - lagMax + offset) * 10) / 10,
    left: root(best.left),
    unshifted: root(plain.left),
    slope: best.slope,
    moved: best.sdX,
    movedOther: best.sdY,
  }
}
