/** The first lines of a table as a plan would have them understood. */
import type { BringLine, BringPlan } from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'
import { decoded } from './encoding.ts'
import { Reader, type Read, runsForward } from './reader.ts'
import { type Row, rowsOf } from './rows.ts'

const linesShown = 8

async function* once(sample: Uint8Array): AsyncIterable<Uint8Array> {
  yield sample
}

export async function firstRows(sample: Uint8Array, plan: BringPlan): Promise<Row[]> {
  for await (const rows of rowsOf(decoded(once(sample), plan.encoding), plan)) return rows
  return []
}

function lineOf(read: Read, cells: string[]): BringLine {
  const line: BringLine = {
    line: read.line,
    cells,
    at: read.at,
    values: read.values.map(({ column, series, value, quality, said }) => ({ column, series, value, quality, said })),
  }
  const trouble = read.missing
    ? 'this local time never was: the clock went forward over it'
    : (read.troubles[0] ??
      (read.twice === 'assumed'
        ? 'this local time was twice; taken as the one that comes first in the order of the lines'
        : undefined))
  if (trouble !== undefined) line.trouble = trouble
  return line
}

export async function preview(sample: Uint8Array, plan: BringPlan, now: EpochMs): Promise<BringLine[]> {
  const rows = await firstRows(sample, plan)
  const reader = new Reader(plan, now, runsForward(plan, rows))
  return rows.slice(0, linesShown).map((row) => lineOf(reader.read(row), row.cells))
}
