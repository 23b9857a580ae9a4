/** Looks at the beginning of a table and proposes how to read it: a plan, and for each guess the reason and how sure it is. */
import {
  type BringGuess,
  type BringLook,
  type BringPlan,
  type DateOrder,
  splitSeriesId,
} from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'
import { guessOrder } from './dates.ts'
import { guessEncoding } from './encoding.ts'
import { civilOf, offsetOf } from './moment.ts'
import { linesOf, type Table, takeApart } from './table.ts'
import { guessDecimal, guessValues, type Known } from './values.ts'

export interface LookAt {
  /** At most the first `bringLookBytesMax` bytes of the file. */
  sample: Uint8Array
  file: string
  siteZone: string
  now: EpochMs
  known: readonly Known[]
  /** What a person said already. */
  encoding?: BringPlan['encoding'] | undefined
  delimiter?: BringPlan['delimiter'] | undefined
}

const zoneWords = /(?:\b(?:UTC|GMT)\b\s*([+-]\s?\d{1,2}(?::?\d{2})?)?)/i

/** A fixed offset, or UTC, that the head of the time or a line about the zone names. */
function zoneNamed(table: Table): { zone: string; where: string } | null {
  const heads = table.time.columns.map((column) => table.head[column] ?? '')
  const about = table.preamble.filter((line) => /zone|utc|gmt/i.test(line))
  for (const text of [...heads, ...about]) {
    const found = zoneWords.exec(text)
    if (!found) continue
    const minutes = offsetOf((found[1] ?? '').replace(/\s/g, '')) / 60_000
    const two = (n: number) => String(Math.floor(Math.abs(n))).padStart(2, '0')
    const zone = minutes === 0 ? 'UTC' : `${minutes < 0 ? '-' : '+'}${two(minutes / 60)}:${two(Math.abs(minutes) % 60)}`
    return { zone, where: text.trim().slice(0, 80) }
  }
  return null
}

function guessZone(table: Table, order: DateOrder, siteZone: string): { zone: string; guess: BringGuess } {
  const say = (zone: string, sure: BringGuess['sure'], sentence: string) => ({
    zone,
    guess: { about: 'zone' as const, sure, sentence },
  })
  if (table.time.counts === 'epoch-s' || table.time.counts === 'epoch-ms')
    return say('UTC', 'sure', 'A count since 1970 knows no zone.')
  const own = table.time.rows.every(({ cells }) => {
    const civil = civilOf(
      table.time.columns.map((c) => cells[c] ?? ''),
      order,
    )
    return typeof civil === 'string' || civil.offsetMs !== null
  })
  if (own) return say('UTC', 'sure', 'Every time names its own zone.')
  const named = zoneNamed(table)
  if (named) return say(named.zone, 'sure', `The file says so: "${named.where}".`)
  return say(
    siteZone,
    'likely',
    `No zone is named; taken as the foundry's own, ${siteZone}. A logger that never moves its clock needs a fixed offset instead.`,
  )
}

const delimiterNames: Record<BringPlan['delimiter'], string> = {
  ',': 'commas',
  ';': 'semicolons',
  '\t': 'tabs',
  '|': 'upright bars',
  'json-lines': 'one JSON object a line',
}

/** The column that names a series in every line, as our own exports have it. */
function namedIn(table: Table): BringPlan['named'] {
  const { rows } = table.time
  const series = table.head.findIndex((_, c) => rows.every(({ cells }) => splitSeriesId(cells[c] ?? '') !== null))
  const value = table.head.findIndex((head) => head.trim().toLowerCase() === 'value')
  return series >= 0 && value >= 0 ? { series, value } : undefined
}

function qualityIn(table: Table): number | undefined {
  const found = table.head.findIndex(
    (head, c) =>
      head.trim().toLowerCase() === 'quality' &&
      table.time.rows.every(({ cells }) => ['good', 'uncertain', 'bad', ''].includes((cells[c] ?? '').toLowerCase())),
  )
  return found < 0 ? undefined : found
}

export interface Guessed {
  plan: BringPlan
  guesses: BringGuess[]
  columns: number[]
  head: string[]
  preamble: BringLook['preamble']
}

/** Null where no column holds a date and time: then this is no table of a logger. */
export function guess(at: LookAt): Guessed | null {
  const { encoding, how } = at.encoding ? { encoding: at.encoding, how: 'told' } : guessEncoding(at.sample)
  const table = takeApart(linesOf(at.sample, encoding), at.delimiter)
  if (!table) return null
  const guesses: BringGuess[] = []
  const ask = new Set<BringPlan['ask'][number]>()
  if (how === 'other')
    guesses.push({ about: 'encoding', sure: 'likely', sentence: 'The letters are Windows-1252: they are no UTF-8.' })
  guesses.push({
    about: 'delimiter',
    sure: 'sure',
    sentence: `The cells are parted by ${delimiterNames[table.delimiter]}.`,
  })
  if (table.delimiter === 'json-lines') guesses.pop()
  const { order, guess: orderGuess } = guessOrder(table.time, at.now)
  guesses.push(orderGuess)
  if (orderGuess.sure === 'ask') ask.add('date-order')
  const zone = guessZone(table, order, at.siteZone)
  guesses.push(zone.guess)
  const named = namedIn(table)
  const quality = qualityIn(table)
  const taken = [...table.time.columns, ...(quality === undefined ? [] : [quality])]
  const found = named ? { values: [], guesses: [], columns: [] } : guessValues(table, taken, at)
  guesses.push(...found.guesses)
  if (found.guesses.some((g) => g.about === 'column' && g.sure === 'ask')) ask.add('unit')
  if (!named && found.values.length === 0) ask.add('values')
  const decimal = guessDecimal(table, named ? [named.value] : found.columns, found.values)
  guesses.push(decimal.guess)
  if (decimal.guess.sure === 'ask') ask.add('decimal')
  const plan: BringPlan = {
    encoding,
    delimiter: table.delimiter,
    decimal: decimal.decimal,
    preambleLines: table.preambleLines,
    headLines: table.headLines,
    time: { columns: [...table.time.columns], order, zone: zone.zone },
    values: found.values,
    ask: [...ask],
  }
  if (named) plan.named = named
  if (quality !== undefined) plan.quality = quality
  return { plan, guesses, columns: found.columns, head: table.head, preamble: table.preamble }
}
