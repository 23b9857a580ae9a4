/** The way in: one batch, one transaction, one wait for the disk. The path of a plain reading is kept as short as it can be. */
import type { Database } from 'better-sqlite3'
import type { Entry, EntryOf, NewEntry } from '../../../shared/contract/index.ts'
import { qualities, qualityReasons } from '../../../shared/contract/index.ts'
import {
  checkNumbers,
  conflictOf,
  FullStretches,
  type NewNote,
  type NewReading,
  onceKey,
  unsigned,
} from '../sameness.ts'
import type { Fate } from '../store.ts'
import { DeliveryWriter } from './delivery.ts'
import type { SealedReadings } from './sealed-readings.ts'
import type { SeriesNames } from './series-names.ts'

type Cell = number | null

const duplicate: Fate = { is: 'duplicate' }

export class Appender {
  #head: number
  #unreadables: number
  readonly #unreadableKeptMax: number
  readonly #names: SeriesNames
  readonly #sealed: SealedReadings
  readonly #delivery: DeliveryWriter
  readonly #full = new FullStretches()
  /** Series of which a claim was ever kept; one that was rolled back only costs a look. */
  readonly #claimers: Set<number>
  readonly #statements
  readonly #commit

  constructor(db: Database, names: SeriesNames, sealed: SealedReadings, head: number, unreadableKeptMax: number) {
    this.#names = names
    this.#sealed = sealed
    this.#head = head
    this.#unreadableKeptMax = unreadableKeptMax
    this.#delivery = new DeliveryWriter(db)
    this.#statements = statements(db)
    this.#unreadables = this.#statements.unreadables.get() ?? 0
    this.#claimers = new Set(this.#statements.claimers.all())
    this.#commit = db.transaction((entries: readonly NewEntry[]) => this.#addAll(entries)).immediate
  }

  get head(): number {
    return this.#head
  }

  append(entries: readonly NewEntry[]): Fate[] {
    for (const entry of entries) checkNumbers(entry)
    const head = this.#head
    const unreadables = this.#unreadables
    try {
      const fates = this.#commit(entries)
      this.#names.committed()
      return fates
    } catch (error) {
      // The transaction is rolled back by now; what we remember of it must go with it.
      this.#head = head
      this.#unreadables = unreadables
      this.#names.rolledBack()
      this.#full.forget()
      throw error
    }
  }

  #addAll(entries: readonly NewEntry[]): Fate[] {
    this.#delivery.begin(entries.length)
    const fates = entries.map((entry) => (entry.kind === 'reading' ? this.#addReading(entry) : this.#addNote(entry)))
    this.#delivery.write()
    if (this.#unreadables > this.#unreadableKeptMax) this.#pruneUnreadables()
    return fates
  }

  #addReading(entry: NewReading): Fate {
    const series = this.#names.idOrNew(entry.series)
    if (entry.claimedAt !== undefined) return this.#addClaimed(series, entry, entry.claimedAt)
    // Its clock may not have been believed when it came the first time.
    const claimed = this.#claimers.has(series)
      ? this.#statements.claimedInstant.get(series, entry.measuredAt)
      : undefined
    if (claimed !== undefined) return this.#beside(series, claimed, entry)
    if (this.#insert(series, entry.measuredAt, entry)) return this.#stored(series, entry.measuredAt, entry)
    return this.#beside(series, entry.measuredAt, entry)
  }

  /** True where the instant was free, among rows and in blocks. */
  #insert(series: number, measuredAt: number, entry: NewReading): boolean {
    if (this.#sealed.valueAt(series, measuredAt) !== undefined) return false
    const { reading, readingWithMore } = this.#statements
    const seq = this.#head + 1
    const quality = qualities.indexOf(entry.quality)
    if (entry.reason === undefined && entry.claimedAt === undefined)
      return reading.run(series, measuredAt, seq, entry.at, entry.value, quality).changes === 1
    const reason = entry.reason === undefined ? null : qualityReasons.indexOf(entry.reason)
    const claimedAt = entry.claimedAt ?? null
    return readingWithMore.run(series, measuredAt, seq, entry.at, entry.value, quality, reason, claimedAt).changes === 1
  }

  #stored(series: number, measuredAt: number, entry: NewReading): Fate {
    const seq = ++this.#head
    this.#delivery.add(seq, series, measuredAt)
    return { is: 'stored', entry: storedEntry(entry, measuredAt, seq) }
  }

  /** The instant is taken: by the same value, or by another one. */
  #beside(series: number, measuredAt: number, entry: NewReading): Fate {
    const kept = this.#statements.valueAt.get(series, measuredAt) ?? this.#sealed.valueAt(series, measuredAt)
    if (kept === undefined)
      throw new Error(`A reading of ${entry.series} at ${measuredAt} stands in the way and cannot be found.`)
    if (kept === entry.value) return duplicate
    return this.#addNote(conflictOf({ ...entry, value: unsigned(entry.value) }, measuredAt, kept))
  }

