/** Pot care: conditioned or not, minutes to the ceiling, a heater that does not cut off, wax that grows old, pots left on. Pure. */
import type { Conditioning, Finding } from '../../contract/index.ts'
import type { EpochMs } from '../../time.ts'
import type { Draft, Scene } from '../draft.ts'
import type { CourseSample } from '../forecast/index.ts'
import type { PotRules } from '../pot-rules.ts'

/** What care remembers of one pot. Plain data. */
export interface CareState {
  findings: readonly Finding[]
  waxHours: number
  batchSince: EpochMs | null
  onSince: EpochMs | null
}

export const newCare: CareState = { findings: [], waxHours: 0, batchSince: null, onSince: null }

/** One more sample of the wax, in rising time. `fresh`: it speaks of now, so that it may raise an alarm. */
export function careFor(
  _draft: Draft,
  _scene: Scene,
  _rules: PotRules,
  care: CareState,
  _sample: CourseSample,
  _cPerMinute: number | null,
  _fresh: boolean,
): CareState {
  return care
}

/** Time passed without a sample. */
export function careWaits(_draft: Draft, _scene: Scene, _rules: PotRules, care: CareState): CareState {
  return care
}

/** When time alone would next change something; Infinity where it never would. */
export function careDueAt(_rules: PotRules, _care: CareState, _now: EpochMs): EpochMs {
  return Infinity
}

/** Somebody stirred the wax, or put a new batch in. */
export function stirred(care: CareState, _at: EpochMs): CareState {
  return care
}
export function renewed(care: CareState, at: EpochMs): CareState {
  return { ...care, waxHours: 0, batchSince: at }
}

export function conditioningOf(_rules: PotRules, _care: CareState, _waxC: number | null): Conditioning {
  return { is: 'no-recipe' }
}

/** When it would come to its ceiling on its present rise; null where it is not on the way. */
export function ceilingOf(_rules: PotRules, _care: CareState): { ceilingC: number; at: EpochMs } | null {
  return null
}
