/** A burnout: where on its recipe the kiln is, what of each hold is credited, what it lived through, and when it will be ready. */
import type { BurnoutRecipe, BurnoutView, Governs, Run, RunStep } from '../../contract/index.ts'
import { type EpochMs, minuteMs } from '../../time.ts'
import type { Moment } from '../condition.ts'
import { type Draft, type Scene, touch } from '../draft.ts'
import type { RunState, SeriesState, StationState } from '../state.ts'
import { airThere, handsAfter, hasLeft, leavesAt, readySince } from './asks.ts'
import { callsAfter, callsDueAt, endCalls } from './calls.ts'
import { broken, laidIn } from './lanes.ts'
import { lessonOf } from './lesson.ts'
import { withLesson } from './learn.ts'
import { lossesAfter } from './losses.ts'
import { isWatched, readyProbesOf } from './plan.ts'
import { outlook } from './ready.ts'
import type { BurnoutState } from './state.ts'
import { airOf, viewOf } from './view.ts'
import { beginWalk, walked } from './walk.ts'
import { newWatched, seenBy, type Watched } from './watch.ts'

/** A forecast is made anew so often; and held against what comes so often. */
const forecastEveryMs = 5 * minuteMs
const wagerEveryMs = 30 * minuteMs
const wagersMax = 160
const crossingsMax = 60

export function beginBurnout(run: Omit<Run, 'progress'>, recipe: BurnoutRecipe): RunState {
  const state: BurnoutState = {
    walk: beginWalk(recipe, run.startedAt),
    lanes: [],
    watched: [],
    crossings: [],
    losses: [],
    appointed: [],
    hands: (recipe.hands ?? []).map(({ id }) => ({ id, dueAt: null, done: null })),
    readySince: null,
    airThereAt: null,
    lineFrom: null,
    pulledAt: null,
    pouredAt: null,
    ready: { is: 'cannot-tell', why: recipe.ready ? 'too-little-seen' : 'no-criterion' },
    readyAt: null,
    creditFrom: null,
    wagers: [],
    isLearnt: false,
  }
  const progress: BurnoutView = {
    kind: 'burnout',
    temperatureC: null,
    segment: 0,
    segmentSince: run.startedAt,
    began: [run.startedAt],
    targetC: null,
    deviationC: null,
    creditedMs: 0,
    phase: 'unseen',
    governing: [],
    slowest: null,
    airCPerHour: null,
    holds: [],
    crossings: [],
    losses: [],
    hands: [...state.hands],
    appointed: [],
    leavesEarly: null,
    ready: state.ready,
    pulledAt: null,
    pouredAt: null,
  }
  return { run: { ...run, progress }, recipe, conditions: [], overlaps: [], outSince: [], burnout: state }
}

/** Whether this series says something of the burnout. */
export function concerns(scene: Scene, run: RunState, series: number): boolean {
  const rules = scene.rules.series[series]
  const id = rules ? scene.rules.instruments[rules.instrument]?.id : undefined
  const isAppointed = run.burnout?.appointed.some((a) => a.probe === id) ?? false
  return isWatched(scene.rules, run.recipe as BurnoutRecipe, series, isAppointed)
}

/** The slowest ready probe as one course: the coldest where it must be hot enough, else the hottest. */
function readyLoad(scene: Scene, run: RunState, state: BurnoutState): Watched | undefined {
  const recipe = run.recipe as BurnoutRecipe
  const all = readyProbesOf(scene.rules, recipe, state.appointed, scene.at).map((p) =>
    state.watched.find((w) => w.probe === p),
  )
  if (all.some((w) => w === undefined)) return undefined
  const known = all as Watched[]
  const newest = (w: Watched) => w.fives.at(-1) ?? w.minutes.at(-1) ?? 0
  const sign = recipe.ready?.atLeastC === undefined ? -1 : 1
  return known.sort((a, b) => sign * (newest(a) - newest(b)))[0]
}

/** Air, load or both, as the segment asks. */
function governedBy(scene: Scene, recipe: BurnoutRecipe): (segment: number) => Governs {
  const places = recipe.governing.map((id) => scene.rules.instruments.find((i) => i.id === id)?.place)
  const isAir = places.length === 0 || places.every((p) => p !== 'kiln-load')
  const isLoad = places.length > 0 && places.every((p) => p === 'kiln-load')
  const named: Governs = isLoad ? 'load' : isAir ? 'air' : 'all'
  return (segment) =>
    recipe.segments[segment]?.governs ?? (recipe.governing.length > 0 ? named : (recipe.governs ?? 'air'))
}

