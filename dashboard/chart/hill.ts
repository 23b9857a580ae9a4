/** The shape of a burnout: the recipe as a line in time, laid against what the run has really reached; its holds as basins that credit fills. */
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

/**
 * Corners of the hill. What is behind stands where it really began and ended; what is ahead is as long as the recipe says; a hold that is not yet
 * credited lasts at least until now and what it still asks.
 */
export function hillOf(
  recipe: BurnoutRecipe,
  startedAt: EpochMs,
  view: BurnoutView | null,
  now: EpochMs = -Infinity,
): HillPoint[] {
  const parts = spans(recipe)
  const here = view === null ? 0 : Math.min(view.segment, parts.length)
  const held = view?.holds.find((h) => h.segment === here && h.to === null)
  let at = startedAt
  const points: HillPoint[] = []
  parts.forEach((part, segment) => {
    at =
      (segment <= here ? view?.began[segment] : undefined) ?? (segment === here ? view?.segmentSince : undefined) ?? at
    points.push({ at, targetC: part.fromC, toleranceC: part.toleranceC, segment })
    const next = segment < here ? view?.began[segment + 1] : undefined
    const asked = held && segment === here ? now - at + held.askedMs - held.creditedMs : 0
    at = next ?? at + Math.max(part.ms, asked)
    points.push({ at, targetC: part.toC, toleranceC: part.toleranceC, segment })
  })
  return points
}

export interface Basin {
  from: EpochMs
  to: EpochMs
  targetC: number
  /** 0…1 of what was asked. */
  full: number
}

/** Each hold that began, and how full of credit it is. */
export function basinsOf(hill: readonly HillPoint[], view: BurnoutView, now: EpochMs): Basin[] {
  return view.holds.map((hold) => ({
    from: hold.from,
    to: hold.to ?? now,
    targetC: hill.find((p) => p.segment === hold.segment)?.targetC ?? 0,
    full: hold.askedMs > 0 ? Math.min(1, hold.creditedMs / hold.askedMs) : 1,
  }))
}

/** A ridge of an earlier burnout, moved so that it began when this one did. */
export function ridgeOf(t: readonly number[], v: readonly (number | null)[], began: EpochMs, startedAt: EpochMs) {
  return { t: t.map((at) => at - began + startedAt), v }
}
