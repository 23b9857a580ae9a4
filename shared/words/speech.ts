/** How numbers and times are said to one listener: his unit, the foundry's zone, and the names of things. Pure. */
import type { Foundry, Quantity, Recipe } from '../contract/index.ts'
import type { DurationMs, EpochMs } from '../time.ts'

export interface Speech {
  unit: 'C' | 'F'
  /** The site's IANA zone: a time of day is always the foundry's. */
  timeZone: string
  /** The name a person knows a station, instrument, recipe or coat by; its id where there is none. */
  nameOf(id: string): string
  /** Where they are known, a run can be told with its coats and holds. */
  recipes?: readonly Recipe[]
}

/** The speech of one foundry document. */
export function speechOf(foundry: Foundry, unit: 'C' | 'F' = 'C'): Speech {
  const names = new Map<string, string>()
  for (const recipe of foundry.recipes) {
    if (recipe.kind === 'wax') for (const coat of recipe.coats) names.set(coat.id, coat.name)
    names.set(recipe.id, recipe.name)
  }
  for (const instrument of foundry.instruments) names.set(instrument.id, instrument.name)
  for (const station of foundry.stations) names.set(station.id, station.name)
  return { unit, timeZone: foundry.site.timeZone, nameOf: (id) => names.get(id) ?? id, recipes: foundry.recipes }
}

export function inUnit(celsius: number, speech: Pick<Speech, 'unit'>): number {
  return speech.unit === 'F' ? (celsius * 9) / 5 + 32 : celsius
}

/** One decimal where it means something: a kiln is not told to a tenth. A negative zero is a zero. */
function digits(value: number): string {
  const text = Math.abs(value) >= 200 ? value.toFixed(0) : value.toFixed(1)
  return /^-0(\.0)?$/.test(text) ? text.slice(1) : text.replace('-', '−')
}

/** A limit as people write it: 150, not 150.0. */
function limitDigits(value: number): string {
  return digits(value).replace(/\.0$/, '')
}

export function unitWord(speech: Pick<Speech, 'unit'>): string {
  return `°${speech.unit}`
}

export function temperatureDigits(celsius: number, speech: Pick<Speech, 'unit'>): string {
  return Number.isFinite(celsius) ? digits(inUnit(celsius, speech)) : '–'
}

export function temperature(celsius: number, speech: Pick<Speech, 'unit'>): string {
  return Number.isFinite(celsius) ? `${digits(inUnit(celsius, speech))} ${unitWord(speech)}` : 'an unknown temperature'
}

/** A limit or a set-point. */
export function limitTemperature(celsius: number, speech: Pick<Speech, 'unit'>): string {
  return `${limitDigits(inUnit(celsius, speech))} ${unitWord(speech)}`
}

export function temperatureSpan(fromC: number, toC: number, speech: Pick<Speech, 'unit'>): string {
  return `${limitDigits(inUnit(fromC, speech))}–${limitDigits(inUnit(toC, speech))} ${unitWord(speech)}`
}

/** A difference has no offset: 10 °C more is 18 °F more. */
export function temperatureDifference(celsius: number, speech: Pick<Speech, 'unit'>): string {
  return `${limitDigits(speech.unit === 'F' ? (celsius * 9) / 5 : celsius)} ${unitWord(speech)}`
}

const plain: Partial<Record<Quantity, (value: number) => string>> = {
  humidity: (value) => `${limitDigits(value)} % humidity`,
  'air-speed': (value) => `${value.toFixed(2)} m/s`,
  pressure: (value) => `${value.toFixed(0)} Pa`,
  contact: (value) => (value >= 0.5 ? 'closed' : 'open'),
  current: (value) => `${value.toFixed(2)} A`,
  emf: (value) => `${value.toFixed(0)} µV`,
  number: (value) => `${value} (unit unknown)`,
}

/** One value of any quantity with its unit. */
export function amount(quantity: Quantity | string, value: number, speech: Pick<Speech, 'unit'>): string {
  if (!Number.isFinite(value)) return 'an unknown value'
  // In °C as well, but not how warm it is.
  if (quantity === 'dew-point') return `dew point ${temperature(value, speech)}`
  if (quantity === 'wet-bulb') return `wet bulb ${temperature(value, speech)}`
  const say = plain[quantity as Quantity]
  return say ? say(value) : temperature(value, speech)
}

