/** The first half of sealing: rows of one hour, and the blocks they belong to, read and rewritten as new blocks. Changes nothing. */
import type { Database } from 'better-sqlite3'
import { blockReadingsMax } from '../../../shared/contract/index.ts'
import { type EpochMs, hourMs } from '../../../shared/time.ts'
import type { BlockColumns, Header } from '../sealed/block.ts'
import { decodeBlock } from '../sealed/decode.ts'
import { encodeBlock } from '../sealed/encode.ts'
import { cut, merged, OpenRows, placeOf } from './columns.ts'
import { dayOf, Shelf, spansOf } from './shelf.ts'

/** Blocks that one step rewrites at the most. Reason: bounds how long the commit of a step takes. */
const rewrittenMax = 4

export interface NewBlock {
  header: Omit<Header, 'id'>
  course: Uint8Array
  arrival: Uint8Array
  /** Spans of seq that it has readings in. */
  spans: number[]
}

/** One step of sealing, ready to be committed. */
export interface Prepared {
  series: number
  day: number
  /** The rows that went into it: so many between two instants, both included, none of them newer than this seq. */
  rows: { from: EpochMs; to: EpochMs; newestSeq: number; count: number }
  replaced: { id: number; spans: number[] }[]
  blocks: NewBlock[]
}

export class Preparer {
  readonly #shelf: Shelf
  readonly #open: OpenRows
  readonly #read

  constructor(db: Database) {
    this.#shelf = new Shelf(db)
    this.#open = new OpenRows(db)
    // One transaction, so that rows and blocks are of the same moment.
    this.#read = db.transaction((series: number, hour: EpochMs) => this.#prepare(series, hour))
  }

  /** The next step for an hour of a series; null where it has no rows. */
  prepare(series: number, hour: EpochMs): Prepared | null {
    return this.#read(series, hour)
  }

  #prepare(series: number, hour: EpochMs): Prepared | null {
    const found = this.#open.take(series, hour, hour + hourMs, blockReadingsMax)
    if (found === null) return null
    const day = dayOf(hour)
    const headers = this.#headersOf(series, day, hour)
    const { rows, touched } = together(found, headers)
    const old = touched.map(({ id }) => {
      const { course, arrival } = this.#shelf.block(id)
      return { id, columns: decodeBlock(course, arrival) }
    })
    const all = old.reduce((sum, { columns }) => merged(sum, columns), rows)
    return {
      series,
      day,
      rows: {
        from: rows.t[0] as number,
        to: rows.t.at(-1) as number,
        newestSeq: rows.seq.reduce((most, seq) => Math.max(most, seq), 0),
        count: rows.t.length,
      },
      replaced: old.map(({ id, columns }) => ({ id, spans: spansOf(columns.seq) })),
      blocks: pieces(all).map((columns) => ({ ...encodeBlock(columns), spans: spansOf(columns.seq) })),
    }
  }

  #headersOf(series: number, day: number, hour: EpochMs): Header[] {
    const sheet = this.#shelf.sheet(series, day)
    if (sheet === null) return []
    const headers: Header[] = []
    for (let i = 0; i < sheet.length; i++)
      if (sheet.from(i) >= hour && sheet.from(i) < hour + hourMs) headers.push(sheet.header(i))
    return headers
  }
}

/** The rows of one step and the blocks they are joined with: those they lie within, and a neighbour where both fit into one block. */
function together(found: BlockColumns, headers: readonly Header[]): { rows: BlockColumns; touched: Header[] } {
  let rows = found
  const first = rows.t[0] as number
  const overlapping = () => headers.filter((h) => h.to >= first && h.from <= (rows.t.at(-1) as number))
  const beyond = overlapping()[rewrittenMax]
  if (beyond !== undefined) rows = cut(rows, 0, placeOf(rows.t, beyond.from))
  const touched = overlapping()
  const last = rows.t.at(-1) as number
  let count = touched.reduce((sum, h) => sum + h.count, rows.t.length)
  for (const neighbour of [headers.findLast((h) => h.to < first), headers.find((h) => h.from > last)])
    if (neighbour !== undefined && count + neighbour.count <= blockReadingsMax) {
      touched.push(neighbour)
      count += neighbour.count
    }
  return { rows, touched }
}

/** Cut evenly into as few blocks as may be. */
function pieces(all: BlockColumns): BlockColumns[] {
  const count = Math.ceil(all.t.length / blockReadingsMax)
  return Array.from({ length: count }, (_, i) =>
    cut(all, Math.floor((i * all.t.length) / count), Math.floor(((i + 1) * all.t.length) / count)),
  )
}
