/** The words devices use on MQTT: topics and JSON payloads, turned into readings or into a reason why not. */
import { z } from 'zod'
import type { EpochMs } from '../time.ts'
import { payloadBytesMax, readingsPerMessageMax } from './limits.ts'
import { isName } from './name.ts'
import { plausible, type Quantity, sensorCodes } from './quantity.ts'
import type { Quality, QualityReason } from './reading.ts'

export const topicRoot = 'cirewatch'
/** Below this only the gateway speaks. */
export const siteTopicRoot = 'cirewatch/site/'

export function readingTopic(instrument: string): string {
  return `${topicRoot}/${instrument}/reading`
}
export function presenceTopic(instrument: string): string {
  return `${topicRoot}/${instrument}/presence`
}
export function alarmTopic(station: string, finding: string): string {
  return `${siteTopicRoot}alarm/${station}/${finding}`
}
export const heartbeatTopic = `${siteTopicRoot}heartbeat`

/** The last instant that a Date can hold (ECMAScript, *Time Values and Time Range*). */
const instantMsMax = 8_640_000_000_000_000
const Instant = z.union([z.iso.datetime({ offset: true }), z.int().min(0).max(instantMsMax)])

/** One message, or one element of a backlog. */
export const WireReading = z.strictObject({
  at: Instant.optional(),
  seq: z.int().min(0).optional(),
  celsius: z.number().optional(),
  fahrenheit: z.number().optional(),
  kelvin: z.number().min(0, 'must be at least 0: nothing is colder').optional(),
  microvolts: z.number().optional(),
  junctionCelsius: z.number().optional(),
  relativeHumidity: z.number().optional(),
  metresPerSecond: z.number().optional(),
  pascals: z.number().optional(),
  closed: z.boolean().optional(),
  amperes: z.number().optional(),
  emissivity: z.number().gt(0).max(1).optional(),
  reflectedCelsius: z.number().optional(),
  fault: z.string().min(1).max(200).optional(),
})
export type WireReading = z.infer<typeof WireReading>

export const WirePresence = z.strictObject({ online: z.boolean() })

/** One value as the wire gave it; the time is null where the instrument named none. */
export interface WireValue {
  quantity: Quantity
  value: number
  quality: Quality
  reason?: QualityReason
}
export interface WireMoment {
  at: EpochMs | null
  values: WireValue[]
  fault?: string
}

export type Decoded =
  | { is: 'readings'; instrument: string; moments: WireMoment[] }
  | { is: 'presence'; instrument: string; online: boolean }
  | { is: 'unreadable'; instrument: string | null; reason: string }

export function fahrenheitToCelsius(fahrenheit: number): number {
  return ((fahrenheit - 32) * 5) / 9
}
export function celsiusToFahrenheit(celsius: number): number {
  return (celsius * 9) / 5 + 32
}
/** Exact by definition of the kelvin (SI brochure, 9th edition). */
export const zeroCelsiusK = 273.15

/** Why a bare number of this quantity is *bad*: a code that sensors send instead of a value, or what cannot be; null where it is good. */
export function badReason(quantity: Quantity, value: number): QualityReason | null {
  if (quantity === 'temperature' && sensorCodes.has(value)) return 'sensor-code'
  const [min, max] = plausible[quantity]
  return value < min || value > max ? 'implausible' : null
}

/** A bare number of this quantity with its quality. */
export function wireValue(quantity: Quantity, value: number): WireValue {
  const reason = badReason(quantity, value)
  return reason === null ? { quantity, value, quality: 'good' } : { quantity, value, quality: 'bad', reason }
}

const oneUnit = 'gives its temperature in more than one unit; send one'

/** The temperature in °C; undefined where there is none, null where there are several. */
function celsiusOf({ celsius, fahrenheit, kelvin }: WireReading): number | undefined | null {
  if (celsius !== undefined) return fahrenheit === undefined && kelvin === undefined ? celsius : null
  if (fahrenheit !== undefined) return kelvin === undefined ? fahrenheitToCelsius(fahrenheit) : null
  return kelvin === undefined ? undefined : kelvin - zeroCelsiusK
}

function instantOf(at: WireReading['at']): EpochMs | null {
  return at === undefined ? null : typeof at === 'number' ? at : Date.parse(at)
}

function momentOf(wire: WireReading): WireMoment | string {
  const values: WireValue[] = []
  const temperatureC = celsiusOf(wire)
  if (temperatureC === null) return oneUnit
  if (temperatureC !== undefined) values.push(wireValue('temperature', temperatureC))
  if ((wire.microvolts === undefined) !== (wire.junctionCelsius === undefined))
    return 'needs `microvolts` and `junctionCelsius` together: one means nothing without the other'
  if (wire.microvolts !== undefined) values.push(wireValue('emf', wire.microvolts))
  if (wire.junctionCelsius !== undefined) values.push(wireValue('junction', wire.junctionCelsius))
  if (wire.relativeHumidity !== undefined) values.push(wireValue('humidity', wire.relativeHumidity))
  if (wire.metresPerSecond !== undefined) values.push(wireValue('air-speed', wire.metresPerSecond))
  if (wire.pascals !== undefined) values.push(wireValue('pressure', wire.pascals))
  if (wire.closed !== undefined) values.push(wireValue('contact', wire.closed ? 1 : 0))
  if (wire.amperes !== undefined) values.push(wireValue('current', wire.amperes))
  if (values.length === 0 && wire.fault === undefined) return 'holds no quantity; send for example {"celsius": 93.4}'
  const at = instantOf(wire.at)
  return wire.fault === undefined ? { at, values } : { at, values, fault: wire.fault }
}

