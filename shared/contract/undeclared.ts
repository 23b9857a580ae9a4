/** A burnout that a kiln's own readings show and that nobody said. */
import type { EpochMs } from '../time.ts'

export interface UndeclaredBurnout {
  /** When its air left the level at which it rested. */
  from: EpochMs
  /** When it was cold again; null while it goes on. */
  to: EpochMs | null
  /** The level at which it rested, and the highest since, °C. */
  fromC: number
  topC: number
}
