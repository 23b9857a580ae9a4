/** Thins a series to what a chart of so many pixel columns can show, without changing one pixel of its line, and with its holes kept. */
import type { DurationMs, EpochMs } from '../time.ts'
import { badQuality, type Point, type SeriesPiece, type Strand, type Stretch } from './columns.ts'
import { Rows } from './rows.ts'
import { PieceStrand, seenUntil } from './strand.ts'
import { Growing, type Stroke, telling } from './strokes.ts'

/** Rows of a chart. A null stands where nothing may be drawn across. */
export interface Thinned {
  t: number[]
  v: (number | null)[]
  /** Readings within the span that these rows stand for, the bad ones included. */
  readings: number
}

/** The same in arrays of numbers: NaN instead of null. */
export interface ThinnedColumns {
  t: Float64Array
  v: Float64Array
  readings: number
}

/**
 * Where a series is broken into many strokes within one pixel column, those are left out whose pixels the others cover anyway. No pixel
 * changes by that on a chart up to so many pixel rows high that shows the whole range of the span's values; a chart that is higher, or
 * shows a part of the range enlarged, may miss a dot between two others there. A column is left with at most 2 × (this + 2) strokes.
 */
export const exactRowsMax = 1_000

/** Values closer than this share of the range lie in the same or in neighbouring rows of such a chart, a rounding included. */
const slackShare = 1 / (exactRowsMax + 1)

/** So many strokes wait within a column before those that are not needed are let go of. */
const waitingMax = 8 * exactRowsMax

/** A stroke that a hole ended, and an instant within that hole. */
type Ended = Stroke & { holeAt: EpochMs }

/**
 * M4 (Jugel, Jerzak, Hackenbroich, Markl, "M4: A Visualization-Oriented Time Series Data Aggregation", PVLDB 7(10), 2014): of each pixel
 * column the first, the lowest, the highest and the last point, in order of time. Within a column the line covers all from lowest to
 * highest, between columns only last to first is drawn, so the picture is the same when the chart has these columns and this span.
 *
 * What is added may reach beyond the span: the nearest good reading on either side is kept where the line runs on to it, so that it
 * enters and leaves at the edge. In whichever form readings are added, the result is that of adding each.
 */
export class M4 {
  readonly #from: EpochMs
  readonly #to: EpochMs
  readonly #columns: number
  readonly #silenceMs: DurationMs
  readonly #rows = new Rows()
  #readings = 0
  /** The pixel column of what follows: −1 before the span, the number of columns after it. */
  #column = -1
  #ended: Ended[] = []
  /** The line since the last hole or column edge. */
  readonly #stroke = new Growing()
  /** The first bad reading since the last good one. */
  #brokenAt: EpochMs | null = null
  #isPast = false
  /** Range of all strokes in the span that came to their end. */
  #lowest = Number.POSITIVE_INFINITY
  #highest = Number.NEGATIVE_INFINITY

  constructor(from: EpochMs, to: EpochMs, columns: number, silenceMs: DurationMs) {
    if (!(from < to) || !(columns >= 1))
      throw new RangeError(`A chart needs a span and columns; it has ${from} to ${to} in ${columns}.`)
    this.#from = from
    this.#to = to
    this.#columns = columns
    this.#silenceMs = silenceMs
  }

