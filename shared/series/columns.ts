/** Readings of one series in columns, as they come from a store or over the wire, piece by piece and rising in time. */
import { qualities } from '../contract/index.ts'
import type { DurationMs, EpochMs } from '../time.ts'

/** All columns have the same length; t rises strictly, also from one piece to the next. */
export interface SeriesPiece {
  readonly t: ArrayLike<number>
  readonly v: ArrayLike<number>
  /** Index into `qualities`. */
  readonly quality: ArrayLike<number>
}

/** A reading of this quality counts as unseen (MEANING: seen and unseen). */
export const badQuality = qualities.indexOf('bad')

/** A value and its time. */
export interface Point {
  readonly t: EpochMs
  readonly v: number
}

/** Many neighbouring good readings told by few, where nobody needs to look at each: no hole lies between them longer than `longestGapMs`. */
export interface Stretch {
  /** At least 1; all of them good. */
  readonly readings: number
  readonly first: Point
  /** The earliest of the lowest. */
  readonly lowest: Point
  /** The earliest of the highest. */
  readonly highest: Point
  readonly last: Point
  readonly longestGapMs: DurationMs
  /** Of the value over time, from first to last, straight between neighbours: unit × ms. */
  readonly integral: number
}

/** Neighbouring good readings that can be looked into where needed, without taking all of them apart. t rises strictly. */
export interface Strand {
  /** At least 1. */
  readonly length: number
  readonly longestGapMs: DurationMs
  /** Lowest and highest of all of it, where they are known beforehand: then a part need not be searched that cannot matter. */
  readonly range?: { readonly low: number; readonly high: number }
  t(index: number): EpochMs
  v(index: number): number
  /** Index of the first reading at or after this instant; the length where there is none. */
  placeOf(t: EpochMs): number
  /** Index of the earliest of the lowest, among from ≤ index < to. */
  lowest(from: number, to: number): number
  highest(from: number, to: number): number
}

/** One reading for what is judged or summed up. */
export interface Sample {
  t: number
  v: number
  /** False where the value must not be believed. */
  good: boolean
}

/** True where the time between two neighbouring readings counts as seen. */
export function seenBetween(previous: Sample, next: Sample, silenceMs: number): boolean {
  return previous.good && next.good && next.t - previous.t <= silenceMs
}
