/** Finds the column, or the two, that hold date and time, and tells in which order the date is written, with the evidence. */
import type { BringGuess, DateOrder } from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'
import { civilOf, type DateFields, dateFields, timeOfDay } from './moment.ts'
import type { Row } from './rows.ts'

export interface TimeColumns {
  columns: [number] | [number, number]
  /** Null for a date whose order is still to be told. */
  counts: 'epoch-s' | 'epoch-ms' | 'serial-days' | null
  /** The rows whose time can be read. */
  rows: Row[]
}

type Kind = 'date-time' | 'date' | 'time' | 'epoch-s' | 'epoch-ms' | 'serial-days' | null

/** Counts of seconds and milliseconds from 2000 to 2100, days from 1990 to 2100. */
const countedRanges = [
  ['epoch-s', 946_684_800, 4_102_444_800],
  ['epoch-ms', 946_684_800_000, 4_102_444_800_000],
  ['serial-days', 32_874, 73_051],
] as const

function kindOf(cell: string): Kind {
  if (/^\d+([.,]\d+)?$/.test(cell)) {
    const number = Number(cell.replace(',', '.'))
    return countedRanges.find(([, from, to]) => number >= from && number < to)?.[0] ?? null
  }
  const date = dateFields(cell)
  if (date) return date.rest === '' ? 'date' : timeOfDay(date.rest) ? 'date-time' : null
  return timeOfDay(cell) ? 'time' : null
}

/** The columns whose cells are most often a date and time. `sample`: rows of the whole file, the head and preamble among them. */
export function findTime(sample: readonly Row[]): TimeColumns | null {
  const width = Math.max(0, ...sample.map((row) => row.cells.length))
  const kinds = sample.map(({ cells }) => cells.map(kindOf))
  const whole = (column: number, kind: Kind) => kinds.filter((row) => row[column] === kind).length
  let best: { count: number; columns: [number] | [number, number]; counts: TimeColumns['counts'] } | null = null
  const offer = (count: number, columns: [number] | [number, number], counts: TimeColumns['counts']) => {
    if (count > 0 && (best === null || count > best.count)) best = { count, columns, counts }
  }
  const columns = Array.from({ length: width }, (_, column) => column)
  for (const c of columns) offer(whole(c, 'date-time'), [c], null)
  if (best === null)
    for (const d of columns)
      for (const t of columns)
        if (d !== t) offer(kinds.filter((row) => row[d] === 'date' && row[t] === 'time').length, [d, t], null)
  if (best === null) for (const c of columns) offer(whole(c, 'date'), [c], null)
  if (best === null)
    for (const [kind] of countedRanges)
      for (const c of columns) if (isCount(sample, kinds, c, kind)) offer(whole(c, kind), [c], kind)
  if (best === null) return null
  const { columns: found, counts } = best as { columns: TimeColumns['columns']; counts: TimeColumns['counts'] }
  const rows = sample.filter((_, i) => {
    const row = kinds[i] ?? []
    if (counts) return row[found[0]] === counts
    return found.length === 2
      ? row[found[0]] === 'date' && row[found[1]] === 'time'
      : ['date-time', 'date'].includes(row[found[0]] ?? '')
  })
  return { columns: found, counts, rows }
}

/** A number that could count time is taken for it only where it runs on from line to line, as no temperature does. */
function isCount(sample: readonly Row[], kinds: readonly Kind[][], column: number, kind: Kind): boolean {
  const numbers = sample
    .filter((_, i) => kinds[i]?.[column] === kind)
    .map((row) => Number((row.cells[column] ?? '').replace(',', '.')))
  const steps = numbers.slice(1).map((n, i) => n - (numbers[i] as number))
  return steps.every((s) => s >= 0) || steps.every((s) => s <= 0)
}

export interface OrderGuess {
  order: DateOrder
  guess: BringGuess
}

const told = (order: DateOrder, sure: BringGuess['sure'], sentence: string): OrderGuess => ({
  order,
  guess: { about: 'date-order', sure, sentence },
})

