/** How a station stands, from worst to best, with the word for it: the order of the Floor and the colour of a mark. */
import {
  type Alarm,
  type Finding,
  type Foundry,
  type Quantity,
  quantities,
  type SeriesId,
  type SeriesView,
  type Station,
  type StationView,
  type Tier,
} from '../contract/index.ts'
import { seriesId, silenceMsOf } from '../contract/index.ts'
import { type EpochMs, secondMs } from '../time.ts'

export const standings = ['act-now', 'this-shift', 'unseen', 'tomorrow', 'normal', 'silent'] as const
export type Standing = (typeof standings)[number]

export const standingWords: Record<Standing, string> = {
  'act-now': 'Act now',
  'this-shift': 'Decide this shift',
  unseen: 'Cannot be seen',
  tomorrow: 'Read tomorrow',
  normal: 'In order',
  silent: 'Not heard yet',
}

/** A series as it is now: its newest reading with the silence limit of its instrument. */
export interface SeriesNow extends SeriesView {
  instrument: string
  quantity: Quantity
  intervalMs: number
  silenceMs: number
}

/** What is known of a station at this moment. */
export interface StationNow {
  /** The temperature that stands for the station. */
  leading: SeriesNow | null
  humidity: SeriesNow | null
  all: SeriesNow[]
}

export function stationNow(foundry: Foundry, station: Station, latest: ReadonlyMap<SeriesId, SeriesView>): StationNow {
  const mine = foundry.instruments.filter((i) => i.station === station.id)
  const heard = mine.flatMap((instrument) =>
    quantities.flatMap((quantity): SeriesNow[] => {
      const view = latest.get(seriesId(instrument.id, quantity))
      if (!view) return []
      const intervalMs = instrument.intervalS * secondMs
      return [{ ...view, instrument: instrument.id, quantity, intervalMs, silenceMs: silenceMsOf(instrument) }]
    }),
  )
  // What a bare thermocouple sends is told as the temperature that it means.
  const isRaw = (s: SeriesNow) => s.quantity === 'emf' || s.quantity === 'junction'
  const meant = new Set(heard.filter((s) => s.quantity === 'temperature').map((s) => s.instrument))
  const all = heard.filter((s) => !(isRaw(s) && meant.has(s.instrument)))
  const temperatures = all.filter((s) => s.quantity === 'temperature')
  const leads = station.leading ?? mine[0]?.id
  return {
    leading: temperatures.find((s) => s.instrument === leads) ?? temperatures[0] ?? null,
    humidity: all.find((s) => s.quantity === 'humidity') ?? null,
    all,
  }
}

export type Freshness = 'fresh' | 'waiting' | 'old'

/** Within its expected interval and some grace a value is fresh; past its silence limit it is old and must look it. */
export function freshness(series: Pick<SeriesNow, 'measuredAt' | 'intervalMs' | 'silenceMs'>, now: EpochMs): Freshness {
  const age = now - series.measuredAt
  if (age > series.silenceMs) return 'old'
  return age > 2 * series.intervalMs + 2 * secondMs ? 'waiting' : 'fresh'
}

function worstTier(findings: readonly Finding[]): Tier | null {
  for (const tier of ['act-now', 'this-shift', 'tomorrow'] as const)
    if (findings.some((f) => f.tier === tier && f.clearedAt === undefined)) return tier
  return null
}

/** An unseen station stands between what must be decided and what can wait: nobody knows how it is. */
export function standingOf(view: StationView | undefined, now: StationNow, at: EpochMs): Standing {
  const tier = worstTier(view?.findings ?? [])
  if (tier === 'act-now' || tier === 'this-shift') return tier
  if (now.all.length === 0) return 'silent'
  // What was heard just before its instrument was claimed is seen, though the judge has not yet met it.
  const saidGone = view?.unseen === true && view.findings.some((f) => f.kind === 'gone-quiet')
  if (saidGone || now.all.every((series) => freshness(series, at) === 'old')) return 'unseen'
  return tier ?? 'normal'
}

const alarmRank: Record<Alarm['state'], number> = {
  unacknowledged: 0,
  acknowledged: 1,
  'returned-unacknowledged': 2,
  normal: 3,
}
const tierRank: Record<Tier, number> = { 'act-now': 0, 'this-shift': 1, tomorrow: 2 }

/** Standing before gone, worst tier first, unseen by anybody before seen, then the oldest. */
export function byUrgency(a: Alarm, b: Alarm): number {
  const gone = (alarm: Alarm) => (alarm.state === 'returned-unacknowledged' ? 1 : 0)
  return (
    gone(a) - gone(b) ||
    tierRank[a.answer.tier] - tierRank[b.answer.tier] ||
    alarmRank[a.state] - alarmRank[b.state] ||
    a.raisedAt - b.raisedAt
  )
}
