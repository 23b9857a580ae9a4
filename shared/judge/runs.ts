/** Runs of a station: started, stepped by each value that concerns them, marked by people, closed; never reopened. */
import type { CoatingView, EntryOf, Recipe, Run, RunDeclaration, RunStep } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import { burnoutSaid } from './burnout/find.ts'
import { beginBurnout, concerns, learntFrom, markBurnout, stepBurnout, waitBurnout } from './burnout/index.ts'
import { caughtUp } from './burnout/join.ts'
import { beginCoating, markCoat, potsOf, pressedCoat, pressMs, stepCoating, undoCoat } from './coating.ts'
import type { Moment } from './condition.ts'
import { clear, type Draft, type Scene, touch } from './draft.ts'
import { beginDrying, stepDrying, waitDrying } from './drying.ts'
import type { RunState, StationState } from './state.ts'

function begin(run: Omit<Run, 'progress'>, recipe: Recipe): RunState | null {
  if (recipe.kind === 'wax') return beginCoating(run, recipe)
  if (recipe.kind === 'drying') return beginDrying(run, recipe)
  return beginBurnout(run, recipe)
}

export function startRun(
  draft: Draft,
  scene: Scene,
  station: StationState,
  entry: { run: string; by: string; at: EpochMs; declaration: RunDeclaration },
  recipe: Recipe,
): StationState {
  const { declaration } = entry
  const run: Omit<Run, 'progress'> = {
    id: entry.run,
    kind: declaration.kind,
    station: declaration.station,
    recipe: recipe.id,
    revision: recipe.revision,
    startedAt: declaration.startedAt ?? entry.at,
    startedBy: entry.by,
    declared: declaration.endedAt !== undefined,
  }
  if (declaration.piece !== undefined) run.piece = declaration.piece
  if (declaration.surface !== undefined) run.surface = declaration.surface
  if (declaration.pots !== undefined) run.pots = declaration.pots
  const state = begin(run, recipe)
  if (state === null) return station
  touch(draft, scene.rules.station.id)
  if (recipe.kind !== 'burnout') return { ...station, runs: [...station.runs, state] }
  const said = burnoutSaid(draft, scene, station, { from: run.startedAt, to: null, by: entry.by })
  return { ...said, runs: [...station.runs, caughtUp(draft, scene, station, state)] }
}

/** Steps every run that this series concerns. */
export function stepRuns(
  draft: Draft,
  scene: Scene,
  station: StationState,
  series: number,
  moment: Moment,
): StationState {
  return eachRun(station, (run) =>
    moment.t < run.run.startedAt ? run : stepRun(draft, scene, station, run, series, moment),
  )
}

function stepRun(
  draft: Draft,
  scene: Scene,
  station: StationState,
  run: RunState,
  series: number,
  moment: Moment,
): RunState {
  const { leading, leadingHumidity } = scene.rules
  switch (run.recipe.kind) {
    case 'wax':
      return series === leading ? stepCoating(draft, scene, station, run) : run
    case 'drying':
      return series === leading || series === leadingHumidity
        ? stepDrying(draft, scene, station, run, series, moment)
        : run
    case 'burnout':
      return concerns(scene, run, series) ? stepBurnout(draft, scene, station, run, series, moment) : run
  }
}

/** Another pot that a coating takes from was read: what is open may have changed. */
export function stepCoatings(draft: Draft, scene: Scene, station: StationState, pot: string): StationState {
  return eachRun(station, (run) =>
    run.recipe.kind === 'wax' && potsOf(run.run).includes(pot) ? stepCoating(draft, scene, station, run) : run,
  )
}

/** A button at the bench was closed: the oldest open coating of its station that still waits for a coat gets it. */
export function pressRun(draft: Draft, scene: Scene, station: StationState, by: string): StationState {
  const run = station.runs.find((r) => r.recipe.kind === 'wax' && pressedCoat(r) !== null)
  const coat = run && pressedCoat(run)
  if (!run || coat === null || coat === undefined) return station
  const last = (run.run.progress as CoatingView).done.at(-1)
  if (last && scene.at - last.at < pressMs) return station
  touch(draft, scene.rules.station.id)
  return change(station, run.run.id, (one) => markCoat(draft, scene, station, one, { coat }, by))
}

/** Time passed: what can no longer be seen has no temperature and no open window. */
export function waitRuns(draft: Draft, scene: Scene, station: StationState): StationState {
  return eachRun(station, (run) => {
    switch (run.recipe.kind) {
      case 'wax':
        return stepCoating(draft, scene, station, run)
      case 'drying':
        return waitDrying(draft, scene, station, run)
      case 'burnout':
        return waitBurnout(draft, scene, station, run)
    }
  })
}

function eachRun(station: StationState, by: (run: RunState) => RunState): StationState {
  let runs = station.runs
  station.runs.forEach((run, i) => {
    const next = by(run)
    if (next !== run) runs = runs.with(i, next)
  })
  return runs === station.runs ? station : { ...station, runs }
}

function change(station: StationState, id: string, by: (run: RunState) => RunState): StationState {
  const at = station.runs.findIndex((r) => r.run.id === id)
  const run = station.runs[at]
  return run ? { ...station, runs: station.runs.with(at, by(run)) } : station
}

export function markRun(
  draft: Draft,
  scene: Scene,
  station: StationState,
  id: string,
  step: RunStep,
  by: string,
): StationState {
  touch(draft, scene.rules.station.id)
  return change(station, id, (run) => {
    if (run.recipe.kind === 'burnout') return markBurnout(scene, station, run, step, by)
    return run.recipe.kind === 'wax' && step.step === 'coat' && step.coat !== undefined
      ? markCoat(draft, scene, station, run, { coat: step.coat, pot: step.pot }, by)
      : run
  })
}

export function undoRun(draft: Draft, scene: Scene, station: StationState, id: string): StationState {
  touch(draft, scene.rules.station.id)
  return change(station, id, (run) => (run.recipe.kind === 'wax' ? undoCoat(scene, station, run) : run))
}

/** Ends what the run had announced, and takes it from the open ones: its record is folded from the journal when somebody asks. */
export function closeRun(
  draft: Draft,
  scene: Scene,
  station: StationState,
  entry: EntryOf<'act'> & { run: string },
): StationState {
  const run = station.runs.find((r) => r.run.id === entry.run)
  if (!run) return station
  touch(draft, scene.rules.station.id)
  for (const condition of run.conditions) if (condition.finding) clear(draft, scene, condition.finding, scene.at)
  const kiln = learntFrom(scene, station, run)
  return { ...station, kiln, runs: station.runs.filter((r) => r !== run) }
}
