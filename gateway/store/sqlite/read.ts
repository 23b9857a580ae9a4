/** The way out: replay by arrival, and readings of one series by measurement, piece by piece. */
import type { Database } from 'better-sqlite3'
import type { Entry, EntryOf, Quality, QualityReason, SeriesId } from '../../../shared/contract/index.ts'
import { qualities, qualityReasons } from '../../../shared/contract/index.ts'
import type { EpochMs } from '../../../shared/time.ts'
import type { NoteKind } from '../sameness.ts'
import type { Columns, SeriesSummary, StoredReading } from '../store.ts'
import { type Delivery, DeliveryReader } from './delivery.ts'
import type { SeriesNames } from './series-names.ts'

type Row = [
  measuredAt: number,
  seq: number,
  arrivedAt: number,
  value: number,
  quality: number,
  reason: number | null,
  claimedAt: number | null,
]
type ColumnRow = [t: number, v: number, quality: number, arrivedAt: number, seq: number]

const cells = 'measured_at, seq, arrived_at, value, quality, reason, claimed_at'

export class Reader {
  readonly #names: SeriesNames
  readonly #deliveries: DeliveryReader
  readonly #statements

  constructor(db: Database, names: SeriesNames) {
    this.#names = names
    this.#deliveries = new DeliveryReader(db)
    this.#statements = statements(db)
  }

  /** The greatest seq ever given, also to what has been pruned since. */
  head(): number {
    const last = this.#deliveries.holding(Number.MAX_SAFE_INTEGER)
    const series = last?.series.at(-1)
    const instant = last?.instants.at(-1)
    const readingSeq = series === undefined || instant === undefined ? 0 : this.#row(series, instant)[1]
    return Math.max(readingSeq, this.#statements.noteHead.get() ?? 0)
  }

  journal(after: number, limit: number): Entry[] {
    const notes = this.#statements.notesAfter.all(after, limit)
    const readings = this.#readingsAfter(after, limit)
    if (notes.length === 0) return readings
    const entries: Entry[] = []
    for (let r = 0, n = 0; entries.length < limit; ) {
      const reading = readings[r]
      const note = notes[n]
      if (reading !== undefined && (note === undefined || reading.seq < note.seq)) {
        entries.push(reading)
        r++
      } else if (note !== undefined) {
        entries.push(noteOf(note))
        n++
      } else break
    }
    return entries
  }

  #readingsAfter(after: number, limit: number): EntryOf<'reading'>[] {
    const entries: EntryOf<'reading'>[] = []
    let delivery = this.#deliveries.holding(after + 1)
    let place = delivery === null ? 0 : this.#placeAfter(delivery, after)
    while (delivery !== null && entries.length < limit) {
      const series = delivery.series[place]
      const instant = delivery.instants[place]
      if (series === undefined || instant === undefined) {
        delivery = this.#deliveries.from(delivery.firstSeq + 1)
        place = 0
        continue
      }
      entries.push(entryOf(this.#names.nameOf(series), this.#row(series, instant)))
      place++
    }
    return entries
  }

  /** Index of the first reading of a delivery with seq > after. */
  #placeAfter(delivery: Delivery, after: number): number {
    let low = 0
    let high = delivery.series.length
    while (low < high) {
      const middle = (low + high) >>> 1
      if (this.#row(delivery.series[middle] ?? 0, delivery.instants[middle] ?? 0)[1] <= after) low = middle + 1
      else high = middle
    }
    return low
  }

  #row(series: number, instant: EpochMs): Row {
    const row = this.#statements.reading.get(series, instant) as Row | undefined
    if (row === undefined)
      throw new Error(`The database lacks a reading of series ${series} at ${instant} that it says was delivered.`)
    return row
  }

  newest<K extends NoteKind>(kind: K, limit: number, before: number): EntryOf<K>[] {
    return this.#statements.newest.all(kind, before, limit).map((note) => noteOf(note) as EntryOf<K>)
  }

  count(kind: NoteKind): number {
    return (this.#statements.count.get(kind) ?? 0) + (this.#statements.prunedOf.get(kind) ?? 0)
  }

  piece(series: SeriesId, from: EpochMs, to: EpochMs, rowsMax: number): Columns | null {
    const id = this.#names.idOf(series)
    if (id === undefined) return null
    const rows = this.#statements.piece.all(id, from, to, rowsMax) as ColumnRow[]
    return rows.length === 0 ? null : columnsOf(rows)
  }

  summaries(): SeriesSummary[] {
    return (this.#statements.summaries.all() as [string, number, ...Row][]).map(([series, first, ...row]) => ({
      series,
      first,
      newest: readingOf(series, row),
    }))
  }

