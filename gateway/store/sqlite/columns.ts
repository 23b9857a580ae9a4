/** Rows and blocks as the same columns: taken from the database, merged by time, cut. */
import type { Database } from 'better-sqlite3'
import type { EpochMs } from '../../../shared/time.ts'
import type { BlockColumns } from '../sealed/block.ts'

export type Row = [
  measuredAt: number,
  value: number,
  quality: number,
  arrivedAt: number,
  seq: number,
  reason: number | null,
  claimedAt: number | null,
]

/** What a chart or a sum needs of readings. */
export type CourseColumns = Pick<BlockColumns, 't' | 'v' | 'quality'>

/** The open tail: rows of one series from ≤ t < to, rising, at most so many. */
export class OpenRows {
  readonly #rows
  readonly #courses
  readonly #first
  readonly #newest

  constructor(db: Database) {
    this.#rows = db
      .prepare<[number, EpochMs, EpochMs, number], Row>(
        `SELECT measured_at, value, quality, arrived_at, seq, reason, claimed_at FROM reading
         WHERE series = ? AND measured_at >= ? AND measured_at < ? ORDER BY measured_at LIMIT ?`,
      )
      .raw()
    this.#courses = db
      .prepare<[number, EpochMs, EpochMs, number], [number, number, number]>(
        `SELECT measured_at, value, quality FROM reading
         WHERE series = ? AND measured_at >= ? AND measured_at < ? ORDER BY measured_at LIMIT ?`,
      )
      .raw()
    this.#first = db
      .prepare<[number, EpochMs], EpochMs>(
        'SELECT measured_at FROM reading WHERE series = ? AND measured_at >= ? ORDER BY measured_at LIMIT 1',
      )
      .pluck()
    this.#newest = db
      .prepare<[number], Row>(
        `SELECT measured_at, value, quality, arrived_at, seq, reason, claimed_at FROM reading
         WHERE series = ? ORDER BY measured_at DESC LIMIT 1`,
      )
      .raw()
  }

  /** The row measured last, as columns of one. */
  newest(series: number): BlockColumns | null {
    const row = this.#newest.get(series)
    return row === undefined ? null : columnsOf([row])
  }

  take(series: number, from: EpochMs, to: EpochMs, rowsMax: number): BlockColumns | null {
    const rows = this.#rows.all(series, from, to, rowsMax)
    return rows.length === 0 ? null : columnsOf(rows)
  }

  /** The same without what only a replay needs. */
  course(series: number, from: EpochMs, to: EpochMs, rowsMax: number): CourseColumns | null {
    const rows = this.#courses.all(series, from, to, rowsMax)
    if (rows.length === 0) return null
    const course = {
      t: new Float64Array(rows.length),
      v: new Float64Array(rows.length),
      quality: new Uint8Array(rows.length),
    }
    for (let i = 0; i < rows.length; i++) {
      const row = rows[i] as [number, number, number]
      course.t[i] = row[0]
      course.v[i] = row[1]
      course.quality[i] = row[2]
    }
    return course
  }

  /** The first instant of a row from this one on. */
  firstFrom(series: number, from: EpochMs): EpochMs | null {
    return this.#first.get(series, from) ?? null
  }
}

export function emptyColumns(length: number): BlockColumns {
  return {
    t: new Float64Array(length),
    v: new Float64Array(length),
    quality: new Uint8Array(length),
    arrivedAt: new Float64Array(length),
    seq: new Float64Array(length),
    reason: new Int8Array(length),
    claimedAt: new Float64Array(length),
  }
}

export function columnsOf(rows: readonly Row[]): BlockColumns {
  const columns = emptyColumns(rows.length)
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i] as Row
    columns.t[i] = row[0]
    columns.v[i] = row[1]
    columns.quality[i] = row[2]
    columns.arrivedAt[i] = row[3]
    columns.seq[i] = row[4]
    columns.reason[i] = row[5] ?? -1
    columns.claimedAt[i] = row[6] ?? Number.NaN
  }
  return columns
}

/** Places from ≤ i < to. Shares the bytes. */
export function cut(columns: BlockColumns, from: number, to: number): BlockColumns {
  return {
    t: columns.t.subarray(from, to),
    v: columns.v.subarray(from, to),
    quality: columns.quality.subarray(from, to),
    arrivedAt: columns.arrivedAt.subarray(from, to),
    seq: columns.seq.subarray(from, to),
    reason: columns.reason.subarray(from, to),
    claimedAt: columns.claimedAt.subarray(from, to),
  }
}

/** Both in one, rising by time. They have no instant in common. */
export function merged(a: BlockColumns, b: BlockColumns): BlockColumns {
  const all = emptyColumns(a.t.length + b.t.length)
  for (let i = 0, j = 0, to = 0; to < all.t.length; to++) {
    const fromA = j >= b.t.length || (i < a.t.length && (a.t[i] as number) < (b.t[j] as number))
    if (fromA) copy(a, i++, all, to)
    else copy(b, j++, all, to)
  }
  return all
}

function copy(from: BlockColumns, i: number, to: BlockColumns, j: number): void {
  to.t[j] = from.t[i] as number
  to.v[j] = from.v[i] as number
  to.quality[j] = from.quality[i] as number
  to.arrivedAt[j] = from.arrivedAt[i] as number
  to.seq[j] = from.seq[i] as number
  to.reason[j] = from.reason[i] as number
  to.claimedAt[j] = from.claimedAt[i] as number
}

/** Index of the first of these rising numbers that is at least `t`. */
export function placeOf(rising: ArrayLike<number>, t: number): number {
  let low = 0
  let high = rising.length
  while (low < high) {
    const middle = (low + high) >>> 1
    if ((rising[middle] as number) < t) low = middle + 1
    else high = middle
  }
  return low
}
