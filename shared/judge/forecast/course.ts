/** The course of a pot: what its forecast knows of it, sample by sample, and what it has learnt of this pot. Plain data. */
import type { EpochMs } from '../../time.ts'

/** What was typed of a pot; null where nobody said. */
export interface CourseFacts {
  waxKg: number | null
  heaterW: number | null
  setPointC: number | null
  congealing: { fromC: number; toC: number } | null
}

/** What came in at one instant. Null: nothing good came, or there is no such instrument. */
export interface CourseSample {
  t: EpochMs
  waxC: number | null
  surfaceC: number | null
  airC: number | null
  heating: boolean | null
}
