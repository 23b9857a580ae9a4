/** The shelf: where the sheets and blocks of sealed hours lie in the database, and how to take them out. Reads only; any connection will do. */
import type { Database } from 'better-sqlite3'
import { dayMs, type EpochMs } from '../../../shared/time.ts'
import type { Header } from '../sealed/block.ts'
import { BlockDamaged } from '../sealed/damage.ts'
import { headerBytes, Sheet } from '../sealed/sheet.ts'

/** Numbers of days that fit between two series. Reason: every whole number of milliseconds that a number holds is in one of them. */
const daysOfSeries = 2 ** 28

/** A block is found by seq through the spans of so many that it has readings in. Reason: an hour of 64 series at 1 Hz lies in four. */
export const seqsInSpan = 65_536

/** UTC day of an instant, as a number that may be negative; what is beyond all days is in the first or the last. */
export function dayOf(t: EpochMs): number {
  return Math.max(-daysOfSeries / 2, Math.min(daysOfSeries / 2 - 2, Math.floor(t / dayMs)))
}

/** The spans that these seqs lie in. */
export function spansOf(seqs: ArrayLike<number>): number[] {
  const spans = new Set<number>()
  for (let i = 0; i < seqs.length; i++) spans.add(Math.floor((seqs[i] as number) / seqsInSpan))
  return [...spans]
}

export function sheetIdOf(series: number, day: number): number {
  return series * daysOfSeries + day + daysOfSeries / 2
}

export function dayOfSheet(id: number): number {
  return (id % daysOfSeries) - daysOfSeries / 2
}

/** Sheets taken out at once. Reason: some 200 kB. */
export const sheetsAtOnce = 64

/** A sheet and the day it is of. */
export interface DaySheet {
  day: number
  sheet: Sheet
}

export interface Tally {
  head: number
  blocks: number
  readings: number
  /** Of courses, arrivals and headers. */
  bytes: number
}

/** Moves the tally on: to this head, and by so many blocks, readings and bytes. */
export const tallyMoved = 'UPDATE sealing SET head = ?, blocks = blocks + ?, readings = readings + ?, bytes = bytes + ?'

/** And by so many of them, those of one series. */
export const seriesMoved = 'UPDATE series SET sealed = sealed + ? WHERE id = ?'

/** Bytes of blocks, by their headers. */
export function sizeOf(headers: readonly { courseBytes: number; arrivalBytes: number }[]): number {
  return headers.reduce((sum, { courseBytes, arrivalBytes }) => sum + courseBytes + arrivalBytes + headerBytes, 0)
}

export class Shelf {
  readonly #statements

  constructor(db: Database) {
    this.#statements = statements(db)
  }

  sheet(series: number, day: number): Sheet | null {
    const bytes = this.#statements.sheet.get(sheetIdOf(series, day))
    return bytes === undefined ? null : new Sheet(bytes)
  }

  /** At most so many sheets of a series from one day to another, both included, in order. */
  sheets(series: number, fromDay: number, toDay: number, sheetsMax: number): DaySheet[] {
    return this.#statements.sheets
      .all(sheetIdOf(series, fromDay), sheetIdOf(series, toDay), sheetsMax)
      .map(([id, bytes]) => ({ day: dayOfSheet(id), sheet: new Sheet(bytes) }))
  }

  oldestSheet(series: number): DaySheet | null {
    return this.sheets(series, -daysOfSeries / 2, daysOfSeries / 2 - 1, 1)[0] ?? null
  }

  /** The first header of a series, and the last. */
  oldestOf(series: number): Header | null {
    const sheet = this.#end(this.#statements.first, series)
    return sheet?.header(0) ?? null
  }

  newestOf(series: number): Header | null {
    const sheet = this.#end(this.#statements.last, series)
    return sheet?.header(sheet.length - 1) ?? null
  }

  #end(statement: { get(from: number, to: number): Buffer | undefined }, series: number): Sheet | null {
    const bytes = statement.get(sheetIdOf(series, -daysOfSeries / 2), sheetIdOf(series, daysOfSeries / 2 - 1))
    return bytes === undefined ? null : new Sheet(bytes)
  }

  /** The first block of a series that reaches to this instant or beyond. */
  firstReaching(series: number, t: EpochMs): Header | null {
    const today = this.sheet(series, dayOf(t))
    for (let i = Math.max(0, today?.placeOf(t) ?? 0); today !== null && i < today.length; i++)
      if (today.to(i) >= t) return today.header(i)
    const bytes = this.#statements.first.get(sheetIdOf(series, dayOf(t) + 1), sheetIdOf(series, daysOfSeries / 2 - 1))
    return bytes === undefined ? null : new Sheet(bytes).header(0)
  }

  /** Readings of a series in blocks, counted in its headers. */
  countOf(series: number): number {
    let readings = 0
    for (let from = -daysOfSeries / 2; ; ) {
      const sheets = this.sheets(series, from, daysOfSeries / 2 - 1, sheetsAtOnce)
      for (const { sheet } of sheets) for (let i = 0; i < sheet.length; i++) readings += sheet.count(i)
      const last = sheets.at(-1)
      if (last === undefined) return readings
      from = last.day + 1
    }
  }

  /** Bytes of the course alone: the arrival is not read. */
  course(id: number): Uint8Array {
    const bytes = this.#statements.course.get(id)
    if (bytes === undefined) throw missing(id)
    return bytes
  }

  block(id: number): { series: number; course: Uint8Array; arrival: Uint8Array } {
    const row = this.#statements.block.get(id)
    if (row === undefined) throw missing(id)
    const [series, course, arrival] = row
    return { series, course, arrival }
  }

  /** Blocks that hold readings of a span of seq. */
  blocksOfSpan(span: number): number[] {
    return this.#statements.span.all(span)
  }

  /** The first span from this one on that any block has readings in; null after the last. */
  spanFrom(span: number): number | null {
    return this.#statements.spanFrom.get(span) ?? null
  }

  /** What is on it in all; and the greatest seq that had been given when it last changed, 0 before it first did. */
  tally(): Tally {
    return this.#statements.tally.get() as Tally
  }
}

function missing(id: number): BlockDamaged {
  return new BlockDamaged(`block ${id}`, `Block ${id} stands in a sheet and is not on the shelf.`)
}

function statements(db: Database) {
  return {
    sheet: db.prepare<[number], Buffer>('SELECT headers FROM sheet WHERE id = ?').pluck(),
    sheets: db
      .prepare<[number, number, number], [number, Buffer]>(
        'SELECT id, headers FROM sheet WHERE id BETWEEN ? AND ? ORDER BY id LIMIT ?',
      )
      .raw(),
    first: db
      .prepare<[number, number], Buffer>('SELECT headers FROM sheet WHERE id BETWEEN ? AND ? ORDER BY id LIMIT 1')
      .pluck(),
    last: db
      .prepare<[number, number], Buffer>('SELECT headers FROM sheet WHERE id BETWEEN ? AND ? ORDER BY id DESC LIMIT 1')
      .pluck(),
    course: db.prepare<[number], Buffer>('SELECT course FROM block WHERE id = ?').pluck(),
    block: db
      .prepare<[number], [number, Buffer, Buffer]>('SELECT series, course, arrival FROM block WHERE id = ?')
      .raw(),
    span: db.prepare<[number], number>('SELECT block FROM seq_span WHERE span = ? ORDER BY block').pluck(),
    spanFrom: db.prepare<[number], number | null>('SELECT min(span) FROM seq_span WHERE span >= ?').pluck(),
    tally: db.prepare<[], Tally>('SELECT head, blocks, readings, bytes FROM sealing'),
  }
}
