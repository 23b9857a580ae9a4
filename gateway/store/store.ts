/** The store: what the gateway remembers. The promises stand here; memory and SQLite are two bodies that keep them, under one suite. */
import type { Entry, EntryOf, Finding, NewEntry, Reading, SeriesId } from '../../shared/contract/index.ts'
import type { Interpretation } from '../../shared/physics/interpretation.ts'
import type { Band } from '../../shared/series/statistics.ts'
import type { Sums } from '../../shared/series/sums.ts'
import type { DurationMs, EpochMs } from '../../shared/time.ts'

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

/** One chart: the span, its pixel columns, and from which gap on time counts as unseen. */
export interface ChartAsk {
  series: SeriesId
  from: EpochMs
  to: EpochMs
  columns: number
  silenceMs: DurationMs
  /** What the values mean; absent where they mean what they say. What has no meaning is drawn as a hole. */
  interpretation?: Interpretation
}

/** First, lowest, highest and last of each pixel column, as `shared/series/decimate` gives them, in arrays of numbers. */
export interface ChartColumns {
  /** Rising. */
  t: Float64Array
  /** NaN where nothing may be drawn across. */
  v: Float64Array
  /** Readings within the span that these rows stand for, the bad ones included. */
  readings: number
}

/** Sums over periods that follow one another: `edges` has one more than there are periods, and rises. */
export interface SumsAsk {
  series: SeriesId
  edges: readonly EpochMs[]
  silenceMs: DurationMs
  band?: Band
  /** What the values mean; only that is summed, and what has no meaning is unseen. */
  interpretation?: Interpretation
}

/** What `seal` did. */
export interface Sealed {
  blocks: number
  readings: number
}

/** What a store holds, told without counting. */
export interface Stock {
  /** Readings as rows, not yet in a block. */
  openReadings: number
  sealedReadings: number
  blocks: number
  /** Bytes of all blocks with their headers. */
  sealedBytes: number
  /** Bytes on disk in all; null where there is no file. */
  bytes: number | null
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

  /**
   * A chart of any span. Its readings are those that were stored when it was asked for, or more. From beyond the span comes at most one
   * good reading on either side, where the line runs on to it without a hole. Rejects with the signal's reason once it is given up.
   */
  chart(ask: ChartAsk, signal?: AbortSignal): Promise<ChartColumns>

  /** Sums of each period, in order. Rejects with the signal's reason once it is given up. */
  sums(ask: SumsAsk, signal?: AbortSignal): Promise<Sums[]>

  /**
   * Rewrites finished hours as blocks, at most `blocksMax` of them: an hour of a series is finished when it is not `now`'s hour nor, for
   * some minutes, the one before. Changes nothing of what any other call answers. What arrives late is found beside its block and joined
   * to it by a later call. Resolves with what was done; nothing is due when that is nothing.
   */
  seal(now: EpochMs, blocksMax: number): Promise<Sealed>

  /** Lets go of every reading measured on a UTC day that ended before this instant; everything else stays. Resolves with how many. */
  retire(before: EpochMs): Promise<number>

  stock(): Promise<Stock>

  /** Every series that ever spoke, with its first instant and its newest reading by measuredAt. */
  summaries(): Promise<SeriesSummary[]>

  /** How many readings a series holds. */
  readingsOf(series: SeriesId): Promise<number>

  /** Keeps what was derived. A finding replaces the one of the same id; a snapshot replaces the one before. May be lost in a crash: it is folded again. */
  keep(kept: Kept): Promise<void>

  /** Findings that stood at any time from ≤ t ≤ to, newest first. */
  findings(filter: { station?: string; from?: EpochMs; to?: EpochMs; limit: number }): Promise<Finding[]>

  snapshot(): Promise<Snapshot | null>

  /** One sentence where something stored was found damaged and the gateway went on without it; null where all that was met was sound. */
  damage(): string | null

  /** Flushes and lets go. Afterwards every call rejects. */
  close(): Promise<void>
}
