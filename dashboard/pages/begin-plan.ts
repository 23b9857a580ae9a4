/** The first minutes as a way of five stages, told by the address, and the documents that are written on it. Pure. */
import type { Foundry, Recipe, Station, StandingLimit } from '../../shared/contract/index.ts'
import { temperatureTyped } from '../../shared/words/index.ts'
import { freeId } from './ids.ts'

export const stages = ['reading', 'limits', 'recipe', 'watched'] as const
export type Stage = (typeof stages)[number]

export interface Way {
  stage: Stage
  instrument: string | null
}

/** Where a visitor is: a page that is loaded again stays where it was. */
export function wayOf(search: string): Way {
  const asked = new URLSearchParams(search)
  const instrument = asked.get('instrument')
  const stage = stages.find((one) => one === asked.get('at'))
  return instrument === null ? { stage: 'reading', instrument } : { stage: stage ?? 'limits', instrument }
}

export function wayTo(instrument: string, stage: Stage): string {
  return `?instrument=${encodeURIComponent(instrument)}&at=${stage}`
}

/** What was typed, or the sentence why it cannot be taken. */
export type Written<T> = { is: T; no: null } | { is: null; no: string }
const no = (sentence: string): { is: null; no: string } => ({ is: null, no: sentence })
const nothing = { is: null, no: null }

type Unit = 'C' | 'F'

/** Null where nothing was typed. */
function celsius(text: string, unit: Unit): Written<number | null> {
  if (text.trim() === '') return nothing
  const typed = temperatureTyped(text, unit)
  return typed.celsius === null ? no(typed.says) : { is: typed.celsius, no: null }
}

function number(text: string, name: string): Written<number | null> {
  if (text.trim() === '') return nothing
  const value = Number(text.trim().replace(',', '.'))
  return Number.isFinite(value) ? { is: value, no: null } : no(`“${text.trim()}” is no number for ${name}.`)
}

export interface LimitsTyped {
  ceiling: string
  from: string
  to: string
  humidityFrom: string
  humidityTo: string
}

export function limitsWritten(typed: LimitsTyped, unit: Unit): Written<StandingLimit[]> {
  const ceiling = celsius(typed.ceiling, unit)
  const [from, to] = [celsius(typed.from, unit), celsius(typed.to, unit)]
  const [dry, damp] = [number(typed.humidityFrom, 'the humidity'), number(typed.humidityTo, 'the humidity')]
  const wrong = [ceiling, from, to, dry, damp].find((one) => one.no !== null)
  if (wrong?.no) return no(wrong.no)
  const limits: StandingLimit[] = []
  if (ceiling.is !== null) limits.push({ kind: 'ceiling', aboveC: ceiling.is })
  if (from.is !== null && to.is !== null && from.is >= to.is) return no('The lower limit must lie below the upper one.')
  if (ceiling.is !== null && to.is !== null && to.is >= ceiling.is)
    return no('The upper limit must stay below the ceiling.')
  if (from.is !== null || to.is !== null)
    limits.push({ kind: 'window', quantity: 'temperature', ...edges(from.is, to.is) })
  if (dry.is !== null && damp.is !== null && dry.is >= damp.is)
    return no('The lower humidity must lie below the upper one.')
  if (dry.is !== null || damp.is !== null)
    limits.push({ kind: 'window', quantity: 'humidity', ...edges(dry.is, damp.is) })
  return limits.length === 0 ? no('Write at least one limit, or go on without.') : { is: limits, no: null }
}

const edges = (from: number | null, to: number | null) => ({
  ...(from === null ? {} : { from }),
  ...(to === null ? {} : { to }),
})

/** The document with these limits added to a station. */
export function withLimits(foundry: Foundry, station: string, limits: readonly StandingLimit[]): Foundry {
  const changed = (one: Station) => (one.id === station ? { ...one, limits: [...one.limits, ...limits] } : one)
  return { ...foundry, stations: foundry.stations.map(changed) }
}

export function withRecipe(foundry: Foundry, recipe: Recipe): Foundry {
  return { ...foundry, recipes: [...foundry.recipes, recipe] }
}

/** The kind of recipe that a station's runs follow; surroundings have none. */
export function recipeKindOf(station: Pick<Station, 'kind'>): Recipe['kind'] | null {
  if (station.kind === 'pot' || station.kind === 'bench-cup') return 'wax'
  if (station.kind === 'dry-room') return 'drying'
  return station.kind === 'kiln' ? 'burnout' : null
}

export interface StepTyped {
  name: string
  from: string
  to: string
  /** Of a burnout: the rate in degrees an hour, and the minutes that are held there. */
  rate: string
  hold: string
}

export interface RecipeTyped {
  name: string
  steps: readonly StepTyped[]
}

export function recipeWritten(
  kind: Recipe['kind'],
  typed: RecipeTyped,
  unit: Unit,
  taken: ReadonlySet<string>,
): Written<Recipe> {
  const name = typed.name.trim()
  if (name === '') return no('The recipe needs a name.')
  const head = { id: freeId(name, taken, 'recipe'), name, revision: 1 }
  const steps = typed.steps.filter((one) => [one.from, one.to, one.rate, one.hold].some((text) => text.trim() !== ''))
  if (steps.length === 0) return no('The recipe needs at least one line.')
  if (kind === 'burnout') return burnout(head, steps, unit)
  const windows = steps.map((one) => windowOf(one, unit))
  const wrong = windows.find((one) => one.no !== null)
  if (wrong?.no) return no(wrong.no)
  const found = windows.flatMap((one) => (one.is === null ? [] : [one.is]))
  const [first] = found
  if (!first) return no('The recipe needs at least one line.')
  if (kind === 'drying') return { is: { kind, ...head, temperature: first }, no: null }
  const ids = new Set<string>()
  const coats = found.map((window, i) => {
    const called = steps[i]?.name.trim() || `Coat ${i + 1}`
    const id = freeId(called, ids, 'coat')
    ids.add(id)
    return { id, name: called, window }
  })
  return { is: { kind, ...head, coats }, no: null }
}

function windowOf({ name, from, to }: StepTyped, unit: Unit): Written<{ fromC: number; toC: number }> {
  const [low, high] = [celsius(from, unit), celsius(to, unit)]
  if (low.no !== null) return low
  if (high.no !== null) return high
  if (low.is === null || high.is === null) return no(`${name || 'Each line'} needs both ends of its window.`)
  return low.is < high.is
    ? { is: { fromC: low.is, toC: high.is }, no: null }
    : no(`${name || 'Each line'}: the first must be the cooler one.`)
}

function burnout(
  head: { id: string; name: string; revision: number },
  steps: readonly StepTyped[],
  unit: Unit,
): Written<Recipe> {
  const segments: Extract<Recipe, { kind: 'burnout' }>['segments'] = []
  for (const step of steps) {
    const to = celsius(step.to, unit)
    const [rate, hold] = [number(step.rate, 'the rate'), number(step.hold, 'the hold')]
    const wrong = [to, rate, hold].find((one) => one.no !== null)
    if (wrong?.no) return no(wrong.no)
    if (to.is === null || rate.is === null || rate.is <= 0) return no('Each line needs where it goes, and how fast.')
    segments.push({ kind: 'ramp', toC: to.is, cPerHour: unit === 'F' ? (rate.is * 5) / 9 : rate.is, toleranceC: 15 })
    if (hold.is !== null && hold.is > 0) segments.push({ kind: 'hold', minutes: hold.is, toleranceC: 15 })
  }
  return { is: { kind: 'burnout', ...head, startC: 20, segments, governing: [] }, no: null }
}
