/** A run of good readings within a piece, as a strand: looked into where it lies, nothing copied. */
import type { DurationMs, EpochMs } from '../time.ts'
import { badQuality, type SeriesPiece, type Strand } from './columns.ts'

/** Index after the last reading up to which, from `begin` on, every reading is good and no hole lies between. `begin` itself must be good. */
export function seenUntil({ t, quality }: SeriesPiece, begin: number, silenceMs: DurationMs): number {
  let previous = t[begin] as number
  let i = begin + 1
  for (; i < t.length; i++) {
    const at = t[i] as number
    if (quality[i] === badQuality || at - previous > silenceMs) break
    previous = at
  }
  return i
}

/** The readings begin ≤ index < end of a piece, counted from 0 again. */
export class PieceStrand implements Strand {
  readonly length: number
  readonly longestGapMs: DurationMs
  readonly #t: ArrayLike<number>
  readonly #v: ArrayLike<number>
  readonly #begin: number

  constructor({ t, v }: SeriesPiece, begin: number, end: number, longestGapMs: DurationMs) {
    this.#t = t
    this.#v = v
    this.#begin = begin
    this.length = end - begin
    this.longestGapMs = longestGapMs
  }

  t(index: number): EpochMs {
    return this.#t[this.#begin + index] as number
  }

  v(index: number): number {
    return this.#v[this.#begin + index] as number
  }

  placeOf(t: EpochMs): number {
    let [low, high] = [this.#begin, this.#begin + this.length]
    while (low < high) {
      const middle = (low + high) >>> 1
      if ((this.#t[middle] as number) < t) low = middle + 1
      else high = middle
    }
    return low - this.#begin
  }

  lowest(from: number, to: number): number {
    const v = this.#v
    let found = this.#begin + from
    let lowest = v[found] as number
    for (let i = found + 1; i < this.#begin + to; i++)
      if ((v[i] as number) < lowest) {
        lowest = v[i] as number
        found = i
      }
    return found - this.#begin
  }

  highest(from: number, to: number): number {
    const v = this.#v
    let found = this.#begin + from
    let highest = v[found] as number
    for (let i = found + 1; i < this.#begin + to; i++)
      if ((v[i] as number) > highest) {
        highest = v[i] as number
        found = i
      }
    return found - this.#begin
  }
}
