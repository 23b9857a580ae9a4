/** A pot as the bench knows it: what somebody typed of it, and what the judge expects of its wax. */
import { z } from 'zod'
import type { DurationMs, EpochMs } from '../time.ts'
import { Name } from './name.ts'

/** What is known of a pot or bench cup beforehand. Everything may stay untold; then it is learnt, or not claimed to be known. */
export const PotSetting = z.strictObject({
  /** Wax in it when it is full, kg. */
  waxKg: z.number().positive().max(5_000).optional(),
  /** W. */
  heaterW: z.number().positive().max(200_000).optional(),
  /** What its thermostat is set to, °C. */
  setPointC: z.number().min(20).max(300).optional(),
  /** The wax recipe whose windows it is read by while no coating is under way. */
  recipe: Name.optional(),
  /** The instrument that knows the air around it; the first of a place `room-air` in the surroundings where none is named. */
  air: Name.optional(),
  /** Left on without work for this long is told, h. */
  leftOnHours: z.number().positive().max(240).optional(),
  /** Hours at temperature after which its batch of wax is told to be old, h. */
  batchHours: z.number().positive().max(100_000).optional(),
})
export type PotSetting = z.infer<typeof PotSetting>

/** Why nobody can say when. */
export const cannotTellWhy = [
  /** Too little was seen yet since the pot began to do what it does now. */
  'too-little-seen',
  /** The wax cannot be seen. */
  'unseen',
  /** It moves so little that noise decides. */
  'hardly-moves',
  /** Something just happened to it: a lid, a stir, cold wax, a probe taken out. */
  'disturbed',
  /** It congeals: it stalls, and nobody knows how long in this pot. */
  'congealing',
  /** Farther ahead than this pot was ever seen to be foretold. */
  'too-far',
] as const
export type CannotTellWhy = (typeof cannotTellWhy)[number]

/** When the wax comes to a temperature. `earliest` … `latest` hold the truth four times in five. */
export type Reach =
  | { is: 'reaches'; at: EpochMs; earliest: EpochMs; latest: EpochMs }
  | { is: 'there' }
  /** As things are it does not come there: the thermostat holds it, it moves the other way, or the air is not cool enough. */
  | { is: 'never'; why: 'held' | 'away' | 'air' }
  | { is: 'cannot-tell'; why: CannotTellWhy }

/** One window and when it opens and shuts. */
export interface WindowOutlook {
  coat: string
  /** Where the wax is: above the window, in it, below it; null where it cannot be seen. */
  wax: 'above' | 'in' | 'below' | null
  opens: Reach
  shuts: Reach
  /** How long it stays open once it is, ms; null where nobody can say. */
  stays: { ms: DurationMs; leastMs: DurationMs; mostMs: DurationMs } | null
}

/** One point of the fading trail: where the wax is expected, °C, four times in five between `lowC` and `highC`. */
export interface TrailPoint {
  at: EpochMs
  lowC: number
  midC: number
  highC: number
}

/** What the pot does: melts through, is heated, is held by its thermostat, cools, congeals, stands cold, or cannot be seen. */
export const potPhases = ['melting', 'heating', 'held', 'cooling', 'congealing', 'cold', 'unseen'] as const
export type PotPhase = (typeof potPhases)[number]

/** Whether the wax is conditioned by its recipe, and what is missing. */
export type Conditioning =
  | { is: 'no-recipe' }
  | { is: 'unseen' }
  | { is: 'not-melted' }
  /** Melted through; not in the window. */
  | { is: 'outside'; side: 'below' | 'above' }
  /** In the window, held since; done at `readyAt` if it stays. */
  | { is: 'holding'; since: EpochMs; readyAt: EpochMs }
  /** Held long enough; nobody has said that it was stirred. */
  | { is: 'stir'; since: EpochMs }
  | { is: 'conditioned'; since: EpochMs }

export interface PotView {
  phase: PotPhase
  waxC: number | null
  /** Falling is negative; null where too little was seen. */
  cPerMinute: number | null
  /** Whether its heater draws current; null where no instrument knows. */
  heating: boolean | null
  /** The recipe revision whose windows are meant; null where the pot has none. */
  recipe: { id: string; revision: number } | null
  windows: WindowOutlook[]
  /** The same if it were switched off now; absent where it is not held or heated. */
  letDown?: WindowOutlook[]
  trail: TrailPoint[]
  conditioning: Conditioning
  /** When it would come to its ceiling on its present rise; null where it is not on the way. */
  ceiling: { ceilingC: number; at: EpochMs } | null
  /** Hours its batch of wax has been liquid, and since when this batch is in. */
  waxHours: number
  batchSince: EpochMs | null
  /** Since when it has been hot without a pause; null where it is not. */
  onSince: EpochMs | null
}
