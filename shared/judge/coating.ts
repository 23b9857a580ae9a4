/** A coating: which coat may go on now, which is next, and at what temperature each went on. */
import type { CoatingView, Run, WaxRecipe } from '../contract/index.ts'
import { type Draft, note, type Scene, touch } from './draft.ts'
import { seenValue } from './sight.ts'
import type { RunState, StationState } from './state.ts'

export function beginCoating(run: Omit<Run, 'progress'>, recipe: WaxRecipe): RunState {
  const progress: CoatingView = {
    kind: 'coating',
    temperatureC: null,
    done: [],
    asked: recipe.coats.map((c) => c.id),
    open: null,
    openIn: null,
    next: recipe.coats[0]?.id ?? null,
    dips: [],
  }
  return { run: { ...run, progress }, recipe, conditions: [], overlaps: [], outSince: [], startedFromC: null }
}

/** The undone coat whose window holds the wax; of several the first in order. */
function openCoat(recipe: WaxRecipe, done: CoatingView['done'], temperatureC: number | null): string | null {
  if (temperatureC === null) return null
  const coat = recipe.coats.find(
    (c) => c.window.fromC <= temperatureC && temperatureC <= c.window.toC && !done.some((d) => d.coat === c.id),
  )
  return coat?.id ?? null
}

function nextCoat(recipe: WaxRecipe, done: CoatingView['done']): string | null {
  return recipe.coats.find((c) => !done.some((d) => d.coat === c.id))?.id ?? null
}

function withDone(
  state: RunState,
  recipe: WaxRecipe,
  done: CoatingView['done'],
  temperatureC: number | null,
): RunState {
  const progress: CoatingView = {
    kind: 'coating',
    temperatureC,
    done,
    asked: recipe.coats.map((c) => c.id),
    open: openCoat(recipe, done, temperatureC),
    openIn: openCoat(recipe, done, temperatureC) === null ? null : state.run.station,
    dips: [],
    next: nextCoat(recipe, done),
  }
  return { ...state, run: { ...state.run, progress } }
}

export function stepCoating(draft: Draft, scene: Scene, station: StationState, state: RunState): RunState {
  const view = state.run.progress as CoatingView
  const temperatureC = seenValue(scene, station, scene.rules.leading)
  if (temperatureC === view.temperatureC) return state
  const next = withDone(state, state.recipe as WaxRecipe, view.done, temperatureC)
  if ((next.run.progress as CoatingView).open !== view.open) touch(draft, scene.rules.station.id)
  return next
}

/** A coat went on: its temperature is stamped, and one outside its window is told at once. Marking it twice changes nothing. */
export function markCoat(
  draft: Draft,
  scene: Scene,
  station: StationState,
  state: RunState,
  id: string,
  by: string,
): RunState {
  const recipe = state.recipe as WaxRecipe
  const view = state.run.progress as CoatingView
  const coat = recipe.coats.find((c) => c.id === id)
  if (!coat || view.done.some((d) => d.coat === id)) return state
  const temperatureC = seenValue(scene, station, scene.rules.leading)
  const { fromC, toC } = coat.window
  const inWindow = temperatureC === null ? null : fromC <= temperatureC && temperatureC <= toC
  if (inWindow === false && temperatureC !== null)
    note(draft, scene, {
      kind: 'coat-outside-window',
      subject: `${state.run.id}:${id}`,
      since: scene.at,
      facts: { run: state.run.id, coat: id, valueC: temperatureC, fromC, toC },
    })
  return withDone(
    state,
    recipe,
    [
      ...view.done,
      {
        coat: id,
        at: scene.at,
        pot: state.run.station,
        temperatureC,
        inWindow,
        mouldC: null,
        waitMinutes: null,
        waitKept: null,
        by,
      },
    ],
    temperatureC,
  )
}

/** Takes the last coat back. */
export function undoCoat(scene: Scene, station: StationState, state: RunState): RunState {
  const view = state.run.progress as CoatingView
  return withDone(
    state,
    state.recipe as WaxRecipe,
    view.done.slice(0, -1),
    seenValue(scene, station, scene.rules.leading),
  )
}