/** What the newest minute of the air, or the load, changes. */
function minuteAfter(
  scene: Scene,
  station: StationState,
  run: RunState,
  before: BurnoutState,
  t: EpochMs,
  isAir: boolean,
): BurnoutState {
  const recipe = run.recipe as BurnoutRecipe
  let state = before
  const air = airOf(scene, state)
  const { walk } = state
  if (air && isAir) {
    state = {
      ...state,
      losses: lossesAfter(
        state.losses,
        air,
        state.watched,
        recipe,
        walk.segment,
        walk.since,
        hasLeft(state, recipe, t),
      ),
      airThereAt: airThere(state, recipe, air),
    }
  }
  const probes = readyProbesOf(scene.rules, recipe, state.appointed, t)
  state = { ...state, readySince: recipe.ready ? readySince(state, recipe, probes) : null }
  if (state.readyAt !== null && t - state.readyAt < forecastEveryMs && state.readySince === null) return state
  const load = readyLoad(scene, run, state)
  const said = outlook(state, recipe, station.kiln, { air, load, governedBy: governedBy(scene, recipe), now: t })
  const lastWager = state.wagers.at(-1)?.[0] ?? -Infinity
  const isWager = said.ready.is === 'expected' && t - lastWager >= wagerEveryMs && state.readySince === null
  return {
    ...state,
    ready: said.ready,
    readyAt: t,
    creditFrom: said.creditFrom,
    wagers:
      isWager && said.ready.is === 'expected'
        ? [...state.wagers, [t, said.ready.at] as const].slice(-wagersMax)
        : state.wagers,
  }
}

function stepState(
  draft: Draft,
  scene: Scene,
  station: StationState,
  run: RunState,
  series: number,
  t: EpochMs,
): BurnoutState {
  const recipe = run.recipe as BurnoutRecipe
  const before = run.burnout as BurnoutState
  const rules = scene.rules.series[series]
  const one = station.series[series] as SeriesState
  const probe = rules ? (scene.rules.instruments[rules.instrument]?.id ?? '') : ''
  const sample = { t, v: one.value, good: one.quality !== 'bad' }
  const lanes = laidIn(before.lanes, probe, rules?.silenceMs ?? 0, sample)
  const ground = { rules: scene.rules, recipe, appointed: before.appointed }
  const [walk, kept] = walked(before.walk, ground, lanes)
  let state: BurnoutState = { ...before, walk, lanes: kept }
  if (walk.segment !== before.walk.segment) {
    touch(draft, scene.rules.station.id)
    state = { ...state, airThereAt: null, lineFrom: leavesAt(before, recipe) }
  }
  if (!sample.good) return state
  const at = state.watched.findIndex((w) => w.probe === probe)
  const old = state.watched[at] ?? newWatched(probe)
  const [watched, left] = seenBy(old, recipe, sample)
  state = {
    ...state,
    watched: at < 0 ? [...state.watched, watched] : state.watched.with(at, watched),
    crossings: left.length > 0 ? [...state.crossings, ...left].slice(-crossingsMax) : state.crossings,
  }
  return watched.minutes === old.minutes
    ? state
    : minuteAfter(scene, station, run, state, t, airOf(scene, state)?.probe === probe)
}

/** The view of it, and whom to call. */
function shown(
  draft: Draft,
  scene: Scene,
  station: StationState,
  run: RunState,
  state: BurnoutState,
  moment: Moment,
): RunState {
  const recipe = run.recipe as BurnoutRecipe
  const first = viewOf(scene, station, run, state)
  const handed = handsAfter(state, recipe, first.temperatureC, moment.t)
  const next = handed === state.hands ? state : { ...state, hands: handed }
  const view = handed === state.hands ? first : { ...first, hands: [...handed] }
  const isThrough = next.walk.segment >= recipe.segments.length
  const conditions = callsAfter(draft, scene, run, next, view, moment)
  const quiet = isThrough ? endedOffRecipe(draft, scene, conditions, moment.t) : conditions
  if (view.phase !== (run.run.progress as BurnoutView).phase || handed !== state.hands)
    touch(draft, scene.rules.station.id)
  return { ...run, conditions: quiet, burnout: next, run: { ...run.run, progress: view } }
}

