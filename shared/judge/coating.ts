/** A coating: which coat may go on now and from which pot, which is next and when, and at what temperature each went on. */
import type { CoatDone, CoatingView, Coat, Run, WaxRecipe } from '../contract/index.ts'
import { minuteMs } from '../time.ts'
import { type Draft, note, type Scene, touch } from './draft.ts'
import { seenValue } from './sight.ts'
import type { RunState, StationState } from './state.ts'

/** The coats this pattern gets: a smooth mould is spared those that only texture asks for. */
function coatsOf(recipe: WaxRecipe, surface: Run['surface']): readonly Coat[] {
  return surface === 'smooth' ? recipe.coats.filter((coat) => !coat.texturedOnly) : recipe.coats
}

/** The pots its coats may come from, its own first. */
export function potsOf(run: Pick<Run, 'station' | 'pots'>): readonly string[] {
  return [run.station, ...(run.pots ?? []).filter((pot) => pot !== run.station)]
}

export function beginCoating(run: Omit<Run, 'progress'>, recipe: WaxRecipe): RunState {
  const coats = coatsOf(recipe, run.surface)
  const progress: CoatingView = {
    kind: 'coating',
    temperatureC: null,
    done: [],
    asked: coats.map((c) => c.id),
    open: null,
    openIn: null,
    next: coats[0]?.id ?? null,
  }
  return { run: { ...run, progress }, recipe, conditions: [], overlaps: [], outSince: [] }
}

/** The wax of a pot as it is now; null where nobody can see it. */
function waxOf(scene: Scene, station: StationState, pot: string): number | null {
  if (pot === scene.rules.station.id) return seenValue(scene, station, scene.rules.leading)
  const at = scene.house.rules.stationOf.get(pot) ?? -1
  const [rules, other] = [scene.house.rules.stations[at], scene.house.stations[at]]
  return rules && other ? seenValue({ ...scene, rules }, other, rules.leading) : null
}

/** The mould's own temperature, where an instrument of this station knows it. */
function mouldOf(scene: Scene, station: StationState): number | null {
  const index = scene.rules.pot?.mould ?? -1
  return index < 0 ? null : seenValue(scene, station, index)
}

const isIn = (coat: Coat, waxC: number | null) => waxC !== null && coat.window.fromC <= waxC && waxC <= coat.window.toC

/** When the next coat may go on by the wait after the one before. */
function waitOf(coat: Coat | undefined, last: CoatDone | undefined): CoatingView['wait'] {
  if (!coat?.wait || !last) return undefined
  const { earliestMinutes, latestMinutes } = coat.wait
  return {
    earliestAt: earliestMinutes === undefined ? null : last.at + earliestMinutes * minuteMs,
    latestAt: latestMinutes === undefined ? null : last.at + latestMinutes * minuteMs,
  }
}

function viewOf(scene: Scene, station: StationState, state: RunState, done: readonly CoatDone[]): CoatingView {
  const coats = coatsOf(state.recipe as WaxRecipe, state.run.surface).filter((c) => !done.some((d) => d.coat === c.id))
  const pots = potsOf(state.run).map((pot) => ({ pot, waxC: waxOf(scene, station, pot) }))
  let [open, openIn]: [string | null, string | null] = [null, null]
  // Of several open ones the first in order; of several pots the run's own.
  for (const coat of coats) {
    const pot = pots.find(({ waxC }) => isIn(coat, waxC))
    if (!pot) continue
    open = coat.id
    openIn = pot.pot
    break
  }
  const wait = waitOf(coats[0], done.at(-1))
  return {
    kind: 'coating',
    temperatureC: pots[0]?.waxC ?? null,
    done: [...done],
    asked: coatsOf(state.recipe as WaxRecipe, state.run.surface).map((c) => c.id),
    open,
    openIn,
    next: coats[0]?.id ?? null,
    ...(wait && { wait }),
  }
}

export function stepCoating(draft: Draft, scene: Scene, station: StationState, state: RunState): RunState {
  const view = state.run.progress as CoatingView
  const next = viewOf(scene, station, state, view.done)
  if (next.open === view.open && next.openIn === view.openIn && next.temperatureC === view.temperatureC) return state
  if (next.open !== view.open || next.openIn !== view.openIn) touch(draft, scene.rules.station.id)
  return { ...state, run: { ...state.run, progress: next } }
}

function waitKeptOf(coat: Coat, minutes: number | null): CoatDone['waitKept'] {
  if (minutes === null || !coat.wait) return null
  const { earliestMinutes = 0, latestMinutes = Infinity } = coat.wait
  if (minutes < earliestMinutes) return 'too-soon'
  return minutes > latestMinutes ? 'too-late' : 'kept'
}

/** What is told at once of a coat that went on otherwise than asked. */
function tellCoat(draft: Draft, scene: Scene, state: RunState, coat: Coat, done: CoatDone): void {
  const run = state.run.id
  const subject = `${run}:${coat.id}`
  const { temperatureC, inWindow, waitMinutes, waitKept, at } = done
  if (inWindow === false && temperatureC !== null)
    note(draft, scene, {
      kind: 'coat-outside-window',
      subject,
      since: at,
      facts: { run, coat: coat.id, valueC: temperatureC, ...coat.window },
    })
  if (waitMinutes !== null && (waitKept === 'too-soon' || waitKept === 'too-late'))
    note(draft, scene, {
      kind: 'coat-off-wait',
      subject,
      since: at,
      facts: {
        run,
        coat: coat.id,
        waitedMinutes: waitMinutes,
        side: waitKept,
        earliestMinutes: coat.wait?.earliestMinutes ?? null,
        latestMinutes: coat.wait?.latestMinutes ?? null,
      },
    })
}

/** A coat went on: what is true at this moment is stamped, and one that is otherwise than asked is told at once. Marking it twice changes nothing. */
export function markCoat(
  draft: Draft,
  scene: Scene,
  station: StationState,
  state: RunState,
  what: { coat: string; pot?: string | undefined },
  by: string,
): RunState {
  const recipe = state.recipe as WaxRecipe
  const view = state.run.progress as CoatingView
  const coat = recipe.coats.find((c) => c.id === what.coat)
  if (!coat || view.done.some((d) => d.coat === coat.id)) return state
  const pots = potsOf(state.run)
  const pot = what.pot ?? pots.find((one) => isIn(coat, waxOf(scene, station, one))) ?? state.run.station
  const temperatureC = waxOf(scene, station, pot)
  const last = view.done.at(-1)
  const waitMinutes = last ? (scene.at - last.at) / minuteMs : null
  const done: CoatDone = {
    coat: coat.id,
    at: scene.at,
    pot,
    temperatureC,
    inWindow: temperatureC === null ? null : isIn(coat, temperatureC),
    mouldC: mouldOf(scene, station),
    waitMinutes,
    waitKept: waitKeptOf(coat, waitMinutes),
    by,
  }
  tellCoat(draft, scene, state, coat, done)
  return { ...state, run: { ...state.run, progress: viewOf(scene, station, state, [...view.done, done]) } }
}

/** Takes the last coat back. */
export function undoCoat(scene: Scene, station: StationState, state: RunState): RunState {
  const { done } = state.run.progress as CoatingView
  return { ...state, run: { ...state.run, progress: viewOf(scene, station, state, done.slice(0, -1)) } }
}

/** The coat that a press at the bench means: the one that is open, else the next. */
export function pressedCoat(state: RunState): string | null {
  const { open, next } = state.run.progress as CoatingView
  return open ?? next
}

/** Closings of a button this near together are one press. */
export const pressMs = 10_000