  /** A reading whose own time could not be believed: known by what it claimed, put at the first free instant from its arrival on. */
  #addClaimed(series: number, entry: NewReading, claimedAt: number): Fate {
    const { claimedInstant, believedInstant, claim } = this.#statements
    const stands =
      claimedInstant.get(series, claimedAt) ??
      believedInstant.get(series, claimedAt) ??
      (this.#sealed.isBelieved(series, claimedAt) ? claimedAt : undefined)
    if (stands !== undefined) return this.#beside(series, stands, entry)
    let instant = this.#full.firstCandidate(entry.series, entry.measuredAt)
    while (!this.#insert(series, instant, entry)) instant++
    this.#full.learn(entry.series, entry.measuredAt, instant)
    claim.run(series, claimedAt, instant)
    this.#claimers.add(series)
    return this.#stored(series, instant, entry)
  }

  #addNote(note: NewNote): Fate {
    const seq = this.#head + 1
    if (this.#statements.note.run(seq, note.kind, JSON.stringify(note), onceKey(note)).changes === 0) return duplicate
    this.#head = seq
    if (note.kind === 'unreadable') this.#unreadables++
    const entry = { ...note, seq } as Entry
    return entry.kind === 'conflict' ? { is: 'conflict', entry: entry as EntryOf<'conflict'> } : { is: 'stored', entry }
  }

  #pruneUnreadables(): void {
    const surplus = this.#unreadables - this.#unreadableKeptMax
    const newest = this.#statements.nthUnreadable.get(surplus - 1) ?? 0
    this.#statements.prune.run(newest)
    this.#statements.pruned.run(surplus, newest)
    this.#unreadables = this.#unreadableKeptMax
  }
}

/** Written out field by field: a spread with overrides costs as much as a third of the whole append. */
function storedEntry(entry: NewReading, measuredAt: number, seq: number): EntryOf<'reading'> {
  const { at, series, quality, reason, claimedAt } = entry
  const stored: EntryOf<'reading'> = {
    kind: 'reading',
    at,
    series,
    measuredAt,
    value: unsigned(entry.value),
    quality,
    seq,
  }
  if (reason !== undefined) stored.reason = reason
  if (claimedAt !== undefined) stored.claimedAt = claimedAt
  return stored
}

function statements(db: Database) {
  return {
    reading: db.prepare<[number, number, number, number, number, number]>(
      `INSERT INTO reading (series, measured_at, seq, arrived_at, value, quality) VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING`,
    ),
    readingWithMore: db.prepare<[number, number, number, number, number, number, Cell, Cell]>(
      `INSERT INTO reading (series, measured_at, seq, arrived_at, value, quality, reason, claimed_at)
       VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING`,
    ),
    valueAt: db
      .prepare<[number, number], number>('SELECT value FROM reading WHERE series = ? AND measured_at = ?')
      .pluck(),
    claimedInstant: db
      .prepare<[number, number], number>('SELECT measured_at FROM claim WHERE series = ? AND claimed_at = ?')
      .pluck(),
    believedInstant: db
      .prepare<[number, number], number>(
        'SELECT measured_at FROM reading WHERE series = ? AND measured_at = ? AND claimed_at IS NULL',
      )
      .pluck(),
    claimers: db.prepare<[], number>('SELECT DISTINCT series FROM claim').pluck(),
    claim: db.prepare<[number, number, number]>('INSERT INTO claim (series, claimed_at, measured_at) VALUES (?, ?, ?)'),
    note: db.prepare<[number, string, string, string | null]>(
      'INSERT INTO note (seq, kind, body, once) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING',
    ),
    unreadables: db.prepare<[], number>(`SELECT count(*) FROM note WHERE kind = 'unreadable'`).pluck(),
    nthUnreadable: db
      .prepare<[number], number>(`SELECT seq FROM note WHERE kind = 'unreadable' ORDER BY seq LIMIT 1 OFFSET ?`)
      .pluck(),
    prune: db.prepare<[number]>(`DELETE FROM note WHERE kind = 'unreadable' AND seq <= ?`),
    pruned: db.prepare<[number, number]>(
      `INSERT INTO pruned (kind, entries, newest_seq) VALUES ('unreadable', ?, ?)
       ON CONFLICT (kind) DO UPDATE SET entries = entries + excluded.entries, newest_seq = excluded.newest_seq`,
    ),
  }
}
