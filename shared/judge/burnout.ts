/** A burnout: where on its recipe the kiln is. A segment advances by its rule, not by the clock; time outside tolerance earns no credit. */
import type { BurnoutRecipe, BurnoutView, Run, Segment } from '../contract/index.ts'
import { type EpochMs, hourMs, minuteMs } from '../time.ts'
import type { Delays } from './calm.ts'
import { type Moment, see, turnAt, untouched } from './condition.ts'
import { clear, type Draft, raise, type Scene, touch } from './draft.ts'
import { beginAnew, lay, type Overlap, overlapOf, stretchWithin, watches } from './overlap.ts'
import type { SeriesRules, StationRules } from './rules.ts'
import { seenValue } from './sight.ts'
import type { Condition, RunState, SeriesState, StationState } from './state.ts'

/** A kiln breathes: off its line for ten minutes before anybody is called. Common practice, no source. */
const delays: Delays = { onMs: 10 * minuteMs, offMs: 2 * minuteMs }
/** Back on its line is back within this part of the tolerance. Common practice, no source. */
const backWithin = 0.8

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
  const overlaps: Overlap[] = [{ upTo: run.startedAt, lanes: [] }]
  return {
    run: { ...run, progress },
    recipe,
    conditions: [untouched('off-recipe')],
    overlaps,
    outSince: [],
    startedFromC: null,
  }
}

/** Series that govern: those the recipe names, or the one that stands for the kiln. A named one that does not watch this kiln is −1. */
export function governingOf(rules: StationRules, recipe: BurnoutRecipe): number[] {
  if (recipe.governing.length === 0) return [rules.leading]
  return recipe.governing.map((id) =>
    rules.series.findIndex((s) => s.quantity === 'temperature' && rules.instruments[s.instrument]?.id === id),
  )
}

/** Where the recipe is at the end of a segment, °C; −1 asks for its beginning. */
function endOf(recipe: BurnoutRecipe, segment: number): number {
  for (let i = segment; i >= 0; i--) {
    const s = recipe.segments[i]
    if (s?.kind === 'ramp') return s.toC
  }
  return recipe.startC
}

/** The recipe decides whether a ramp rises or falls, not the kiln: a kiln warmer than its first ramp is past it, not cooling down to it. */
function directionOf(recipe: BurnoutRecipe, at: number): 1 | -1 {
  const segment = recipe.segments[at]
  return segment?.kind === 'ramp' && segment.toC < endOf(recipe, at - 1) ? -1 : 1
}

/** The slowest of the governing probes: the lowest while it rises or holds, the highest while it falls; null unless all are seen. */
function slowest(scene: Scene, station: StationState, recipe: BurnoutRecipe, direction: 1 | -1): number | null {
  let slow: number | null = null
  for (const index of governingOf(scene.rules, recipe)) {
    const value = seenValue(scene, station, index)
    if (value === null) return null
    slow = slow === null ? value : direction < 0 ? Math.max(slow, value) : Math.min(slow, value)
  }
  return slow
}

function targetOf(recipe: BurnoutRecipe, view: BurnoutView, startedFromC: number, t: EpochMs): number {
  const segment = recipe.segments[view.segment] as Segment
  if (segment.kind === 'hold') return endOf(recipe, view.segment)
  // The first ramp begins where the kiln really is: a warm kiln is not ahead of its recipe.
  const from = view.segment === 0 ? startedFromC : endOf(recipe, view.segment - 1)
  const direction = directionOf(recipe, view.segment)
  const along = from + (direction * segment.cPerHour * Math.max(0, t - view.segmentSince)) / hourMs
  return direction > 0 ? Math.min(along, segment.toC) : Math.max(along, segment.toC)
}

/** Lays the newest sample on the hold's credit. Only time in which every governing probe was seen within tolerance counts. */
function credited(scene: Scene, run: RunState, state: SeriesState, rules: SeriesRules, t: EpochMs): RunState {
  const recipe = run.recipe as BurnoutRecipe
  const view = run.run.progress as BurnoutView
  const segment = recipe.segments[view.segment]
  const ids = governingOf(scene.rules, recipe).map((i, nth) => scene.rules.series[i]?.series ?? `missing ${nth}`)
  const kept = run.overlaps[0] as Overlap
  const overlap = watches(kept, ids) ? kept : overlapOf(ids, kept.upTo)
  const floorC = segment?.kind === 'hold' ? endOf(recipe, view.segment) - segment.toleranceC : Infinity
  const sample = { t, v: state.value, good: state.quality !== 'bad' }
  const [next, ms] = lay(overlap, rules.series, sample, rules.silenceMs, (a, b) =>
    stretchWithin(a, b, floorC, Infinity),
  )
  return { ...run, overlaps: [next], run: { ...run.run, progress: { ...view, creditedMs: view.creditedMs + ms } } }
}

