/** The store: what the gateway remembers. The promises stand here; memory and SQLite are two bodies that keep them, under one suite. */
import type { Entry, EntryOf, Finding, NewEntry, Reading, SeriesId } from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'

/** What became of one entry that was handed to `append`. */
export type Fate =
  | { is: 'stored'; entry: Entry }
  /** The same reading (series, measuredAt, value), fault or conflict is already on disk: nothing was added. */
  | { is: 'duplicate' }
  /** Another value stands at this instant: it stays, and this one is kept beside it as a `conflict` entry. */
  | { is: 'conflict'; entry: EntryOf<'conflict'> }

/** A reading as it lies in the store. */
export type StoredReading = Reading & { seq: number; arrivedAt: EpochMs }

/** A run of readings of one series in columns, rising by measuredAt. All arrays have the same length. */
export interface Columns {
  t: Float64Array
  v: Float64Array
  /** Index into `qualities`. */
  quality: Uint8Array
  arrivedAt: Float64Array
  seq: Float64Array
}

export interface SeriesSummary {
  series: SeriesId
  first: EpochMs
  newest: StoredReading
}

export interface Snapshot {
  /** Everything up to this seq is folded in. */
  seq: number
  /** The judge's state as JSON. */
  state: string
  /** Shape of that state; a snapshot of another shape is ignored and the journal folded from the beginning. */
  shape: number
}

export interface Kept {
  findings?: readonly Finding[]
  snapshot?: Snapshot
}

export interface Store {
  /**
   * Resolves when all entries would survive a power cut, with what became of each, in order; rejects having kept none of them.
   * `seq` rises from entry to entry and from call to call, also across a restart; it may have holes.
   * A reading is unique by its series and the instant that its instrument gave it, `claimedAt ?? measuredAt`, whether its clock was
   * believed at that moment or not: a redelivery is absorbed even where the doubt began in between. Where it carries `claimedAt`, the
   * instant it is placed at moves on by whole milliseconds until it is free. A fault is unique by (instrument, measuredAt), a conflict
   * by (series, measuredAt, refused).
   * Two entries of one call are judged like two calls. One call at a time: the intake waits for the last one.
   */
  append(entries: readonly NewEntry[]): Promise<Fate[]>

  /** The seq of the newest entry; 0 before the first. */
  head(): number

  /** Entries with seq > `after`, rising, at most `limit`: replay by arrival. Readings come exactly as they were appended. */
  journal(after: number, limit: number): Promise<Entry[]>

  /** The newest entries of one kind (not readings) with seq < `before`, newest first, at most `limit`. */
  newest<K extends Exclude<Entry['kind'], 'reading'>>(kind: K, limit: number, before?: number): Promise<EntryOf<K>[]>

  /** How many entries of a kind there are (not readings). Those pruned from the listing still count. */
  count(kind: Exclude<Entry['kind'], 'reading'>): Promise<number>

  /** Readings of a series with from ≤ measuredAt < to, rising, piece by piece so that no span is too long; the event loop breathes between pieces. */
  scan(series: SeriesId, from: EpochMs, to: EpochMs): AsyncIterable<Columns>

  /** Every series that ever spoke, with its first instant and its newest reading by measuredAt. */
  summaries(): Promise<SeriesSummary[]>

  /** How many readings a series holds. */
  readingsOf(series: SeriesId): Promise<number>

  /** Keeps what was derived. A finding replaces the one of the same id; a snapshot replaces the one before. May be lost in a crash: it is folded again. */
  keep(kept: Kept): Promise<void>

  /** Findings that stood at any time from ≤ t ≤ to, newest first. */
  findings(filter: { station?: string; from?: EpochMs; to?: EpochMs; limit: number }): Promise<Finding[]>

  snapshot(): Promise<Snapshot | null>

  /** Flushes and lets go. Afterwards every call rejects. */
  close(): Promise<void>
}
