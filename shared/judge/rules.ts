/** Rules: the foundry document laid out so that a reading finds what it must be held against in one look-up. */
import {
  type Foundry,
  type Instrument,
  type InstrumentKind,
  type Quantity,
  type Recipe,
  type SeriesId,
  type StandingLimit,
  type Station,
  backlogSlackMs,
  seriesId,
  silenceMsOf,
} from '../contract/index.ts'
import type { Interpretation } from '../physics/interpretation.ts'
import { type DurationMs, secondMs } from '../time.ts'
import { applied, type AppliedLimit } from './applied.ts'
import { examinedStation } from './examined.ts'
import type { ExaminedStation } from './examine/index.ts'
import { interpretationOf } from './meaning.ts'
import { type PotRules, potRules } from './pot-rules.ts'

/** The quantities that each kind of instrument is known by; what else it sends is kept, not judged. No limit speaks of derived ones. */
const expected: Record<InstrumentKind, readonly Quantity[]> = {
  thermocouple: ['temperature', 'emf', 'junction'],
  infrared: ['temperature'],
  climate: ['temperature', 'humidity', 'pressure', 'dew-point', 'wet-bulb'],
  'air-speed': ['air-speed'],
  contact: ['contact'],
  current: ['current'],
}

export interface SeriesRules {
  series: SeriesId
  quantity: Quantity
  /** Index of its instrument within the station. */
  instrument: number
  silenceMs: DurationMs
  /** Older than this at arrival is backlog. */
  backlogMs: DurationMs
  /** What its raw values mean; null where they mean what they say. */
  interpretation: Interpretation | null
  limits: readonly AppliedLimit[]
  /** Those of them that look at a rate. */
  rates: readonly AppliedLimit[]
  /** Whether anybody relies on it: then it is a finding when its instrument speaks of everything but this. */
  needed: boolean
}

export interface StationRules {
  station: Station
  instruments: readonly Instrument[]
  /** The same as the examiner sees them. */
  examined: ExaminedStation
  silenceMs: readonly DurationMs[]
  series: readonly SeriesRules[]
  /** Index of the temperature series that stands for the station; −1 where it has none. */
  leading: number
  /** Index of the humidity series of the same instrument, or of any; −1 where there is none. */
  leadingHumidity: number
  /** Index of the temperature series that stands for the air of a kiln; −1 where it has none. */
  air: number
  /** Of pots and bench cups. */
  pot: PotRules | null
}

export interface Rules {
  foundry: Foundry
  revision: number
  stations: readonly StationRules[]
  stationOf: ReadonlyMap<string, number>
  seriesAt: ReadonlyMap<SeriesId, { station: number; series: number }>
  instrumentAt: ReadonlyMap<string, { station: number; instrument: number }>
}

function applies(limit: StandingLimit, station: Station, instrument: Instrument, quantity: Quantity): boolean {
  const wanted = limit.kind === 'window' ? limit.quantity : 'temperature'
  if (quantity !== wanted) return false
  if (limit.instrument !== undefined) return limit.instrument === instrument.id
  // A ceiling holds for everything that measures there; a window or a rate for the instrument that stands for the station.
  return limit.kind === 'ceiling' || station.leading === undefined || station.leading === instrument.id
}

function limitsOf(station: Station, instrument: Instrument, quantity: Quantity): AppliedLimit[] {
  const series = seriesId(instrument.id, quantity)
  const seen = new Map<string, number>()
  const all: AppliedLimit[] = []
  for (const limit of station.limits) {
    if (!applies(limit, station, instrument, quantity)) continue
    const nth = (seen.get(limit.kind) ?? 0) + 1
    seen.set(limit.kind, nth)
    // Trails are kept for rates only, in their order.
    all.push(
      applied(
        limit,
        `${limit.kind}#${nth}`,
        nth === 1 ? series : `${series}#${nth}`,
        instrument.intervalS,
        (seen.get('rise') ?? 0) - 1,
      ),
    )
  }
  return all
}

/** Older than this at arrival is backlog. */
export function backlogMsOf(instrument: Instrument): DurationMs {
  return 2 * instrument.intervalS * secondMs + backlogSlackMs
}

function seriesRules(station: Station, instrument: Instrument, at: number, quantity: Quantity): SeriesRules {
  const limits = limitsOf(station, instrument, quantity)
  return {
    series: seriesId(instrument.id, quantity),
    quantity,
    instrument: at,
    silenceMs: silenceMsOf(instrument),
    backlogMs: backlogMsOf(instrument),
    interpretation: interpretationOf(instrument, quantity),
    limits,
    rates: limits.filter((l) => l.overMs > 0),
    needed: limits.length > 0,
  }
}

/** The probe that stands for a kiln's air: the leading one where it is in the air, else the first that is; else the leading one. */
function airOf(instruments: readonly Instrument[], series: readonly SeriesRules[], leading: number): number {
  const isAir = (s: SeriesRules | undefined) =>
    s?.quantity === 'temperature' && instruments[s.instrument]?.place === 'kiln-air'
  const first = series.findIndex(isAir)
  return isAir(series[leading]) || first < 0 ? leading : first
}

function stationRules(foundry: Foundry, station: Station): StationRules {
  const instruments = foundry.instruments.filter((i) => i.station === station.id)
  const series = instruments.flatMap((instrument, at) =>
    expected[instrument.kind].map((q) => seriesRules(station, instrument, at, q)),
  )
  const leads = (quantity: Quantity) => {
    const named = series.findIndex((s) => s.quantity === quantity && instruments[s.instrument]?.id === station.leading)
    return named >= 0 ? named : series.findIndex((s) => s.quantity === quantity)
  }
  const leading = leads('temperature')
  const leadingHumidity = leads('humidity')
  return {
    station,
    instruments,
    examined: examinedStation(station.kind, instruments),
    silenceMs: instruments.map(silenceMsOf),
    series: series.map((s, i) => (i === leading || i === leadingHumidity ? { ...s, needed: true } : s)),
    leading,
    leadingHumidity,
    air: airOf(instruments, series, leading),
    pot: potRules(foundry, station, instruments, series, leading),
  }
}

export function rulesOf(foundry: Foundry, revision: number): Rules {
  const stations = foundry.stations.map((station) => stationRules(foundry, station))
  const seriesAt = new Map<SeriesId, { station: number; series: number }>()
  const instrumentAt = new Map<string, { station: number; instrument: number }>()
  stations.forEach((rules, station) => {
    rules.series.forEach((s, series) => seriesAt.set(s.series, { station, series }))
    rules.instruments.forEach((i, instrument) => instrumentAt.set(i.id, { station, instrument }))
  })
  return {
    foundry,
    revision,
    stations,
    stationOf: new Map(foundry.stations.map((s, i) => [s.id, i])),
    seriesAt,
    instrumentAt,
  }
}

/** The named revision of a recipe, or its newest. */
export function recipeOf(foundry: Foundry, id: string, revision?: number): Recipe | undefined {
  const all = foundry.recipes.filter((r) => r.id === id && (revision === undefined || r.revision === revision))
  return all.reduce<Recipe | undefined>(
    (newest, r) => (newest && newest.revision >= r.revision ? newest : r),
    undefined,
  )
}
