/** Where an open run stands, in one sentence. */
import type { CoatingView, DryingView, Recipe, Run } from '../contract/index.ts'
import { type EpochMs, minuteMs } from '../time.ts'
import { hillSays } from './burnout.ts'
import { duration, limitTemperature, type Speech, temperatureDifference, temperatureSpan } from './speech.ts'

export function recipeOf(
  run: Pick<Run, 'recipe' | 'revision'>,
  recipes: readonly Recipe[] | undefined,
): Recipe | undefined {
  return recipes?.find((r) => r.id === run.recipe && r.revision === run.revision)
}

function coating(view: CoatingView, recipe: Recipe | undefined, speech: Speech): string {
  const coatName = (id: string) =>
    (recipe?.kind === 'wax' ? recipe.coats.find((coat) => coat.id === id)?.name : undefined) ?? speech.nameOf(id)
  if (view.temperatureC === null) return 'The wax cannot be seen: no window can be called open.'
  if (view.next === null) return 'Every coat is on. Close the run when the pattern is done.'
  if (view.open !== null && view.open === view.next) return `${coatName(view.open)} may go on now.`
  const coat = recipe?.kind === 'wax' ? recipe.coats.find((c) => c.id === view.next) : undefined
  if (!coat) return `${coatName(view.next)} is next; its window is not open.`
  const { fromC, toC } = coat.window
  if (view.temperatureC > toC)
    return `${coat.name} opens ${temperatureDifference(view.temperatureC - toC, speech)} further down, at ${limitTemperature(toC, speech)}.`
  if (view.temperatureC < fromC)
    return `Too cool for ${coat.name.toLowerCase()}: it needs ${temperatureSpan(fromC, toC, speech)}. Warm the wax.`
  return `${coat.name} may go on now.`
}

function drying(view: DryingView, recipe: Recipe | undefined, now: EpochMs, run: Run): string {
  const been = duration(now - run.startedAt)
  if (view.outSince !== null) return `Drying for ${been}; out of its band for ${duration(now - view.outSince)}.`
  const leastMs = recipe?.kind === 'drying' && recipe.hoursMin !== undefined ? recipe.hoursMin * 60 * minuteMs : 0
  const whole = leastMs > now - run.startedAt ? ` of at least ${duration(leastMs)}` : ''
  const inBand =
    view.seenMs > 0 ? `; in band ${Math.floor((100 * view.inBandMs) / view.seenMs)} % of the time seen` : ''
  return `Drying for ${been}${whole}${inBand}.`
}

export function runSentence(run: Run, now: EpochMs, speech: Speech): string {
  const recipe = recipeOf(run, speech.recipes)
  switch (run.progress.kind) {
    case 'coating':
      return coating(run.progress, recipe, speech)
    case 'drying':
      return drying(run.progress, recipe, now, run)
    case 'burnout':
      return hillSays(run.progress, recipe?.kind === 'burnout' ? recipe : undefined, speech)
  }
}
