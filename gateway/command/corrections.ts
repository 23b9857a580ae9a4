/** What somebody says on the command line of how a table is written, put over what was guessed. */
import { type BringPlan, type BringValue, splitSeriesId } from '../../shared/contract/index.ts'
import { unitIn } from '../bring/columns.ts'
import type { Guessed } from '../bring/look.ts'
import { UsageRefusal } from './verb.ts'

export interface Corrections {
  decimal?: string
  'date-order'?: string
  zone?: string
  column?: string[]
}

/** `NAME=SERIES:UNIT`, `NAME=SERIES` or `NAME=-`, where NAME is the head of a column or its number from 1 on. */
function columnSaid(said: string, guessed: Guessed): { column: number; value: BringValue | null } {
  const at = said.lastIndexOf('=')
  const [name, use] = [said.slice(0, at).trim(), said.slice(at + 1).trim()]
  const byHead = guessed.head.findIndex((head) => head.trim() === name)
  const column = byHead >= 0 ? byHead : /^\d+$/.test(name) ? Number(name) - 1 : -1
  if (at < 0 || column < 0)
    throw new UsageRefusal(
      `--column "${said}" names no column; it is written NAME=SERIES:UNIT, and the columns are ${guessed.head.join(' · ')}.`,
    )
  if (use === '-') return { column, value: null }
  const [series = '', unitText] = use.split(':')
  const id = splitSeriesId(series)
  if (!id) throw new UsageRefusal(`--column "${said}" names no series; one looks like room.temperature.`)
  const known = guessed.plan.values.find((v) => v.column === column && v.quantity === id.quantity)
  const unit = unitText === undefined ? known?.unit : unitText === 'closed' ? 'closed' : unitIn(`(${unitText})`)
  if (!unit) throw new UsageRefusal(`--column "${said}" needs its unit, as in ${series}:C.`)
  return { column, value: { column, ...id, unit } }
}

/** The plan is checked by whoever asked for it: a word may still be wrong. */
export function corrected(guessed: Guessed, said: Corrections): BringPlan {
  const { plan } = guessed
  const columns = (said.column ?? []).map((text) => columnSaid(text, guessed))
  const touched = new Set(columns.map((c) => c.column))
  const values = [...plan.values.filter((v) => !touched.has(v.column)), ...columns.flatMap((c) => c.value ?? [])]
  const open = guessed.guesses.some((g) => g.about === 'column' && g.sure === 'ask' && !touched.has(g.column ?? -1))
  const answered: Record<BringPlan['ask'][number], boolean> = {
    'date-order': said['date-order'] !== undefined,
    decimal: said.decimal !== undefined,
    unit: !open,
    values: values.length > 0 || plan.named !== undefined,
    time: false,
  }
  return {
    ...plan,
    decimal: (said.decimal ?? plan.decimal) as BringPlan['decimal'],
    time: {
      ...plan.time,
      order: (said['date-order'] ?? plan.time.order) as BringPlan['time']['order'],
      zone: said.zone ?? plan.time.zone,
    },
    values: values.sort((a, b) => a.column - b.column),
    ask: plan.ask.filter((question) => !answered[question]),
  }
}
