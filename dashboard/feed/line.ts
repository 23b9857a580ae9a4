/** One series as a line: what the store gave, with the live points after it or between. No point twice, and a hole stays a hole. */
import type { ChartBody, LivePoint } from '../../shared/contract/index.ts'
import type { DurationMs, EpochMs } from '../../shared/time.ts'

interface Point {
  t: EpochMs
  v: number
  /** For what the store gave, it has judged every reading between this point and the one after. Live points have no such word. */
  stored: boolean
  holeAfter: boolean
}

export interface LineColumns {
  t: number[]
  /** null where a hole begins. */
  v: (number | null)[]
}

export const badQuality = 2

function storedPoints(body: Pick<ChartBody, 't' | 'v'>): Point[] {
  const points: Point[] = []
  body.t.forEach((t, i) => {
    const v = body.v[i]
    const last = points[points.length - 1]
    if (v === null || v === undefined) {
      if (last) last.holeAfter = true
    } else if (last === undefined || t > last.t) points.push({ t, v, stored: true, holeAfter: false })
  })
  return points
}

/** Index of the first point at or after `t`. */
function placeOf(points: readonly Point[], t: EpochMs): number {
  let low = 0
  let high = points.length
  while (low < high) {
    const middle = (low + high) >> 1
    if ((points[middle] as Point).t < t) low = middle + 1
    else high = middle
  }
  return low
}

export class Line {
  readonly series: string
  readonly silenceMs: DurationMs
  readonly #points: Point[]
  #live = 0

  constructor(body: Pick<ChartBody, 'series' | 'silenceMs' | 't' | 'v'>) {
    this.series = body.series
    this.silenceMs = body.silenceMs
    this.#points = storedPoints(body)
  }

  /** Live points that the store has not yet been asked for: when they are many, read the chart anew. */
  get live(): number {
    return this.#live
  }

  /** Puts points at their places in measured time; those that stand already, and bad ones, change nothing. */
  add(points: readonly LivePoint[]): void {
    for (const [t, v, quality] of points) {
      if (quality === badQuality || !Number.isFinite(v)) continue
      const place = placeOf(this.#points, t)
      if (this.#points[place]?.t === t) continue
      this.#points.splice(place, 0, { t, v, stored: false, holeAfter: false })
      this.#live += 1
    }
  }

  #isHole(a: Point, b: Point): boolean {
    return a.stored && b.stored ? a.holeAfter : b.t - a.t > this.silenceMs
  }

  /** Everything from `from` on, with the last point before it so that the line enters the picture. */
  columns(from: EpochMs = Number.NEGATIVE_INFINITY): LineColumns {
    const t: number[] = []
    const v: (number | null)[] = []
    const first = Math.max(0, placeOf(this.#points, from) - 1)
    for (let i = first; i < this.#points.length; i++) {
      const point = this.#points[i] as Point
      const next = this.#points[i + 1]
      t.push(point.t)
      v.push(point.v)
      if (next && this.#isHole(point, next)) {
        t.push(point.t + 1)
        v.push(null)
      }
    }
    return { t, v }
  }
}
