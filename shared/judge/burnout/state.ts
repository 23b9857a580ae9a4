/** What the judge holds of an open burnout. */
import type { Appointment, BandCrossing, HeatLoss, PersonStep, ReadyOutlook } from '../../contract/index.ts'
import type { EpochMs } from '../../time.ts'
import type { Lane } from './lanes.ts'
import type { Walk } from './walk.ts'
import type { Watched } from './watch.ts'

export interface BurnoutState {
  walk: Walk
  lanes: readonly Lane[]
  watched: readonly Watched[]
  /** Those that are over. */
  crossings: readonly BandCrossing[]
  losses: readonly HeatLoss[]
  appointed: readonly Appointment[]
  hands: readonly PersonStep[]
  /** Since when the ready criterion has been met. */
  readySince: EpochMs | null
  /** When the air came into the present hold. */
  airThereAt: EpochMs | null
  /** A ramp after a hold that the kiln's own programme still keeps is asked for only from then on. */
  lineFrom: EpochMs | null
  pulledAt: EpochMs | null
  pouredAt: EpochMs | null
  /** The forecast as it was last made, and when; and when credit was then expected to go on. */
  ready: ReadyOutlook
  readyAt: EpochMs | null
  creditFrom: EpochMs | null
  /** Forecasts made on the way, to be held against what comes: made at, ready at. */
  wagers: readonly (readonly [EpochMs, EpochMs])[]
  /** The lesson was taken. */
  isLearnt: boolean
}
