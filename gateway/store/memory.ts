/** The store in memory: the same promises for as long as the process lives. For tests and for trying things out. */
import type { Entry, EntryOf, Finding, SeriesId } from '../../shared/contract/index.ts'
import { qualities, unreadableKeptMax } from '../../shared/contract/index.ts'
import { m4 } from '../../shared/series/decimate.ts'
import { type Sums, sums } from '../../shared/series/sums.ts'
import { throughMeaning } from '../../shared/series/through.ts'
import { type DurationMs, dayMs, type EpochMs } from '../../shared/time.ts'
import { type Breathe, breathe } from './clock.ts'
import { MemorySeries } from './memory-series.ts'
import { StoreClosed } from './refusal.ts'
import {
  checkNumbers,
  conflictOf,
  FullStretches,
  type NewNote,
  type NewReading,
  type NoteKind,
  onceKey,
  unsigned,
} from './sameness.ts'
import type {
  ChartAsk,
  ChartColumns,
  Columns,
  Fate,
  Kept,
  Sealed,
  Snapshot,
  Stock,
  Store,
  StoredReading,
  SumsAsk,
} from './store.ts'

export interface MemoryOptions {
  breathe?: Breathe
  unreadableKeptMax?: number
}

/** One line of the journal. A note is held as JSON, so that what is read back can never be changed from outside. */
type Line = { seq: number; reading: StoredReading } | { seq: number; note: string | null }

const pieceRows = 20_000

export function memoryStore(options: MemoryOptions = {}): Store {
  return new MemoryStore(options)
}

class MemoryStore implements Store {
  readonly #breathe: Breathe
  readonly #unreadableKeptMax: number
  readonly #lines: Line[] = []
  readonly #series = new Map<SeriesId, MemorySeries>()
  readonly #notesByKind = new Map<NoteKind, { seq: number; note: string | null }[]>()
  readonly #once = new Set<string>()
  readonly #full = new FullStretches()
  readonly #findings = new Map<string, Finding>()
  #unreadablesPruned = 0
  #snapshot: Snapshot | null = null
  #head = 0
  #open = true

  constructor(options: MemoryOptions) {
    this.#breathe = options.breathe ?? breathe
    this.#unreadableKeptMax = options.unreadableKeptMax ?? unreadableKeptMax
  }

  async append(entries: Parameters<Store['append']>[0]): Promise<Fate[]> {
    this.#mustBeOpen()
    // Nothing after this line can fail: that is how all or nothing is kept here.
    entries.forEach(checkNumbers)
    return entries.map((entry) => (entry.kind === 'reading' ? this.#addReading(entry) : this.#addNote(entry)))
  }

  #addReading(entry: NewReading): Fate {
    const series = this.#seriesOf(entry.series)
    const stands =
      series.sent(entry.claimedAt ?? entry.measuredAt) ??
      (entry.claimedAt === undefined ? series.at(entry.measuredAt) : undefined)
    const value = unsigned(entry.value)
    if (stands !== undefined) {
      if (stands.value === value) return { is: 'duplicate' }
      return this.#addNote(conflictOf({ ...entry, value }, stands.measuredAt, stands.value))
    }
    const measuredAt = entry.claimedAt === undefined ? entry.measuredAt : this.#freeInstant(series, entry)
    const stored: Entry = { ...entry, value, measuredAt, seq: ++this.#head }
    const { kind: _, at: arrivedAt, ...rest } = stored as EntryOf<'reading'>
    const reading: StoredReading = { ...rest, arrivedAt }
    series.add(reading)
    this.#lines.push({ seq: stored.seq, reading })
    return { is: 'stored', entry: stored }
  }

  #freeInstant(series: MemorySeries, entry: NewReading): EpochMs {
    let instant = this.#full.firstCandidate(entry.series, entry.measuredAt)
    while (series.at(instant) !== undefined) instant++
    this.#full.learn(entry.series, entry.measuredAt, instant)
    return instant
  }

  #addNote(note: NewNote): Fate {
    const once = onceKey(note)
    if (once !== null && this.#once.has(once)) return { is: 'duplicate' }
    if (once !== null) this.#once.add(once)
    const entry = { ...note, seq: ++this.#head } as Entry
    const line = { seq: entry.seq, note: JSON.stringify(note) as string | null }
    this.#lines.push(line)
    const kin = this.#notesByKind.get(note.kind) ?? []
    this.#notesByKind.set(note.kind, kin)
    kin.push(line)
    if (note.kind === 'unreadable') this.#pruneUnreadables(kin)
    return { is: entry.kind === 'conflict' ? 'conflict' : 'stored', entry } as Fate
  }

  #pruneUnreadables(kin: { note: string | null }[]): void {
    while (kin.length > this.#unreadableKeptMax) {
      const oldest = kin.shift()
      if (oldest !== undefined) oldest.note = null
      this.#unreadablesPruned++
    }
  }

  #seriesOf(id: SeriesId): MemorySeries {
    const known = this.#series.get(id)
    if (known !== undefined) return known
    const series = new MemorySeries()
    this.#series.set(id, series)
    return series
  }

