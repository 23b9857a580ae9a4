/** Sums that one odd value cannot spoil: medians, shares of a sorted list, and the slope through points by Theil and Sen. */

/** As numbers, without a function to compare them: several times faster, and every closed minute asks for some. */
function sorted(values: readonly number[]): Float64Array {
  return Float64Array.from(values).sort()
}

/** The value below which this share of them lies, 0…1; NaN of none. */
export function quantile(values: readonly number[], share: number): number {
  if (values.length === 0) return Number.NaN
  const order = sorted(values)
  const place = share * (order.length - 1)
  const low = Math.floor(place)
  const a = order[low] as number
  const b = order[Math.min(order.length - 1, low + 1)] as number
  return a + (b - a) * (place - low)
}

export function median(values: readonly number[]): number {
  return quantile(values, 0.5)
}

/** Median distance from the median, made comparable to a standard deviation of normal noise (times 1.4826). */
export function spreadOf(values: readonly number[]): number {
  const middle = median(values)
  return 1.4826 * median(values.map((v) => Math.abs(v - middle)))
}

export interface Trend {
  slope: number
  /** Interval of the slope, some 98 of 100. */
  low: number
  high: number
}

/**
 * Median of all slopes between two points (Theil 1950, Sen 1968), with the interval from the ranks of Kendall's test; null of fewer
 * than four points, for which there is no interval.
 */
export function trendOf(points: readonly (readonly [x: number, y: number])[]): Trend | null {
  const n = points.length
  if (n < 4) return null
  const slopes: number[] = []
  for (let i = 0; i < n; i++)
    for (let j = i + 1; j < n; j++) {
      const [a, b] = [points[i] as readonly [number, number], points[j] as readonly [number, number]]
      if (b[0] !== a[0]) slopes.push((b[1] - a[1]) / (b[0] - a[0]))
    }
  const order = sorted(slopes)
  const half = (2.33 * Math.sqrt((n * (n - 1) * (2 * n + 5)) / 18)) / 2
  const at = (place: number) => order[Math.max(0, Math.min(order.length - 1, Math.round(place)))] as number
  const middle = (order.length - 1) / 2
  return { slope: median(slopes), low: at(middle - half), high: at(middle + half) }
}

export interface Line {
  slope: number
  correlation: number
  /** Standard deviations of both. */
  deviationX: number
  deviationY: number
  count: number
}

/** Least squares of y on x; null of fewer than three points. */
export function lineThrough(xs: readonly number[], ys: readonly number[]): Line | null {
  const n = xs.length
  if (n < 3) return null
  let [sx, sy, sxx, syy, sxy] = [0, 0, 0, 0, 0]
  for (let i = 0; i < n; i++) {
    const [x, y] = [xs[i] as number, ys[i] as number]
    sx += x
    sy += y
    sxx += x * x
    syy += y * y
    sxy += x * y
  }
  const vx = Math.max(0, sxx / n - (sx / n) ** 2)
  const vy = Math.max(0, syy / n - (sy / n) ** 2)
  const cov = sxy / n - (sx / n) * (sy / n)
  return {
    slope: vx > 0 ? cov / vx : 0,
    correlation: vx > 0 && vy > 0 ? cov / Math.sqrt(vx * vy) : 0,
    deviationX: Math.sqrt(vx),
    deviationY: Math.sqrt(vy),
    count: n,
  }
}