  /** Counts on from an instant over at most `rowsMax` readings with seq ≤ `head`; `last` is null when there are no more. */
  countPiece(
    series: SeriesId,
    after: EpochMs,
    head: number,
    rowsMax: number,
  ): { readings: number; last: EpochMs | null } {
    const id = this.#names.idOf(series)
    if (id === undefined) return { readings: 0, last: null }
    const [readings, last] = this.#statements.countPiece.get(head, id, after, rowsMax) as [number | null, number | null]
    return { readings: readings ?? 0, last }
  }
}

function entryOf(series: SeriesId, row: Row): EntryOf<'reading'> {
  const [measuredAt, seq, at, value, quality, reason, claimedAt] = row
  const entry: EntryOf<'reading'> = {
    kind: 'reading',
    at,
    series,
    measuredAt,
    value,
    quality: qualities[quality] as Quality,
    seq,
  }
  if (reason !== null) entry.reason = qualityReasons[reason] as QualityReason
  if (claimedAt !== null) entry.claimedAt = claimedAt
  return entry
}

function readingOf(series: SeriesId, row: Row): StoredReading {
  const { kind: _, at: arrivedAt, ...reading } = entryOf(series, row)
  return { ...reading, arrivedAt }
}

function noteOf(note: { seq: number; body: string }): Entry {
  return { ...JSON.parse(note.body), seq: note.seq } as Entry
}

function columnsOf(rows: readonly ColumnRow[]): Columns {
  const columns: Columns = {
    t: new Float64Array(rows.length),
    v: new Float64Array(rows.length),
    quality: new Uint8Array(rows.length),
    arrivedAt: new Float64Array(rows.length),
    seq: new Float64Array(rows.length),
  }
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i] as ColumnRow
    columns.t[i] = row[0]
    columns.v[i] = row[1]
    columns.quality[i] = row[2]
    columns.arrivedAt[i] = row[3]
    columns.seq[i] = row[4]
  }
  return columns
}

function statements(db: Database) {
  return {
    reading: db.prepare<[number, number]>(`SELECT ${cells} FROM reading WHERE series = ? AND measured_at = ?`).raw(),
    noteHead: db
      .prepare<[], number | null>(
        'SELECT max(ifnull((SELECT max(seq) FROM note), 0), ifnull((SELECT max(newest_seq) FROM pruned), 0))',
      )
      .pluck(),
    notesAfter: db.prepare<[number, number], { seq: number; body: string }>(
      'SELECT seq, body FROM note WHERE seq > ? ORDER BY seq LIMIT ?',
    ),
    newest: db.prepare<[string, number, number], { seq: number; body: string }>(
      'SELECT seq, body FROM note WHERE kind = ? AND seq < ? ORDER BY seq DESC LIMIT ?',
    ),
    count: db.prepare<[string], number>('SELECT count(*) FROM note WHERE kind = ?').pluck(),
    prunedOf: db.prepare<[string], number>('SELECT entries FROM pruned WHERE kind = ?').pluck(),
    piece: db
      .prepare<[number, number, number, number]>(
        `SELECT measured_at, value, quality, arrived_at, seq FROM reading
         WHERE series = ? AND measured_at >= ? AND measured_at < ? ORDER BY measured_at LIMIT ?`,
      )
      .raw(),
    summaries: db
      .prepare(
        `SELECT series.name, (SELECT min(measured_at) FROM reading WHERE reading.series = series.id), ${cells}
         FROM series JOIN reading ON reading.series = series.id
           AND measured_at = (SELECT max(measured_at) FROM reading WHERE reading.series = series.id)
         ORDER BY series.id`,
      )
      .raw(),
    countPiece: db
      .prepare<[number, number, number, number]>(
        `SELECT sum(seq <= ?), max(measured_at)
         FROM (SELECT seq, measured_at FROM reading WHERE series = ? AND measured_at > ? ORDER BY measured_at LIMIT ?)`,
      )
      .raw(),
  }
}
