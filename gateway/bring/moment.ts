/** Dates and times as loggers write them, taken apart without knowing yet which zone they speak of. */
import type { DateOrder } from '../../shared/contract/index.ts'

/** A wall-clock time; `localMs` counts it as if it were UTC. `offsetMs` where the text names its own zone. */
export interface Civil {
  localMs: number
  offsetMs: number | null
}

const months = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec']
const dateShape =
  /^(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+)?(\d{1,4}|[a-z]{3,9})\.?[-/.\s]\s*(\d{1,2}|[a-z]{3,9})\.?[-/.,\s]\s*(\d{1,4})\.?/i
const timeShape =
  /^(\d{1,2})[:.](\d{2})(?:[:.](\d{2})(?:[.,:](\d{1,9}))?)?\s*(?:([ap])\.?\s?m\.?)?\s*(z|utc|gmt|(?:utc|gmt)?\s*[+-]\d{1,2}(?::?\d{2})?)?$/i

/** The three fields of a date as they stand, a month's name as its number; null where the text begins with no date. */
export interface DateFields {
  fields: [number, number, number]
  /** Which of the three was written as a name. */
  named: 0 | 1 | null
  /** How many digits the first and the last field have: a year of four digits shows itself. */
  digits: [number, number]
  rest: string
}

function monthOf(text: string): number | null {
  const at = months.indexOf(text.slice(0, 3).toLowerCase())
  return at < 0 ? null : at + 1
}

export function dateFields(text: string): DateFields | null {
  const found = dateShape.exec(text)
  if (!found) return null
  const [whole, a = '', b = '', c = ''] = found
  const rest = text.slice(whole.length).replace(/^[T,;\s]+/i, '')
  const [nameA, nameB] = [/\d/.test(a) ? null : monthOf(a), /\d/.test(b) ? null : monthOf(b)]
  if ((!/\d/.test(a) && nameA === null) || (!/\d/.test(b) && nameB === null) || (nameA !== null && nameB !== null))
    return null
  return {
    fields: [nameA ?? Number(a), nameB ?? Number(b), Number(c)],
    named: nameA !== null ? 0 : nameB !== null ? 1 : null,
    digits: [a.length, c.length],
    rest,
  }
}

/** Milliseconds since midnight, and the zone where one is named; null where the text is no time of day. */
export function timeOfDay(text: string): { ms: number; offsetMs: number | null } | null {
  const found = timeShape.exec(text.trim())
  if (!found) return null
  const [, h = '', m = '', s = '0', fraction = '', half, zone] = found
  let hour = Number(h)
  const [minute, second] = [Number(m), Number(s)]
  if (half !== undefined) {
    if (hour < 1 || hour > 12) return null
    hour = (hour % 12) + (half.toLowerCase() === 'p' ? 12 : 0)
  }
  if (hour > 23 || minute > 59 || second > 59) return null
  const ms = ((hour * 60 + minute) * 60 + second) * 1_000 + Number(fraction.padEnd(3, '0').slice(0, 3))
  return { ms, offsetMs: zone === undefined ? null : offsetOf(zone) }
}

/** `Z`, `UTC+1`, `+05:30` and the like, in milliseconds east of Greenwich. */
export function offsetOf(zone: string): number {
  const found = /([+-])(\d{1,2}):?(\d{2})?/.exec(zone)
  if (!found) return 0
  const [, sign, hours, minutes = '0'] = found
  return (sign === '-' ? -1 : 1) * (Number(hours) * 60 + Number(minutes)) * 60_000
}

/** A year of two digits is of this century: no logger's table is older. */
function fullYear(year: number, digits: number): number {
  return digits <= 2 ? 2_000 + year : year
}

function midnight(year: number, month: number, day: number): number | null {
  if (month < 1 || month > 12 || day < 1) return null
  const ms = Date.UTC(year, month - 1, day)
  return new Date(ms).getUTCDate() === day ? ms : null
}

/** The midnight that begins this date, or a sentence why there is none. */
export function midnightOf(date: DateFields, order: 'ymd' | 'dmy' | 'mdy'): number | string {
  const [a, b, c] = date.fields
  const [firstDigits, lastDigits] = date.digits
  const monthFirst = date.named === 0 || (date.named === null && order === 'mdy')
  const [year, month, day] =
    order === 'ymd' && date.named !== 0
      ? [fullYear(a, firstDigits), b, c]
      : monthFirst
        ? [fullYear(c, lastDigits), a, b]
        : [fullYear(c, lastDigits), b, a]
  if (month > 12) return `there is no month ${month}; day and month may stand the other way round`
  return midnight(year, month, day) ?? `there is no day ${day} in month ${month} of ${year}`
}

const secondsMin = 100_000_000
/** 30 December 1899, on which spreadsheets count day 0 (ISO/IEC 29500-1, 18.17.4.1). */
const serialEpochMs = Date.UTC(1899, 11, 30)
const dayMs = 86_400_000

/** A count since some beginning: UTC for seconds and milliseconds, local days for a spreadsheet. */
function counted(text: string, order: 'epoch-s' | 'epoch-ms' | 'serial-days'): Civil | string {
  const number = /^\d+([.,]\d+)?$/.test(text) ? Number(text.replace(',', '.')) : Number.NaN
  if (!Number.isFinite(number)) return `"${text.slice(0, 40)}" is no number to count time with`
  if (order === 'serial-days') {
    if (number < 20_000 || number > 80_000) return `day ${text} lies far from our time`
    return { localMs: serialEpochMs + Math.round(number * dayMs), offsetMs: null }
  }
  const ms = Math.round(number * (order === 'epoch-s' ? 1_000 : 1))
  if (ms < secondsMin * 1_000 || ms > 8.64e15)
    return `${text} ${order === 'epoch-s' ? 's' : 'ms'} lies far from our time`
  return { localMs: ms, offsetMs: 0 }
}

/** Reads date and time, which may stand in one cell or in two; else a sentence why not. */
export function civilOf(cells: readonly string[], order: DateOrder): Civil | string {
  const text = cells.join(' ').trim()
  if (text === '') return 'it has no date and time'
  if (order === 'epoch-s' || order === 'epoch-ms' || order === 'serial-days') return counted(text, order)
  const date = dateFields(text)
  if (!date) return `"${text.slice(0, 40)}" is no date`
  const day = midnightOf(date, order)
  if (typeof day === 'string') return day
  const time = date.rest === '' ? { ms: 0, offsetMs: null } : timeOfDay(date.rest)
  if (!time) return `"${date.rest.slice(0, 40)}" is no time of day`
  return { localMs: day + time.ms, offsetMs: time.offsetMs }
}
