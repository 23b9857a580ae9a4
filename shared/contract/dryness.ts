/** The dip board: which shells may be dipped, as far as anybody can tell. An estimate authorises no dip and no pour. */
import type { DurationMs, EpochMs } from '../time.ts'

/** Why nobody can tell. */
export type DrynessUnknown =
  | 'no-probe'
  /** The test piece was dipped with a later batch. */
  | 'other-batch'
  | 'never-weighed'
  | 'no-dry-hours'
  | 'too-soon'
  | 'still-chilling'
  | 'unseen'
  | 'no-depression'
  | 'too-uncertain'

export interface DryingPower {
  /** Depression of the wet bulb, summed up since the dip, °C·h. */
  soFar: number
  /** Of the time since the dip, what was seen, 0 … 1. */
  coverage: number
  /** What it had come to when people found earlier batches of this recipe dry, in this room; null where they never said. */
  usual: { nights: number; from: number; to: number } | null
}

export interface DipBoardItem {
  run: string
  station: string
  piece: string | null
  recipe: string
  startedAt: EpochMs
  startedBy: string
  /** By the recipe's shortest and longest drying; null where it names none. */
  earliestAt: EpochMs | null
  latestAt: EpochMs | null
  /** The test piece it is told from, the least dry of those in the room; null where there is none. */
  probe: string | null
  probes: string[]
  verdict: 'dry' | 'not-yet' | 'cannot-tell'
  unknown: DrynessUnknown | null
  drySince: EpochMs | null
  /** R, and half of its 95 % interval; null where it was not seen. */
  recovery: number | null
  width: number | null
  /** Share of the dip's water that is left; null where nobody can tell. */
  left: number | null
  /** Share at which the house calls it dry. */
  dryShare: number
  /** When it will be dry, with the range that holds the truth four times in five. */
  forecast: { at: EpochMs; lowAt: EpochMs; highAt: EpochMs } | null
  /** Earlier nights of this piece and recipe that were weighed until they were dry. */
  taught: number
  power: DryingPower | null
  weighings: { at: EpochMs; grams: number; probe: string | null; by: string }[]
  indicator: { at: EpochMs; dry: boolean; by: string } | null
}

export interface DipBoard {
  now: EpochMs
  /** What the recovery is told from is at least so old. */
  readTo: EpochMs
  items: DipBoardItem[]
  /** Shortest time between two answers that differ. */
  everyMs: DurationMs
}
