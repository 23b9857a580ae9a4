/** What is still to be said of a table before it can be kept, and the words for its choices. */
import type { BringLook, BringPlan, BringUnit, DateOrder, Quantity } from '../../shared/contract/index.ts'

export const delimiterWords: readonly [BringPlan['delimiter'], string][] = [
  [',', 'commas'],
  [';', 'semicolons'],
  ['\t', 'tabs'],
  ['|', 'upright bars'],
  ['json-lines', 'one JSON object a line'],
]

export const orderWords: readonly [DateOrder, string][] = [
  ['ymd', 'year, month, day'],
  ['dmy', 'day, month, year'],
  ['mdy', 'month, day, year'],
  ['epoch-s', 'seconds since 1970'],
  ['epoch-ms', 'milliseconds since 1970'],
  ['serial-days', 'days of a spreadsheet'],
]

export const encodingWords: readonly [BringPlan['encoding'], string][] = [
  ['utf-8', 'UTF-8'],
  ['utf-16le', 'UTF-16, little end first'],
  ['utf-16be', 'UTF-16, big end first'],
  ['windows-1252', 'Windows-1252 (Western)'],
]

/** What a column can be brought in as; the raw signals of a thermocouple come from the gateway's own exports only. */
export const quantityWords: readonly [Quantity, string][] = [
  ['temperature', 'Temperature'],
  ['humidity', 'Relative humidity'],
  ['air-speed', 'Air speed'],
  ['pressure', 'Pressure'],
  ['contact', 'Contact'],
  ['current', 'Current'],
]

/** Columns whose unit was assumed. */
export function openColumns({ guesses }: BringLook): ReadonlySet<number> {
  return new Set(
    guesses.flatMap((g) => (g.about === 'column' && g.sure === 'ask' && g.column !== undefined ? [g.column] : [])),
  )
}

/** The questions that are still open once this plan is so. */
export function asked(plan: BringPlan, unsaid: ReadonlySet<number>): BringPlan['ask'] {
  const unit = plan.values.some((value) => unsaid.has(value.column))
  const values = plan.values.length === 0 && plan.named === undefined
  const kept = plan.ask.filter((question) => question !== 'unit' && question !== 'values')
  return [...kept, ...(unit ? (['unit'] as const) : []), ...(values ? (['values'] as const) : [])]
}

export function without(plan: BringPlan, question: BringPlan['ask'][number]): BringPlan['ask'] {
  return plan.ask.filter((q) => q !== question)
}

/** A name that a topic and an address can carry, while somebody is still writing it. */
export function isInstrumentName(text: string): boolean {
  return /^[A-Za-z0-9][A-Za-z0-9_:.-]{0,63}$/.test(text)
}

export const firstUnit = (units: readonly BringUnit[]): BringUnit => units[0] ?? 'C'
