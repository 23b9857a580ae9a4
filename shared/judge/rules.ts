/** Rules: the foundry document laid out so that a reading finds what it must be held against in one look-up. */
import {
  type CorrectionPoint,
  type Foundry,
  type Instrument,
  type InstrumentKind,
  type Quantity,
  type Recipe,
  type SeriesId,
  type StandingLimit,
  type Station,
  seriesId,
  silenceMsOf,
  backlogSlackMs,
} from '../contract/index.ts'
import type { DurationMs } from '../time.ts'

/** The quantities that each kind of instrument is judged by; what else it sends is kept and shown, not judged. */
const expected: Record<InstrumentKind, readonly Quantity[]> = {
  thermocouple: ['temperature', 'emf', 'junction'],
  infrared: ['temperature'],
  climate: ['temperature', 'humidity', 'pressure'],
  'air-speed': ['air-speed'],
  contact: ['contact'],
  current: ['current'],
}

/** One standing limit as it is applied to one series. */
export interface AppliedLimit {
  /** Stays the same while the document is edited around it. */
  key: string
  subject: string
  limit: StandingLimit
}

export interface SeriesRules {
  series: SeriesId
  quantity: Quantity
  /** Index of its instrument within the station. */
  instrument: number
  silenceMs: DurationMs
  /** Older than this at arrival is backlog. */
  backlogMs: DurationMs
  correction: readonly CorrectionPoint[] | null
  limits: readonly AppliedLimit[]
}

export interface StationRules {
  station: Station
  instruments: readonly Instrument[]
  silenceMs: readonly DurationMs[]
  series: readonly SeriesRules[]
  /** Index of the temperature series that stands for the station; −1 where it has none. */
  leading: number
  /** Index of the humidity series of the same instrument, or of any; −1 where there is none. */
  leadingHumidity: number
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
  const applied: AppliedLimit[] = []
  for (const limit of station.limits) {
    if (!applies(limit, station, instrument, quantity)) continue
    const nth = (seen.get(limit.kind) ?? 0) + 1
    seen.set(limit.kind, nth)
    applied.push({ key: `${limit.kind}#${nth}`, subject: nth === 1 ? series : `${series}#${nth}`, limit })
  }
  return applied
}

function stationRules(foundry: Foundry, station: Station): StationRules {
  const instruments = foundry.instruments.filter((i) => i.station === station.id)
  const series = instruments.flatMap((instrument, at) =>
    expected[instrument.kind].map((quantity) => ({
      series: seriesId(instrument.id, quantity),
      quantity,
      instrument: at,
      silenceMs: silenceMsOf(instrument),
      backlogMs: 2 * instrument.intervalS * 1_000 + backlogSlackMs,
      correction: quantity === 'temperature' && instrument.correction?.length ? instrument.correction : null,
      limits: limitsOf(station, instrument, quantity),
    })),
  )
  const leads = (quantity: Quantity) => {
    const named = series.findIndex(
      (s) => s.quantity === quantity && instruments[s.instrument]?.id === station.leading,
    )
    return named >= 0 ? named : series.findIndex((s) => s.quantity === quantity)
  }
  return {
    station,
    instruments,
    silenceMs: instruments.map(silenceMsOf),
    series,
    leading: leads('temperature'),
    leadingHumidity: leads('humidity'),
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
  return all.reduce<Recipe | undefined>((newest, r) => (newest && newest.revision >= r.revision ? newest : r), undefined)
}
