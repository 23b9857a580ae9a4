/** Which columns hold values, of which quantity, unit and instrument, and which mark parts their decimals. */
import {
  type BringGuess,
  type BringUnit,
  type BringValue,
  bringUnits,
  isName,
  nameLettersMax,
  plausible,
  type Quantity,
} from '../../shared/contract/index.ts'
import { type ColumnSense, senseOf, unitIn } from './columns.ts'
import type { Table } from './table.ts'
import { decimalIn, isNoValue, looksLikeNumber, parseContact } from './number.ts'

/** An instrument of the foundry that a file may be from. */
export interface Known {
  id: string
  name: string
}

/** A name that a topic and an address can carry. */
export function nameFrom(text: string): string {
  const plain = text
    .normalize('NFKD')
    .replace(/[^A-Za-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .toLowerCase()
    .slice(0, nameLettersMax)
    .replace(/-+$/, '')
  return isName(plain) ? plain : 'logger'
}

const withoutEnding = (file: string) => file.replace(/^.*[\\/]/, '').replace(/\.[A-Za-z0-9]{1,5}$/, '')
/** What is left of a head when its units and brackets are gone. */
const bare = (head: string) =>
  head
    .replace(/[([].*?[)\]]/g, ' ')
    .replace(/°\s*[CFK]|℃|℉|%\s*(rh)?/gi, ' ')
    .trim()

function knownAs(text: string, known: readonly Known[]): Known | undefined {
  const name = nameFrom(text)
  return known.find((k) => nameFrom(k.id) === name || nameFrom(k.name) === name)
}

/** The share of cells that hold a number or say that there is none. */
function isNumeric(cells: readonly string[]): boolean {
  const numbers = cells.filter(looksLikeNumber).length
  return numbers > 0 && (numbers + cells.filter(isNoValue).length) / cells.length >= 0.8
}

interface Candidate {
  column: number
  head: string
  sense: ColumnSense
  unit: BringUnit | null
}

function candidateAt(table: Table, column: number): Candidate | null {
  const cells = table.time.rows.map((row) => row.cells[column] ?? '')
  const head = table.head[column] ?? ''
  const sense = senseOf(head)
  const isContact =
    sense.is === 'value' && sense.quantity === 'contact' && cells.every((c) => c === '' || parseContact(c) !== null)
  if (!isContact && !isNumeric(cells)) return null
  const beneath = unitIn(table.units[column] ?? '')
  const behind = cells.map(unitBehind).find((u) => u !== null) ?? null
  const unit = (sense.is === 'value' ? sense.unit : null) ?? beneath ?? behind ?? unitBeside(table, head)
  return { column, head, sense: withUnit(sense, head, unit), unit }
}

/** A unit that stands elsewhere says what a bare name does not: channel 2 in % is no temperature. */
function withUnit(sense: ColumnSense, head: string, unit: BringUnit | null): ColumnSense {
  const isOpen = sense.is === 'unknown' || (sense.is === 'value' && sense.unit === null)
  return isOpen && unit !== null ? senseOf(`${head} (${unitText(unit)})`) : sense
}

const unitBehind = (cell: string): BringUnit | null =>
  /\d\s*[°º%A-Za-z]/.test(cell) ? unitIn(cell.replace(/^[\d.,\s+-]+/, '')) : null
const unitText = (unit: BringUnit) => (unit === 'C' || unit === 'F' ? `°${unit}` : unit)

/** A column called *unit* that says the same in every line speaks of the one called *value*. */
function unitBeside(table: Table, head: string): BringUnit | null {
  if (head.trim().toLowerCase() !== 'value') return null
  const column = table.head.findIndex((h) => /^units?$/i.test(h.trim()))
  const words = new Set(table.time.rows.map(({ cells }) => cells[column] ?? ''))
  return words.size === 1 ? unitIn([...words][0] ?? '') : null
}

interface Naming {
  file: string
  known: readonly Known[]
}

/** A file of one probe gives it the file's name; a file of several adds the column's. */
function instrumentFor(candidate: Candidate, quantity: Quantity, all: readonly Candidate[], { file, known }: Naming) {
  const own = bare(candidate.head)
  const inHouse = knownAs(own, known) ?? knownAs(withoutEnding(file), known)
  const alike = all.filter((c) => c.sense.is === 'value' && c.sense.quantity === quantity).length
  const byHead = knownAs(own, known)
  if (byHead) return { instrument: byHead.id, why: `the column has the name of the instrument ${byHead.id}` }
  if (inHouse && alike === 1)
    return { instrument: inHouse.id, why: `the file has the name of the instrument ${inHouse.id}` }
  const base = inHouse?.id ?? nameFrom(withoutEnding(file))
  if (alike === 1) return { instrument: base, why: 'named after the file' }
  const tail = nameFrom(own === '' ? String(candidate.column + 1) : own)
  return {
    instrument: nameFrom(`${base.slice(0, nameLettersMax - tail.length - 1)}-${tail}`),
    why: 'named after the file and the column',
  }
}

export function guessValues(table: Table, taken: readonly number[], naming: Naming) {
  const width = Math.max(table.head.length, ...table.time.rows.map((r) => r.cells.length))
  const columns = Array.from({ length: width }, (_, c) => c).filter((c) => !taken.includes(c))
  const candidates = columns.flatMap((c) => candidateAt(table, c) ?? [])
  const values: BringValue[] = []
  const guesses: BringGuess[] = []
  for (const candidate of candidates) {
    const { column, head, sense } = candidate
    const called = head === '' ? `Column ${column + 1}` : `"${head.slice(0, 60)}"`
    const say = (sure: BringGuess['sure'], sentence: string) =>
      void guesses.push({ about: 'column', column, sure, sentence })
    if (sense.is === 'left-out') say('likely', `${called} is left out: ${sense.why}.`)
    else if (sense.is === 'unknown')
      say('likely', `${called} is left out: its name does not say what it is. Choose a quantity to bring it in.`)
    else {
      const { quantity } = sense
      const fits = candidate.unit !== null && (bringUnits[quantity] as readonly string[]).includes(candidate.unit)
      const unit = (fits ? candidate.unit : (sense.unit ?? bringUnits[quantity][0])) as BringUnit
      const { instrument, why } = uniqueIn(values, instrumentFor(candidate, quantity, candidates, naming), quantity)
      values.push({ column, instrument, quantity, unit })
      const unsure = !fits && sense.unit === null
      say(
        unsure ? 'ask' : 'sure',
        `${called} is ${quantityWords[quantity]} of ${instrument} (${why})${unsure ? `; no unit is named, ${unitText(unit)} is assumed. Please say.` : unit === 'closed' ? '.' : `, in ${unitText(unit)}.`}`,
      )
    }
  }
  return { values, guesses, columns: candidates.map((c) => c.column) }
}

/** Two columns of one name must not become one series. */
function uniqueIn(values: readonly BringValue[], made: { instrument: string; why: string }, quantity: Quantity) {
  const taken = (id: string) => values.some((v) => v.instrument === id && v.quantity === quantity)
  for (let n = 2; taken(made.instrument); n++) {
    const next = `${made.instrument.replace(/-\d+$/, '')}-${n}`
    if (!taken(next)) return { ...made, instrument: next }
  }
  return made
}

const quantityWords: Record<Quantity, string> = {
  temperature: 'the temperature',
  humidity: 'the relative humidity',
  'air-speed': 'the air speed',
  pressure: 'the pressure',
  contact: 'the contact',
  current: 'the current',
  emf: 'the thermocouple voltage',
  junction: 'the cold end',
  number: 'a number',
  'dew-point': 'the dew point',
  'wet-bulb': 'the wet bulb',
}

interface DecimalGuess {
  decimal: '.' | ','
  guess: BringGuess
}

const saysDecimal = (decimal: '.' | ',', sure: BringGuess['sure'], sentence: string): DecimalGuess => ({
  decimal,
  guess: { about: 'decimal', sure, sentence },
})
const marks = { '.': 'point', ',': 'comma' } as const

export function guessDecimal(table: Table, columns: readonly number[], values: readonly BringValue[]): DecimalGuess {
  if (table.delimiter === 'json-lines') return saysDecimal('.', 'sure', 'Decimals stand behind a point.')
  const seen = { '.': 0, ',': 0 }
  const either: { cell: string; column: number }[] = []
  let example = ''
  for (const row of table.time.rows)
    for (const column of columns) {
      const cell = row.cells[column] ?? ''
      const mark = decimalIn(cell)
      if (mark === 'either') either.push({ cell, column })
      else if (mark !== null) {
        if (seen[mark]++ === 0) example ||= cell
      }
    }
  const fallback = table.delimiter === ',' ? '.' : ','
  if (seen['.'] > 0 && seen[','] > 0) {
    const more = seen['.'] >= seen[','] ? '.' : ','
    return saysDecimal(
      more,
      'ask',
      'Some decimals stand behind a point and some behind a comma. Please say which is meant.',
    )
  }
  if (seen['.'] > 0) return saysDecimal('.', 'sure', `Decimals stand behind a point: ${example}.`)
  if (seen[','] > 0) return saysDecimal(',', 'sure', `Decimals stand behind a comma: ${example}.`)
  const [first] = either
  if (!first) return saysDecimal('.', 'sure', 'No value has decimals.')
  const mark = first.cell.includes('.') ? '.' : ','
  if (either.some(({ cell }) => cell.includes(mark === '.' ? ',' : '.')))
    return saysDecimal(
      fallback,
      'ask',
      `Both marks stand before three digits (${first.cell}). Please say which parts decimals.`,
    )
  const asThousands = ({ cell, column }: { cell: string; column: number }) => {
    const quantity = values.find((v) => v.column === column)?.quantity ?? 'temperature'
    return Number(cell.replace(/[^\d]/g, '')) <= plausible[quantity][1]
  }
  if (!either.every(asThousands))
    return saysDecimal(
      mark,
      'likely',
      `Decimals stand behind a ${marks[mark]}: ${first.cell} as a thousand could not be measured.`,
    )
  return saysDecimal(mark, 'ask', `${first.cell} could be a thousand or a little more than one. Please say which.`)
}
