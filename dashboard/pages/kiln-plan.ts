/** What the kiln yard shows of a station: its burnout, its recipe, its probes, what is to be done by hand. */
import type { BurnoutRecipe, BurnoutView, Foundry, HandStep, Run, Station } from '../../shared/contract/index.ts'
import { recipeOf } from '../../shared/words/index.ts'
import type { View } from '../feed/apply.ts'

export interface KilnNow {
  run: (Run & { progress: BurnoutView }) | null
  recipe: BurnoutRecipe | null
  /** Load probes that could be appointed in the place of one that cannot be seen. */
  spares: string[]
}

export function kilnNow(view: View, station: Station): KilnNow {
  const runs = view.stations.get(station.id)?.runs ?? []
  const run = runs.find((r): r is Run & { progress: BurnoutView } => r.progress.kind === 'burnout' && !r.closed) ?? null
  const recipe = run ? recipeOf(run, view.foundry.recipes) : undefined
  const governing = run?.progress.governing ?? []
  return {
    run,
    recipe: recipe?.kind === 'burnout' ? recipe : null,
    spares: view.foundry.instruments
      .filter((i) => i.station === station.id && i.place === 'kiln-load' && !governing.includes(i.id))
      .map((i) => i.id),
  }
}

export interface NextHand {
  hand: HandStep
  isDue: boolean
}

/** The step that is due, or else the next one that will be. */
export function nextHand(recipe: BurnoutRecipe, view: BurnoutView): NextHand | null {
  const open = (recipe.hands ?? []).filter((h) => !view.hands.some((s) => s.id === h.id && s.done !== null))
  const due = open.find((h) => view.hands.some((s) => s.id === h.id && s.dueAt !== null))
  // Who pours says so at the pull-to-pour clock; before it is due there is nothing to press.
  const next = due ?? open.find((h) => h.what !== 'pour')
  return next ? { hand: next, isDue: due !== undefined } : null
}

/** Each burnout recipe once, in its newest revision, by name. */
export function burnoutRecipes({ recipes }: Foundry): BurnoutRecipe[] {
  const all = recipes.filter((r): r is BurnoutRecipe => r.kind === 'burnout').sort((a, b) => a.revision - b.revision)
  return [...new Map(all.map((r) => [r.id, r])).values()].sort((a, b) => a.name.localeCompare(b.name))
}

const dayMs = 86_400_000

/** `HH:MM` typed in the site's zone, on the local day of this instant. */
function onDayOf(typed: string, day: number, offsetMs: number): number | null {
  const match = /^(\d{1,2}):(\d{2})$/.exec(typed.trim())
  if (!match) return null
  const [hours, minutes] = [Number(match[1]), Number(match[2])]
  if (hours > 23 || minutes > 59) return null
  const midnight = Math.floor((day + offsetMs) / dayMs) * dayMs - offsetMs
  return midnight + (hours * 60 + minutes) * 60_000
}

/** The next one that comes. */
export function bookedAt(typed: string, now: number, offsetMs: number): number | null {
  const at = onDayOf(typed, now, offsetMs)
  return at === null || at >= now ? at : at + dayMs
}

/** The one nearest to an instant that it puts right. */
export function timeAround(typed: string, around: number, offsetMs: number): number | null {
  const at = onDayOf(typed, around, offsetMs)
  return at === null ? null : at - Math.round((at - around) / dayMs) * dayMs
}
