/** The way out: replay by arrival, and readings of one series by measurement, piece by piece. */
import type { Database } from 'better-sqlite3'
import type { Entry, EntryOf, SeriesId } from '../../../shared/contract/index.ts'
import type { EpochMs } from '../../../shared/time.ts'
import type { NoteKind } from '../sameness.ts'
import { decodeBlock } from '../sealed/decode.ts'
import type { Columns, SeriesSummary } from '../store.ts'
import { ByArrival, entryOf } from './by-arrival.ts'
import { ByTime } from './by-time.ts'
import type { OpenRows } from './columns.ts'
import type { Damage } from './damage.ts'
import type { SeriesNames } from './series-names.ts'
import type { Shelf } from './shelf.ts'

export class Reader {
  readonly #names: SeriesNames
  readonly #shelf: Shelf
  readonly #damage: Damage
  readonly #open: OpenRows
  readonly #byArrival: ByArrival
  readonly #byTime: ByTime
  readonly #statements

  constructor(db: Database, names: SeriesNames, shelf: Shelf, open: OpenRows, damage: Damage) {
    this.#names = names
    this.#shelf = shelf
    this.#damage = damage
    this.#open = open
    this.#byArrival = new ByArrival(db, names, shelf, damage)
    this.#byTime = new ByTime(shelf, open)
    this.#statements = statements(db)
  }

  /** After a sealing: what was remembered of blocks may no longer be so. */
  forget(): void {
    this.#byArrival.forget()
  }

  /** The greatest seq ever given, also to what has been pruned since. */
  head(): number {
    return Math.max(this.#byArrival.newestOpenSeq(), this.#shelf.tally().head, this.#statements.noteHead.get() ?? 0)
  }

  journal(after: number, limit: number): Entry[] {
    const notes = this.#statements.notesAfter.all(after, limit)
    const readings = this.#byArrival.after(after, limit)
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

  newest<K extends NoteKind>(kind: K, limit: number, before: number): EntryOf<K>[] {
    return this.#statements.newest.all(kind, before, limit).map((note) => noteOf(note) as EntryOf<K>)
  }

  count(kind: NoteKind): number {
    return (this.#statements.count.get(kind) ?? 0) + (this.#statements.prunedOf.get(kind) ?? 0)
  }

  piece(series: SeriesId, from: EpochMs, to: EpochMs, rowsMax: number): Columns | null {
    const id = this.#names.idOf(series)
    return id === undefined ? null : this.#byTime.piece(id, from, to, rowsMax)
  }

  /** A series whose first or last block cannot be read is told by what can. */
  summaries(): SeriesSummary[] {
    const summaries: SeriesSummary[] = []
    for (let id = this.#names.idAfter(0); id !== null; id = this.#names.idAfter(id)) {
      const firstRow = this.#open.firstFrom(id, Number.NEGATIVE_INFINITY)
      const newest = this.#newestOf(id)
      // A series may have had only what was let go.
      if (newest === null) continue
      const first = Math.min(
        firstRow ?? Number.POSITIVE_INFINITY,
        this.#damage.or(null, () => this.#shelf.oldestOf(id))?.from ?? Number.POSITIVE_INFINITY,
      )
      const { kind: _, at: arrivedAt, ...reading } = newest
      summaries.push({ series: newest.series, first, newest: { ...reading, arrivedAt } })
    }
    return summaries
  }

  #newestOf(id: number): EntryOf<'reading'> | null {
    const name = this.#names.nameOf(id)
    const row = this.#open.newest(id)
    const header = this.#damage.or(null, () => this.#shelf.newestOf(id))
    if (header === null || (row !== null && (row.t[0] as number) > header.to))
      return row === null ? null : entryOf(name, row, 0)
    return this.#damage.or(row === null ? null : entryOf(name, row, 0), () => {
      const { course, arrival } = this.#shelf.block(header.id)
      const columns = decodeBlock(course, arrival)
      return entryOf(name, columns, columns.t.length - 1)
    })
  }

  /** Readings of a series in blocks. */
  sealedOf(series: SeriesId): number {
    const id = this.#names.idOf(series)
    return id === undefined ? 0 : (this.#statements.sealed.get(id) ?? 0)
  }

  /** Counts rows on from an instant over at most `rowsMax` with seq ≤ `head`; `last` is null when there are no more. */
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

function noteOf(note: { seq: number; body: string }): Entry {
  return { ...JSON.parse(note.body), seq: note.seq } as Entry
}

function statements(db: Database) {
  return {
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
    sealed: db.prepare<[number], number>('SELECT sealed FROM series WHERE id = ?').pluck(),
    countPiece: db
      .prepare<[number, number, number, number]>(
        `SELECT sum(seq <= ?), max(measured_at)
         FROM (SELECT seq, measured_at FROM reading WHERE series = ? AND measured_at > ? ORDER BY measured_at LIMIT ?)`,
      )
      .raw(),
  }
}
