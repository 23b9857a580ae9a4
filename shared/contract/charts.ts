/** Charts of many series as bytes, so that a browser draws from the numbers where they lie; and the body of sums over periods. */
import type { DurationMs, EpochMs } from '../time.ts'
import type { SeriesId } from './reading.ts'

/** Asked for with `Accept`; without it charts come as JSON. */
export const chartsMedia = 'application/vnd.cirewatch.charts'

export interface ChartsHead {
  from: EpochMs
  to: EpochMs
  columns: number
  /** Everything up to this seq is in it. */
  seq: number
  charts: {
    series: SeriesId
    /** Silence limit used to tell holes, ms. */
    silenceMs: DurationMs
    /** Readings behind the columns. */
    readings: number
    /** Rows that follow: so many times and as many values. */
    points: number
  }[]
}

/** Rows of one chart: times rising, and values with NaN where a hole begins. */
export interface ChartRows {
  t: Float64Array
  v: Float64Array
}

const cellBytes = Float64Array.BYTES_PER_ELEMENT

/**
 * A u32 (little endian) with the length of the JSON head, the head, padded with spaces to a multiple of 8 bytes, then for each chart its
 * times and its values as float64 (little endian). The buffer of the result is exactly as long as the result.
 */
export function encodeCharts(head: ChartsHead, rows: readonly ChartRows[]): Uint8Array<ArrayBuffer> {
  if (rows.length !== head.charts.length)
    throw new RangeError(`The head tells of ${head.charts.length} charts, and rows came of ${rows.length}.`)
  let text = JSON.stringify(head)
  let bytes = new TextEncoder().encode(text)
  text += ' '.repeat((2 * cellBytes - ((4 + bytes.length) % cellBytes)) % cellBytes)
  bytes = new TextEncoder().encode(text)
  const cells = head.charts.reduce((sum, chart) => sum + 2 * chart.points, 0)
  const buffer = new ArrayBuffer(4 + bytes.length + cells * cellBytes)
  new DataView(buffer).setUint32(0, bytes.length, true)
  new Uint8Array(buffer).set(bytes, 4)
  let offset = 4 + bytes.length
  head.charts.forEach(({ series, points }, i) => {
    const { t, v } = rows[i] as ChartRows
    if (t.length !== points || v.length !== points)
      throw new RangeError(`${series} should have ${points} rows; it has ${t.length} times and ${v.length} values.`)
    for (const column of [t, v]) {
      put(buffer, offset, column)
      offset += points * cellBytes
    }
  })
  return new Uint8Array(buffer)
}

const isLittleEndian = new Uint8Array(new Uint16Array([1]).buffer)[0] === 1

function put(buffer: ArrayBuffer, offset: number, column: Float64Array): void {
  if (isLittleEndian) return new Float64Array(buffer, offset, column.length).set(column)
  const view = new DataView(buffer)
  column.forEach((value, i) => {
    view.setFloat64(offset + i * cellBytes, value, true)
  })
}

/** Where the machine writes its numbers the same way, a view of the bytes as they came; nothing is copied. */
function take(buffer: ArrayBuffer, offset: number, points: number): Float64Array {
  if (isLittleEndian) return new Float64Array(buffer, offset, points)
  const view = new DataView(buffer)
  return Float64Array.from({ length: points }, (_, i) => view.getFloat64(offset + i * cellBytes, true))
}

function damaged(how: string): never {
  throw new Error(`The charts did not arrive whole: ${how}.`)
}

/** The inverse of `encodeCharts`. Throws one sentence where the bytes are not such charts. */
export function decodeCharts(buffer: ArrayBuffer): { head: ChartsHead; rows: ChartRows[] } {
  if (buffer.byteLength < 4) damaged('they are too short to say how long their head is')
  const length = new DataView(buffer).getUint32(0, true)
  if (4 + length > buffer.byteLength) damaged('their head is cut off')
  if ((4 + length) % cellBytes !== 0) damaged('their numbers do not begin where numbers can lie')
  const head = headOf(new Uint8Array(buffer, 4, length))
  const cells = head.charts.reduce((sum, chart) => sum + 2 * chart.points, 0)
  if (4 + length + cells * cellBytes !== buffer.byteLength)
    damaged(`their head tells of ${cells} numbers, and ${(buffer.byteLength - 4 - length) / cellBytes} came`)
  let offset = 4 + length
  const rows = head.charts.map(({ series, points }) => {
    const t = take(buffer, offset, points)
    const v = take(buffer, offset + points * cellBytes, points)
    offset += 2 * points * cellBytes
    check(series, t, v)
    return { t, v }
  })
  return { head, rows }
}

function check(series: SeriesId, t: Float64Array, v: Float64Array): void {
  let before = Number.NEGATIVE_INFINITY
  for (let i = 0; i < t.length; i++) {
    const at = t[i] as number
    if (!(at > before && at < Number.POSITIVE_INFINITY)) damaged(`the times of ${series} do not rise at row ${i}`)
    if (Math.abs(v[i] as number) === Number.POSITIVE_INFINITY) damaged(`${series} has no value at row ${i}`)
    before = at
  }
}

function headOf(bytes: Uint8Array): ChartsHead {
  let head: unknown
  try {
    head = JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes))
  } catch {
    damaged('their head cannot be read')
  }
  return isHead(head) ? head : damaged('their head lacks something')
}

/** By hand: a page that draws should not carry a schema library for one head. */
function isHead(head: unknown): head is ChartsHead {
  if (typeof head !== 'object' || head === null) return false
  const { from, to, columns, seq, charts } = head as Partial<Record<keyof ChartsHead, unknown>>
  return [from, to, columns, seq].every(Number.isFinite) && Array.isArray(charts) && charts.every(isChart)
}

function isChart(chart: unknown): boolean {
  if (typeof chart !== 'object' || chart === null) return false
  const { series, silenceMs, readings, points } = chart as Record<string, unknown>
  return (
    typeof series === 'string' && [silenceMs, readings, points].every((n) => Number.isSafeInteger(n) && Number(n) >= 0)
  )
}

/** Over which periods sums can be asked for: the span itself as one, or every whole local period that it touches. A night runs from noon to noon. */
export const sumsBy = ['span', 'hour', 'day', 'night', 'month', 'year'] as const
export type SumsBy = (typeof sumsBy)[number]

/** One extreme and when it was first reached. */
export interface SumsPoint {
  readonly t: EpochMs
  readonly v: number
}

/** What is told of one period; time is summed over what was seen. */
export interface PeriodSums {
  from: EpochMs
  to: EpochMs
  readings: number
  seenMs: DurationMs
  /** Seen time / time, 0 … 1. */
  coverage: number
  longestHoleMs: DurationMs
  /** null where nothing was seen. */
  mean: number | null
  lowest: SumsPoint | null
  highest: SumsPoint | null
  inBandMs: DurationMs
  /** Integral of the distance beyond the band, in units × minutes. */
  beyond: number
}

export interface SumsBody {
  series: SeriesId
  unit: string
  by: SumsBy
  timeZone: string
  /** The band that `inBandMs` and `beyond` are of; absent where none was asked for. */
  band?: { low?: number; high?: number }
  items: PeriodSums[]
}
