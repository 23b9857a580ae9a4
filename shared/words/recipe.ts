/** A recipe in words: every line of it, and what changes from one revision to another. Pure. */
import type { BurnoutRecipe, Coat, DryingRecipe, Recipe, TemperatureWindow, WaxRecipe } from '../contract/index.ts'
import { minuteMs } from '../time.ts'
import { duration, limitTemperature, type Speech, temperatureDifference, temperatureSpan } from './speech.ts'

/** One line: what it is of (the same in every revision), how it is called, and what it says. */
export interface RecipeLine {
  key: string
  name: string
  says: string
}

const span = ({ fromC, toC }: TemperatureWindow, speech: Speech) => temperatureSpan(fromC, toC, speech)
const minutes = (value: number) => duration(value * minuteMs)

function waits({ wait }: Coat): string {
  if (!wait) return ''
  const { earliestMinutes: earliest, latestMinutes: latest } = wait
  if (earliest !== undefined && latest !== undefined)
    return `, ${minutes(earliest)} to ${minutes(latest)} after the one before`
  if (earliest !== undefined) return `, not before ${minutes(earliest)} after the one before`
  return latest === undefined ? '' : `, not later than ${minutes(latest)} after the one before`
}

function coatLine(coat: Coat, nth: number, speech: Speech): RecipeLine {
  const only = coat.texturedOnly ? ', only on a textured mould' : ''
  const slush = coat.slush ? ', slushed' : ''
  const name = coat.name
  return {
    key: `coat ${coat.id}`,
    name,
    says: `coat ${nth + 1}: ${span(coat.window, speech)}${slush}${only}${waits(coat)}`,
  }
}

function waxLines(recipe: WaxRecipe, speech: Speech): RecipeLine[] {
  const { conditioning, congealing, mould, ambient, floorC, ceilingC } = recipe
  const line = (key: string, name: string, says: string | undefined) =>
    says === undefined ? [] : [{ key, name, says }]
  return [
    ...line(
      'conditioning',
      'Conditioned',
      conditioning &&
        `${span(conditioning.window, speech)} for ${minutes(conditioning.holdMinutes)}${conditioning.stirred ? ', and stirred' : ''}`,
    ),
    ...recipe.coats.map((coat, i) => coatLine(coat, i, speech)),
    ...line(
      'floor',
      'Floor',
      floorC === undefined ? undefined : `${limitTemperature(floorC, speech)}: below it this wax sets up`,
    ),
    ...line(
      'ceiling',
      'Ceiling',
      ceilingC === undefined ? undefined : `${limitTemperature(ceilingC, speech)}, by its safety data sheet`,
    ),
    ...line('congealing', 'Congeals', congealing && span(congealing, speech)),
    ...line('mould', 'Mould', mould && span(mould, speech)),
    ...line('ambient', 'Workshop', ambient && span(ambient, speech)),
  ]
}

function dryingLines(recipe: DryingRecipe, speech: Speech): RecipeLine[] {
  const { temperature, humidity, hoursMin, hoursMax } = recipe
  return [
    { key: 'temperature', name: 'Temperature', says: span(temperature, speech) },
    ...(humidity ? [{ key: 'humidity', name: 'Humidity', says: `${humidity.from}–${humidity.to} %` }] : []),
    ...(hoursMin === undefined ? [] : [{ key: 'least', name: 'At least', says: `${hoursMin} h` }]),
    ...(hoursMax === undefined ? [] : [{ key: 'most', name: 'At most', says: `${hoursMax} h` }]),
  ]
}

function burnoutLines(recipe: BurnoutRecipe, speech: Speech): RecipeLine[] {
  return [
    { key: 'start', name: 'Begins at', says: limitTemperature(recipe.startC, speech) },
    ...recipe.segments.map((segment, i): RecipeLine => {
      const within = `within ${temperatureDifference(segment.toleranceC, speech)}`
      return segment.kind === 'ramp'
        ? {
            key: `segment ${i}`,
            name: `Ramp ${i + 1}`,
            says: `to ${limitTemperature(segment.toC, speech)} at ${temperatureDifference(segment.cPerHour, speech)} an hour, ${within}`,
          }
        : {
            key: `segment ${i}`,
            name: `Hold ${i + 1}`,
            says: `${minutes(segment.minutes)}${segment.credited === false ? ' by the clock' : ' credited'}, ${within}`,
          }
    }),
    {
      key: 'governing',
      name: 'Governed by',
      says:
        recipe.governing.length === 0
          ? 'its leading instrument'
          : recipe.governing.map((id) => speech.nameOf(id)).join(' and '),
    },
  ]
}

/** Every line of a recipe, in the order in which a person reads it. */
export function recipeLines(recipe: Recipe, speech: Speech): RecipeLine[] {
  const note = recipe.note === undefined ? [] : [{ key: 'note', name: 'Note', says: recipe.note }]
  switch (recipe.kind) {
    case 'wax':
      return [...waxLines(recipe, speech), ...note]
    case 'drying':
      return [...dryingLines(recipe, speech), ...note]
    case 'burnout':
      return [...burnoutLines(recipe, speech), ...note]
  }
}

/** What changes from one revision to another, one sentence for each line; empty where nothing does. */
export function recipeChanges(before: Recipe, after: Recipe, speech: Speech): string[] {
  const [was, is] = [recipeLines(before, speech), recipeLines(after, speech)]
  const old = new Map(was.map((line) => [line.key, line]))
  const kept = new Set(is.map((line) => line.key))
  return [
    ...(before.name === after.name ? [] : [`It is called ${after.name}; it was ${before.name}.`]),
    ...is.flatMap(({ key, name, says }) => {
      const line = old.get(key)
      if (!line) return [`New: ${name}, ${says}.`]
      const called = line.name === name ? name : `${name} (was ${line.name})`
      return line.says === says && line.name === name ? [] : [`${called}: ${line.says} becomes ${says}.`]
    }),
    ...was.filter((line) => !kept.has(line.key)).map((line) => `Gone: ${line.name}, ${line.says}.`),
  ]
}