  add(piece: SeriesPiece): void {
    for (let i = 0; i < piece.t.length && !this.#isPast; ) {
      if (piece.quality[i] === badQuality) this.#addBad(piece.t[i++] as number)
      else {
        const end = seenUntil(piece, i, this.#silenceMs)
        this.#walk(new PieceStrand(piece, i, end, this.#silenceMs), 0, end - i)
        i = end
      }
    }
  }

  /** False, and nothing changed, where these few points do not say enough: across columns or an edge of the span, or with a hole within. */
  addStretch(stretch: Stretch): boolean {
    const column = this.#columnOf(stretch.first.t)
    if (column < 0 || column >= this.#columns || this.#columnOf(stretch.last.t) !== column) return false
    if (stretch.longestGapMs > this.#silenceMs) return false
    this.#readings += stretch.readings
    if (this.#isTaken(column, stretch.first.t)) this.#stroke.addStretch(stretch)
    return true
  }

  /** The readings from ≤ index < to of a strand. False, and nothing changed, where there may be a hole within. */
  addStrand(strand: Strand, from = 0, to = strand.length): boolean {
    if (strand.longestGapMs > this.#silenceMs) return false
    this.#walk(strand, from, to)
    return true
  }

  finish(): Thinned {
    const { t, v, readings } = this.finishColumns()
    return { t: [...t], v: Array.from(v, (value) => (Number.isNaN(value) ? null : value)), readings }
  }

  finishColumns(): ThinnedColumns {
    // A line that has not entered the span is none.
    if (this.#column >= 0) this.#flush()
    this.#stroke.clear()
    return { ...this.#rows.columns(), readings: this.#readings }
  }

  #addBad(t: EpochMs): void {
    if (t >= this.#from && t < this.#to) this.#readings++
    this.#brokenAt ??= t
  }

  /** Column by column; of what lies beyond the span only the reading next to it. */
  #walk(strand: Strand, from: number, to: number): void {
    for (let i = from; i < to && !this.#isPast; ) {
      const column = this.#columnOf(strand.t(i))
      const end = column === this.#columns ? i + 1 : this.#endOf(column, strand, i, to)
      if (column >= 0 && column < this.#columns) this.#readings += end - i
      const from = column === -1 ? end - 1 : i
      if (this.#isTaken(column, strand.t(from))) this.#stroke.addPart(strand, from, end)
      i = end
    }
  }

  /** Index of the first reading beyond this column. */
  #endOf(column: number, strand: Strand, begin: number, end: number): number {
    const edge = this.#from + ((column + 1) / this.#columns) * (this.#to - this.#from)
    // Where the last one lies in the column, the others need no looking for.
    if (this.#columnOf(strand.t(end - 1)) === column) return end
    let beyond = Math.min(end, Math.max(begin + 1, strand.placeOf(edge)))
    // The edge is rounded, so the reading next to it may lie on either side.
    while (beyond < end && this.#columnOf(strand.t(beyond)) === column) beyond++
    while (beyond - 1 > begin && this.#columnOf(strand.t(beyond - 1)) !== column) beyond--
    return beyond
  }

  /** Makes room for what begins at this instant in this column: ends the stroke before it where it must. False where it is of no use. */
  #isTaken(column: number, t: EpochMs): boolean {
    const stroke = this.#stroke
    const isFirst = stroke.isEmpty
    const isHole = !isFirst && (this.#brokenAt !== null || t - stroke.lastT > this.#silenceMs)
    this.#isPast = column === this.#columns
    // Beyond the span only the end of a line that comes out of it is of use.
    if (this.#isPast && (isFirst || isHole)) return false
    // Of what lies before the span only the last is of use, and not even that where a hole follows it.
    if (this.#column === -1 && (column === -1 || isHole)) stroke.clear()
    else if (!isFirst && (column !== this.#column || isHole)) {
      // A time strictly between the two, so that time goes on rising.
      const holeAt = isHole ? (this.#brokenAt ?? (stroke.lastT + t) / 2) : null
      if (holeAt !== null && column === this.#column) this.#end(holeAt)
      else {
        this.#flush()
        if (holeAt !== null) this.#rows.push(holeAt, Number.NaN)
      }
      stroke.clear()
    }
    this.#column = column
    this.#brokenAt = null
    return true
  }

  /** −1 before the span, the number of columns after it; the same floor as the chart's. */
  #columnOf(t: EpochMs): number {
    if (t < this.#from) return -1
    if (t >= this.#to) return this.#columns
    return Math.min(this.#columns - 1, Math.floor(((t - this.#from) / (this.#to - this.#from)) * this.#columns))
  }

  #end(holeAt: EpochMs): void {
    const stroke = this.#stroke.stroke()
    this.#widen(stroke.lowest.v, stroke.highest.v)
    this.#ended.push({ ...stroke, holeAt })
    if (this.#ended.length > waitingMax) this.#ended = this.#needed(this.#ended)
  }

  /** The first of a column is where the line comes in. */
  #needed(strokes: readonly Ended[], last: readonly Stroke[] = []): Ended[] {
    const needed = telling([...last, ...strokes], Math.max(0, this.#highest - this.#lowest) * slackShare)
    return strokes.filter((stroke, i) => i === 0 || needed.has(stroke))
  }

  #flush(): void {
    const stroke = this.#stroke
    if (stroke.isEmpty) return
    stroke.settle()
    const { lowest, highest } = stroke
    if (this.#column >= 0 && this.#column < this.#columns) this.#widen(lowest.v, highest.v)
    if (this.#ended.length > 0) {
      for (const ended of this.#needed(this.#ended, [stroke.stroke()])) {
        this.#pushStroke(ended)
        this.#rows.push(ended.holeAt, Number.NaN)
      }
      this.#ended = []
    }
    this.#pushPoints(stroke.firstT, stroke.firstV, lowest, highest, stroke.lastT, stroke.lastV)
  }

  #widen(lowest: number, highest: number): void {
    this.#lowest = Math.min(this.#lowest, lowest)
    this.#highest = Math.max(this.#highest, highest)
  }

  #pushStroke({ first, lowest, highest, last }: Stroke): void {
    this.#pushPoints(first.t, first.v, lowest, highest, last.t, last.v)
  }

  /** At most four points, rising in time. */
  #pushPoints(firstT: EpochMs, firstV: number, lowest: Point, highest: Point, lastT: EpochMs, lastV: number): void {
    const earlier = lowest.t < highest.t ? lowest : highest
    const later = earlier === lowest ? highest : lowest
    this.#rows.push(firstT, firstV)
    if (earlier.t > firstT) this.#rows.push(earlier.t, earlier.v)
    if (later.t > earlier.t) this.#rows.push(later.t, later.v)
    if (lastT > later.t) this.#rows.push(lastT, lastV)
  }
}

/** Thins a series that comes in pieces: `add` each, then `finish`. */
export function m4(from: EpochMs, to: EpochMs, columns: number, silenceMs: DurationMs): M4 {
  return new M4(from, to, columns, silenceMs)
}