/** Keys that hold any finite number, and nothing more is asked of them. */
const plainKeys: ReadonlySet<string> = new Set<keyof WireReading>([
  'celsius',
  'fahrenheit',
  'relativeHumidity',
  'metresPerSecond',
  'pascals',
  'amperes',
  'microvolts',
  'junctionCelsius',
])

/**
 * True for the plainest messages, which are nearly all: known numbers, and a time in epoch milliseconds or none. The schema would say the
 * same and make three objects on the way; at a flood that is a tenth of the whole path. What is not plain is left to the schema.
 */
export function isPlain(json: unknown): json is WireReading {
  if (typeof json !== 'object' || json === null || Array.isArray(json)) return false
  for (const key in json) {
    const value = (json as Record<string, unknown>)[key]
    if (typeof value !== 'number' || !Number.isFinite(value)) return false
    if (key === 'at' ? !(Number.isSafeInteger(value) && value >= 0 && value <= instantMsMax) : !plainKeys.has(key))
      return false
  }
  return true
}

const keyOf: readonly (keyof WireReading)[] = Object.keys(WireReading.shape) as (keyof WireReading)[]

/** The beginning of a value. Nesting is written down with the stack, which a message of nothing but brackets exhausts. */
function beginningOf(found: unknown): string {
  try {
    return (JSON.stringify(found) ?? 'nothing').slice(0, 40)
  } catch {
    return 'lists in lists, too deep to be shown'
  }
}

function whyNot(error: z.ZodError, value: unknown, place: string): string {
  const issue = error.issues[0]
  if (issue?.code === 'unrecognized_keys')
    return `${place} has a key that is not known: ${issue.keys.slice(0, 3).join(', ').slice(0, 80)}; known are ${keyOf.join(', ')}`
  const key = String(issue?.path[0] ?? '')
  const found = key === '' ? value : (value as Record<string, unknown>)[key]
  const shown = beginningOf(found)
  if (key === '') return `${place} must be an object; it is ${shown}`
  if (key === 'at') return `${place} has in \`at\` no ISO 8601 time with zone and no epoch milliseconds: ${shown}`
  return `${place} has in \`${key}\` not what belongs there (${issue?.message ?? 'wrong type'}): ${shown}`
}

function decodeReadings(instrument: string, json: unknown): Decoded {
  const unreadable = (reason: string): Decoded => ({ is: 'unreadable', instrument, reason })
  if (isPlain(json)) {
    const moment = momentOf(json)
    if (typeof moment === 'string') return unreadable(`The message ${moment}.`)
    return { is: 'readings', instrument, moments: [moment] }
  }
  const list = Array.isArray(json) ? json : [json]
  if (list.length === 0) return unreadable('The message is an empty list.')
  if (list.length > readingsPerMessageMax)
    return unreadable(`The message holds ${list.length} readings; send at most ${readingsPerMessageMax} at once.`)
  const moments: WireMoment[] = []
  for (let i = 0; i < list.length; i++) {
    const place = Array.isArray(json) ? `Element ${i} of the list` : 'The message'
    const parsed = WireReading.safeParse(list[i])
    if (!parsed.success) return unreadable(`${whyNot(parsed.error, list[i], place)}.`)
    const moment = momentOf(parsed.data)
    if (typeof moment === 'string') return unreadable(`${place} ${moment}.`)
    if (moment.at === null && list.length > 1)
      return unreadable(`${place} has no \`at\`; a backlog must say when each reading was measured.`)
    moments.push(moment)
  }
  return { is: 'readings', instrument, moments }
}

const text = new TextDecoder('utf-8', { fatal: true })

/** Reads one publish below `cirewatch/`. Never throws: what cannot be read comes back with the reason, for a person. */
export function decodePublish(topic: string, payload: Uint8Array): Decoded {
  const levels = topic.split('/')
  const [root, instrument = '', what = ''] = levels
  if (root !== topicRoot || levels.length !== 3)
    return {
      is: 'unreadable',
      instrument: null,
      reason: `The topic is not of the form ${topicRoot}/<instrument>/reading.`,
    }
  if (!isName(instrument) || instrument === 'site')
    return {
      is: 'unreadable',
      instrument: null,
      reason: 'The topic names no usable instrument: letters, digits and _ : . - only, at most 64.',
    }
  if (what !== 'reading' && what !== 'presence')
    return {
      is: 'unreadable',
      instrument,
      reason: `The topic ends in "${what.slice(0, 40)}"; known are reading, presence and senml.`,
    }
  if (payload.byteLength > payloadBytesMax)
    return {
      is: 'unreadable',
      instrument,
      reason: `The payload has ${payload.byteLength} bytes; at most ${payloadBytesMax} are read.`,
    }
  let json: unknown
  try {
    json = JSON.parse(text.decode(payload))
  } catch {
    return {
      is: 'unreadable',
      instrument,
      reason: 'The payload is not JSON in UTF-8 (note that NaN and Infinity are no JSON).',
    }
  }
  if (what === 'reading') return decodeReadings(instrument, json)
  const presence = WirePresence.safeParse(json)
  if (!presence.success)
    return { is: 'unreadable', instrument, reason: 'A presence is {"online": true} or {"online": false}.' }
  return { is: 'presence', instrument, online: presence.data.online }
}
