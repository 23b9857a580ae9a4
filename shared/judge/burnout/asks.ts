/** What a burnout waits for besides its segments: steps for people, the ready criterion, and the end of the kiln's own programme. */
import type { BurnoutRecipe, EarlyLeave } from '../../contract/index.ts'
import { type EpochMs, minuteMs } from '../../time.ts'
import { directionOf, endOf } from './plan.ts'
import type { BurnoutState } from './state.ts'
import type { Watched } from './watch.ts'

/** Nothing is ready before its hottest hold is behind it: a cold load, too, is below 460 °C. */
export function hottestHold(recipe: BurnoutRecipe): number {
  let hottest = -1
  recipe.segments.forEach((segment, i) => {
    if (segment.kind === 'hold' && (hottest < 0 || endOf(recipe, i) > endOf(recipe, hottest))) hottest = i
  })
  return hottest
}

export function mayBeReady(recipe: BurnoutRecipe, segment: number): boolean {
  const hottest = hottestHold(recipe)
  return segment > (hottest < 0 ? recipe.segments.length - 1 : hottest)
}

export function meets(recipe: BurnoutRecipe, value: number): boolean {
  const { ready } = recipe
  return ready !== undefined && value >= (ready.atLeastC ?? -Infinity) && value <= (ready.atMostC ?? Infinity)
}

/** Since when every ready probe has met the criterion, by whole minutes that all of them have closed. */
export function readySince(state: BurnoutState, recipe: BurnoutRecipe, probes: readonly string[]): EpochMs | null {
  if (!recipe.ready || !mayBeReady(recipe, state.walk.segment)) return null
  const mine = probes.map((p) => state.watched.find((w) => w.probe === p))
  let since = state.readySince
  let isMet = true
  for (const one of mine) {
    const [at, v] = [one?.minutes.at(-2), one?.minutes.at(-1)]
    if (at === undefined || v === undefined || !meets(recipe, v)) isMet = false
    else since = Math.max(since ?? at, state.readySince ?? at)
  }
  return isMet && mine.length > 0 ? since : null
}

/** Steps for people that have come due: by the segment that is reached, and the temperature in it. */
export function handsAfter(
  state: BurnoutState,
  recipe: BurnoutRecipe,
  slow: number | null,
  t: EpochMs,
): BurnoutState['hands'] {
  let hands = state.hands
  ;(recipe.hands ?? []).forEach((hand, i) => {
    const now = hands[i]
    if (!now || now.dueAt !== null) return
    // Nobody is called to pour what is not ready.
    if (hand.what === 'pour' && recipe.ready && state.ready.is !== 'ready') return
    const { segment, since } = state.walk
    const passed = segment > hand.segment
    const along =
      hand.atC !== undefined &&
      segment === hand.segment &&
      slow !== null &&
      directionOf(recipe, segment) * (slow - hand.atC) >= 0
    if (passed || along)
      hands = hands.with(i, { ...now, dueAt: passed && hand.what !== 'pour' ? Math.min(t, since) : t })
  })
  return hands
}

/** When the air has come to the hold, by its minutes. */
export function airThere(state: BurnoutState, recipe: BurnoutRecipe, air: Watched): EpochMs | null {
  const segment = recipe.segments[state.walk.segment]
  if (segment?.kind !== 'hold') return null
  if (state.airThereAt !== null) return state.airThereAt
  const target = endOf(recipe, state.walk.segment)
  const { minutes } = air
  let there: EpochMs | null = null
  for (let i = minutes.length - 2; i >= 0 && (minutes[i + 1] as number) >= target - segment.toleranceC; i -= 2)
    there = minutes[i] as number
  return there
}

/**
 * When the kiln's own programme leaves the hold; null where it waits for the credit, or its air is not there yet. Its clock stands still while it has
 * no power (common practice, no source).
 */
export function leavesAt({ walk, airThereAt, losses }: BurnoutState, recipe: BurnoutRecipe): EpochMs | null {
  const segment = recipe.segments[walk.segment]
  if (segment?.kind !== 'hold' || segment.controllerMinutes === undefined || airThereAt === null) return null
  const stoodMs = losses.reduce(
    (sum, l) => (l.what === 'unheated' && l.to !== null && l.from >= airThereAt ? sum + l.to - l.from : sum),
    0,
  )
  return airThereAt + stoodMs + segment.controllerMinutes * minuteMs
}

/** Whether the kiln's own programme leaves the hold before its credit is full. `creditFrom`: when credit is expected to go on. */
export function leavesEarly(state: BurnoutState, recipe: BurnoutRecipe, creditFrom: EpochMs): EarlyLeave | null {
  const { walk } = state
  const segment = recipe.segments[walk.segment]
  const at = leavesAt(state, recipe)
  const ledger = walk.ledgers.at(-1)
  if (at === null || !ledger || at <= walk.upTo || (segment?.kind === 'hold' && segment.credited === false)) return null
  const creditedMs = ledger.creditedMs + Math.max(0, at - Math.max(creditFrom, walk.upTo))
  // A minute is not worth a call.
  if (creditedMs >= ledger.askedMs - minuteMs) return null
  return { segment: walk.segment, at, creditedMs, askedMs: ledger.askedMs }
}

/** Whether the kiln's own programme has left its hold by now, within its minutes. */
export function hasLeft(state: BurnoutState, recipe: BurnoutRecipe, t: EpochMs): boolean {
  const at = leavesAt(state, recipe)
  return at !== null && t >= at - 5 * minuteMs
}
