/** What the bench display has to know: its run, its recipe, its pots; and what of all that is worth a cue. Pure. */
import type { Run, Station, WaxRecipe } from '../../shared/contract/index.ts'
import { type BenchWord, recipeOf } from '../../shared/words/index.ts'
import type { View } from '../feed/apply.ts'

export interface BenchNow {
  run: Run | undefined
  recipe: WaxRecipe | undefined
  pots: { id: string; name: string; view: NonNullable<ReturnType<View['stations']['get']>>['pot'] & object }[]
}

/** The coating of this station, or one that takes from it; its recipe, else the one whose windows the pot is read by. */
export function benchNow(view: View, station: Station): BenchNow {
  const coatings = [...view.stations.values()].flatMap((s) => s.runs.filter((r) => r.kind === 'coating' && !r.closed))
  const run = coatings.find((r) => r.station === station.id) ?? coatings.find((r) => r.pots?.includes(station.id))
  const ids = run ? [...new Set([run.station, ...(run.pots ?? [])])] : [station.id]
  const pots = ids.flatMap((id) => {
    const pot = view.stations.get(id)?.pot
    return pot ? [{ id, name: view.foundry.stations.find((s) => s.id === id)?.name ?? id, view: pot }] : []
  })
  const own = pots[0]?.view.recipe
  const found = run
    ? recipeOf(run, view.foundry.recipes)
    : own && recipeOf({ recipe: own.id, revision: own.revision }, view.foundry.recipes)
  return { run, recipe: found?.kind === 'wax' ? found : undefined, pots }
}

/** Keys by which a coat is marked wherever the eyes are: what a foot switch sends, and the two largest keys. */
export const markKeys: ReadonlySet<string> = new Set([' ', 'Enter'])

/** A press within this of the last one is the same press, ms. */
export const samePressMs = 3_000

/** What changed from one sentence to the next that ears should hear of. */
export function isCue(
  before: BenchWord | null,
  now: BenchWord,
  wasOpen: string | null,
  isOpen: string | null,
): boolean {
  if (before === null) return false
  if (now.tone === 'wrong' && before.tone !== 'wrong') return true
  if (now.tone === 'now' && before.tone !== 'now') return true
  return isOpen !== wasOpen
}