function judgeDeviation(draft: Draft, scene: Scene, run: RunState, toleranceC: number, moment: Moment): RunState {
  const { deviationC, targetC, segment } = run.run.progress as BurnoutView
  const before = run.conditions[0] as Condition
  const offC = before.finding === null ? toleranceC : backWithin * toleranceC
  let after = see(before, Math.abs(deviationC ?? 0) > offC, moment)
  const turn = moment.fresh ? turnAt(after, moment.t, delays) : null
  if (turn === 'raise') {
    const facts = { run: run.run.id, deviationC: deviationC ?? 0, targetC: targetC ?? 0, toleranceC, segment }
    after = {
      ...after,
      finding: raise(draft, scene, { kind: 'off-recipe', subject: run.run.id, since: after.since ?? moment.t, facts }),
    }
  }
  if (turn === 'clear') after = ended(draft, scene, after, after.backSince ?? moment.t)
  return after === before ? run : { ...run, conditions: [after] }
}

function ended(draft: Draft, scene: Scene, condition: Condition, at: EpochMs): Condition {
  if (condition.finding) clear(draft, scene, condition.finding, at)
  return untouched(condition.key)
}

/**
 * A hold is through when it is credited. A ramp is through when the kiln is at its end; or within tolerance of it once the line has got
 * there, for a kiln may creep up to its end for ever. Not sooner: the next segment would run ahead of a kiln that keeps its recipe.
 */
function isThrough(recipe: BurnoutRecipe, view: BurnoutView, slow: number): boolean {
  const segment = recipe.segments[view.segment] as Segment
  if (segment.kind === 'hold') return view.creditedMs >= segment.minutes * minuteMs
  const beyond = directionOf(recipe, view.segment) * (slow - segment.toC)
  return beyond >= 0 || (view.targetC === segment.toC && beyond >= -segment.toleranceC)
}

/** On to the next segment. At the end of the recipe nothing is asked of the kiln any more, so nothing can be off. */
function advance(draft: Draft, scene: Scene, run: RunState, t: EpochMs): RunState {
  const recipe = run.recipe as BurnoutRecipe
  const view = run.run.progress as BurnoutView
  const segment = view.segment + 1
  touch(draft, scene.rules.station.id)
  const next = { ...run, overlaps: run.overlaps.map((o) => beginAnew(o, t)) }
  const progress: BurnoutView = { ...view, segment, segmentSince: t, creditedMs: 0 }
  if (segment < recipe.segments.length) return { ...next, run: { ...run.run, progress } }
  const conditions = [ended(draft, scene, run.conditions[0] as Condition, t)]
  return { ...next, conditions, run: { ...run.run, progress: { ...progress, targetC: null, deviationC: null } } }
}

export function stepBurnout(
  draft: Draft,
  scene: Scene,
  station: StationState,
  before: RunState,
  series: number,
  moment: Moment,
): RunState {
  const { t } = moment
  const recipe = before.recipe as BurnoutRecipe
  const laid = credited(
    scene,
    before,
    station.series[series] as SeriesState,
    scene.rules.series[series] as SeriesRules,
    t,
  )
  const view = laid.run.progress as BurnoutView
  const slow = slowest(scene, station, recipe, directionOf(recipe, view.segment))
  const segment = recipe.segments[view.segment]
  if (slow === null || !segment) return withTemperature(draft, scene, laid, slow)

  const startedFromC = laid.startedFromC ?? slow
  const targetC = targetOf(recipe, view, startedFromC, t)
  const progress: BurnoutView = { ...view, temperatureC: slow, targetC, deviationC: slow - targetC }
  const run = judgeDeviation(
    draft,
    scene,
    { ...laid, startedFromC, run: { ...laid.run, progress } },
    segment.toleranceC,
    moment,
  )
  return isThrough(recipe, progress, slow) ? advance(draft, scene, run, t) : run
}

function withTemperature(draft: Draft, scene: Scene, run: RunState, temperatureC: number | null): RunState {
  const view = run.run.progress as BurnoutView
  if (view.temperatureC === temperatureC && view.deviationC === null) return run
  touch(draft, scene.rules.station.id)
  return { ...run, run: { ...run.run, progress: { ...view, temperatureC, deviationC: null } } }
}

/** Time passed: a kiln that is no longer seen has no temperature. */
export function waitBurnout(draft: Draft, scene: Scene, station: StationState, run: RunState): RunState {
  const { segment, temperatureC } = run.run.progress as BurnoutView
  const recipe = run.recipe as BurnoutRecipe
  if (temperatureC === null || slowest(scene, station, recipe, directionOf(recipe, segment)) !== null) return run
  return withTemperature(draft, scene, run, null)
}
