/** Takes the beginning of a table apart: how its cells are parted, where its head is, and where its data begin. */
import {
  type BringPlan,
  bringDelimiters,
  bringLookBytesMax,
  bringPreambleLinesMax,
} from '../../shared/contract/index.ts'
import { isUnitCell } from './columns.ts'
import { findTime, type TimeColumns } from './dates.ts'
import { decodedWhole } from './encoding.ts'
import { isNoValue, looksLikeNumber } from './number.ts'
import { JsonLines, type Row, rowsOfSample } from './rows.ts'

/** A table taken apart: where its head and its data are. */
export interface Table {
  delimiter: BringPlan['delimiter']
  preamble: string[]
  head: string[]
  units: string[]
  preambleLines: number
  headLines: 0 | 1 | 2
  time: TimeColumns
}

const lineBreak = /\r\n|\n|\r/

/** The lines of the sample, without the last one where the file goes on. */
export function linesOf(sample: Uint8Array, encoding: BringPlan['encoding']): string[] {
  const lines = decodedWhole(sample, encoding).split(lineBreak)
  if (sample.length >= bringLookBytesMax && lines.length > 1) lines.pop()
  return lines
}

/** How many cells beside the time hold a number, or say that there is none: the delimiter that yields most is the one. */
function yieldOf(time: TimeColumns): number {
  let cells = 0
  for (const row of time.rows)
    row.cells.forEach((cell, column) => {
      if (time.columns.includes(column as never) || cell === '') return
      if (looksLikeNumber(cell) || isNoValue(cell)) cells++
      // A cell that is neither speaks against the way it was cut.
      else cells -= 0.25
    })
  return cells
}

function isHead(row: Row | undefined, time: TimeColumns): row is Row {
  if (!row) return false
  const filled = row.cells.filter((cell) => cell !== '')
  return (
    filled.length > time.columns.length && filled.filter((cell) => looksLikeNumber(cell)).length * 2 < filled.length
  )
}

function tableBy(
  delimiter: BringPlan['delimiter'],
  lines: readonly string[],
  rows: readonly Row[],
  time: TimeColumns,
): Table {
  const firstData = rows.indexOf(time.rows[0] as Row)
  const before = rows.slice(Math.max(0, firstData - 3), firstData).reverse()
  const [above, second] = before
  const beneath = above?.cells.filter((_, column) => !time.columns.includes(column as never)) ?? []
  const isUnits = beneath.some((c) => c !== '') && beneath.every(isUnitCell) && isHead(second, time)
  const headRow = isUnits ? second : isHead(above, time) ? above : undefined
  const headLines = headRow === undefined ? 0 : isUnits ? 2 : 1
  const preambleLines = (headRow ?? (time.rows[0] as Row)).line - 1
  return {
    delimiter,
    preamble: lines.slice(0, preambleLines).filter((line) => line.trim() !== ''),
    head: headRow?.cells ?? [],
    units: isUnits ? (above?.cells ?? []) : [],
    preambleLines: Math.min(preambleLines, bringPreambleLinesMax),
    headLines,
    time,
  }
}

function jsonTable(lines: readonly string[]): Table | null {
  const objects = new JsonLines()
  const rows = lines.flatMap((line, i) => objects.row(line, i + 1) ?? [])
  const time = findTime(rows)
  if (!time || objects.keys.length === 0) return null
  return { delimiter: 'json-lines', preamble: [], head: objects.keys, units: [], preambleLines: 0, headLines: 0, time }
}

/** With `asked`, by this delimiter and no other. */
export function takeApart(lines: readonly string[], asked?: BringPlan['delimiter']): Table | null {
  if (asked === 'json-lines') return jsonTable(lines)
  if (asked === undefined && /^\s*\{/.test(lines.find((line) => line.trim() !== '') ?? '')) return jsonTable(lines)
  let best: { cells: number; table: Table } | null = null
  for (const delimiter of asked === undefined ? bringDelimiters : [asked]) {
    const rows = rowsOfSample(lines, delimiter)
    const time = rows && findTime(rows)
    if (!rows || !time) continue
    const cells = yieldOf(time)
    if (best === null || cells > best.cells) best = { cells, table: tableBy(delimiter, lines, rows, time) }
  }
  return best?.table ?? null
}

/** Head, preamble and columns as a plan cuts them. */
export function understood(
  sample: Uint8Array,
  plan: BringPlan,
): { head: string[]; preamble: string[]; columns: number[] } {
  const lines = linesOf(sample, plan.encoding)
  const { preambleLines, headLines, delimiter } = plan
  const preamble = lines.slice(0, preambleLines).filter((line) => line.trim() !== '')
  const rows =
    delimiter === 'json-lines' ? jsonHead(lines) : (rowsOfSample(lines.slice(preambleLines), delimiter) ?? [])
  const head = headLines > 0 || delimiter === 'json-lines' ? (rows[0]?.cells ?? []) : []
  const width = rows.slice(0, 100).reduce((max, row) => Math.max(max, row.cells.length), 0)
  const columns = Array.from({ length: width }, (_, column) => column).filter((c) => !plan.time.columns.includes(c))
  return { head, preamble, columns }
}

function jsonHead(lines: readonly string[]): Row[] {
  const objects = new JsonLines()
  lines.slice(0, 1).forEach((line, i) => void objects.row(line, i + 1))
  return [{ line: 1, cells: objects.keys }]
}
