/** Reads an instrument that speaks its own JSON, as a mapping of a person tells it. */
import {
  isName,
  type MappedValue,
  type Mapping,
  readingsPerMessageMax,
  type WireMoment,
} from '../../../shared/contract/index.ts'
import type { EpochMs } from '../../../shared/time.ts'
import { cannotRead, jsonOf, passedOver, shown, textOf, type Understood } from './format.ts'
import { distinct, joined } from './naming.ts'
import { at, stepsOf } from './pointer.ts'
import { instantIn, numberIn, truthIn } from './scalar.ts'
import { matched } from './topics.ts'
import { distrusted, measured } from './units.ts'

interface Place {
  pointer: string
  steps: readonly string[]
}
const placeOf = (pointer: string): Place => ({ pointer, steps: stepsOf(pointer) })

const timeWords = {
  iso: 'ISO 8601 time with zone',
  seconds: 'seconds since 1970',
  milliseconds: 'milliseconds since 1970',
}

/** What is wrong, and where in the message. */
class Wrong {
  readonly sentence: string
  constructor(topic: string, pointer: string, what: string) {
    this.sentence = `The message on ${shown(topic)} has at ${pointer === '' ? 'its top' : shown(pointer)} ${what}.`
  }
}

export class MappedReader {
  readonly #mapping: Mapping
  readonly #filter: readonly string[]
  readonly #values: readonly (MappedValue & Place)[]
  readonly #list: Place | null
  readonly #time: (Place & { as: 'iso' | 'seconds' | 'milliseconds' }) | null
  readonly #quality: (Place & { good: readonly unknown[] }) | null

  constructor(mapping: Mapping) {
    const { topic, values, list, time, quality } = mapping
    this.#mapping = mapping
    this.#filter = topic.split('/')
    this.#values = values.map((value) => ({ ...value, ...placeOf(value.pointer) }))
    this.#list = list === undefined ? null : placeOf(list)
    this.#time = time ? { ...placeOf(time.pointer), as: time.as } : null
    this.#quality = quality ? { ...placeOf(quality.pointer), good: quality.good } : null
  }

  /** What the message means; null where this mapping does not cover its topic. */
  read(topic: string, levels: readonly string[], payload: Uint8Array): Understood | null {
    const found = matched(this.#filter, levels)
    if (found === null) return null
    const instrument = this.#instrument(found)
    if (instrument === null)
      return cannotRead(
        `The topic ${shown(topic)} makes no usable name of an instrument from ${shown(this.#mapping.instrument)}.`,
      )
    const json = this.#json(payload)
    if (json === null)
      return cannotRead(
        `The message on ${shown(topic)} is not JSON in UTF-8 (note that NaN and Infinity are no JSON).`,
        instrument,
      )
    const elements = this.#elements(topic, json.json)
    if (elements instanceof Wrong) return cannotRead(elements.sentence, instrument)
    const moments: WireMoment[] = []
    for (const { element, before } of elements) {
      const moment = this.#moment(topic, element, before)
      if (moment instanceof Wrong) return cannotRead(moment.sentence, instrument)
      if (moment.values.length > 0) moments.push(moment)
    }
    return moments.length === 0
      ? passedOver(`The message on ${shown(topic)} has none of the values of its mapping.`)
      : { decoded: [{ is: 'readings', instrument, moments }] }
  }

  #instrument(found: readonly string[]): string | null {
    const made = this.#mapping.instrument.replace(/\{(\d)\}/g, (_, n) => distinct(found[Number(n) - 1] ?? ''))
    const name = joined([made])
    return isName(name) && name !== 'site' ? name : null
  }

  /** A bare "21,5" is no JSON, but where numbers are text it is one. */
  #json(payload: Uint8Array): { json: unknown } | null {
    const text = textOf(payload)
    const parsed = jsonOf(text)
    if (parsed !== null || text === null || this.#mapping.numbersAsText === undefined) return parsed
    return numberIn(text, this.#mapping.numbersAsText) === null ? null : { json: text }
  }

  /** The message itself, or the elements of its list, each with the pointer that leads to it. */
  #elements(topic: string, json: unknown): { element: unknown; before: string }[] | Wrong {
    if (this.#list === null) return [{ element: json, before: '' }]
    const { pointer, steps } = this.#list
    const list = at(json, steps)
    if (!Array.isArray(list)) return new Wrong(topic, pointer, `no list${list === undefined ? '' : `: ${shown(list)}`}`)
    if (list.length > readingsPerMessageMax)
      return new Wrong(topic, pointer, `${list.length} readings; at most ${readingsPerMessageMax} are read at once`)
    if (list.length > 1 && this.#time === null)
      return new Wrong(topic, pointer, 'several readings, and the mapping does not say where their times stand')
    return (list as unknown[]).map((element, i) => ({ element, before: `${pointer}/${i}` }))
  }

  #moment(topic: string, element: unknown, before: string): WireMoment | Wrong {
    const when = this.#instant(topic, element, before)
    if (when instanceof Wrong) return when
    const bad = this.#isBad(topic, element, before)
    if (bad instanceof Wrong) return bad
    const moment: WireMoment = { at: when, values: [] }
    for (const { pointer, steps, unit, optional } of this.#values) {
      const raw = at(element, steps)
      if (raw === undefined || raw === null) {
        if (optional === true) continue
        return new Wrong(
          topic,
          before + pointer,
          raw === null ? 'null, where a value is expected' : 'nothing, where a value is expected',
        )
      }
      const contact = unit === 'closed' || unit === 'open'
      const number = contact ? truthIn(raw, unit) : numberIn(raw, this.#mapping.numbersAsText)
      if (number === null)
        return new Wrong(topic, before + pointer, `no ${contact ? 'true or false' : 'number'}: ${shown(raw)}`)
      const value = measured(number, unit)
      moment.values.push(bad ? distrusted(value) : value)
    }
    return moment
  }

  #instant(topic: string, element: unknown, before: string): EpochMs | null | Wrong {
    if (this.#time === null) return null
    const { pointer, steps, as } = this.#time
    const raw = at(element, steps)
    const instant = instantIn(raw, as, this.#mapping.numbersAsText)
    return (
      instant ??
      new Wrong(topic, before + pointer, `no ${timeWords[as]}: ${raw === undefined ? 'nothing' : shown(raw)}`)
    )
  }

  #isBad(topic: string, element: unknown, before: string): boolean | Wrong {
    if (this.#quality === null) return false
    const { pointer, steps, good } = this.#quality
    const raw = at(element, steps)
    if (raw === undefined) return new Wrong(topic, before + pointer, 'nothing, where its quality is expected')
    return !good.includes(raw)
  }
}
