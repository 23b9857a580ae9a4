/** Renders readings as a table in any dialect, as loggers of many makers would: the counterpart of the guess. */
import fc from 'fast-check'
import type { BringPlan, DateOrder } from '../../shared/contract/index.ts'

export interface Dialect {
  delimiter: ',' | ';' | '\t' | '|'
  decimal: '.' | ','
  order: Exclude<DateOrder, 'serial-days'>
  separator: '-' | '/' | '.'
  shortYear: boolean
  halfDays: boolean
  apart: boolean
  preamble: number
  lineEnd: '\n' | '\r\n' | '\r'
  encoding: BringPlan['encoding']
  mark: boolean
  unit: 'C' | 'F'
  grouped: boolean
  quoted: boolean
  numbered: boolean
  digits: 0 | 1 | 2 | 3
  backward: boolean
}

export const dialect: fc.Arbitrary<Dialect> = fc
  .record({
    delimiter: fc.constantFrom(',', ';', '\t', '|'),
    decimal: fc.constantFrom('.', ','),
    order: fc.constantFrom('ymd', 'dmy', 'mdy', 'epoch-s', 'epoch-ms'),
    separator: fc.constantFrom('-', '/', '.'),
    shortYear: fc.boolean(),
    halfDays: fc.boolean(),
    apart: fc.boolean(),
    preamble: fc.integer({ min: 0, max: 4 }),
    lineEnd: fc.constantFrom('\n', '\r\n', '\r'),
    encoding: fc.constantFrom('utf-8', 'utf-16le', 'utf-16be', 'windows-1252'),
    mark: fc.boolean(),
    unit: fc.constantFrom('C', 'F'),
    grouped: fc.boolean(),
    quoted: fc.boolean(),
    numbered: fc.boolean(),
    digits: fc.constantFrom(0, 1, 2, 3),
    backward: fc.boolean(),
  })
  .map((d) => ({ ...d, quoted: d.quoted || d.delimiter === ',' }) as Dialect)

const two = (n: number) => String(n).padStart(2, '0')

function dateText(local: Date, d: Dialect): string {
  const year = d.shortYear ? two(local.getUTCFullYear() % 100) : String(local.getUTCFullYear())
  const [month, day] = [two(local.getUTCMonth() + 1), two(local.getUTCDate())]
  const fields = { ymd: [year, month, day], dmy: [day, month, year], mdy: [month, day, year] }
  return fields[d.order as 'ymd'].join(d.separator)
}

function timeText(local: Date, { halfDays }: Dialect): string {
  const hour = local.getUTCHours()
  const rest = `${two(local.getUTCMinutes())}:${two(local.getUTCSeconds())}`
  return halfDays ? `${hour % 12 || 12}:${rest} ${hour < 12 ? 'AM' : 'PM'}` : `${two(hour)}:${rest}`
}

export function valueText(value: number, d: Dialect): string {
  const [whole = '', rest] = value.toFixed(d.digits).split('.')
  const thousands = d.decimal === '.' ? ',' : '.'
  const parted = d.grouped ? whole.replace(/\B(?=(\d{3})+$)/g, thousands) : whole
  return rest === undefined ? parted : `${parted}${d.decimal}${rest}`
}

/** `localMs`: the time on the wall, counted as if it were UTC. */
export function render(rows: readonly { localMs: number; values: readonly number[] }[], d: Dialect): Uint8Array {
  const cell = (text: string) => (d.quoted && /[",;\t|]/.test(text) ? `"${text}"` : text)
  const line = (cells: readonly string[]) => cells.map(cell).join(d.delimiter)
  const isCount = d.order === 'epoch-s' || d.order === 'epoch-ms'
  const when = (localMs: number): string[] => {
    if (isCount) return [String(d.order === 'epoch-s' ? localMs / 1_000 : localMs)]
    const local = new Date(localMs)
    const [date, time] = [dateText(local, d), timeText(local, d)]
    return d.apart ? [date, time] : [`${date} ${time}`]
  }
  const width = rows[0]?.values.length ?? 1
  const names = Array.from({ length: width }, (_, i) => `Temp ${i + 1} (°${d.unit})`)
  const head = [...(d.numbered ? ['No.'] : []), ...(isCount || !d.apart ? ['Time'] : ['Date', 'Time']), ...names]
  const ordered = d.backward ? [...rows].reverse() : rows
  const lines = [
    ...Array.from({ length: d.preamble }, (_, i) => `Invented logger, setting ${i + 1}`),
    line(head),
    ...ordered.map(({ localMs, values }, i) =>
      line([...(d.numbered ? [String(i + 1)] : []), ...when(localMs), ...values.map((v) => valueText(v, d))]),
    ),
  ]
  return encode(lines.join(d.lineEnd) + d.lineEnd, d)
}

const marks: Record<BringPlan['encoding'], number[]> = {
  'utf-8': [0xef, 0xbb, 0xbf],
  'utf-16le': [0xff, 0xfe],
  'utf-16be': [0xfe, 0xff],
  'windows-1252': [],
}

function encode(text: string, { encoding, mark }: Dialect): Uint8Array {
  // The one letter beyond ASCII here, the degree sign, has the same number in both.
  if (encoding === 'windows-1252') return Buffer.from(text, 'latin1')
  if (encoding === 'utf-8') return Buffer.concat([Buffer.from(mark ? marks['utf-8'] : []), Buffer.from(text)])
  const little = Buffer.from(text, 'utf16le')
  return Buffer.concat([Buffer.from(marks[encoding]), encoding === 'utf-16be' ? little.swap16() : little])
}
