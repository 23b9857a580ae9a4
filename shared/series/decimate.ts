/** Thins a series to what a chart of so many pixel columns can show, without changing one pixel of its line, and with its holes kept. */
import type { DurationMs, EpochMs } from '../time.ts'
import { badQuality, type SeriesPiece } from './columns.ts'

/** Rows of a chart. A null stands where nothing may be drawn across. */
export interface Thinned {
  t: number[]
  v: (number | null)[]
  /** Readings within the span that these rows stand for, the bad ones included. */
  readings: number
}

/**
 * A series broken into more stretches than this within one pixel column is drawn there as if it had no more.
 * Reason: a year of an instrument that speaks less often than its silence limit would otherwise not be thinned at all. What is given up
 * is less than a pixel wide; between columns every hole is kept.
 */
export const stretchesPerColumnMax = 4

interface Point {
  t: number
  v: number
}

/** Points of one stretch within one pixel column. */
interface Group {
  column: number
  first: Point
  lowest: Point
  highest: Point
  last: Point
}

/**
 * M4 (Jugel, Jerzak, Hackenbroich, Markl, "M4: A Visualization-Oriented Time Series Data Aggregation", PVLDB 7(10), 2014): of each pixel
 * column the first, the lowest, the highest and the last point, in order of time. Within a column the line covers all from lowest to
 * highest, between columns only last to first is drawn, so the picture is the same when the chart has these columns and this span.
 *
 * Pieces may reach beyond the span: the nearest good reading on either side is kept, so that the line enters and leaves at the edge.
 */
export class M4 {
  readonly #from: EpochMs
  readonly #to: EpochMs
  readonly #columns: number
  readonly #silenceMs: DurationMs
  readonly #thinned: Thinned = { t: [], v: [], readings: 0 }
  #group: Group | null = null
  #stretches = 1
  /** The first bad reading since the last good one. */
  #brokenAt: EpochMs | null = null
  #isPast = false

  constructor(from: EpochMs, to: EpochMs, columns: number, silenceMs: DurationMs) {
    if (!(from < to) || !(columns >= 1))
      throw new RangeError(`A chart needs a span and columns; it has ${from} to ${to} in ${columns}.`)
    this.#from = from
    this.#to = to
    this.#columns = columns
    this.#silenceMs = silenceMs
  }

  add(piece: SeriesPiece): void {
    for (let i = 0; i < piece.t.length && !this.#isPast; i++) {
      const t = piece.t[i] as number
      if (t >= this.#from && t < this.#to) this.#thinned.readings++
      if (piece.quality[i] === badQuality) this.#brokenAt ??= t
      else this.#addPoint({ t, v: piece.v[i] as number })
    }
  }

  finish(): Thinned {
    this.#flush()
    return this.#thinned
  }

  #addPoint(point: Point): void {
    const column = this.#columnOf(point.t)
    const group = this.#group
    const isHole = group !== null && (this.#brokenAt !== null || point.t - group.last.t > this.#silenceMs)
    this.#isPast = column === this.#columns
    // Beyond the span only the end of a line that comes out of it is of use.
    if (this.#isPast && (group === null || isHole)) return
    // Of what lies before the span only the last is of use, and not even that where a hole follows it.
    if (group === null || (group.column === -1 && (column === -1 || isHole))) this.#begin(column, point)
    else if (column === group.column && !(isHole && this.#stretches < stretchesPerColumnMax)) extend(group, point)
    else {
      this.#flush()
      // A time strictly between the two, so that time goes on rising.
      if (isHole) this.#push(this.#brokenAt ?? (group.last.t + point.t) / 2, null)
      this.#stretches = column === group.column ? this.#stretches + 1 : 1
      this.#begin(column, point)
    }
    this.#brokenAt = null
  }

  /** −1 before the span, the number of columns after it; the same floor as the chart's. */
  #columnOf(t: EpochMs): number {
    if (t < this.#from) return -1
    if (t >= this.#to) return this.#columns
    return Math.min(this.#columns - 1, Math.floor(((t - this.#from) / (this.#to - this.#from)) * this.#columns))
  }

  #begin(column: number, point: Point): void {
    this.#group = { column, first: point, lowest: point, highest: point, last: point }
  }

  #flush(): void {
    const group = this.#group
    this.#group = null
    if (group === null) return
    const [earlier, later] =
      group.lowest.t < group.highest.t ? [group.lowest, group.highest] : [group.highest, group.lowest]
    let pushed = Number.NEGATIVE_INFINITY
    for (const point of [group.first, earlier, later, group.last]) {
      if (point.t <= pushed) continue
      this.#push(point.t, point.v)
      pushed = point.t
    }
  }

  #push(t: number, v: number | null): void {
    this.#thinned.t.push(t)
    this.#thinned.v.push(v)
  }
}

function extend(group: Group, point: Point): void {
  if (point.v < group.lowest.v) group.lowest = point
  if (point.v > group.highest.v) group.highest = point
  group.last = point
}

/** Thins a series that comes in pieces: `add` each, then `finish`. */
export function m4(from: EpochMs, to: EpochMs, columns: number, silenceMs: DurationMs): M4 {
  return new M4(from, to, columns, silenceMs)
}
