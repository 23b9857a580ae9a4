/** The lowest or the highest of a stroke that grows: looked up only where it is sure to matter, for looking may cost more than all the rest. */
import type { EpochMs } from '../time.ts'
import type { Strand } from './columns.ts'

/** A part of a strand whose extreme was not looked up yet, and what it cannot be below: sign × value. */
interface Unseen {
  strand: Strand
  from: number
  to: number
  atLeast: number
}

/** Lowest with sign 1, highest with sign −1: in both cases the least of sign × value is kept, and the earliest where several are. Used again for every stroke. */
export class Extreme {
  readonly #sign: 1 | -1
  #t = Number.NaN
  #least = Number.POSITIVE_INFINITY
  #unseen: Unseen[] = []

  constructor(sign: 1 | -1) {
    this.#sign = sign
  }

  get t(): EpochMs {
    return this.#t
  }

  get v(): number {
    return this.#sign * this.#least
  }

  reset(): void {
    this.#t = Number.NaN
    this.#least = Number.POSITIVE_INFINITY
    if (this.#unseen.length > 0) this.#unseen = []
  }

  /** In order of time. */
  know(t: EpochMs, v: number): void {
    const signed = this.#sign * v
    if (signed >= this.#least) return
    this.#least = signed
    this.#t = t
  }

  /** The readings from ≤ index < to, of which the ends are known already. */
  hold(strand: Strand, from: number, to: number, bound: number): void {
    const atLeast = this.#sign * bound
    // What is known lies before it, and would win where they are alike.
    if (atLeast < this.#least || this.#t >= strand.t(from)) this.#unseen.push({ strand, from, to, atLeast })
  }

  /** Looks up whatever may still matter. */
  settle(): void {
    if (this.#unseen.length === 0) return
    const unseen = this.#unseen.sort((a, b) => a.atLeast - b.atLeast)
    this.#unseen = []
    for (const { strand, from, to, atLeast } of unseen) {
      if (atLeast > this.#least || (atLeast === this.#least && strand.t(from) >= this.#t)) continue
      const index = this.#sign > 0 ? strand.lowest(from, to) : strand.highest(from, to)
      const t = strand.t(index)
      const signed = this.#sign * strand.v(index)
      if (signed > this.#least || (signed === this.#least && t >= this.#t)) continue
      this.#least = signed
      this.#t = t
    }
  }
}
