/** Where a correction is one straight line: there it can be applied to a sum as well as to each value summed up. */
import type { CheckPoint } from '../physics/correction.ts'
import type { DurationMs } from '../time.ts'

/** is = isAt + slope × (value − at). */
export class Straight {
  readonly #slope: number
  readonly #at: number
  readonly #isAt: number

  constructor(slope: number, at: number, isAt: number) {
    this.#slope = slope
    this.#at = at
    this.#isAt = isAt
  }

  /** Integral over time of the corrected values, from that of the values. */
  integral(integral: number, ms: DurationMs): number {
    return this.#isAt * ms + this.#slope * (integral - this.#at * ms)
  }
}

const asItIs = new Straight(1, 0, 0)

/** The line of `correct` between two values; null where it has a bend between them, or does not rise, so that extremes would change places. */
export function straightBetween(points: readonly CheckPoint[], low: number, high: number): Straight | null {
  const [first, last] = [points[0], points.at(-1)]
  if (first === undefined || last === undefined) return asItIs
  if (first === last || high <= first.readsC) return new Straight(1, first.readsC, first.isC)
  if (low >= last.readsC) return new Straight(1, last.readsC, last.isC)
  const end = points.findIndex((point) => high <= point.readsC)
  const [begin, bend] = [points[end - 1], points[end]]
  if (begin === undefined || bend === undefined || low < begin.readsC || bend.isC <= begin.isC) return null
  return new Straight((bend.isC - begin.isC) / (bend.readsC - begin.readsC), begin.readsC, begin.isC)
}