/** 4 s · 12 min · 3 h 5 min · 2 days. Never two units where one is enough. */
export function duration(ms: DurationMs): string {
  const seconds = Math.max(0, Math.round(Math.abs(ms) / 1_000))
  if (!Number.isFinite(seconds)) return 'an unknown time'
  if (seconds < 60) return `${seconds} s`
  const minutes = Math.round(seconds / 60)
  if (minutes < 60) return `${minutes} min`
  const hours = Math.floor(minutes / 60)
  if (hours < 48) return minutes % 60 === 0 ? `${hours} h` : `${hours} h ${minutes % 60} min`
  return `${Math.floor(hours / 24)} days`
}

export function ago(then: EpochMs, now: EpochMs): string {
  return now - then < 2_000 ? 'just now' : `${duration(now - then)} ago`
}

const faces = new Map<string, Intl.DateTimeFormat>()
function face(timeZone: string, style: 'time' | 'seconds' | 'day' | 'year'): Intl.DateTimeFormat {
  const key = `${style} ${timeZone}`
  const known = faces.get(key)
  if (known) return known
  const date: Intl.DateTimeFormatOptions = { weekday: 'short', day: 'numeric', month: 'short' }
  const options: Intl.DateTimeFormatOptions =
    style === 'day' || style === 'year'
      ? { ...date, ...(style === 'year' ? { year: 'numeric' } : {}) }
      : { hour: '2-digit', minute: '2-digit', hourCycle: 'h23', ...(style === 'seconds' ? { second: '2-digit' } : {}) }
  const made = new Intl.DateTimeFormat('en-GB', { timeZone, ...options })
  faces.set(key, made)
  return made
}

export function timeOfDay(at: EpochMs, speech: Pick<Speech, 'timeZone'>): string {
  return face(speech.timeZone, 'time').format(at)
}

export function timeWithSeconds(at: EpochMs, speech: Pick<Speech, 'timeZone'>): string {
  return face(speech.timeZone, 'seconds').format(at)
}

export function day(at: EpochMs, speech: Pick<Speech, 'timeZone'>): string {
  return face(speech.timeZone, 'day').format(at).replace(',', '')
}

/** The time, with its day where that is not today's, and with its year where that is not this one. */
export function moment(at: EpochMs, now: EpochMs, speech: Pick<Speech, 'timeZone'>): string {
  const time = timeOfDay(at, speech)
  const [then, today] = [at, now].map((t) => face(speech.timeZone, 'year').format(t)) as [string, string]
  if (then === today) return time
  return then.slice(-4) === today.slice(-4) ? `${day(at, speech)} ${time}` : `${then.replace(',', '')} ${time}`
}

const counted = [
  'no',
  'one',
  'two',
  'three',
  'four',
  'five',
  'six',
  'seven',
  'eight',
  'nine',
  'ten',
  'eleven',
  'twelve',
]

/** Small numbers in words, as they are spoken. */
export const numberWord = (n: number): string => counted[n] ?? String(n)

export function count(n: number, one: string, many = `${one}s`): string {
  return `${numberWord(n)} ${n === 1 ? one : many}`
}

/** `a, b and c`; beyond `most`, how many more. */
export function listed(all: readonly string[], most = all.length): string {
  const shown = all.length > most ? [...all.slice(0, most), `${all.length - most} more`] : [...all]
  const last = shown.pop() ?? ''
  return shown.length === 0 ? last : `${shown.join(', ')} and ${last}`
}

/** A share as people write it: no decimals that nobody reads, but never 100 where a little is missing. */
export function percent(share: number): string {
  return `${share >= 0.9995 ? '100' : (100 * share).toFixed(share >= 0.995 ? 1 : 0)} %`
}

/** `from 21:40 to 23:10`, or `from 21:40 on` while it lasts. */
export function fromTo(from: EpochMs, to: EpochMs | null, speech: Pick<Speech, 'timeZone'>): string {
  return to === null
    ? `from ${timeOfDay(from, speech)} on`
    : `from ${timeOfDay(from, speech)} to ${timeOfDay(to, speech)}`
}

export function sentenceCase(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}
