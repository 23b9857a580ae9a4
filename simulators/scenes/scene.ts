/** What a scene is: a foundry, a world of bodies that can be moved on, its faults, and the people in it. */
import type { Foundry, RunDeclaration } from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'
import type { Fault } from '../faults.ts'
import type { Probe } from '../probes/probe.ts'

/** Bodies move in steps of this length; every interval of an instrument is a multiple of it. */
export const worldStepS = 5

export interface World {
  probes: readonly Probe[]
  faults: readonly Fault[]
  /** Moves every body and probe on by one step, to `at`. */
  step(at: EpochMs): void
  /** What a person would find who lifted the lid: the true temperature of a pot's wax. */
  waxC(station: string): number | null
  /** What a scale would say of a test piece, g. */
  pieceG(station: string, piece: string): number | null
}

/** Something a person does at the gateway. */
export type Deed =
  | { deed: 'start-run'; by: string; declaration: RunDeclaration }
  | { deed: 'close-run'; by: string; station: string; reason: string }
  | { deed: 'coat'; by: string; station: string; coat: string }
  | { deed: 'hand'; by: string; station: string; hand: string }
  | { deed: 'weigh'; by: string; station: string; probe: string; grams: number }
  | { deed: 'acknowledge'; by: string; tiers: readonly string[] }

export interface People {
  /** What they do between two instants. */
  between(from: EpochMs, to: EpochMs, world: World): Deed[]
}

export interface Scene {
  name: string
  sentence: string
  foundry: Foundry
  build(beginAt: EpochMs, seed: number): { world: World; people: People }
}
