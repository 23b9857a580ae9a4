/** Numbers, truths and instants as strangers write them in JSON. */
import type { MappingUnit, timeForms } from '../../../shared/contract/index.ts'
import type { EpochMs } from '../../../shared/time.ts'
import { isInstant } from './gathered.ts'

export type DecimalMark = 'point' | 'comma'

const written: Record<DecimalMark, RegExp> = {
  point: /^[+-]?\d+(\.\d+)?([eE][+-]?\d{1,3})?$/,
  comma: /^[+-]?\d+(,\d+)?([eE][+-]?\d{1,3})?$/,
}

/** A finite number; as text only where the decimal mark is told. Null for anything else. */
export function numberIn(value: unknown, mark: DecimalMark | undefined): number | null {
  if (typeof value === 'number') return Number.isFinite(value) ? value : null
  if (typeof value !== 'string' || mark === undefined) return null
  const text = value.trim()
  const number = written[mark].test(text) ? Number(text.replace(',', '.')) : Number.NaN
  return Number.isFinite(number) ? number : null
}

const truths: ReadonlyMap<unknown, number> = new Map<unknown, number>([
  [true, 1],
  [false, 0],
  [1, 1],
  [0, 0],
])

/** 1 or 0 for a contact, as its unit counts it: `open` has 1 for open. The words may also be written out. */
export function truthIn(value: unknown, unit: MappingUnit): number | null {
  const known = truths.get(value)
  if (known !== undefined) return known
  const word = typeof value === 'string' ? value.trim().toLowerCase() : ''
  return word === 'open' || word === 'closed' ? Number(word === unit) : null
}

/** ISO 8601 with date, time and zone (RFC 3339 also allows a blank between date and time). */
const iso = /^(\d{4})-(\d\d)-(\d\d)[T ]\d\d:\d\d(:\d\d([.,]\d+)?)?(Z|[+-]\d\d:\d\d)$/

function isoMs(text: string): number {
  const found = iso.exec(text)
  if (!found) return Number.NaN
  const [year, month, day] = found.slice(1, 4).map(Number) as [number, number, number]
  // The 30th of February is not the 2nd of March.
  const date = new Date(Date.UTC(year, month - 1, day))
  if (date.getUTCMonth() !== month - 1 || date.getUTCDate() !== day) return Number.NaN
  return Date.parse(text.replace(' ', 'T').replace(',', '.'))
}

export function instantIn(
  value: unknown,
  form: (typeof timeForms)[number],
  mark: DecimalMark | undefined,
): EpochMs | null {
  const number = form === 'iso' ? null : numberIn(value, mark)
  const ms = form === 'iso' ? isoMs(typeof value === 'string' ? value.trim() : '') : (number ?? Number.NaN)
  const whole = Math.round(form === 'seconds' ? ms * 1_000 : ms)
  return isInstant(whole) ? whole : null
}
