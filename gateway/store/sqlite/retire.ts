/** Lets go of what is older than the house wishes to keep: whole UTC days, a sheet at a time, each in one transaction. */
import type { Database } from 'better-sqlite3'
import { dayMs, type EpochMs } from '../../../shared/time.ts'
import type { Breathe } from '../clock.ts'
import { decodeBlock } from '../sealed/decode.ts'
import type { SeriesNames } from './series-names.ts'
import { type DaySheet, dayOf, seriesMoved, type Shelf, sheetIdOf, sizeOf, spansOf, tallyMoved } from './shelf.ts'

export interface RetireParts {
  db: Database
  names: SeriesNames
  shelf: Shelf
  /** The greatest seq given so far. */
  head: () => number
  changed: (series: number) => void
  pause: Breathe
  /** Throws once the store is closed. */
  mustBeOpen: () => void
}

/** Resolves with how many readings went. */
export async function retire(parts: RetireParts, before: EpochMs): Promise<number> {
  const { db, names, shelf, changed, pause, mustBeOpen } = parts
  const firstKept = dayOf(before)
  const statements = statementsOf(db)
  const takeSheet = db.transaction((series: number, sheet: DaySheet) => oneSheet(parts, statements, series, sheet))
  const takeRows = db.transaction((series: number) => {
    const day = firstKept * dayMs
    statements.claims.run(series, day)
    statements.tally.run(parts.head(), 0, 0, 0)
    return statements.rows.run(series, day).changes
  })
  let readings = 0
  for (let series = names.idAfter(0); series !== null; series = names.idAfter(series)) {
    for (
      let sheet = shelf.oldestSheet(series);
      sheet !== null && sheet.day < firstKept;
      sheet = shelf.oldestSheet(series)
    ) {
      readings += takeSheet.immediate(series, sheet)
      changed(series)
      await pause()
      mustBeOpen()
    }
    readings += takeRows.immediate(series)
  }
  return readings
}

function oneSheet(
  { shelf, head }: RetireParts,
  statements: ReturnType<typeof statementsOf>,
  series: number,
  { day, sheet }: DaySheet,
): number {
  const headers = Array.from({ length: sheet.length }, (_, i) => sheet.header(i))
  const readings = headers.reduce((sum, { count }) => sum + count, 0)
  for (const { id } of headers) {
    const { course, arrival } = shelf.block(id)
    for (const span of spansOf(decodeBlock(course, arrival).seq)) statements.span.run(span, id)
    statements.block.run(id)
  }
  statements.sheet.run(sheetIdOf(series, day))
  statements.ofSeries.run(-readings, series)
  statements.tally.run(head(), -headers.length, -readings, -sizeOf(headers))
  return readings
}

function statementsOf(db: Database) {
  return {
    sheet: db.prepare<[number]>('DELETE FROM sheet WHERE id = ?'),
    block: db.prepare<[number]>('DELETE FROM block WHERE id = ?'),
    span: db.prepare<[number, number]>('DELETE FROM seq_span WHERE span = ? AND block = ?'),
    rows: db.prepare<[number, number]>('DELETE FROM reading WHERE series = ? AND measured_at < ?'),
    claims: db.prepare<[number, number]>('DELETE FROM claim WHERE series = ? AND measured_at < ?'),
    ofSeries: db.prepare<[number, number]>(seriesMoved),
    tally: db.prepare<[number, number, number, number]>(tallyMoved),
  }
}
