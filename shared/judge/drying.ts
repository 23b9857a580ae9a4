/** A drying: how the room kept the recipe's climate band since the run began, in seen time only. */
import type { DryingRecipe, DryingView, Run } from '../contract/index.ts'
import { bandStep } from '../series/statistics.ts'
import type { EpochMs } from '../time.ts'
import { see, untouched } from './condition.ts'
import { clear, type Draft, raise, type Scene } from './draft.ts'
import type { Condition, RunState, SeriesState, StationState } from './state.ts'

/** A room is not a run-away pot: five minutes outside before anybody is called. Common practice, no source. */
const delays = { onMs: 300_000, offMs: 120_000 }
const deadband = { temperature: 0.2, humidity: 1 }

export function beginDrying(run: Omit<Run, 'progress'>, recipe: DryingRecipe): RunState {
  const progress: DryingView = { kind: 'drying', temperatureC: null, humidity: null, seenMs: 0, inBandMs: 0, outSince: null }
  const conditions = [untouched('temperature'), untouched('humidity')]
  return { run: { ...run, progress }, recipe, conditions, last: null, segmentFromC: null }
}

type Band = { from: number; to: number }

function bandOf(recipe: DryingRecipe, quantity: 'temperature' | 'humidity'): Band | null {
  if (quantity === 'temperature') return { from: recipe.temperature.fromC, to: recipe.temperature.toC }
  return recipe.humidity ?? null
}

function judgeBand(draft: Draft, scene: Scene, run: RunState, at: number, quantity: 'temperature' | 'humidity', value: number, t: EpochMs, fresh: boolean): RunState {
  const band = bandOf(run.recipe as DryingRecipe, quantity)
  const before = run.conditions[at] as Condition
  if (!band) return run
  const slack = deadband[quantity]
  const sight = {
    beyond: value < band.from || value > band.to,
    held: value < band.from + slack || value > band.to - slack,
  }
  const [next, turn] = see(before, sight, t, delays, fresh)
  let after = next
  if (turn === 'raise') {
    const side = value < band.from ? 'below' : 'above'
    const facts = { run: run.run.id, quantity, value, from: band.from, to: band.to, side } as const
    const subject = `${run.run.id}:${quantity}`
    after = { ...next, finding: raise(draft, scene, { kind: 'outside-recipe-band', subject, since: next.since ?? t, facts }) }
  }
  if (turn === 'clear' && next.finding) {
    clear(draft, scene, next.finding, next.backSince ?? t)
    after = untouched(next.key)
  }
  return after === before ? run : { ...run, conditions: run.conditions.with(at, after) }
}

export function stepDrying(draft: Draft, scene: Scene, station: StationState, before: RunState, series: number, t: EpochMs): RunState {
  const state = station.series[series] as SeriesState
  const rules = scene.rules.series[series]
  if (!rules) return before
  const view = before.run.progress as DryingView
  const good = state.quality !== 'bad'
  const fresh = state.arrivedAt - t <= rules.backlogMs

  if (series === scene.rules.leadingHumidity) {
    if (!good) return before
    const run = judgeBand(draft, scene, before, 1, 'humidity', state.value, t, fresh)
    return { ...run, run: { ...run.run, progress: { ...view, humidity: state.value } } }
  }

  const recipe = before.recipe as DryingRecipe
  const { fromC, toC } = recipe.temperature
  const point = { t, v: state.value, good }
  const step = before.last ? bandStep(before.last, point, fromC, toC, rules.silenceMs) : { seenMs: 0, inBandMs: 0 }
  const run = good ? judgeBand(draft, scene, before, 0, 'temperature', state.value, t, fresh) : before
  const outside = good && (state.value < fromC || state.value > toC)
  const progress: DryingView = {
    ...view,
    temperatureC: good ? state.value : view.temperatureC,
    seenMs: view.seenMs + step.seenMs,
    inBandMs: view.inBandMs + step.inBandMs,
    outSince: outside ? (view.outSince ?? t) : good ? null : view.outSince,
  }
  return { ...run, last: { ...point, target: 0 }, run: { ...run.run, progress } }
}
