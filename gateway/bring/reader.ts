/** Reads one row after another by a plan: an instant, its values in stored units, or the reason why not. */
import {
  type BringPlan,
  type BringUnit,
  bringUnits,
  measuredAheadMsMax,
  type Quality,
  qualities,
  seriesId,
  type SeriesId,
  splitSeriesId,
} from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'
import { LineOrder, WallClock } from './local.ts'
import { civilOf } from './moment.ts'
import { isNoValue, parseContact, parseNumber } from './number.ts'
import type { Row } from './rows.ts'
import { measured } from './units.ts'

export interface ReadValue {
  column: number
  series: SeriesId
  /** Null where the cell is empty or says that there was no value. */
  value: number | null
  quality: Quality
  unit: BringUnit
  /** The cell as it stands. */
  said: string
}

export interface Read {
  line: number
  at: EpochMs | null
  values: ReadValue[]
  /** Why the line, or a cell of it, cannot be read. */
  troubles: string[]
  /** The clock leapt over its time. */
  missing: boolean
  twice?: 'told' | 'assumed'
}

const worse = (a: Quality, b: Quality): Quality => (qualities.indexOf(a) > qualities.indexOf(b) ? a : b)

export class Reader {
  readonly #plan: BringPlan
  readonly #now: EpochMs
  readonly #order: LineOrder
  readonly #columns: { column: number; series: SeriesId; value: BringPlan['values'][number] }[]

  constructor(plan: BringPlan, now: EpochMs, forward: boolean) {
    this.#plan = plan
    this.#now = now
    this.#order = new LineOrder(new WallClock(plan.time.zone), { forward, oneLineAnInstant: plan.named === undefined })
    this.#columns = plan.values.map((value) => ({
      column: value.column,
      series: seriesId(value.instrument, value.quantity),
      value,
    }))
  }

  read({ line, cells }: Row): Read {
    const nothing = { line, at: null, values: [], missing: false }
    const civil = civilOf(timeCells(this.#plan, cells), this.#plan.time.order)
    if (typeof civil === 'string') return { ...nothing, troubles: [civil] }
    const told = this.#order.tell(civil.localMs, civil.offsetMs)
    if (told.at === null) return { ...nothing, troubles: [], missing: true }
    const { at } = told
    if (at > this.#now + measuredAheadMsMax)
      return {
        ...nothing,
        troubles: [`${iso(at)} lies in the future; is the order of day and month right, and the zone?`],
      }
    if (at < 0) return { ...nothing, troubles: [`${iso(at)} lies before 1970`] }
    const troubles: string[] = []
    const values = this.#plan.named ? this.#named(cells, troubles) : this.#wide(cells, troubles)
    const read: Read = { line, at, values, troubles, missing: false }
    if (told.twice) read.twice = told.twice
    return read
  }

  #wide(cells: readonly string[], troubles: string[]): ReadValue[] {
    const values: ReadValue[] = []
    for (const { column, series, value } of this.#columns) {
      const read = this.#value(cells, column, series, value.quantity, value.unit)
      if (typeof read === 'string') troubles.push(read)
      else values.push(read)
    }
    return values
  }

  #named(cells: readonly string[], troubles: string[]): ReadValue[] {
    const named = this.#plan.named as NonNullable<BringPlan['named']>
    const series = cells[named.series] ?? ''
    const id = splitSeriesId(series)
    if (!id) {
      troubles.push(`"${series.slice(0, 60)}" names no series`)
      return []
    }
    const read = this.#value(cells, named.value, series, id.quantity, bringUnits[id.quantity][0])
    if (typeof read !== 'string') return [read]
    troubles.push(read)
    return []
  }

  #value(
    cells: readonly string[],
    column: number,
    series: SeriesId,
    quantity: BringPlan['values'][number]['quantity'],
    unit: BringUnit,
  ): ReadValue | string {
    const said = cells[column] ?? ''
    const number = quantity === 'contact' ? parseContact(said) : parseNumber(said, this.#plan.decimal)
    if (number === null || !Number.isFinite(number)) {
      if (isNoValue(said)) return { column, series, value: null, quality: 'good', unit, said }
      return `"${said.slice(0, 40)}" in column ${column + 1} is no value of ${series}`
    }
    const { value, quality } = measured(quantity, number, unit)
    return { column, series, value, quality: worse(quality, this.#marked(cells)), unit, said }
  }

  #marked(cells: readonly string[]): Quality {
    const column = this.#plan.quality
    const word = column === undefined ? '' : (cells[column] ?? '').toLowerCase()
    return qualities.find((quality) => quality === word) ?? 'good'
  }
}

const iso = (at: EpochMs) => new Date(at).toISOString()

export function timeCells(plan: BringPlan, cells: readonly string[]): string[] {
  return plan.time.columns.map((column) => cells[column] ?? '')
}

/** Whether the table runs forward in time, by most of these rows. */
export function runsForward(plan: BringPlan, rows: readonly Row[]): boolean {
  let steps = 0
  let last: number | null = null
  for (const { cells } of rows) {
    const civil = civilOf(timeCells(plan, cells), plan.time.order)
    if (typeof civil === 'string') continue
    if (last !== null && civil.localMs !== last) steps += civil.localMs > last ? 1 : -1
    last = civil.localMs
  }
  return steps >= 0
}
