/** Rows of cells from text: separated values by csv-parse, or one JSON object a line; each row knows the line it ends on. */
import { Readable } from 'node:stream'
import { type CsvError, type Options, Parser } from 'csv-parse'
import { parse as parseAll } from 'csv-parse/sync'
import { type BringPlan, bringLineLettersMax, Fault } from '../../shared/contract/index.ts'

export interface Row {
  line: number
  cells: string[]
}

/** Rows handed on at once: enough that the steps between cost nothing, few enough that live readings need not wait. */
const rowsAtOnce = 500

type Delimiter = BringPlan['delimiter']

function optionsFor(delimiter: Delimiter): Options {
  return {
    delimiter,
    record_delimiter: ['\r\n', '\n', '\r'],
    relax_column_count: true,
    relax_quotes: true,
    skip_empty_lines: true,
    trim: true,
    info: true,
    max_record_size: bringLineLettersMax,
  }
}

/** Without a comment sign in the options: it may also begin the name of a column. */
const isComment = (cells: readonly string[]) => (cells[0] ?? '').startsWith('#')

interface Parsed {
  info: { lines: number }
  record: string[]
}

function refused(error: CsvError, linesBefore: number): Fault {
  const line = Number(error['lines'] ?? 0) + linesBefore
  return error.code === 'CSV_MAX_RECORD_SIZE'
    ? new Fault(
        'bad-request',
        `Line ${line} has more than ${bringLineLettersMax} letters, or a quote on it is never closed.`,
      )
    : new Fault('bad-request', `Line ${line} cannot be taken apart into cells: ${error.message}.`)
}

/** The keys of the first object are the columns of all. */
export class JsonLines {
  keys: string[] = []

  row(line: string, number: number): Row | null {
    if (line.trim() === '') return null
    let json: unknown
    try {
      json = JSON.parse(line)
    } catch {
      return { line: number, cells: [] }
    }
    if (typeof json !== 'object' || json === null || Array.isArray(json)) return { line: number, cells: [] }
    if (this.keys.length === 0) this.keys = Object.keys(json)
    const cells = this.keys.map((key) => (json as Record<string, unknown>)[key])
    return { line: number, cells: cells.map((cell) => (cell === null || cell === undefined ? '' : String(cell))) }
  }
}

const lineEnd = /\r\n|\n|\r(?!$)/

/** The text from behind its first `count` lines on. */
async function* withoutLines(text: AsyncIterable<string>, count: number): AsyncIterable<string> {
  let left = count
  let held = ''
  for await (const piece of text) {
    held += piece
    for (let end = lineEnd.exec(held); left > 0 && end; end = lineEnd.exec(held)) {
      held = held.slice(end.index + end[0].length)
      left--
    }
    if (left > 0 || held === '') continue
    yield held
    held = ''
  }
}

async function* jsonRows(text: AsyncIterable<string>, before: number): AsyncIterable<Row[]> {
  const objects = new JsonLines()
  let held = ''
  let number = before
  const take = (lines: string[]) => lines.flatMap((line) => objects.row(line, ++number) ?? [])
  for await (const piece of text) {
    const lines = (held + piece).split('\n')
    held = lines.pop() ?? ''
    if (held.length > bringLineLettersMax)
      throw new Fault('bad-request', `Line ${number + lines.length + 1} has more than ${bringLineLettersMax} letters.`)
    const rows = take(lines)
    if (rows.length > 0) yield rows
  }
  const rows = take([held])
  if (rows.length > 0) yield rows
}

async function* separatedRows(text: AsyncIterable<string>, delimiter: Delimiter, before: number): AsyncIterable<Row[]> {
  const source = Readable.from(text, { objectMode: true, highWaterMark: 1 })
  const parser = new Parser(optionsFor(delimiter))
  // What ends the source ends the parser; an error of either reaches whoever reads.
  source.on('error', (error) => parser.destroy(error))
  source.pipe(parser)
  let rows: Row[] = []
  try {
    for await (const { info, record } of parser as AsyncIterable<Parsed>) {
      if (isComment(record)) continue
      rows.push({ line: info.lines + before, cells: record })
      if (rows.length < rowsAtOnce) continue
      yield rows
      rows = []
    }
  } catch (error) {
    if (rows.length > 0) yield rows
    throw error instanceof Error && String((error as CsvError).code).startsWith('CSV_')
      ? refused(error as CsvError, before)
      : error
  } finally {
    source.destroy()
  }
  if (rows.length > 0) yield rows
}

/** The rows of data, some at a time. */
export function rowsOf(text: AsyncIterable<string>, plan: BringPlan): AsyncIterable<Row[]> {
  const before = plan.preambleLines + plan.headLines
  const data = withoutLines(text, before)
  return plan.delimiter === 'json-lines' ? jsonRows(data, before) : separatedRows(data, plan.delimiter, before)
}

/** All rows of a sample, the head and what stands before it included; null where this delimiter does not part it. */
export function rowsOfSample(lines: readonly string[], delimiter: Delimiter): Row[] | null {
  if (delimiter === 'json-lines') return null
  try {
    const parsed = parseAll(lines.join('\n'), optionsFor(delimiter)) as unknown as Parsed[]
    return parsed.map(({ info, record }) => ({ line: info.lines, cells: record }))
  } catch {
    return null
  }
}