  damage(): null {
    return null
  }

  head(): number {
    return this.#head
  }

  async journal(after: number, limit: number): Promise<Entry[]> {
    this.#mustBeOpen()
    const entries: Entry[] = []
    for (let i = this.#firstLineAfter(after); i < this.#lines.length && entries.length < limit; i++) {
      const line = this.#lines[i]
      if (line === undefined) break
      if ('reading' in line) {
        const { arrivedAt: at, ...reading } = line.reading
        entries.push({ kind: 'reading', at, ...reading })
      } else if (line.note !== null) entries.push({ ...JSON.parse(line.note), seq: line.seq } as Entry)
    }
    return entries
  }

  #firstLineAfter(seq: number): number {
    let low = 0
    let high = this.#lines.length
    while (low < high) {
      const middle = (low + high) >>> 1
      if ((this.#lines[middle]?.seq ?? 0) <= seq) low = middle + 1
      else high = middle
    }
    return low
  }

  async newest<K extends NoteKind>(kind: K, limit: number, before = Number.POSITIVE_INFINITY): Promise<EntryOf<K>[]> {
    this.#mustBeOpen()
    const older = (this.#notesByKind.get(kind) ?? []).filter((line) => line.seq < before)
    return older
      .reverse()
      .slice(0, limit)
      .map((line) => ({ ...JSON.parse(line.note ?? ''), seq: line.seq }) as EntryOf<K>)
  }

  async count(kind: NoteKind): Promise<number> {
    this.#mustBeOpen()
    return (this.#notesByKind.get(kind)?.length ?? 0) + (kind === 'unreadable' ? this.#unreadablesPruned : 0)
  }

  async *scan(series: SeriesId, from: EpochMs, to: EpochMs): AsyncIterable<Columns> {
    this.#mustBeOpen()
    let next = from
    for (;;) {
      const rows = this.#series.get(series)?.between(next, to, pieceRows) ?? []
      const last = rows.at(-1)
      if (last === undefined) return
      yield columnsOf(rows)
      next = last.measuredAt + 1
      await this.#breathe()
      this.#mustBeOpen()
    }
  }

  async chart(
    { series, from, to, columns, silenceMs, interpretation }: ChartAsk,
    signal?: AbortSignal,
  ): Promise<ChartColumns> {
    this.#mustBeOpen()
    signal?.throwIfAborted()
    const fold = m4(from, to, columns, silenceMs)
    throughMeaning(fold, interpretation, 'drawn').add(columnsOf(this.#around(series, from, to, silenceMs)))
    return fold.finishColumns()
  }

  async sums({ series, edges, silenceMs, band, interpretation }: SumsAsk, signal?: AbortSignal): Promise<Sums[]> {
    this.#mustBeOpen()
    signal?.throwIfAborted()
    const fold = sums(edges, silenceMs, band && { band })
    const readings = columnsOf(this.#around(series, edges[0] ?? 0, edges.at(-1) ?? 0, silenceMs))
    throughMeaning(fold, interpretation, 'summed').add(readings)
    return fold.finish()
  }

  #around(series: SeriesId, from: EpochMs, to: EpochMs, marginMs: DurationMs): readonly StoredReading[] {
    return this.#series.get(series)?.between(from - marginMs, to + marginMs, Number.MAX_SAFE_INTEGER) ?? []
  }

  /** What lies in memory cannot be packed any better. */
  async seal(): Promise<Sealed> {
    this.#mustBeOpen()
    return { blocks: 0, readings: 0 }
  }

  async retire(before: EpochMs): Promise<number> {
    this.#mustBeOpen()
    const day = Math.floor(before / dayMs) * dayMs
    this.#full.forget()
    let gone = 0
    for (const [series, held] of this.#series) {
      gone += held.letGo(day)
      if (held.size === 0) this.#series.delete(series)
    }
    const left = this.#lines.filter((line) => !('reading' in line) || line.reading.measuredAt >= day)
    this.#lines.splice(0, this.#lines.length, ...left)
    return gone
  }

  async stock(): Promise<Stock> {
    this.#mustBeOpen()
    const openReadings = [...this.#series.values()].reduce((sum, { size }) => sum + size, 0)
    return { openReadings, sealedReadings: 0, blocks: 0, sealedBytes: 0, bytes: null }
  }

  async summaries(): ReturnType<Store['summaries']> {
    this.#mustBeOpen()
    return [...this.#series].flatMap(([series, held]) => {
      const ends = held.ends()
      return ends === null ? [] : [{ series, first: ends.first.measuredAt, newest: { ...ends.newest } }]
    })
  }

  async readingsOf(series: SeriesId): Promise<number> {
    this.#mustBeOpen()
    return this.#series.get(series)?.size ?? 0
  }

  async keep(kept: Kept): Promise<void> {
    this.#mustBeOpen()
    for (const finding of kept.findings ?? []) this.#findings.set(finding.id, structuredClone(finding))
    if (kept.snapshot !== undefined) this.#snapshot = { ...kept.snapshot }
  }

  async findings(filter: Parameters<Store['findings']>[0]): Promise<Finding[]> {
    this.#mustBeOpen()
    const { station, from = Number.NEGATIVE_INFINITY, to = Number.POSITIVE_INFINITY, limit } = filter
    return [...this.#findings.values()]
      .filter((f) => station === undefined || f.station === station)
      .filter((f) => f.since <= to && (f.clearedAt ?? Number.POSITIVE_INFINITY) >= from)
      .sort((a, b) => b.since - a.since || b.raisedSeq - a.raisedSeq || (a.id < b.id ? 1 : -1))
      .slice(0, limit)
      .map((f) => structuredClone(f))
  }

  async snapshot(): Promise<Snapshot | null> {
    this.#mustBeOpen()
    return this.#snapshot === null ? null : { ...this.#snapshot }
  }

  async close(): Promise<void> {
    this.#mustBeOpen()
    this.#open = false
  }

  #mustBeOpen(): void {
    if (!this.#open) throw new StoreClosed()
  }
}

function columnsOf(rows: readonly StoredReading[]): Columns {
  return {
    t: Float64Array.from(rows, (r) => r.measuredAt),
    v: Float64Array.from(rows, (r) => r.value),
    quality: Uint8Array.from(rows, (r) => qualities.indexOf(r.quality)),
    arrivedAt: Float64Array.from(rows, (r) => r.arrivedAt),
    seq: Float64Array.from(rows, (r) => r.seq),
  }
}
