/** The bench: where people hold instruments against references – checks, calibrations, an emissivity by comparison – recorded like every other act. */
import {
  Calibration,
  type Check,
  type CheckReference,
  type CheckTried,
  type EmissivityTried,
  Fault,
  type Foundry,
  type Instrument,
  type NewEntry,
  seriesId,
  silenceMsOf,
} from '../../shared/contract/index.ts'
import { surenessOf } from '../../shared/judge/index.ts'
import {
  barometerUPa,
  boilingPoint,
  boilingPointAt,
  type FixedPoint,
  icePoint,
} from '../../shared/physics/fixedpoints.ts'
import { uniformU } from '../../shared/physics/tolerance.ts'
import type { Clock, EpochMs } from '../../shared/time.ts'
import { calibrationSays, checkFoundSays, notStillSays, type Speech, speechOf } from '../../shared/words/index.ts'
import type { Fate, Store } from '../store/store.ts'
import type { Answer } from './answer.ts'
import { compareEmissivity } from './emissivity.ts'
import type { Foreman } from './foreman.ts'
import { measuresTemperature, sentBetween, type Still, stillness, stillOf, stretchMs } from './stillness.ts'

/** A calibration may be dated a moment ago without being one of the past. */
const justNowMs = 60_000
/** What presses on water anywhere people cast bronze, Pa; a gauge that shows a difference of pressures lies far below. */
const airPressurePa = [50_000, 110_000] as const

export interface CheckAsk {
  reference: CheckReference
  probe?: string | undefined
  dryRun: boolean
}

export type NewCalibration = Pick<Calibration, 'points'> & {
  found?: Calibration['found'] | undefined
  note?: string | undefined
  at?: EpochMs | undefined
}

/** What it was held against: a temperature, how sure it is, and whose. */
interface Reference extends FixedPoint {
  probe?: Instrument
  isSure: boolean
}

export class Bench {
  readonly #foreman: Foreman
  readonly #store: Store
  readonly #clock: Clock
  readonly #answer: Answer
  readonly #record: (entries: NewEntry[]) => Promise<Fate[]>

  constructor(parts: {
    foreman: Foreman
    store: Store
    clock: Clock
    answer: Answer
    record: (entries: NewEntry[]) => Promise<Fate[]>
  }) {
    this.#foreman = parts.foreman
    this.#store = parts.store
    this.#clock = parts.clock
    this.#answer = parts.answer
    this.#record = parts.record
  }

