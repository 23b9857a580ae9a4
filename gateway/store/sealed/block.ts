/** A block: the readings of one series over at most one hour, written once as bytes, with a header that answers most questions without them. */
import type { DurationMs, EpochMs } from '../../../shared/time.ts'

/** Everything a store keeps of readings of one series, in columns. Same length, at least 1, at most `blockReadingsMax`; t rises strictly. */
export interface BlockColumns {
  /** Whole ms. */
  t: Float64Array
  /** Finite; −0 is 0. */
  v: Float64Array
  /** Index into `qualities`. */
  quality: Uint8Array
  /** Whole ms. */
  arrivedAt: Float64Array
  /** Whole, positive, all different; rises with t where readings came in order, but need not. */
  seq: Float64Array
  /** Index into `qualityReasons`; −1 where there is none. */
  reason: Int8Array
  /** Whole ms; NaN where the reading's own time was believed. */
  claimedAt: Float64Array
}

/** What is known of a block without reading it. Where no reading is good, the ten numbers of good ones are NaN. */
export interface Header {
  /** Row of the block's bytes. */
  id: number
  /** All readings, and how many of them are bad (unseen). */
  count: number
  bad: number
  /** First and last measured, good or not. */
  from: EpochMs
  to: EpochMs
  /** Of the good readings. */
  firstT: EpochMs
  firstV: number
  lastT: EpochMs
  lastV: number
  /** The earliest of the lowest. */
  lowT: EpochMs
  lowV: number
  highT: EpochMs
  highV: number
  /** Longest time between good neighbours; where a bad reading lies between two of them, Infinity. 0 for a single one. */
  longestGapMs: DurationMs
  /** Value over time from firstT to lastT, straight between good neighbours: unit × ms, summed in rising order. */
  integral: number
  /** CRC-32 (ISO-HDLC, as in zlib) of the two byte strings. */
  courseCrc: number
  arrivalCrc: number
  /** Lengths of the two byte strings. */
  courseBytes: number
  arrivalBytes: number
}
