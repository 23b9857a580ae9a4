/** Lowest and highest of a stroke that grows: looked up only once it is sure that they matter, for looking may cost more than all the rest. */
import type { Point } from './columns.ts'

/** Lowest with sign 1, highest with sign −1: then in both cases the least of sign × value is sought, and the earliest where several are. */
export type Sign = 1 | -1

export interface Extreme {
  /** It is no less than this … */
  readonly atLeast: number
  /** … and no more than that: both sign × value. */
  readonly atMost: number
  point(): Point
}

export function known(point: Point, sign: Sign): Extreme {
  return { atLeast: sign * point.v, atMost: sign * point.v, point: () => point }
}

/** Of both, the earlier one where they are alike. Neither is looked up where what is known of them decides. */
export function lesser(earlier: Extreme, later: Extreme, sign: Sign): Extreme {
  if (later.atLeast >= earlier.atMost) return earlier
  if (earlier.atLeast > later.atMost) return later
  return {
    atLeast: Math.min(earlier.atLeast, later.atLeast),
    atMost: Math.min(earlier.atMost, later.atMost),
    point: () => {
      const [a, b] = [earlier.point(), later.point()]
      return sign * b.v < sign * a.v ? b : a
    },
  }
}