  get #foundry(): Foundry {
    return this.#foreman.house.rules.foundry
  }

  get #speech(): Speech {
    return speechOf(this.#foundry)
  }

  #instrument(id: string): Instrument {
    const found = this.#foundry.instruments.find((i) => i.id === id)
    if (!found) throw new Fault('not-found', `There is no instrument "${id}".`)
    return found
  }

  /** Holds it against a reference now. Recorded only where a check could be made, and not in a dry run. */
  async check(id: string, ask: CheckAsk, by: string): Promise<CheckTried> {
    const instrument = this.#instrument(id)
    const probe = ask.reference === 'probe' ? this.#probeFor(instrument, ask.probe) : undefined
    const now = this.#clock.now()
    const overMs = stretchMs(instrument, ...(probe ? [probe] : []))
    const still = await stillness(this.#store, instrument, now, overMs)
    if ('why' in still) return { check: null, sentence: notStillSays(instrument.name, still, this.#speech) }
    const reference = probe
      ? await this.#readingOf(probe, still, now, overMs)
      : await this.#fixedPoint(ask.reference, now)
    if (typeof reference === 'string') return { check: null, sentence: reference }
    const { readings, from, to, rawC: readsC, meantC, spreadC } = still
    const uC = Math.hypot(reference.uC, uniformU(spreadC / 2))
    const check: Check = { reference: ask.reference, readsC, isC: reference.isC, uC, readings, from, to, spreadC }
    if (probe) check.probe = probe.id
    const tried = this.#told(instrument, check, meantC - reference.isC, reference)
    if (!ask.dryRun) await this.#record([{ at: now, kind: 'act', by, act: 'check', instrument: id, check }])
    return tried
  }

  #told(instrument: Instrument, check: Check, differenceC: number, { probe, isSure }: Reference): CheckTried {
    const station = this.#foundry.stations.find((s) => s.id === instrument.station)
    const told = {
      name: instrument.name,
      ...(probe && { probeName: probe.name }),
      check,
      differenceC,
      inKiln: station?.kind === 'kiln',
      probeIsSure: isSure,
    }
    return { check, differenceC, sentence: checkFoundSays(told, this.#speech) }
  }

  #probeFor(instrument: Instrument, id: string | undefined): Instrument {
    if (id === undefined) throw new Fault('bad-request', 'A check against a probe must name it as `probe`.')
    if (id === instrument.id) throw new Fault('bad-request', 'An instrument cannot be checked against itself.')
    return this.#instrument(id)
  }

  /** The other probe over the same stretch; it must stand still as well. */
  async #readingOf(probe: Instrument, still: Still, now: EpochMs, overMs: number): Promise<Reference | string> {
    const fresh = await stillness(this.#store, probe, now, overMs)
    const same =
      'why' in fresh
        ? fresh
        : stillOf(probe, await sentBetween(this.#store, probe, still.to - overMs + 1, still.to + 1), overMs)
    if ('why' in same) return notStillSays(probe.name, same, this.#speech)
    const newest = { rawC: same.rawC, measuredAt: same.to, junctionC: null }
    const { expandedC } = surenessOf(probe, newest)
    const uC = Math.hypot((expandedC ?? 0) / 2, uniformU(same.spreadC / 2))
    return { isC: same.meantC, uC, probe, isSure: expandedC !== null }
  }

  async #fixedPoint(reference: CheckReference, now: EpochMs): Promise<Reference | string> {
    if (reference === 'ice-point') return { ...icePoint, isSure: true }
    const pressurePa = await this.#airPressure(now)
    const { elevationM } = this.#foundry.site
    const point = pressurePa === null ? boilingPointAt(elevationM) : boilingPoint(pressurePa, barometerUPa)
    return point === null
      ? `At ${elevationM} m nobody can say where water boils; look at the elevation of the site.`
      : { ...point, isSure: true }
  }

  /** The newest reading of a barometer of the house, where it is fresh; null where there is none. */
  async #airPressure(now: EpochMs): Promise<number | null> {
    const newest = new Map((await this.#store.summaries()).map((s) => [s.series, s.newest]))
    for (const instrument of this.#foundry.instruments) {
      const reading = newest.get(seriesId(instrument.id, 'pressure'))
      if (reading === undefined || reading.quality === 'bad') continue
      if (now - reading.measuredAt > silenceMsOf(instrument)) continue
      if (reading.value >= airPressurePa[0] && reading.value <= airPressurePa[1]) return reading.value
    }
    return null
  }

  /** Adds a dated calibration; a new revision of the foundry document, checked as a whole. */
  async calibrate(
    id: string,
    { points, found, note, at }: NewCalibration,
    by: string,
  ): Promise<{ revision: number; calibration: Calibration; sentence: string }> {
    const { name } = this.#instrument(id)
    const now = this.#clock.now()
    const holdsFrom = at ?? now
    if (holdsFrom > now + justNowMs) throw new Fault('not-valid', 'A calibration cannot be dated in the future.')
    const calibration = Calibration.parse({ at: holdsFrom, points, ...(found && { found }), by, ...(note && { note }) })
    const { revision } = await this.#answer.setUp((foundry) =>
      changed(foundry, id, (instrument) => {
        const { calibrations = [] } = instrument
        if (calibrations.some((one) => one.at === holdsFrom))
          throw new Fault('not-valid', `${name} has a calibration of that very moment already.`)
        return { ...instrument, calibrations: [...calibrations, calibration].sort((a, b) => a.at - b.at) }
      }),
    )
    const sentence = calibrationSays(name, holdsFrom, now, holdsFrom < now - justNowMs, this.#speech)
    return { revision, calibration, sentence }
  }

  /** The emissivity of what an infrared instrument looks at, by a contact probe in the same place; set in the document where asked. */
  async emissivity(
    id: string,
    ask: { contact: string; minutes: number; apply: boolean },
  ): Promise<{ tried: EmissivityTried; revision: number | null }> {
    const infrared = this.#instrument(id)
    const contact = this.#instrument(ask.contact)
    if (infrared.kind !== 'infrared') throw new Fault('not-valid', `${infrared.name} is no infrared instrument.`)
    if (!measuresTemperature(contact) || contact.kind === 'infrared')
      throw new Fault('not-valid', `${contact.name} is no contact probe; name one that touches what is measured.`)
    const now = this.#clock.now()
    const { tried, setting } = await compareEmissivity(this.#store, infrared, contact, now, ask.minutes, this.#speech)
    if (!ask.apply || setting === null) return { tried, revision: null }
    const { revision } = await this.#answer.setUp((foundry) =>
      changed(foundry, id, (instrument) => ({ ...instrument, infrared: { ...instrument.infrared, ...setting } })),
    )
    return { tried: { ...tried, sentence: `${tried.sentence} It is set now.` }, revision }
  }
}

/** The document with one instrument changed. */
function changed(foundry: Foundry, id: string, by: (instrument: Instrument) => unknown): unknown {
  return { ...foundry, instruments: foundry.instruments.map((i) => (i.id === id ? by(i) : i)) }
}
