/** A recipe as somebody wrote it: its temperatures as numbers in °C, as text in either unit, or as pairs of both. Pure. */
import { type Complaint, pathText } from '../contract/index.ts'
import { temperatureTyped } from './typed.ts'

type Path = (string | number)[]

/** A field that holds a temperature is named with its unit; a tolerance is a difference, and a pair of differences is none. */
function holdsTemperature(key: string | number | undefined): boolean {
  return typeof key === 'string' && /[a-z]C$/.test(key) && key !== 'toleranceC'
}

function isPair(value: unknown): value is { celsius: unknown; fahrenheit: unknown } {
  return typeof value === 'object' && value !== null && 'celsius' in value && 'fahrenheit' in value
}

/** What a pair or a text says; null where it is neither, and the schema will speak of it. */
function textOf(value: unknown): string | null {
  if (typeof value === 'string') return value
  return isPair(value) ? `${String(value.celsius)} °C = ${String(value.fahrenheit)} °F` : null
}

function plain(value: unknown, path: Path, complaints: Complaint[]): unknown {
  const text = holdsTemperature(path.at(-1)) ? textOf(value) : null
  if (text !== null) {
    const typed = temperatureTyped(text, 'C')
    if (typed.celsius !== null) return typed.celsius
    complaints.push({ path: pathText(path), sentence: `${pathText(path)}: ${typed.says || 'needs a temperature.'}` })
    return value
  }
  if (Array.isArray(value)) return value.map((one: unknown, i) => plain(one, [...path, i], complaints))
  if (typeof value !== 'object' || value === null) return value
  return Object.fromEntries(Object.entries(value).map(([key, one]) => [key, plain(one, [...path, key], complaints)]))
}

/** The draft with every temperature as a number in °C, and one sentence for each that cannot be read or says two things at once. */
export function plainRecipe(draft: unknown): { recipe: unknown; complaints: Complaint[] } {
  const complaints: Complaint[] = []
  return { recipe: plain(draft, [], complaints), complaints }
}
