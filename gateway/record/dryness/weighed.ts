/** What people weighed, as shares of the dip's water: only a piece that was weighed wet and weighed until nothing changed says what a gram is. */
import type { RunStep } from '../../../shared/contract/index.ts'
import type { Weighed } from '../../../shared/judge/index.ts'
import { type EpochMs, minuteMs } from '../../../shared/time.ts'

export interface Said {
  step: RunStep
  at: EpochMs
  by: string
}

/** The first weighing stands for the wet piece if it came so soon after the dip. Common practice, no source. */
const wetWithinMs = 20 * minuteMs
/** The last two must agree within this share of the water that left. Common practice, no source. */
const constantShare = 0.03
const leastWeighings = 5

/** Of one test piece; empty where the night was not weighed from wet until constant. What names no piece is of whichever there is. */
export function weighedOf(steps: readonly Said[], dippedAt: EpochMs, probe: string): Weighed[] {
  const all = steps.flatMap(({ step, at }) =>
    step.step === 'weigh' && step.grams !== undefined && (step.probe ?? probe) === probe
      ? [{ at, grams: step.grams }]
      : [],
  )
  const [first, last, before] = [all[0], all.at(-1), all.at(-2)]
  if (all.length < leastWeighings || !first || !last || !before || first.at - dippedAt > wetWithinMs) return []
  const water = first.grams - last.grams
  if (!(water > 0) || Math.abs(before.grams - last.grams) > constantShare * water) return []
  return all.map(({ at, grams }) => ({ at, moisture: (grams - last.grams) / water }))
}
