/** Where an open run stands, in one sentence. */
import type { BurnoutView, CoatingView, DryingView, Recipe, Run } from '../contract/index.ts'
import { type EpochMs, minuteMs } from '../time.ts'
import {
  duration,
  limitTemperature,
  type Speech,
  temperature,
  temperatureDifference,
  temperatureSpan,
} from './speech.ts'

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

/** On whose word time is credited. Said always: what the air says is not what the load says, and the recipe decides whom to ask. */
function creditors(recipe: Recipe | undefined, speech: Speech): string {
  const governing = recipe?.kind === 'burnout' ? recipe.governing : []
  return governing.length === 0 ? 'its leading instrument' : governing.map((id) => speech.nameOf(id)).join(' and ')
}

function burnout(view: BurnoutView, recipe: Recipe | undefined, speech: Speech): string {
  if (view.temperatureC === null) return 'The kiln cannot be seen: nothing is credited.'
  const segments = recipe?.kind === 'burnout' ? recipe.segments : []
  const segment = segments[view.segment]
  if (segments.length > 0 && view.segment >= segments.length)
    return `The recipe is through, at ${temperature(view.temperatureC, speech)}.`
  if (segment?.kind === 'hold') {
    const at = view.targetC === null ? '' : ` at ${limitTemperature(view.targetC, speech)}`
    return `Holding${at}: ${duration(view.creditedMs)} of ${duration(segment.minutes * minuteMs)} credited by ${creditors(recipe, speech)}.`
  }
  if (segment?.kind === 'ramp') {
    const behind = view.deviationC === null ? 0 : view.deviationC
    const where =
      Math.abs(behind) <= segment.toleranceC
        ? 'on its line'
        : `${temperatureDifference(Math.abs(behind), speech)} ${behind < 0 ? 'behind' : 'ahead of'} its line`
    return `On the way to ${limitTemperature(segment.toC, speech)}, ${where}.`
  }
  return `Burning out, at ${temperature(view.temperatureC, speech)}.`
}

export function runSentence(run: Run, now: EpochMs, speech: Speech): string {
  const recipe = recipeOf(run, speech.recipes)
  switch (run.progress.kind) {
    case 'coating':
      return coating(run.progress, recipe, speech)
    case 'drying':
      return drying(run.progress, recipe, now, run)
    case 'burnout':
      return burnout(run.progress, recipe, speech)
  }
}
