/** Nearly three invented years of the invented foundry: every series at ten minutes, with a spike of one reading, days unseen and a beginning. */
import { periodEdges } from '../../gateway/zone.ts'
import {
  type ChartRows,
  type ChartsHead,
  encodeCharts,
  type SumsBody,
  type SumsBy,
  splitSeriesId,
  unitOf,
} from '../../shared/contract/index.ts'
import { m4 } from '../../shared/series/decimate.ts'
import { sums } from '../../shared/series/sums.ts'
import { dayMs, hourMs, minuteMs } from '../../shared/time.ts'
import { fakeFoundry, fakeNow } from './fake-foundry.ts'

/** In Brussels an hour later: the night of Wednesday 12 March 2031. */
export const fakeSpike = { series: 'd1-a.temperature', at: Date.UTC(2031, 2, 12, 2, 10), value: 31.4 }
export const fakeBeginning = Date.UTC(2029, 1, 1)
/** Nobody heard anything then. */
export const fakeUnseen = { from: Date.UTC(2031, 5, 10), to: Date.UTC(2031, 5, 14) }

const stepMs = 10 * minuteMs
const silenceMs = 30 * minuteMs

interface Past {
  t: Float64Array
  v: Float64Array
  quality: Uint8Array
}
const kept = new Map<string, Past>()

function courseOf(instrument: string, quantity: string, at: number, noise: number): number {
  const season = Math.cos((2 * Math.PI * (at - Date.UTC(2031, 6, 20))) / (365 * dayMs))
  const hour = (at / hourMs + 1) % 24
  const weekday = Math.floor(at / dayMs + 3) % 7
  const warmth = Math.sin((2 * Math.PI * (hour - 9)) / 24)
  if (quantity === 'humidity') return (instrument === 'd1-a' ? 60 : 45) + 2 * season + warmth + 0.8 * noise
  const works = weekday < 5 && hour >= 7 && hour < 17
  if (instrument.startsWith('w')) return works ? 112 - 3 * (hour - 7) + noise : 22 + 4 * season + 0.2 * noise
  if (instrument.startsWith('k')) {
    const since = ((at / hourMs) % 168) - 20
    return since < 0 || since > 60
      ? 24 + 5 * season + noise
      : Math.min(700, 25 + since * 28, 700 - (since - 40) * 30) + 2 * noise
  }
  const base = instrument === 'store' ? 20.5 : instrument === 'b1' ? 78 : 22
  return base + 0.7 * season + 0.3 * warmth + 0.35 * noise
}

function pastOf(series: string): Past {
  const known = kept.get(series)
  if (known) return known
  const { instrument, quantity } = splitSeriesId(series) ?? { instrument: series, quantity: 'temperature' }
  const t: number[] = []
  const v: number[] = []
  let seed = [...series].reduce((sum, letter) => (sum * 31 + letter.charCodeAt(0)) >>> 0, 7)
  for (let at = fakeBeginning; at <= fakeNow; at += stepMs) {
    seed = (Math.imul(seed, 1_664_525) + 1_013_904_223) >>> 0
    if (at >= fakeUnseen.from && at < fakeUnseen.to) continue
    const isSpike = series === fakeSpike.series && at === fakeSpike.at
    t.push(at)
    v.push(isSpike ? fakeSpike.value : Math.round(10 * courseOf(instrument, quantity, at, seed / 2 ** 31 - 1)) / 10)
  }
  const past = { t: Float64Array.from(t), v: Float64Array.from(v), quality: new Uint8Array(t.length) }
  kept.set(series, past)
  return past
}

/** The readings of a span and their neighbours, without a copy. */
function around(series: string, from: number, to: number): Past {
  const { t, v, quality } = pastOf(series)
  const place = (at: number) => {
    let low = 0
    let high = t.length
    while (low < high) {
      const middle = (low + high) >> 1
      if ((t[middle] as number) < at) low = middle + 1
      else high = middle
    }
    return low
  }
  const [first, end] = [Math.max(0, place(from) - 1), place(to) + 1]
  return { t: t.subarray(first, end), v: v.subarray(first, end), quality: quality.subarray(first, end) }
}

const numberOf = (url: URL, name: string) => Number(url.searchParams.get(name))

export function fakeCharts(url: URL): Uint8Array {
  const [from, to, columns] = ['from', 'to', 'width'].map((name) => numberOf(url, name)) as [number, number, number]
  const rows: ChartRows[] = []
  const charts: ChartsHead['charts'] = url.searchParams.getAll('series').map((series) => {
    const thin = m4(from, to, columns, silenceMs)
    thin.add(around(series, from, to))
    const { t, v, readings } = thin.finishColumns()
    rows.push({ t: Float64Array.from(t), v: Float64Array.from(v) })
    return { series, silenceMs, readings, points: t.length }
  })
  return encodeCharts({ from, to, columns, seq: 1_000, charts }, rows)
}

export function fakeSums(url: URL): SumsBody {
  const series = decodeURIComponent(url.pathname.split('/')[4] ?? '')
  const { timeZone } = fakeFoundry.site
  const [from, to] = [numberOf(url, 'from'), numberOf(url, 'to')]
  const by = (url.searchParams.get('by') ?? 'span') as SumsBy
  const edges = by === 'span' ? [from, to] : periodEdges(timeZone, by, from, to, 5_000)
  const band = {
    ...(url.searchParams.has('low') && { low: numberOf(url, 'low') }),
    ...(url.searchParams.has('high') && { high: numberOf(url, 'high') }),
  }
  const hasBand = Object.keys(band).length > 0
  const fold = sums(edges, silenceMs, hasBand ? { band: { from: band.low ?? null, to: band.high ?? null } } : {})
  fold.add(around(series, edges[0] as number, edges.at(-1) as number))
  const unit = unitOf[splitSeriesId(series)?.quantity ?? 'temperature']
  return { series, unit, by, timeZone, ...(hasBand && { band }), items: fold.finish() }
}

export function fakeSeries(): { items: unknown[] } {
  const quantities = (kind: string) => (kind === 'climate' ? ['temperature', 'humidity'] : ['temperature'])
  return {
    items: fakeFoundry.instruments
      .filter((one) => one.kind !== 'contact')
      .flatMap((one) => quantities(one.kind).map((quantity) => `${one.id}.${quantity}`))
      .map((series) => ({ series, unit: '', first: fakeBeginning, newest: { measuredAt: fakeNow, value: 20 } })),
  }
}

/** Two dryings of one room, a year apart. */
export function fakeRuns(station: string | null): { items: unknown[] } {
  const run = (id: string, piece: string, startedAt: number, hours: number) => ({
    id,
    declaration: { kind: 'drying', station: 'D1', recipe: 'backup', piece },
    startedAt,
    endedAt: startedAt + hours * hourMs,
  })
  const all = [
    run('r-new', 'Seven shells', Date.UTC(2031, 10, 12, 8), 30),
    run('r-old', 'Five shells', Date.UTC(2030, 10, 13, 9), 26),
  ]
  return { items: station === 'D1' ? all : [] }
}
