/** From a publish to journal entries: decoded, placed in time, derived where a raw signal needs it; or kept with the reason why not. */
import {
  type Decoded,
  type NewEntry,
  type NumberUnit,
  type Quantity,
  seriesId,
  seriesMax,
  siteTopicRoot,
  type ThermocoupleType,
  topicRoot,
  type WireMoment,
  type WireValue,
  wireValue,
} from '../../shared/contract/index.ts'
import { derivedAir } from '../../shared/physics/climate.ts'
import { hotJunctionC } from '../../shared/physics/thermocouple.ts'
import type { EpochMs } from '../../shared/time.ts'
import type { Publish } from '../mqtt/inlet.ts'
import type { ClockWatch, Placed } from './clockwatch.ts'
import type { Formats, Understood } from './formats/index.ts'
import { inUnit } from './number-unit.ts'
import type { Overheard } from './overheard.ts'
import { shownPayload } from './shown.ts'

/** What the temperature of a climate probe means, and the air pressure where it hangs. */
export interface Climate {
  /** Null where it means what it says; a text is why it means nothing. */
  meaning: ((rawC: number, measuredAt: EpochMs) => number | string) | null
  pressurePa: number
}

/** What the intake must know of the foundry to read raw signals. */
export interface Directory {
  thermocoupleOf(instrument: string): ThermocoupleType | undefined
  isClaimed(instrument: string): boolean
  /** The unit of its plain numbers, where a person said it. */
  numberUnitOf(instrument: string): NumberUnit | undefined
  /** Undefined for what is not claimed as a climate probe. */
  climateOf(instrument: string): Climate | undefined
}

/** Names of series seen so far, bounded: null when there is no room for another. */
export interface SeriesNames {
  admit(instrument: string, quantity: Quantity): string | null
}

/** So many readings without a time of one instrument may arrive in a millisecond before two share an instant. */
const quickMsMax = 1_000

function unreadable(publish: Publish, reason: string): NewEntry[] {
  const { topic, payload, arrivedAt } = publish
  return [
    {
      at: arrivedAt,
      kind: 'unreadable',
      topic: topic.slice(0, 512),
      reason,
      bytes: payload.byteLength,
      payload: shownPayload(payload),
    },
  ]
}

/** The hot junction of a bare thermocouple, from its EMF and its cold end (compensated in EMF, never by adding temperatures). */
function derived(moment: WireMoment, type: ThermocoupleType): WireValue | null {
  const emf = moment.values.find((v) => v.quantity === 'emf')
  const junction = moment.values.find((v) => v.quantity === 'junction')
  if (!emf || !junction || emf.quality === 'bad' || junction.quality === 'bad') return null
  const value = hotJunctionC(type, emf.value, junction.value)
  return value === null ? null : wireValue('temperature', value)
}

/** Dew point and wet bulb of the air at one instant, from the meant temperature; what cannot be told is not there. */
function derivedOf(moment: WireMoment, { meaning, pressurePa }: Climate, measuredAt: EpochMs): WireValue[] {
  const air = moment.values.find((v) => v.quantity === 'temperature')
  const humidity = moment.values.find((v) => v.quantity === 'humidity')
  if (!air || !humidity || air.quality === 'bad' || humidity.quality === 'bad') return []
  const temperatureC = meaning === null ? air.value : meaning(air.value, measuredAt)
  if (typeof temperatureC !== 'number') return []
  const { dewPointC, wetBulbC } = derivedAir(temperatureC, humidity.value, pressurePa)
  return [
    ...(dewPointC === null ? [] : [wireValue('dew-point', dewPointC)]),
    ...(wetBulbC === null ? [] : [wireValue('wet-bulb', wetBulbC)]),
  ]
}

export class EntryMaker {
  readonly #watch: ClockWatch
  readonly #directory: Directory
  readonly #names: SeriesNames
  readonly #formats: Formats
  readonly #say: (topic: string, payload: Uint8Array) => void
  readonly #overheard: Overheard
  /** Where the last reading without a time was put, by instrument. */
  readonly #unstamped = new Map<string, EpochMs>()

  /** `say` hands on what a format must ask of whoever published. */
  constructor(parts: {
    watch: ClockWatch
    directory: Directory
    names: SeriesNames
    formats: Formats
    say: (topic: string, payload: Uint8Array) => void
    overheard: Overheard
  }) {
    this.#watch = parts.watch
    this.#directory = parts.directory
    this.#names = parts.names
    this.#formats = parts.formats
    this.#say = parts.say
    this.#overheard = parts.overheard
  }

  /** Empty where nothing is to be kept: an emptied presence, or what a broker had in its memory and may long be over. */
  make(publish: Publish): NewEntry[] {
    const { topic, payload, arrivedAt, retained } = publish
    if (topic.startsWith(siteTopicRoot)) return unreadable(publish, `Below ${siteTopicRoot} only the gateway speaks.`)
    if (payload.byteLength === 0 && topic.startsWith(`${topicRoot}/`) && topic.endsWith('/presence')) return []
    const understood = this.#formats.understand(topic, payload, arrivedAt, retained)
    return this.#made(publish, understood)
  }

  /** What waited for something that did not come, and is read now or never. */
  elapsed(now: EpochMs): NewEntry[] {
    const nothing = { topic: '', payload: new Uint8Array(), arrivedAt: now, retained: false }
    return this.#made(nothing, this.#formats.elapse(now))
  }

