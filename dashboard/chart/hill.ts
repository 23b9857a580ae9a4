/** The shape of a burnout: the recipe as a line in time, laid against what the run has really reached. */
import type { BurnoutRecipe, BurnoutView } from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'

export interface HillPoint {
  at: EpochMs
  targetC: number
  toleranceC: number
  segment: number
}

/** Length and end of every segment, as the recipe says it. */
function spans(recipe: BurnoutRecipe): { ms: number; fromC: number; toC: number; toleranceC: number }[] {
  let atC = recipe.startC
  return recipe.segments.map((segment) => {
    const fromC = atC
    if (segment.kind === 'ramp') atC = segment.toC
    const ms =
      segment.kind === 'ramp'
        ? (Math.abs(segment.toC - fromC) / segment.cPerHour) * 3_600_000
        : segment.minutes * 60_000
    return { ms, fromC, toC: atC, toleranceC: segment.toleranceC }
  })
}

/** Corners of the hill. The present segment stands where it really began; what is behind is as long as it really took, what is ahead as the recipe says. */
export function hillOf(recipe: BurnoutRecipe, startedAt: EpochMs, view: BurnoutView | null): HillPoint[] {
  const parts = spans(recipe)
  const here = view === null ? 0 : Math.min(view.segment, parts.length)
  const before = parts.slice(0, here).reduce((sum, part) => sum + part.ms, 0)
  const took = view === null || here === 0 || before === 0 ? 1 : Math.max(0, view.segmentSince - startedAt) / before
  let at = startedAt
  const points: HillPoint[] = []
  parts.forEach((part, segment) => {
    points.push({ at, targetC: part.fromC, toleranceC: part.toleranceC, segment })
    at += segment < here ? part.ms * took : part.ms
    points.push({ at, targetC: part.toC, toleranceC: part.toleranceC, segment })
  })
  return points
}
