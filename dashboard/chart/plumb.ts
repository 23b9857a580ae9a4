/** Where the marks of a plumb line hang: the line in the middle, as many even rungs on both sides as the farthest mark needs. Pure. */

export interface PlumbRow {
  key: string
  /** What stands before it: the firing or the day. */
  name: string
  /** How far from the reference, below zero on the left. */
  difference: number
  /** Expanded uncertainty, drawn as a bar through the mark. */
  reach?: number
  /** A line leads here from the row before. */
  joined?: boolean
  /** An open mark, for what is not of the same kind as the others. */
  open?: boolean
  note?: string
}

/** Steps of a rung that a person can count in. */
const steps = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200]
const rungsMax = 5
/** Half of the width, less what a mark at its end needs, %. */
const half = 44

export interface Plumb {
  /** In the unit of the differences, from one rung to the next. */
  step: number
  /** Where the rungs hang, % of the width; without the line itself. */
  rungs: number[]
  /** Where the marks hang, and half the length of their bars, %. */
  at: number[]
  reach: number[]
}

export function plumbOf(rows: readonly Pick<PlumbRow, 'difference' | 'reach'>[]): Plumb {
  const farthest = Math.max(0.1, ...rows.map((row) => Math.abs(row.difference) + (row.reach ?? 0)))
  const step = steps.find((one) => farthest / one <= rungsMax) ?? farthest / rungsMax
  const number = Math.max(1, Math.ceil(farthest / step - 1e-9))
  const perUnit = half / (number * step)
  const rungs = Array.from({ length: number }, (_, i) => (i + 1) * step * perUnit)
  return {
    step,
    rungs: rungs.flatMap((x) => [50 - x, 50 + x]),
    at: rows.map((row) => 50 + row.difference * perUnit),
    reach: rows.map((row) => (row.reach ?? 0) * perUnit),
  }
}