  #made(publish: Publish, { decoded, say }: Understood): NewEntry[] {
    if (say !== undefined) for (const { topic, payload } of say) this.#say(topic, payload)
    const [first] = decoded
    if (first !== undefined && decoded.length === 1) return this.#madeOf(publish, first)
    return decoded.flatMap((one) => this.#madeOf(publish, one))
  }

  #madeOf(publish: Publish, decoded: Decoded): NewEntry[] {
    const { arrivedAt, retained } = publish
    if (decoded.is === 'unreadable') return unreadable(publish, decoded.reason)
    const { instrument } = decoded
    // That it was online once does not mean that it is heard now.
    if (decoded.is === 'presence' && retained && decoded.online) return []
    if (decoded.is === 'presence') return [{ at: arrivedAt, kind: 'presence', instrument, online: decoded.online }]
    if (retained && decoded.moments.some((m) => m.at === null)) return []
    if (!this.#directory.isClaimed(instrument))
      this.#overheard.note(instrument, publish.topic, publish.payload, arrivedAt)

    const [first, ...others] = decoded.moments
    const placed =
      first && others.length === 0
        ? [this.#placeOne(instrument, first, arrivedAt)]
        : this.#watch.place(
            decoded.moments.map((m) => m.at),
            arrivedAt,
          )
    const entries: NewEntry[] = []
    for (let i = 0; i < decoded.moments.length; i++) {
      const full = this.#push(entries, instrument, decoded.moments[i] as WireMoment, placed[i] as Placed, arrivedAt)
      if (full)
        return unreadable(publish, 'This gateway already knows as many series as it can remember; this one is new.')
    }
    return entries
  }

  #placeOne(instrument: string, moment: WireMoment, arrivedAt: EpochMs): Placed {
    if (moment.at === null) return { measuredAt: this.#ownInstant(instrument, arrivedAt) }
    return this.#watch.placeOne(instrument, moment.at, arrivedAt)
  }

  /** Readings without a time that arrive in one millisecond are not two values for one instant: each gets its own, in their order. */
  #ownInstant(instrument: string, arrivedAt: EpochMs): EpochMs {
    const last = this.#unstamped.get(instrument) ?? -Infinity
    // Further ahead than this it is our clock that went back, not the instrument that was quick.
    const instant = last >= arrivedAt && last < arrivedAt + quickMsMax ? last + 1 : arrivedAt
    if (this.#unstamped.size < seriesMax || this.#unstamped.has(instrument)) this.#unstamped.set(instrument, instant)
    return instant
  }

  /** True where there was no room for one of its series. */
  #push(entries: NewEntry[], instrument: string, moment: WireMoment, placed: Placed, at: EpochMs): boolean {
    if (moment.fault !== undefined)
      entries.push({ at, kind: 'fault', instrument, measuredAt: placed.measuredAt, text: moment.fault })
    for (const value of moment.values) {
      if (this.#add(entries, instrument, value, placed, at)) return true
      if (value.quantity !== 'number') continue
      const unit = this.#directory.numberUnitOf(instrument)
      if (unit !== undefined) this.#add(entries, instrument, inUnit(value, unit), placed, at)
    }
    if (moment.values.length < 2) return false
    const type = this.#directory.thermocoupleOf(instrument)
    const hot = type && derived(moment, type)
    if (hot) return this.#add(entries, instrument, hot, placed, at)
    const climate = type ? undefined : this.#directory.climateOf(instrument)
    // Where there is no room for what only follows from it, what was sent is kept all the same.
    if (climate)
      for (const value of derivedOf(moment, climate, placed.measuredAt))
        this.#add(entries, instrument, value, placed, at)
    return false
  }

  #add(
    entries: NewEntry[],
    instrument: string,
    { quantity, value, quality, reason }: WireValue,
    placed: Placed,
    at: EpochMs,
  ): boolean {
    const series = this.#names.admit(instrument, quantity)
    if (series === null) return true
    const entry: NewEntry = { at, kind: 'reading', series, measuredAt: placed.measuredAt, value, quality }
    if (reason !== undefined) entry.reason = reason
    if (placed.claimedAt !== undefined) {
      entry.claimedAt = placed.claimedAt
      if (entry.quality === 'good') {
        entry.quality = 'uncertain'
        entry.reason = 'clock-wrong'
      }
    }
    entries.push(entry)
    return false
  }
}

/** Remembers series names up to a limit. The name is made once for each, not once for each reading. */
export class KnownSeries implements SeriesNames {
  readonly #ids = new Map<string, Map<Quantity, string>>()
  readonly #limit: number
  #count = 0

  constructor(limit: number, known: Iterable<{ instrument: string; quantity: Quantity }>) {
    this.#limit = limit
    for (const { instrument, quantity } of known) this.admit(instrument, quantity)
  }

  admit(instrument: string, quantity: Quantity): string | null {
    let mine = this.#ids.get(instrument)
    const id = mine?.get(quantity)
    if (id !== undefined) return id
    if (this.#count >= this.#limit) return null
    if (!mine) {
      mine = new Map()
      this.#ids.set(instrument, mine)
    }
    const made = seriesId(instrument, quantity)
    mine.set(quantity, made)
    this.#count++
    return made
  }
}
