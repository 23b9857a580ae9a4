/** What a held-out burnout is: what a foundry would see of it, what nobody sees, and when it was truly ready. */
import type { Recipe } from '../../../shared/contract/index.ts'
import type { EpochMs } from '../../../shared/time.ts'

export interface BurnoutSample {
  t: EpochMs
  airC: number | null
  loadC: number | null
}

export interface BurnoutScene {
  id: string
  recipe: Extract<Recipe, { kind: 'burnout' }>
  startedAt: EpochMs
  samples: readonly BurnoutSample[]
  endedAt: EpochMs
  truth: {
    /** When the soak was credited to the end, by probes without noise; and when the load was ready after that. */
    creditedAt: EpochMs
    readyAt: EpochMs
    thicknessM: number
    wet: boolean
    happenings: readonly { at: EpochMs; what: string }[]
  }
}

/** A kiln with its burnouts in the order in which they happened. The first `learning` ones are its past and are asked nothing. */
export interface KilnStory {
  id: string
  intervalS: number
  learning: number
  scenes: readonly BurnoutScene[]
}
