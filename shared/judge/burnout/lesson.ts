/** The lesson of a burnout that came to its end, for the next one of the same kiln. */
import type { BurnoutRecipe } from '../../contract/index.ts'
import { type EpochMs, hourMs, minuteMs } from '../../time.ts'
import { hottestHold } from './asks.ts'
import { bandC, bands, type KilnLearnt, type Lesson, loadOf } from './learn.ts'
import { endOf } from './plan.ts'
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

/** How fast the air went through each band, up or down: its width over the time in it. Bands that it passed only in part say nothing. */
function pacesOf(air: Watched, direction: 1 | -1, from: EpochMs, to: EpochMs): (number | null)[] {
  const rates = Array.from({ length: bands }, (): number | null => null)
  const crossed = new Map<number, EpochMs>()
  for (let k = 2; k < air.fives.length; k += 2) {
    const [t0, t] = [air.fives[k - 2] as number, air.fives[k] as number]
    const [v0, v] = [air.fives[k - 1] as number, air.fives[k + 1] as number]
    if (t <= from || t0 >= to || direction * (v - v0) <= 0) continue
    const [low, high] = [Math.min(v0, v), Math.max(v0, v)]
    for (let edge = Math.ceil(low / bandC); edge * bandC < high; edge++) {
      const at = t0 + ((edge * bandC - v0) / (v - v0)) * (t - t0)
      const since = crossed.get(edge - direction)
      const band = direction > 0 ? edge - 1 : edge
      if (since !== undefined && at > since && band >= 0 && band < bands) rates[band] = (bandC * hourMs) / (at - since)
      crossed.set(edge, at)
    }
  }
  return rates
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
    lingerMs: held && ledger?.to != null ? held[1] - ledger.to : null,
    rises: pacesOf(air, 1, 0, held?.[0] ?? Infinity),
    falls: held ? pacesOf(air, -1, held[1], Infinity) : [],
    wagers:
      since === null
        ? []
        : wagers.flatMap(([at, forecast]) => (at < since ? [[forecast - at, since - at] as const] : [])),
  }
}
