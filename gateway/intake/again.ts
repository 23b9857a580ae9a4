/** Reads again what was kept: messages that a new mapping covers, numbers whose unit is known by now. What came before a claim is not lost. */
import {
  bringBatchMax,
  type Decoded,
  type Mapping,
  type NewEntry,
  type NumberUnit,
  qualities,
  type Quantity,
  seriesId,
  unreadableKeptBytesMax,
  type UnclaimedTopic,
  type WireValue,
} from '../../shared/contract/index.ts'
import type { Clock, EpochMs } from '../../shared/time.ts'
import type { Fate, Store } from '../store/store.ts'
import { Formats, guessMapping } from './formats/index.ts'
import { matched } from './formats/topics.ts'
import { inUnit } from './number-unit.ts'

export interface AgainParts {
  store: Store
  clock: Clock
  record: (entries: NewEntry[]) => Promise<Fate[]>
  admit: (instrument: string, quantity: Quantity) => string | null
}

/** Kept messages looked at in one go. */
const page = 500
/** Topics that are offered, and messages that are looked through for them. Reason: who speaks is in the newest thousand. */
const topicsMax = 50
const lookedThroughMax = 1_000

/** Of a kept message, its bytes; null where only its beginning was kept, or where it was no text. */
function wholePayload({ payload, bytes }: { payload: string; bytes: number }): Uint8Array | null {
  const whole = new TextEncoder().encode(payload)
  return whole.byteLength === bytes && bytes <= unreadableKeptBytesMax ? whole : null
}

const isForeign = (topic: string) => topic !== '' && !/^(cirewatch|spBv1\.0|\$[^/]*)(\/|$)/.test(topic)

/** Messages without a time that came within one millisecond are not two values for one instant. Newest first, so they move back. */
class OwnInstants {
  readonly #earliest = new Map<string, EpochMs>()

  at(topic: string, arrivedAt: EpochMs): EpochMs {
    const instant = Math.min(arrivedAt, (this.#earliest.get(topic) ?? Number.POSITIVE_INFINITY) - 1)
    this.#earliest.set(topic, instant)
    return instant
  }
}

export class Again {
  readonly #parts: AgainParts

  constructor(parts: AgainParts) {
    this.#parts = parts
  }

  /** Other devices' topics that are kept and read by nobody, newest first, with ways to read each. */
  async topics(mappings: readonly Mapping[]): Promise<UnclaimedTopic[]> {
    const covered = mappings.map(({ topic }) => topic.split('/'))
    const isCovered = (topic: string) => covered.some((filter) => matched(filter, topic.split('/')) !== null)
    const found = new Map<string, UnclaimedTopic>()
    for (const kept of await this.#parts.store.newest('unreadable', lookedThroughMax)) {
      if (!isForeign(kept.topic) || isCovered(kept.topic)) continue
      const known = found.get(kept.topic)
      if (known) known.messages++
      else if (found.size < topicsMax)
        found.set(kept.topic, { topic: kept.topic, lastAt: kept.at, messages: 1, payload: kept.payload, guesses: [] })
    }
    for (const one of found.values())
      one.guesses = guessMapping(one.topic, new TextEncoder().encode(one.payload)).map(({ mapping, reasons }) => ({
        mapping,
        sentence: reasons.map(({ sentence }) => sentence).join(' '),
      }))
    return [...found.values()]
  }

  /** Resolves with how many readings of kept messages were brought in. */
  async byMapping(mapping: Mapping): Promise<number> {
    const formats = new Formats([mapping])
    const own = new OwnInstants()
    let readings = 0
    for (let before: number | undefined; ; ) {
      const some = await this.#parts.store.newest('unreadable', page, before)
      const entries: NewEntry[] = []
      for (const kept of some) {
        const payload = isForeign(kept.topic) ? wholePayload(kept) : null
        if (payload === null) continue
        const { decoded } = formats.understand(kept.topic, payload, kept.at, false)
        for (const one of decoded) entries.push(...this.#readings(one, own.at(kept.topic, kept.at)))
      }
      readings += await this.#bring(entries.reverse())
      const last = some.at(-1)
      if (last === undefined || some.length < page) return readings
      before = last.seq
    }
  }

  /** The plain numbers of an instrument so far, as what they are known to count by now. */
  async byUnit(instrument: string, unit: NumberUnit): Promise<number> {
    const { store, clock } = this.#parts
    let readings = 0
    const all = store.scan(seriesId(instrument, 'number'), Number.MIN_SAFE_INTEGER, Number.MAX_SAFE_INTEGER)
    for await (const { t, v, quality } of all) {
      const entries: NewEntry[] = []
      for (let i = 0; i < t.length; i++) {
        const number: WireValue = {
          quantity: 'number',
          value: v[i] as number,
          quality: qualities[quality[i] as number] ?? 'bad',
        }
        const entry = this.#entry(instrument, inUnit(number, unit), t[i] as number, clock.now())
        if (entry !== null) entries.push(entry)
      }
      readings += await this.#bring(entries)
    }
    return readings
  }

  #readings(decoded: Decoded, at: EpochMs): NewEntry[] {
    if (decoded.is !== 'readings') return []
    const now = this.#parts.clock.now()
    return decoded.moments.flatMap((moment) =>
      moment.values.flatMap((value) => this.#entry(decoded.instrument, value, moment.at ?? at, now) ?? []),
    )
  }

  #entry(instrument: string, { quantity, value, quality }: WireValue, at: EpochMs, now: EpochMs): NewEntry | null {
    const series = this.#parts.admit(instrument, quantity)
    // Brought in: it says nothing of whether the instrument is heard now.
    return series === null
      ? null
      : { at: now, kind: 'reading', series, measuredAt: at, value, quality, reason: 'brought-in' }
  }

  async #bring(entries: NewEntry[]): Promise<number> {
    let stored = 0
    for (let i = 0; i < entries.length; i += bringBatchMax) {
      const fates = await this.#parts.record(entries.slice(i, i + bringBatchMax))
      stored += fates.filter((fate) => fate.is === 'stored').length
    }
    return stored
  }
}
