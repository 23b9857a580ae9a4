/** Strokes: what a line covers within one pixel column between two holes, and which of them a column can do without. */
import type { Point, Strand, Stretch } from './columns.ts'
import { type Extreme, known, lesser } from './extremes.ts'

/** Within a column the line covers all from its lowest to its highest, wherever it goes in between. */
export type Stroke = Pick<Stretch, 'first' | 'lowest' | 'highest' | 'last'>

/** A stroke to which more may be joined. */
export interface Growing {
  readonly first: Point
  readonly lowest: Extreme
  readonly highest: Extreme
  readonly last: Point
}

export function growing({ first, lowest, highest, last }: Stroke): Growing {
  return { first, lowest: known(lowest, 1), highest: known(highest, -1), last }
}

export function grown({ first, lowest, highest, last }: Growing): Stroke {
  return { first, lowest: lowest.point(), highest: highest.point(), last }
}

/** The readings from ≤ index < to of a strand. */
export function strokeOf(strand: Strand, from: number, to: number): Growing {
  const first = pointOf(strand, from)
  if (to - from === 1) return growing({ first, lowest: first, highest: first, last: first })
  const last = pointOf(strand, to - 1)
  const lowest = () => pointOf(strand, strand.lowest(from, to))
  const highest = () => pointOf(strand, strand.highest(from, to))
  const { range } = strand
  if (range === undefined) return growing({ first, lowest: lowest(), highest: highest(), last })
  return {
    first,
    lowest: { atLeast: range.low, atMost: Math.min(first.v, last.v), point: lowest },
    highest: { atLeast: -range.high, atMost: -Math.max(first.v, last.v), point: highest },
    last,
  }
}

function pointOf(strand: Strand, index: number): Point {
  return { t: strand.t(index), v: strand.v(index) }
}

/** Two strokes with no hole between them are one. */
export function joined(earlier: Growing, later: Growing): Growing {
  return {
    first: earlier.first,
    lowest: lesser(earlier.lowest, later.lowest, 1),
    highest: lesser(earlier.highest, later.highest, -1),
    last: later.last,
  }
}

/** Hands on at most four points, rising in time. */
export function eachPoint({ first, lowest, highest, last }: Stroke, give: (point: Point) => void): void {
  const earlier = lowest.t < highest.t ? lowest : highest
  const later = earlier === lowest ? highest : lowest
  give(first)
  if (earlier.t > first.t) give(earlier)
  if (later.t > earlier.t) give(later)
  if (last.t > later.t) give(last)
}

/**
 * Of strokes in one pixel column those that cover every pixel that all of them cover. Values closer than `slack` must lie in the same
 * or in neighbouring pixel rows: then what lies between two kept strokes that close has its pixels from them.
 * Every second kept one begins more than `slack` above the end of the one two before it, so they are at most
 * 2 × (range / slack + 1), however many came.
 */
export function telling<S extends Stroke>(strokes: readonly S[], slack: number): Set<S> {
  const rising = [...strokes].sort((a, b) => a.lowest.v - b.lowest.v)
  const kept = new Set<S>()
  let reach = Number.NEGATIVE_INFINITY
  for (let i = 0; i < rising.length; ) {
    // Of all that begin within reach the one that leads farthest; where none does, the next one begins anew.
    let farthest = rising[i] as S
    for (i++; i < rising.length && (rising[i] as S).lowest.v <= reach + slack; i++)
      if ((rising[i] as S).highest.v > farthest.highest.v) farthest = rising[i] as S
    if (farthest.highest.v <= reach) continue
    kept.add(farthest)
    reach = farthest.highest.v
  }
  return kept
}
