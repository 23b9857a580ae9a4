/** What is summed up of one period: time, integral, extremes, the longest hole. */
import type { DurationMs, EpochMs } from '../time.ts'
import type { Point } from './columns.ts'

/** Of one period. Time is summed over what was seen, straight between neighbours, cut at the period's edges. */
export interface Sums {
  from: EpochMs
  to: EpochMs
  /** Readings measured within it, the bad ones included. */
  readings: number
  seenMs: DurationMs
  /** Seen time / time, 0 … 1. */
  coverage: number
  /** The longest stretch of it that was not seen. */
  longestHoleMs: DurationMs
  /** By time, over what was seen; null where nothing was. */
  mean: number | null
  /** Of all good readings within it and of the line at its edges where that is seen; the earliest where several are. */
  lowest: Point | null
  highest: Point | null
  /** Within the band, where one was asked for; else 0. */
  inBandMs: DurationMs
  /** Integral of the distance beyond the band, in units × minutes. */
  beyond: number
}

/** Sums over time go on here; readings and extremes are handed in as they come. */
export class Period {
  readings = 0
  lowest: Point | null = null
  highest: Point | null = null
  readonly #from: EpochMs
  readonly #to: EpochMs
  #seenMs = 0
  #integral = 0
  #inBandMs = 0
  #beyond = 0
  #longestHoleMs = 0
  /** Everything before this has been told, as seen or as a hole. */
  #toldTo: EpochMs

  constructor(from: EpochMs, to: EpochMs) {
    this.#from = from
    this.#to = to
    this.#toldTo = from
  }

  addSeen(from: EpochMs, to: EpochMs, integral: number): void {
    this.#addHole(from)
    this.#toldTo = to
    this.#seenMs += to - from
    this.#integral += integral
  }

  addBand(inBandMs: DurationMs, beyond: number): void {
    this.#inBandMs += inBandMs
    this.#beyond += beyond
  }

  widen(point: Point): void {
    if (this.lowest === null || point.v < this.lowest.v) this.lowest = { t: point.t, v: point.v }
    if (this.highest === null || point.v > this.highest.v) this.highest = { t: point.t, v: point.v }
  }

  finish(): Sums {
    this.#addHole(this.#to)
    this.#toldTo = this.#to
    const [seenMs, periodMs] = [this.#seenMs, this.#to - this.#from]
    return {
      from: this.#from,
      to: this.#to,
      readings: this.readings,
      seenMs,
      coverage: seenMs / periodMs,
      longestHoleMs: this.#longestHoleMs,
      mean: seenMs > 0 ? this.#integral / seenMs : null,
      lowest: this.lowest,
      highest: this.highest,
      inBandMs: this.#inBandMs,
      beyond: this.#beyond,
    }
  }

  #addHole(to: EpochMs): void {
    this.#longestHoleMs = Math.max(this.#longestHoleMs, to - this.#toldTo)
  }
}
