/** Strokes: what a line covers within one pixel column between two holes, and which of them a column can do without. */
import type { EpochMs } from '../time.ts'
import type { Point, Strand, Stretch } from './columns.ts'
import { Extreme } from './extremes.ts'

/** Within a column the line covers all from its lowest to its highest, wherever it goes in between. */
export type Stroke = Pick<Stretch, 'first' | 'lowest' | 'highest' | 'last'>

/** The stroke that a line is drawing, to which more may be joined. One for a whole chart: a year would make thousands. */
export class Growing {
  firstT = Number.NaN
  firstV = Number.NaN
  lastT = Number.NaN
  lastV = Number.NaN
  readonly lowest = new Extreme(1)
  readonly highest = new Extreme(-1)
  isEmpty = true

  clear(): void {
    this.isEmpty = true
    this.lowest.reset()
    this.highest.reset()
  }

  /** What comes after all that is in it, with no hole between. */
  addStretch({ first, lowest, highest, last }: Stroke): void {
    this.#reach(first.t, first.v, last.t, last.v)
    this.lowest.know(lowest.t, lowest.v)
    this.highest.know(highest.t, highest.v)
  }

  /** The readings from ≤ index < to of a strand. */
  addPart(strand: Strand, from: number, to: number): void {
    const [firstT, firstV] = [strand.t(from), strand.v(from)]
    if (to - from === 1) {
      this.#reach(firstT, firstV, firstT, firstV)
      this.#know(firstT, firstV)
      return
    }
    const [lastT, lastV] = [strand.t(to - 1), strand.v(to - 1)]
    this.#reach(firstT, firstV, lastT, lastV)
    const { range } = strand
    if (range === undefined) {
      const [low, high] = [strand.lowest(from, to), strand.highest(from, to)]
      this.lowest.know(strand.t(low), strand.v(low))
      this.highest.know(strand.t(high), strand.v(high))
      return
    }
    this.#know(firstT, firstV)
    this.#know(lastT, lastV)
    this.lowest.hold(strand, from, to, range.low)
    this.highest.hold(strand, from, to, range.high)
  }

  /** As it is now, to be kept. */
  stroke(): Stroke {
    this.settle()
    const point = (t: EpochMs, v: number): Point => ({ t, v })
    return {
      first: point(this.firstT, this.firstV),
      lowest: point(this.lowest.t, this.lowest.v),
      highest: point(this.highest.t, this.highest.v),
      last: point(this.lastT, this.lastV),
    }
  }

  settle(): void {
    this.lowest.settle()
    this.highest.settle()
  }

  #reach(firstT: EpochMs, firstV: number, lastT: EpochMs, lastV: number): void {
    if (this.isEmpty) {
      this.firstT = firstT
      this.firstV = firstV
      this.isEmpty = false
    }
    this.lastT = lastT
    this.lastV = lastV
  }

  #know(t: EpochMs, v: number): void {
    this.lowest.know(t, v)
    this.highest.know(t, v)
  }
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
