/** Proves one series: every sheet, block and row of it, joined in order of time, each reading once. */
import type { Database } from 'better-sqlite3'
import { dayMs } from '../../../../../shared/time.ts'
import type { BlockColumns, Header } from '../../../sealed/block.ts'
import { checkBlock } from '../../../sealed/check.ts'
import { decodeBlock } from '../../../sealed/decode.ts'
import { Sheet } from '../../../sealed/sheet.ts'
import { cut, OpenRows, placeOf } from '../../columns.ts'
import { dayOf, dayOfSheet, sheetIdOf, spansOf } from '../../shelf.ts'
import { type Faults, instant } from './faults.ts'
import type { SeqMap } from './seq-map.ts'
import { type SeriesProof, SeriesTally, type TallyParts } from './tally.ts'

/** Rows taken at once. */
const rowsAtOnce = 4_096

/** Numbers of days before and after 1970 that a sheet can be of. */
const firstDay = dayOf(Number.NEGATIVE_INFINITY)
const lastDay = dayOf(Number.POSITIVE_INFINITY) + 1

/** What all series have in common. */
export interface Common extends Omit<TallyParts, 'name' | 'series'> {
  /** Ids of the blocks that were met in a sheet. */
  blockIds: SeqMap
  met: Met
}

/** How many of each were met on the way: whatever there is more of belongs to nothing. */
export interface Met {
  sheets: number
  blocks: number
  /** Entries of the index by arrival that lead to a block. */
  spans: number
}

export class SeriesProver {
  readonly #faults: Faults
  readonly #common: Common
  readonly #rows: OpenRows
  readonly #sealed

  /** `isSealed` is false for a database of the time before there were blocks. */
  constructor(db: Database, common: Common, isSealed: boolean) {
    this.#faults = common.faults
    this.#common = common
    this.#rows = new OpenRows(db)
    this.#sealed = isSealed ? statementsOf(db) : null
  }

  prove(series: number, name: string): SeriesProof {
    const tally = new SeriesTally({ ...this.#common, series, name })
    const rows = new Rows(this.#rows, series)
    for (const { day, place, bytes } of this.#sheetsOf(series, name)) {
      const sheet = this.#faults.within(place, () => new Sheet(bytes))
      if (sheet === null) tally.lost()
      else this.#proveSheet(tally, rows, sheet, day, place)
    }
    for (
      let piece = rows.before(Number.POSITIVE_INFINITY);
      piece !== null;
      piece = rows.before(Number.POSITIVE_INFINITY)
    )
      tally.take(piece, null)
    return tally.finish()
  }

  *#sheetsOf(series: number, name: string): Iterable<{ day: number; place: string; bytes: Uint8Array }> {
    if (this.#sealed === null) return
    const last = sheetIdOf(series, lastDay)
    for (let id = sheetIdOf(series, firstDay) - 1; ; ) {
      const row = this.#sealed.sheet.get(id, last)
      if (row === undefined) return
      id = row[0]
      this.#common.met.sheets++
      const day = dayOfSheet(id)
      yield { day, place: `The sheet of ${name} for ${instant(day * dayMs).slice(0, 10)}`, bytes: row[1] }
    }
  }

  #proveSheet(tally: SeriesTally, rows: Rows, sheet: Sheet, day: number, place: string): void {
    for (let i = 0; i < sheet.length; i++) {
      const header = sheet.header(i)
      if (dayOf(header.from) !== day || dayOf(header.to) !== day)
        this.#faults.add(`${place} holds the header of block ${header.id}, whose readings are of another day.`)
      const columns = this.#proveBlock(tally, header, `${place}, block ${header.id}`)
      for (let piece = rows.before(header.from); piece !== null; piece = rows.before(header.from))
        tally.take(piece, null)
      if (columns === null) tally.lost()
      else takeJoined(tally, rows, header.id, columns)
    }
  }

  /** What the block holds; null where it cannot be believed. */
  #proveBlock(tally: SeriesTally, header: Header, place: string): BlockColumns | null {
    const { faults, blockIds, met } = this.#common
    const sealed = this.#sealed
    const row = sealed?.block.get(header.id)
    if (sealed === null || row === undefined) {
      faults.add(`${place} is not there.`)
      return null
    }
    if (!blockIds.add(header.id)) {
      faults.add(`${place} stands in a sheet twice.`)
      return null
    }
    met.blocks++
    const [owner, course, arrival] = row
    if (owner !== tally.series) faults.add(`${place} says that it belongs to the series with the number ${owner}.`)
    const columns = faults.within(place, () => {
      checkBlock(header, course, arrival)
      return decodeBlock(course, arrival)
    })
    if (columns === null) return null
    for (const span of spansOf(columns.seq))
      if (sealed.span.get(span, header.id) === undefined)
        faults.add(`${place} has readings in span ${span} of the order of arrival and is not found from there.`)
      else met.spans++
    return columns
  }
}

/** A block and the late rows that lie within it, in order. */
function takeJoined(tally: SeriesTally, rows: Rows, block: number, columns: BlockColumns): void {
  const last = columns.t.at(-1) as number
  let from = 0
  for (let late = rows.before(last + 1); late !== null; late = rows.before(last + 1))
    for (let r = 0; r < late.t.length; r++) {
      const t = late.t[r] as number
      const place = placeOf(columns.t, t)
      tally.take(cut(columns, from, place), block)
      from = place
      if (columns.t[place] === t) tally.twice(t, block)
      else tally.take(cut(late, r, r + 1), null)
    }
  tally.take(cut(columns, from, columns.t.length), block)
}

/** The open rows of a series, page by page. */
class Rows {
  readonly #open: OpenRows
  readonly #series: number
  #page: BlockColumns | null

  constructor(open: OpenRows, series: number) {
    this.#open = open
    this.#series = series
    this.#page = this.#after(Number.NEGATIVE_INFINITY)
  }

  #after(t: number): BlockColumns | null {
    return this.#open.take(this.#series, t, Number.POSITIVE_INFINITY, rowsAtOnce)
  }

  /** The next rows before this instant, at most a page; null where there are none. */
  before(t: number): BlockColumns | null {
    const page = this.#page
    if (page === null || (page.t[0] as number) >= t) return null
    const place = placeOf(page.t, t)
    this.#page = place < page.t.length ? cut(page, place, page.t.length) : this.#after((page.t.at(-1) as number) + 1)
    return cut(page, 0, place)
  }
}

function statementsOf(db: Database) {
  return {
    sheet: db
      .prepare<[number, number], [number, Buffer]>(
        'SELECT id, headers FROM sheet WHERE id > ? AND id <= ? ORDER BY id LIMIT 1',
      )
      .raw(),
    block: db
      .prepare<[number], [number, Buffer, Buffer]>('SELECT series, course, arrival FROM block WHERE id = ?')
      .raw(),
    span: db.prepare<[number, number], number>('SELECT 1 FROM seq_span WHERE span = ? AND block = ?').pluck(),
  }
}
