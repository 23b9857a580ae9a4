/** What a look back looks at, as it stands in the address of the page, so that a link can be sent. Pure. */
import { seriesId, type SeriesId, splitSeriesId, type Station } from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'
import type { Span } from '../chart/grid.ts'

/** Lines in one look. Reason: more than six cannot be told apart by tone and dash. */
export const linesMax = 6

/** What it is laid over: a time before it, or another run of the station, by its id. */
export type With = 'nothing' | 'week' | 'month' | 'year' | { run: string }

export interface LookedAt {
  /** Empty where none is named: then a station's own are meant. */
  series: readonly SeriesId[]
  station: string | null
  span: Span | null
  with: With
}

/** The year 2100: a number beyond is no instant of this house. */
const instantMax = 4_102_444_800_000

function instantOf(text: string | null): EpochMs | null {
  const at = text === null || text === '' ? Number.NaN : Number(text)
  return Number.isFinite(at) && at >= 0 && at <= instantMax ? Math.round(at) : null
}

export function lookedAt(search: string): LookedAt {
  const asked = new URLSearchParams(search)
  const named = (asked.get('series') ?? '').split(',').filter((id) => splitSeriesId(id) !== null)
  const [from, to] = [instantOf(asked.get('from')), instantOf(asked.get('to'))]
  const over = asked.get('with') ?? ''
  return {
    series: [...new Set(named)].slice(0, linesMax),
    station: asked.get('station'),
    span: from !== null && to !== null && from < to ? { from, to } : null,
    with: over.startsWith('run:')
      ? { run: over.slice(4) }
      : over === 'week' || over === 'month' || over === 'year'
        ? over
        : 'nothing',
  }
}

export function searchOf({ series, station, span, with: over }: LookedAt): string {
  const told = new URLSearchParams()
  if (series.length > 0) told.set('series', series.join(','))
  else if (station !== null) told.set('station', station)
  if (span) {
    told.set('from', String(span.from))
    told.set('to', String(span.to))
  }
  if (over !== 'nothing') told.set('with', typeof over === 'string' ? over : `run:${over.run}`)
  const text = told.toString().replaceAll('%2C', ',').replaceAll('%3A', ':')
  return text === '' ? '?' : `?${text}`
}

interface Instruments {
  instruments: readonly { id: string; station: string }[]
  stations: readonly Station[]
}

/** A station's own series, the leading one first; temperatures before humidity, and nothing that is only a step on the way to one. */
export function seriesOfStation(station: Station, foundry: Instruments, heard: Iterable<SeriesId>): SeriesId[] {
  const known = new Set(heard)
  const leads = (id: string) => (id === station.leading ? 0 : 1)
  const here = foundry.instruments.filter((one) => one.station === station.id).sort((a, b) => leads(a.id) - leads(b.id))
  const of = (quantity: 'temperature' | 'humidity') =>
    here.map((one) => seriesId(one.id, quantity)).filter((id) => known.has(id))
  const [temperatures, humidities] = [of('temperature'), of('humidity')]
  return [...temperatures.slice(0, linesMax - Math.min(humidities.length, 2)), ...humidities].slice(0, linesMax)
}

/** A span of this length: up to now where the old one reached there, else around its middle. */
export function spanAround(old: Span | null, lengthMs: number, now: EpochMs): Span {
  if (old === null || old.to >= now) return { from: now - lengthMs, to: now }
  const to = Math.min(now, Math.round((old.from + old.to) / 2 + lengthMs / 2))
  return { from: to - lengthMs, to }
}
