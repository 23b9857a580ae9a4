/** The lesson of a burnout that came to its end, for the next one of the same kiln. */
import type { BurnoutRecipe } from '../../contract/index.ts'
import { type EpochMs, hourMs, minuteMs } from '../../time.ts'
import { hottestHold } from './asks.ts'
import { type Lesson, loadOf, type KilnLearnt } from './learn.ts'
import { directionOf, endOf } from './plan.ts'
import { boilOf, courseOf, lagOf } from './ready.ts'
import type { BurnoutState } from './state.ts'
import type { Watched } from './watch.ts'

function median(values: readonly number[]): number | null {
  return values.length === 0 ? null : ([...values].sort((a, b) => a - b)[values.length >> 1] as number)
}

/** When the air came within tolerance of the hottest hold, and when it left it for good; null where it never did. */
function airHeld(air: Watched, recipe: BurnoutRecipe, hold: number): [EpochMs, EpochMs] | null {
  const target = endOf(recipe, hold)
  const tolerance = recipe.segments[hold]?.toleranceC ?? 15
  let [from, to]: [number | null, number | null] = [null, null]
  for (let i = 0; i < air.fives.length; i += 2)
    if ((air.fives[i + 1] as number) >= target - tolerance) {
      from ??= air.fives[i] as number
      to = air.fives[i] as number
    }
  return from === null || to === null ? null : [from, to]
}

/** How fast the air went of what its ramps asked, up or down; the median over the ramps that were walked. */
function shareOf(air: Watched, recipe: BurnoutRecipe, direction: 1 | -1): number | null {
  const shares: number[] = []
  recipe.segments.forEach((segment, i) => {
    if (segment.kind !== 'ramp' || directionOf(recipe, i) !== direction) return
    const [a, b] = [endOf(recipe, i - 1), segment.toC]
    const [low, high] = [Math.min(a, b) + 0.15 * Math.abs(b - a), Math.max(a, b) - 0.15 * Math.abs(b - a)]
    const inside: [number, number][] = []
    for (let k = 0; k < air.fives.length; k += 2) {
      const v = air.fives[k + 1] as number
      if (v >= low && v <= high) inside.push([air.fives[k] as number, v])
      else if (inside.length >= 4) break
      else inside.length = 0
    }
    const [first, last] = [inside[0], inside.at(-1)]
    if (!first || !last || inside.length < 4) return
    const rate = (direction * (last[1] - first[1]) * hourMs) / (last[0] - first[0])
    if (rate > 0) shares.push(Math.min(1.2, rate / segment.cPerHour))
  })
  return median(shares)
}

export function lessonOf(
  state: BurnoutState,
  recipe: BurnoutRecipe,
  kiln: KilnLearnt | null,
  air: Watched,
  load: Watched,
  wagers: readonly (readonly [EpochMs, EpochMs])[],
): Lesson | null {
  const course = courseOf(air, load)
  const lag = lagOf(course, recipe, kiln)
  if (!lag) return null
  const water = boilOf(course)
  const hottest = hottestHold(recipe)
  const held = hottest < 0 ? null : airHeld(air, recipe, hottest)
  const ledger = state.walk.ledgers.find((l) => l.segment === hottest)
  const inHold: number[] = []
  if (held)
    for (let i = 0; i < air.fives.length; i += 2)
      if ((air.fives[i] as number) >= held[0] && (air.fives[i] as number) <= held[1])
        inHold.push((air.fives[i + 1] as number) - endOf(recipe, hottest))
  // The last half hour in the hold, where the load has all but come to the air.
  const still: number[] = []
  course.at.forEach((t, i) => {
    if (!held || t > held[1] || t < held[1] - 30 * minuteMs || i < 6) return
    const rate = ((course.coreC[i] as number) - (course.coreC[i - 6] as number)) * 2
    if (Math.abs(rate) < 4) still.push((course.coreC[i] as number) - (course.airC[i] as number))
  })
  const since = state.readySince
  return {
    load: loadOf(recipe),
    thicknessMm: recipe.load?.thicknessMm ?? null,
    lagMs: lag.lagMs,
    offsetC: median(still),
    holdC: median(inHold),
    boilMs: water ? (water.to - water.from) * course.stepMs : 0,
    heldMs: held ? held[1] - held[0] : null,
    waited: held && ledger?.to != null ? Math.abs(held[1] - ledger.to) <= 15 * minuteMs : null,
    riseShare: shareOf(air, recipe, 1),
    fallShare: shareOf(air, recipe, -1),
    wagers:
      since === null
        ? []
        : wagers.flatMap(([at, forecast]) => (at < since ? [[forecast - at, since - at] as const] : [])),
  }
}
