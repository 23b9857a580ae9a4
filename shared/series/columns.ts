/** Readings of one series in columns, as they come from a store or over the wire, piece by piece and rising in time. */
import { qualities } from '../contract/index.ts'

/** All columns have the same length; t rises strictly, also from one piece to the next. */
export interface SeriesPiece {
  readonly t: ArrayLike<number>
  readonly v: ArrayLike<number>
  /** Index into `qualities`. */
  readonly quality: ArrayLike<number>
}

/** A reading of this quality counts as unseen (MEANING: seen and unseen). */
export const badQuality = qualities.indexOf('bad')

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
