/** Puts blocks on the shelf and takes old ones off it, with their sheet, their spans of seq and the tally. Within a transaction of the caller. */
import type { Database } from 'better-sqlite3'
import type { Header } from '../sealed/block.ts'
import { packSheet } from '../sealed/sheet.ts'
import type { NewBlock } from './prepare.ts'
import { seriesMoved, Shelf, sheetIdOf, sizeOf, tallyMoved } from './shelf.ts'

/** What changes on one sheet. */
export interface Shelving {
  series: number
  day: number
  replaced: readonly { id: number; spans: readonly number[] }[]
  blocks: readonly NewBlock[]
}

export class Shelver {
  readonly #shelf: Shelf
  readonly #statements

  constructor(db: Database) {
    this.#shelf = new Shelf(db)
    this.#statements = statementsOf(db)
  }

  /** False, with nothing changed, where a block that is to be replaced is not there any more. `head` is the greatest seq given so far. */
  put({ series, day, replaced, blocks }: Shelving, head: number): boolean {
    const { takeBlock, takeSpan, addBlock, addSpan, putSheet, tally, ofSeries } = this.#statements
    const headers = this.#headersOf(series, day)
    const old = headers.filter(({ id }) => replaced.some((gone) => gone.id === id))
    if (old.length !== replaced.length) return false
    const kept = headers.filter((header) => !old.includes(header))
    for (const { id, spans } of replaced) {
      takeBlock.run(id)
      for (const span of spans) takeSpan.run(span, id)
    }
    for (const { header, course, arrival, spans } of blocks) {
      const id = Number(addBlock.run(series, course, arrival).lastInsertRowid)
      for (const span of spans) addSpan.run(span, id)
      kept.push({ ...header, id })
    }
    putSheet.run(sheetIdOf(series, day), packSheet(kept.sort((a, b) => a.from - b.from)))
    const readings = countOf(blocks.map(({ header }) => header)) - countOf(old)
    const bytes = sizeOf(blocks.map(({ header }) => header)) - sizeOf(old)
    ofSeries.run(readings, series)
    tally.run(head, blocks.length - replaced.length, readings, bytes)
    return true
  }

  #headersOf(series: number, day: number): Header[] {
    const sheet = this.#shelf.sheet(series, day)
    return sheet === null ? [] : Array.from({ length: sheet.length }, (_, i) => sheet.header(i))
  }
}

function countOf(headers: readonly { count: number }[]): number {
  return headers.reduce((sum, { count }) => sum + count, 0)
}

function statementsOf(db: Database) {
  return {
    takeBlock: db.prepare<[number]>('DELETE FROM block WHERE id = ?'),
    takeSpan: db.prepare<[number, number]>('DELETE FROM seq_span WHERE span = ? AND block = ?'),
    addBlock: db.prepare<[number, Uint8Array, Uint8Array]>(
      'INSERT INTO block (series, course, arrival) VALUES (?, ?, ?)',
    ),
    addSpan: db.prepare<[number, number]>('INSERT INTO seq_span (span, block) VALUES (?, ?)'),
    putSheet: db.prepare<[number, Uint8Array]>('INSERT OR REPLACE INTO sheet (id, headers) VALUES (?, ?)'),
    ofSeries: db.prepare<[number, number]>(seriesMoved),
    tally: db.prepare<[number, number, number, number]>(tallyMoved),
  }
}
