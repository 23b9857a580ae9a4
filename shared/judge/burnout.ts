/** A burnout: where on its recipe the kiln is. A segment advances by its rule, not by the clock; time outside tolerance earns no credit. */
import type { BurnoutRecipe, BurnoutView, Run, Segment } from '../contract/index.ts'
import { type EpochMs, hourMs, minuteMs } from '../time.ts'
import { see, untouched } from './condition.ts'
import { clear, type Draft, raise, type Scene } from './draft.ts'
import type { StationRules } from './rules.ts'
import type { Condition, RunState, StationState } from './state.ts'

/** A kiln breathes: off its line for ten minutes before anybody is called. Common practice, no source. */
const delays = { onMs: 10 * minuteMs, offMs: 2 * minuteMs }

export function beginBurnout(run: Omit<Run, 'progress'>, recipe: BurnoutRecipe): RunState {
  const progress: BurnoutView = {
    kind: 'burnout',
    temperatureC: null,
    segment: 0,
    segmentSince: run.startedAt,
    targetC: null,
    deviationC: null,
    creditedMs: 0,
  }
  return { run: { ...run, progress }, recipe, conditions: [untouched('off-recipe')], last: null, segmentFromC: null }
}

/** Series that govern: those the recipe names, or the one that stands for the kiln. */
export function governingOf(rules: StationRules, recipe: BurnoutRecipe): number[] {
  const named = recipe.governing.map((id) =>
    rules.series.findIndex((s) => s.quantity === 'temperature' && rules.instruments[s.instrument]?.id === id),
  )
  const found = named.filter((i) => i >= 0)
  return found.length > 0 ? found : rules.leading >= 0 ? [rules.leading] : []
}

/** Where the segment before this one ends, °C. */
function endOf(recipe: BurnoutRecipe, segment: number, from: number): number {
  for (let i = segment; i >= 0; i--) {
    const s = recipe.segments[i]
    if (s?.kind === 'ramp') return s.toC
  }
  return from
}

/** The slowest of the governing probes: the lowest while it rises or holds, the highest while it falls; null unless all are seen. */
function slowest(scene: Scene, station: StationState, recipe: BurnoutRecipe, falling: boolean, t: EpochMs): number | null {
  let slow: number | null = null
  for (const index of governingOf(scene.rules, recipe)) {
    const state = station.series[index]
    const rules = scene.rules.series[index]
    if (!state || !rules || state.frontier === null || state.quality === 'bad' || t - state.frontier > rules.silenceMs) return null
    slow = slow === null ? state.value : falling ? Math.max(slow, state.value) : Math.min(slow, state.value)
  }
  return slow
}

/** Time within tolerance between two neighbouring moments, the crossing interpolated, ms. */
function creditBetween(a: { t: number; v: number }, b: { t: number; v: number }, floorC: number): number {
  if (a.v >= floorC && b.v >= floorC) return b.t - a.t
  if (a.v < floorC && b.v < floorC) return 0
  const part = (floorC - Math.min(a.v, b.v)) / Math.abs(b.v - a.v)
  return (b.t - a.t) * (1 - part)
}

interface Place {
  target: number
  through: boolean
  creditedMs: number
}

function placeIn(segment: Segment, state: RunState, from: number, slow: number, t: EpochMs, silenceMs: number): Place {
  const view = state.run.progress as BurnoutView
  if (segment.kind === 'ramp') {
    const sign = segment.toC >= from ? 1 : -1
    const along = from + (sign * segment.cPerHour * (t - view.segmentSince)) / hourMs
    const target = sign > 0 ? Math.min(along, segment.toC) : Math.max(along, segment.toC)
    return { target, through: sign * (slow - segment.toC) >= -segment.toleranceC, creditedMs: 0 }
  }
  const { last } = state
  const seen = last?.good && last.t >= view.segmentSince && t - last.t <= silenceMs
  const creditedMs = view.creditedMs + (seen ? creditBetween(last, { t, v: slow }, from - segment.toleranceC) : 0)
  return { target: from, through: creditedMs >= segment.minutes * minuteMs, creditedMs }
}

function judgeDeviation(draft: Draft, scene: Scene, run: RunState, deviationC: number, targetC: number, toleranceC: number, t: EpochMs, fresh: boolean): RunState {
  const before = run.conditions[0] as Condition
  const off = Math.abs(deviationC)
  const [next, turn] = see(before, { beyond: off > toleranceC, held: off > 0.8 * toleranceC }, t, delays, fresh)
  let after = next
  if (turn === 'raise') {
    const { segment } = run.run.progress as BurnoutView
    const facts = { run: run.run.id, deviationC, targetC, toleranceC, segment }
    after = { ...next, finding: raise(draft, scene, { kind: 'off-recipe', subject: run.run.id, since: next.since ?? t, facts }) }
  }
  if (turn === 'clear' && next.finding) {
    clear(draft, scene, next.finding, next.backSince ?? t)
    after = untouched(next.key)
  }
  return after === before ? run : { ...run, conditions: [after] }
}

export function stepBurnout(draft: Draft, scene: Scene, station: StationState, before: RunState, t: EpochMs): RunState {
  const recipe = before.recipe as BurnoutRecipe
  const view = before.run.progress as BurnoutView
  const segment = recipe.segments[view.segment]
  const governing = governingOf(scene.rules, recipe)
  const silenceMs = Math.max(...governing.map((i) => scene.rules.series[i]?.silenceMs ?? 0))
  const first = recipe.startC
  const begins = view.segment === 0 ? (before.segmentFromC ?? first) : endOf(recipe, view.segment - 1, first)
  const falling = segment?.kind === 'ramp' && segment.toC < begins
  const slow = slowest(scene, station, recipe, falling, t)
  if (slow === null) return { ...before, last: before.last && { ...before.last, good: false } }
  const last = { t, v: slow, good: true, target: 0 }
  if (!segment)
    return { ...before, last, run: { ...before.run, progress: { ...view, temperatureC: slow, targetC: null, deviationC: null } } }

  // The first ramp begins where the kiln really is: a warm kiln is not ahead of its recipe.
  const from = view.segment === 0 ? (before.segmentFromC ?? slow) : begins
  const place = placeIn(segment, before, from, slow, t, silenceMs)
  const deviationC = slow - place.target
  const fresh = scene.at - t <= (scene.rules.series[governing[0] ?? -1]?.backlogMs ?? 0)
  const run = judgeDeviation(draft, scene, before, deviationC, place.target, segment.toleranceC, t, fresh)
  const progress: BurnoutView = place.through
    ? { ...view, temperatureC: slow, targetC: place.target, deviationC, segment: view.segment + 1, segmentSince: t, creditedMs: 0 }
    : { ...view, temperatureC: slow, targetC: place.target, deviationC, creditedMs: place.creditedMs }
  if (place.through) draft.stations.add(scene.rules.station.id)
  return { ...run, last, segmentFromC: from, run: { ...run.run, progress } }
}
