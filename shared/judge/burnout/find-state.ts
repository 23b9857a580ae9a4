/** What the judge holds of a kiln whose burnouts may go unsaid. Plain data. */
import type { Finding, UndeclaredBurnout } from '../../contract/index.ts'
import type { Point } from '../../series/columns.ts'
import type { EpochMs } from '../../time.ts'
import type { Rest } from './climb.ts'
import { type Kept, nothingKept } from './kept.ts'
import { type Bucket, noBucket } from './watch.ts'

/** One that is under way. */
export interface Heat {
  since: EpochMs
  fromC: number
  topC: number
  /** The newest point of it. */
  at: EpochMs
  /** Cold since. */
  coldSince: EpochMs | null
}

export interface FindState {
  /** The open minute; the means of the closed ones of the open point, and where that begins. */
  minute: Bucket
  pointAt: EpochMs
  means: readonly number[]
  points: readonly Point[]
  rest: Rest | null
  /** When it left its rest; null while it has not. */
  since: EpochMs | null
  /** Where it came hot out of a hole. */
  hot: Point | null
  heat: Heat | null
  /** That, once announced. */
  finding: Finding | null
  /** Those that are over, the newest last. */
  past: readonly UndeclaredBurnout[]
  kept: Kept
}

export const newFind: FindState = {
  minute: noBucket,
  pointAt: 0,
  means: [],
  points: [],
  rest: null,
  since: null,
  hot: null,
  heat: null,
  finding: null,
  past: [],
  kept: nothingKept,
}