export function guessOrder(time: TimeColumns, now: EpochMs): OrderGuess {
  if (time.counts === 'epoch-s') return told('epoch-s', 'likely', 'The time is counted in seconds since 1970, in UTC.')
  if (time.counts === 'epoch-ms')
    return told('epoch-ms', 'likely', 'The time is counted in milliseconds since 1970, in UTC.')
  if (time.counts === 'serial-days')
    return told('serial-days', 'likely', 'The time is counted in days, as spreadsheets do.')
  const dates = time.rows.flatMap(({ line, cells }) => {
    const date = dateFields(cells[time.columns[0]] ?? '')
    return date ? [{ line, date }] : []
  })
  const first = dates[0]
  if (!first) return told('ymd', 'ask', 'No line could be read to tell in which order the date stands.')
  if (first.date.digits[0] > 2) return told('ymd', 'sure', 'Year first: it has four digits.')
  if (first.date.named === 0) return told('mdy', 'sure', 'Month before day: the month is written as a name.')
  if (first.date.named === 1) return told('dmy', 'sure', 'Day before month: the month is written as a name.')
  return byNumbers(dates, time, now)
}

function byNumbers(dates: { line: number; date: DateFields }[], time: TimeColumns, now: EpochMs): OrderGuess {
  const yearFirst = dates.find(({ date }) => date.fields[0] > 31)
  if (yearFirst)
    return told(
      'ymd',
      'sure',
      `Year first: ${yearFirst.date.fields[0]} stands in first place on line ${yearFirst.line}.`,
    )
  // Two digits for the year: it may stand in front as well.
  const isShort = dates.every(({ date }) => date.digits[0] === 2 && date.digits[1] === 2 && date.fields[2] <= 31)
  if (isShort) return byCourse(time, now, ['dmy', 'mdy', 'ymd'])
  const firstAbove = dates.find(({ date }) => date.fields[0] > 12)
  const secondAbove = dates.find(({ date }) => date.fields[1] > 12)
  if (firstAbove && !secondAbove)
    return told(
      'dmy',
      'sure',
      `Day before month: ${firstAbove.date.fields[0]} stands in first place on line ${firstAbove.line}.`,
    )
  if (secondAbove && !firstAbove)
    return told(
      'mdy',
      'sure',
      `Month before day: ${secondAbove.date.fields[1]} stands in second place on line ${secondAbove.line}.`,
    )
  if (firstAbove && secondAbove)
    return told(
      'dmy',
      'ask',
      `Lines ${firstAbove.line} and ${secondAbove.line} contradict each other: a number above 12 stands once in first, once in second place.`,
    )
  return byCourse(time, now, ['dmy', 'mdy'])
}

const dayMs = 86_400_000
const orderNames: Partial<Record<DateOrder, string>> = {
  dmy: 'Day before month',
  mdy: 'Month before day',
  ymd: 'Year first',
}

interface Course {
  order: 'dmy' | 'mdy' | 'ymd'
  readable: boolean
  pathMs: number
  newest: EpochMs
}

function courseBy(time: TimeColumns, order: Course['order']): Course {
  const course: Course = { order, readable: true, pathMs: 0, newest: Number.NEGATIVE_INFINITY }
  let last: number | null = null
  for (const { cells } of time.rows) {
    const civil = civilOf(
      time.columns.map((c) => cells[c] ?? ''),
      order,
    )
    if (typeof civil === 'string') return { ...course, readable: false }
    if (last !== null) course.pathMs += Math.abs(civil.localMs - last)
    last = civil.localMs
    course.newest = Math.max(course.newest, civil.localMs)
  }
  return course
}

/** No number tells by itself: the right order is the one that can be read, does not lie in the future, and goes on steadily. */
function byCourse(time: TimeColumns, now: EpochMs, orders: readonly Course['order'][]): OrderGuess {
  const readable = orders.map((order) => courseBy(time, order)).filter((c) => c.readable)
  // Local time is up to 14 hours ahead of UTC.
  const past = readable.filter((c) => c.newest <= now + dayMs)
  const [best, next] = (past.length > 0 ? past : readable).sort((a, b) => a.pathMs - b.pathMs)
  if (best === undefined)
    return told('dmy', 'ask', 'The dates contradict each other. Please say in which order they stand.')
  const name = orderNames[best.order]
  if (next === undefined && past.length > 0 && past.length < readable.length)
    return told(best.order, 'likely', `${name}: otherwise the readings would lie in the future.`)
  if (next === undefined)
    return told(best.order, 'likely', `${name}: otherwise there would be days or months that do not exist.`)
  if (best.pathMs * 5 < next.pathMs)
    return told(best.order, 'likely', `${name}: so the lines follow one another; otherwise they would leap by months.`)
  const either =
    orders.length === 3
      ? 'day, month or year first: the year has two digits'
      : 'day or month first: every number is 12 or less'
  return told(best.order, 'ask', `Could be either, ${either}. Please say which.`)
}
