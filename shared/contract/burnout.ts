/** Where a burnout stands: on the hill, in its credit, and when it will be ready. */
import type { DurationMs, EpochMs } from '../time.ts'

/** What the kiln does against what the recipe asks. */
export const burnoutPhases = [
  /** Within tolerance of its line. */
  'on-line',
  /** Below its line on the way up, above it on the way down. */
  'lagging',
  /** Farther than the line on the way that the recipe takes. */
  'ahead',
  /** In a hold, credited. */
  'credited',
  /** In a hold, not credited now. */
  'not-credited',
  /** It stands still in the middle of a ramp. */
  'stalled',
  /** Its air fell as an open door lets it. */
  'open',
  /** Its air falls as a kiln falls that nobody heats. */
  'unheated',
  'unseen',
  /** Every segment is through. */
  'through',
] as const
export type BurnoutPhase = (typeof burnoutPhases)[number]

/** Why a stretch of a hold earned no credit. `missing`: a probe that governs is not at this kiln. */
export const refusals = ['too-cool', 'too-hot', 'unseen', 'missing'] as const
export type Refusal = (typeof refusals)[number]

/** One stretch of a hold: counted, or refused with the reason and the probe that refused it. */
export interface CreditStretch {
  from: EpochMs
  to: EpochMs
  /** Null: counted. */
  refused: Refusal | null
  /** The instrument; null where it was counted. */
  probe: string | null
}

/** What one probe refused of a hold, for one reason. */
export interface RefusedSum {
  refused: Refusal
  probe: string
  ms: DurationMs
}

/** The ledger of one hold. Neighbouring stretches of one kind are one. */
export interface HoldLedger {
  segment: number
  from: EpochMs
  /** Null while it is held. */
  to: EpochMs | null
  askedMs: DurationMs
  creditedMs: DurationMs
  /** Every refused millisecond is in here, also where its stretch is no longer told one by one. */
  refusedSums: RefusedSum[]
  /** The newest ones, at most `stretchesMax`. */
  stretches: CreditStretch[]
}

/** A load or air that moved through a band, and how fast at most. */
export interface BandCrossing {
  band: string
  probe: string
  from: EpochMs
  /** Null: it is still within. */
  to: EpochMs | null
  direction: 'up' | 'down'
  /** Fastest within it, °C/h, over ten minutes. */
  cPerHour: number
  /** What the recipe allows; null where it does not say. */
  cPerHourMax: number | null
}

/** How far one probe fell while nobody heated. */
export interface Fall {
  probe: string
  fromC: number
  toC: number
  /** Fastest, °C/h. */
  cPerHour: number
}

/** What a kiln lived through without heat, or with an open door. */
export interface HeatLoss {
  what: 'open' | 'unheated'
  from: EpochMs
  /** Null: it still is. */
  to: EpochMs | null
  fell: Fall[]
  /** Bands that a load went through on its way down; the questions to ask hang on them. */
  bands: string[]
}

/** Something a person does at a point of the recipe. */
export interface PersonStep {
  id: string
  /** When it became due; null while it has not. */
  dueAt: EpochMs | null
  /** Said to be done: when, by whom. */
  done: { at: EpochMs; by: string } | null
}

/** A load probe that governs in the place of another one, since when, on whose word. */
export interface Appointment {
  instead: string
  probe: string
  at: EpochMs
  by: string
}

/** When it will be ready. `earliest` … `latest` hold the truth four times in five. */
export type ReadyOutlook =
  | { is: 'ready'; since: EpochMs }
  | { is: 'expected'; at: EpochMs; earliest: EpochMs; latest: EpochMs }
  | { is: 'cannot-tell'; why: 'no-criterion' | 'unseen' | 'too-little-seen' | 'held' | 'unheated' | 'missing' }

/** The kiln's own programme ends before the credit is full. */
export interface EarlyLeave {
  segment: number
  /** When its air leaves the hold. */
  at: EpochMs
  /** What will be credited by then at most. */
  creditedMs: DurationMs
  askedMs: DurationMs
}

/** Where on its recipe a burnout stands. */
export interface BurnoutView {
  kind: 'burnout'
  /** The slowest of the governing probes as it is now, °C; null unless all are seen. */
  temperatureC: number | null
  /** Index of the segment; equal to their number when the recipe is through. */
  segment: number
  segmentSince: EpochMs
  /** When each segment that was reached began. */
  began: EpochMs[]
  targetC: number | null
  deviationC: number | null
  /** Credited time of the present hold, ms. */
  creditedMs: DurationMs
  phase: BurnoutPhase
  /** Instruments that govern the present segment, and which of them is the slowest. */
  governing: string[]
  slowest: string | null
  /** What the present hold does now: counted (null), or refused by whom. Absent outside a hold. */
  stands?: { refused: Refusal | null; probe: string | null; since: EpochMs }
  /** °C/h of the air over the last ten minutes; null while too little was seen. */
  airCPerHour: number | null
  /** Of every hold that began. */
  holds: Omit<HoldLedger, 'stretches'>[]
  crossings: BandCrossing[]
  losses: HeatLoss[]
  hands: PersonStep[]
  appointed: Appointment[]
  leavesEarly: EarlyLeave | null
  ready: ReadyOutlook
  /** A load was taken out: the clock from pull to pour. */
  pulledAt: EpochMs | null
  pouredAt: EpochMs | null
}