/** At the end of the recipe nothing is asked of the kiln any more, so nothing can be off. */
function endedOffRecipe(
  draft: Draft,
  scene: Scene,
  conditions: RunState['conditions'],
  t: EpochMs,
): RunState['conditions'] {
  const at = conditions.findIndex((c) => c.key === 'off-recipe' && (c.finding !== null || c.since !== null))
  const one = conditions[at]
  return one ? conditions.with(at, endCalls(draft, scene, [one], t)[0] ?? one) : conditions
}

export function stepBurnout(
  draft: Draft,
  scene: Scene,
  station: StationState,
  run: RunState,
  series: number,
  moment: Moment,
): RunState {
  const state = stepState(draft, scene, station, run, series, moment.t)
  return shown(draft, scene, station, run, state, moment)
}

/** When time alone would next call somebody. */
export function burnoutDueAt(run: RunState): EpochMs {
  return callsDueAt(run.conditions)
}

/** Time passed: a kiln that is no longer seen has no temperature, and its hold no credit. */
export function waitBurnout(draft: Draft, scene: Scene, station: StationState, run: RunState): RunState {
  const before = run.run.progress as BurnoutView
  const state = run.burnout as BurnoutState
  const view = viewOf(scene, station, run, state)
  const isSame = view.temperatureC === before.temperatureC && view.stands?.refused === before.stands?.refused
  if (isSame && burnoutDueAt(run) > scene.at) return run
  if (view.temperatureC !== before.temperatureC) touch(draft, scene.rules.station.id)
  return shown(draft, scene, station, run, state, { t: scene.at, fresh: true, broken: false })
}

/** A person did something: a step for people, another probe, the load taken out, the metal poured. */
export function markBurnout(scene: Scene, station: StationState, run: RunState, step: RunStep, by: string): RunState {
  const { at } = scene
  const before = run.burnout as BurnoutState
  let state = before
  if (step.step === 'hand')
    state = { ...state, hands: state.hands.map((h) => (h.id === step.hand ? { ...h, done: { at, by } } : h)) }
  if (step.step === 'pull') state = { ...state, pulledAt: at, pouredAt: null }
  if (step.step === 'pour' && state.pulledAt !== null) state = { ...state, pouredAt: at }
  if (step.step === 'appoint' && step.probe !== undefined && step.instead !== undefined) {
    state = { ...state, appointed: [...state.appointed, { instead: step.instead, probe: step.probe, at, by }] }
  }
  if (state === before) return run
  return { ...run, burnout: state, run: { ...run.run, progress: viewOf(scene, station, run, state) } }
}

/** After a step of our clock every line breaks; and nothing was walked later than now, or all would be late until it is reached again. */
export function breakBurnout(run: RunState, now: EpochMs): RunState {
  if (!run.burnout) return run
  const { walk, watched, lanes, readySince: ready, airThereAt, readyAt, lineFrom } = run.burnout
  const back = (t: EpochMs | null) => (t === null ? null : Math.min(t, now))
  const burnout: BurnoutState = {
    ...run.burnout,
    walk: { ...walk, upTo: Math.min(walk.upTo, now), since: Math.min(walk.since, now) },
    lanes: broken(lanes),
    watched: watched.map((w) => ({ ...newWatched(w.probe), inside: w.inside })),
    readySince: back(ready),
    airThereAt: back(airThereAt),
    readyAt: back(readyAt),
    lineFrom: back(lineFrom),
  }
  return { ...run, burnout }
}

/** What the kiln has learnt from a burnout that is ready, or over. */
export function learntFrom(scene: Scene, station: StationState, run: RunState): StationState['kiln'] {
  const state = run.burnout
  if (!state || state.isLearnt || run.recipe.kind !== 'burnout') return station.kiln
  const air = airOf(scene, state)
  const load = readyLoad(scene, run, state)
  const lesson = air && load ? lessonOf(state, run.recipe, station.kiln, air, load, state.wagers) : null
  return lesson ? withLesson(station.kiln, lesson) : station.kiln
}
