/** Time without heat: the air falls where the recipe asks it to rise or to hold. Fast as an open door lets it, or slowly as a kiln that nobody heats. */
import type { BurnoutRecipe, Fall, HeatLoss } from '../../contract/index.ts'
import { type EpochMs, hourMs, minuteMs } from '../../time.ts'
import { directionOf, endOf } from './plan.ts'
import type { Watched } from './watch.ts'

/** Falls of less are the breathing of a controller. Common practice, no source. */
const leastFallC = 8
/** A controller's own breathing about what it holds. Common practice, no source. */
const aboutC = 1
/** It has fallen in each of so many minutes. */
const fallingMinutes = 3
/** An open door takes so much from the air in a minute: a hot kiln's air has next to no heat of its own. Common practice, no source. */
const doorFallC = 20
/** A load goes on falling when the air already rises. */
const afterMs = hourMs
/** It is over when the air has risen for so many minutes. */
const risingMinutes = 2
/** Losses that are told; the oldest go first. */
const lossesMax = 24

/** The highest of the last minutes, and until when the air was about there: from then on it fell. */
function peakOf(minutes: readonly number[], from: EpochMs): { at: EpochMs; v: number } {
  let v = -Infinity
  for (let i = minutes.length - 2; i >= 0 && (minutes[i] as number) >= from; i -= 2)
    v = Math.max(v, minutes[i + 1] as number)
  let i = minutes.length - 2
  while (i > 0 && (minutes[i + 1] as number) < v - aboutC) i -= 2
  return { at: minutes[i] as number, v }
}

function moves(minutes: readonly number[], count: number, sign: 1 | -1): boolean {
  if (minutes.length < 2 * (count + 1)) return false
  for (let n = 0; n < count; n++) {
    const i = minutes.length - 2 - 2 * n
    const isNext = (minutes[i] as number) - (minutes[i - 2] as number) <= 2 * minuteMs
    if (!isNext || sign * ((minutes[i + 1] as number) - (minutes[i - 1] as number)) <= 0) return false
  }
  return true
}

function fastest({ minutes }: Watched, from: EpochMs, to: EpochMs): number {
  let most = 0
  for (let i = 2; i < minutes.length; i += 2) {
    if ((minutes[i] as number) <= from || (minutes[i] as number) > to) continue
    const ms = (minutes[i] as number) - (minutes[i - 2] as number)
    most = Math.max(most, (((minutes[i - 1] as number) - (minutes[i + 1] as number)) / ms) * hourMs)
  }
  return most
}

function fallOf(watched: Watched, from: EpochMs, to: EpochMs): Fall | null {
  const { minutes, probe } = watched
  let fromC: number | null = null
  let toC = Infinity
  for (let i = 0; i < minutes.length; i += 2) {
    const [t, v] = [minutes[i] as number, minutes[i + 1] as number]
    if (t <= from || fromC === null) fromC = t <= from ? v : fromC
    if (t >= from && t <= to + afterMs) toC = Math.min(toC, v)
  }
  if (fromC === null || toC === Infinity) return null
  return { probe, fromC, toC: Math.min(toC, fromC), cPerHour: fastest(watched, from, to + afterMs) }
}

/** What each probe did in it, and the bands through which one of them fell. */
function told(loss: HeatLoss, watched: readonly Watched[], recipe: BurnoutRecipe): HeatLoss {
  const to = loss.to ?? Infinity
  const fell = watched.flatMap((w) => fallOf(w, loss.from, to) ?? [])
  const bands = (recipe.bands ?? [])
    .filter((band) => fell.some((f) => f.fromC > band.fromC && f.toC < band.toC))
    .map((b) => b.name)
  return { ...loss, fell, bands }
}

/** Whether the recipe wants this kiln hotter, or as hot, as it is. */
function isAskedToFall(recipe: BurnoutRecipe, segment: number): boolean {
  return segment >= recipe.segments.length || directionOf(recipe, segment) < 0
}

/** After each minute of the kiln's air. `hasLeft`: the kiln's own programme has left its hold, so its air may fall. */
export function lossesAfter(
  losses: readonly HeatLoss[],
  air: Watched,
  watched: readonly Watched[],
  recipe: BurnoutRecipe,
  segment: number,
  segmentSince: EpochMs,
  hasLeft: boolean,
): readonly HeatLoss[] {
  const { minutes } = air
  const [at, v] = [minutes.at(-2), minutes.at(-1)]
  if (at === undefined || v === undefined) return losses
  const last = losses.at(-1)
  if (last && last.to === null) {
    const isUp = moves(minutes, risingMinutes, 1)
    const over = isUp || hasLeft || isAskedToFall(recipe, segment)
    const to = over ? (isUp ? at - risingMinutes * minuteMs : at) : null
    return losses.with(-1, told(withKind({ ...last, to }, air), watched, recipe))
  }
  // A load goes on falling for a while.
  const followed = last?.to != null && at - last.to <= afterMs ? losses.with(-1, told(last, watched, recipe)) : losses
  if (isAskedToFall(recipe, segment) || hasLeft) return followed
  const peak = peakOf(minutes, Math.max(segmentSince, last?.to ?? -Infinity, at - 20 * minuteMs))
  const target = endOf(recipe, segment)
  const hold = recipe.segments[segment]
  const floorC = hold?.kind === 'hold' ? target - hold.toleranceC : Infinity
  // What overshot and comes back to its hold has lost nothing.
  const fallC = Math.min(peak.v, target) - v
  if (fallC < leastFallC || v >= floorC || !moves(minutes, fallingMinutes, -1)) return followed
  const begun: HeatLoss = { what: 'unheated', from: peak.at, to: null, fell: [], bands: [] }
  return [...followed, told(withKind(begun, air), watched, recipe)].slice(-lossesMax)
}

function withKind(loss: HeatLoss, air: Watched): HeatLoss {
  const most = fastest(air, loss.from, loss.to ?? Infinity)
  return { ...loss, what: most >= doorFallC * 60 ? 'open' : 'unheated' }
}
