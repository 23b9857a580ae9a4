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
  /** Its door is open, or its air fell as an open door lets it. */
  'open',
  /** Power or gas is away: everything falls as a kiln falls that nobody heats. */
  'unheated',
  'unseen',
  /** Every segment is through. */
  'through',
] as const
export type BurnoutPhase = (typeof burnoutPhases)[number]

/** Why a stretch of a hold earned no credit. */
export const refusals = ['too-cool', 'too-hot', 'unseen', 'probe-dead', 'not-appointed'] as const
export type Refusal = (typeof refusals)[number]

/** One stretch of a hold: counted, or refused with the reason and the probe that was the first to refuse it. */
export interface CreditStretch {
  from: EpochMs
  to: EpochMs
  /** Null: counted. */
  refused: Refusal | null
  /** The instrument; null where none is to blame. */
  probe: string | null
}

/** The ledger of one hold. Neighbouring stretches of one kind are one. */
export interface HoldLedger {
  segment: number
  askedMs: DurationMs
  creditedMs: DurationMs
  stretches: CreditStretch[]
}

/** A band in which load or air moved, and how fast at most. */
export interface BandCrossing {
  band: string
  probe: string
  at: EpochMs
  direction: 'up' | 'down'
  /** Fastest within it, °C/h. */
  cPerHour: number
  /** What the recipe allows; null where it does not say. */
  cPerHourMax: number | null
}

/** What a kiln lived through without heat. */
export interface HeatLoss {
  from: EpochMs
  /** Null: it still is. */
  to: EpochMs | null
  /** For each governing probe: where it was, and the farthest it fell. */
  fell: { probe: string; fromC: number; toC: number; cPerHour: number }[]
}

/** Something a person does at a point of the recipe. */
export interface PersonStep {
  id: string
  /** When it is due; null while nobody can say. */
  dueAt: EpochMs | null
  /** Said to be done: when, by whom. */
  done: { at: EpochMs; by: string } | null
}

/** When it will be ready. `earliest` … `latest` hold the truth four times in five. */
export type ReadyOutlook =
  | { is: 'ready'; since: EpochMs }
  | { is: 'expected'; at: EpochMs; earliest: EpochMs; latest: EpochMs }
  | { is: 'cannot-tell'; why: 'no-criterion' | 'unseen' | 'too-little-known' | 'held' | 'unheated' }
