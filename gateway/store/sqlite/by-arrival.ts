/** Readings by arrival: open rows by the deliveries they came with, sealed ones by the spans of seq their blocks lie in, in one order. */
import type { Database } from 'better-sqlite3'
import type { EntryOf, Quality, QualityReason, SeriesId } from '../../../shared/contract/index.ts'
import { qualities, qualityReasons } from '../../../shared/contract/index.ts'
import { decodeBlock } from '../sealed/decode.ts'
import type { BlockColumns } from '../sealed/block.ts'
import { columnsOf, type Row } from './columns.ts'
import type { Damage } from './damage.ts'
import { type Delivery, DeliveryReader } from './delivery.ts'
import type { SeriesNames } from './series-names.ts'
import { seqsInSpan, type Shelf } from './shelf.ts'

type SealedEntries = readonly EntryOf<'reading'>[]

export class ByArrival {
  readonly #names: SeriesNames
  readonly #shelf: Shelf
  readonly #damage: Damage
  readonly #deliveries: DeliveryReader
  readonly #row
  /** The span last read: a replay asks for it several times. */
  #span: { number: number; entries: SealedEntries } | null = null

  constructor(db: Database, names: SeriesNames, shelf: Shelf, damage: Damage) {
    this.#names = names
    this.#shelf = shelf
    this.#damage = damage
    this.#deliveries = new DeliveryReader(db)
    this.#row = db
      .prepare<[number, number], Row>(
        `SELECT measured_at, value, quality, arrived_at, seq, reason, claimed_at FROM reading
         WHERE series = ? AND measured_at = ?`,
      )
      .raw()
  }

  /** After a sealing. */
  forget(): void {
    this.#span = null
  }

  /** Seq of the newest reading that is still a row and came with the newest delivery; 0 where there is none. */
  newestOpenSeq(): number {
    const last = this.#deliveries.holding(Number.MAX_SAFE_INTEGER)
    const series = last?.series.at(-1)
    const instant = last?.instants.at(-1)
    return series === undefined || instant === undefined ? 0 : (this.#row.get(series, instant)?.[4] ?? 0)
  }

  /** Readings with seq > after, rising, at most so many. */
  after(after: number, limit: number): EntryOf<'reading'>[] {
    const open = this.#openAfter(after, limit)
    const sealed = this.#sealedAfter(after, limit, open.length === limit ? (open.at(-1)?.seq ?? 0) : Infinity)
    if (sealed.length === 0) return open
    if (open.length === 0) return sealed
    const all: EntryOf<'reading'>[] = []
    for (let o = 0, s = 0; all.length < limit && (o < open.length || s < sealed.length); ) {
      const [first, second] = [open[o], sealed[s]]
      const isOpen = second === undefined || (first !== undefined && first.seq < second.seq)
      all.push((isOpen ? first : second) as EntryOf<'reading'>)
      if (isOpen) o++
      else s++
    }
    return all
  }

  #openAfter(after: number, limit: number): EntryOf<'reading'>[] {
    const entries: EntryOf<'reading'>[] = []
    let delivery: Delivery | null = this.#deliveries.holding(after + 1)
    while (delivery !== null && entries.length < limit) {
      const next = this.#deliveries.from(delivery.firstSeq + 1)
      const end = next?.firstSeq ?? Number.POSITIVE_INFINITY
      for (let i = 0; i < delivery.series.length && entries.length < limit; i++) {
        const series = delivery.series[i] as number
        const row = this.#row.get(series, delivery.instants[i] as number)
        // What is no row any more is in a block, and found there; or it was let go, and another came for the same instant since.
        if (row !== undefined && row[4] > after && row[4] < end)
          entries.push(entryOf(this.#names.nameOf(series), columnsOf([row]), 0))
      }
      delivery = next
    }
    return entries
  }

  #sealedAfter(after: number, limit: number, seqMax: number): EntryOf<'reading'>[] {
    const entries: EntryOf<'reading'>[] = []
    let span = this.#shelf.spanFrom(Math.floor((after + 1) / seqsInSpan))
    while (span !== null && entries.length < limit && span * seqsInSpan <= seqMax) {
      for (const entry of this.#entriesOf(span)) {
        if (entry.seq <= after) continue
        if (entries.length === limit || entry.seq > seqMax) break
        // A copy, for the span is kept.
        entries.push({ ...entry })
      }
      span = this.#shelf.spanFrom(span + 1)
    }
    return entries
  }

  #entriesOf(span: number): SealedEntries {
    if (this.#span?.number === span) return this.#span.entries
    const first = span * seqsInSpan
    const places: (EntryOf<'reading'> | undefined)[] = new Array(seqsInSpan)
    for (const id of this.#shelf.blocksOfSpan(span)) {
      // A journal with a gap can still be followed; verify says what is missing.
      this.#damage.or(undefined, () => {
        const { series, course, arrival } = this.#shelf.block(id)
        const columns = decodeBlock(course, arrival)
        const name = this.#names.nameOf(series)
        for (let i = 0; i < columns.seq.length; i++) {
          const place = (columns.seq[i] as number) - first
          if (place >= 0 && place < seqsInSpan) places[place] = entryOf(name, columns, i)
        }
      })
    }
    const entries = places.filter((entry) => entry !== undefined)
    this.#span = { number: span, entries }
    return entries
  }
}

export function entryOf(series: SeriesId, columns: BlockColumns, i: number): EntryOf<'reading'> {
  const reason = columns.reason[i] as number
  const claimedAt = columns.claimedAt[i] as number
  const entry: EntryOf<'reading'> = {
    kind: 'reading',
    at: columns.arrivedAt[i] as number,
    series,
    measuredAt: columns.t[i] as number,
    value: columns.v[i] as number,
    quality: qualities[columns.quality[i] as number] as Quality,
    seq: columns.seq[i] as number,
  }
  if (reason >= 0) entry.reason = qualityReasons[reason] as QualityReason
  if (!Number.isNaN(claimedAt)) entry.claimedAt = claimedAt
  return entry
}
