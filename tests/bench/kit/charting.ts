/** What the chart benches have in common: ours asked over HTTP cold and warm, the references on the same readings, and whether all say the same. */
import { availableParallelism, loadavg } from 'node:os'
import { join } from 'node:path'
import { chance } from '../../../simulators/random.ts'
import { type Answered, Asker, type Form, type Window } from './ask.ts'
import { type Ready, startOurs } from './child.ts'
import { Duck } from './duck.ts'
import { mannerTold, seed, usual } from './noisy.ts'
import { inMs, type Told, toldOf } from './percentiles.ts'
import { differing } from './same.ts'
import { Postgres, postgresVersion } from './postgres.ts'
import { chartColumns, chartLines, writeTable } from './table.ts'
import { type Years, type YearsWish, yearsOf } from './years.ts'

/** Fewer requests and no PostgreSQL: to look at ours while working on it. */
export const quick = process.argv.includes('--quick')

const starts = quick ? 1 : 5
const day = 86_400_000

export function tellMachine(): void {
  console.log(`  Machine: ${availableParallelism()} cores, load ${loadavg()[0]?.toFixed(1)} when it began`)
}

export function makeYears(
  folder: string,
  series: number,
  days: number,
  wish: Pick<YearsWish, 'names' | 'course'> = {},
): Years {
  const made = yearsOf(folder, { series, years: days / 365, hz: 1, ...wish })
  const readings = made.readings.toLocaleString('en-GB')
  console.log(
    `  Data, invented, seed ${seed}: ${readings} readings of ${series} series over ${days} days, ${mannerTold(usual)};`,
  )
  console.log(
    `  a week of each, laid down again and again with its times moved on, every block written in full: ${made.blocks} blocks, ${mb(made.bytes)} MB`,
  )
  return made
}

/** Other spans each time. */
export function windowsOf(years: Years, count: number, days: [number, number], width: number): Window[] {
  const random = chance(seed, 'windows')
  return Array.from({ length: count }, () => {
    const span = Math.round((days[0] + (days[1] - days[0]) * random.next()) * day)
    const from = years.from + Math.floor(random.next() * (years.to - years.from - span))
    return { from, to: from + span, width }
  })
}

/** One gateway started, asked by `work`, ended. */
export async function withOurs<T>(folder: string, work: (asker: Asker) => Promise<T>): Promise<T> {
  const child = startOurs(folder)
  const asker = new Asker((await child.hear<Ready>()).ready.http)
  try {
    return await work(asker)
  } finally {
    asker.close()
    await child.end()
  }
}

/** The first chart after each of some starts. */
export async function tellCold(folder: string, names: readonly string[], window: Window): Promise<void> {
  const times: number[] = []
  for (let start = 0; start < starts; start++)
    times.push(await withOurs(folder, async (asker) => (await asker.charts(names, window)).ms))
  console.log(`  ours, first chart after a start  ${inMs(toldOf(times))}`)
}

/** Answers in numbers, asked one after another. JSON is told beside it. */
export async function tellWarm(folder: string, names: readonly string[], windows: readonly Window[]) {
  return withOurs(folder, async (asker) => {
    await asker.charts(names, windows[0] as Window)
    const answers = new Map<Form, Answered[]>()
    for (const form of ['json', 'numbers'] satisfies Form[]) {
      const all: Answered[] = []
      for (const window of windows) all.push(await asker.charts(names, window, form))
      answers.set(form, all)
      const size = Math.round((all[0]?.bytes ?? 0) / 1_024)
      console.log(`  ours, HTTP, warm, as ${form.padEnd(8)}   ${inMs(timesOf(all))}, ${size} kB each`)
    }
    const numbers = answers.get('numbers') ?? []
    return { numbers, told: timesOf(numbers) }
  })
}

function timesOf(answers: readonly Answered[]): Told {
  return toldOf(answers.map(({ ms }) => ms))
}

export interface Reference {
  folder: string
  years: Years
  /** Numbers that stand for the series in the database, in the order of the charts. */
  ids: readonly number[]
  windows: readonly Window[]
  ours: readonly Answered[]
}

/** Median of DuckDB; ends with an error where it says anything else than ours. */
export async function tellDuck({ folder, years, ids, windows, ours }: Reference): Promise<number> {
  const duck = await Duck.open(join(folder, 'reference.duckdb'))
  const table = join(folder, 'reference.csv')
  writeTable(table, chartLines(years.file))
  await duck.load(table, chartColumns)
  await duck.m4(ids, windows[0] as Window)
  const times: number[] = []
  let [compared, wrong] = [0, 0]
  for (const [i, window] of windows.entries()) {
    const { ms, rows } = await duck.m4(ids, window)
    times.push(ms)
    ids.forEach((id, nth) => {
      const chart = ours[i]?.charts[nth]
      wrong += chart === undefined ? window.width : differing(chart, window, rows, id)
      compared += window.width
    })
  }
  duck.close()
  console.log(`  DuckDB, exact M4 in one query    ${inMs(toldOf(times))}, in process, ${mb(duck.bytes)} MB`)
  console.log(`  pixel columns in which DuckDB's differ from ours: ${wrong} of ${compared}`)
  if (wrong > 0) process.exitCode = 1
  return toldOf(times).median
}

/** After `tellDuck`, which wrote the table. */
export async function tellPostgres({ folder, ids, windows }: Omit<Reference, 'ours' | 'years'>): Promise<void> {
  const version = postgresVersion()
  if (version === null || quick) return console.log('  PostgreSQL is not on this machine, or was not asked.')
  const postgres = await Postgres.start(folder)
  await postgres.load(join(folder, 'reference.csv'))
  const times: number[] = []
  for (const window of windows) times.push(await postgres.m4(ids, window))
  console.log(`  ${version}  ${inMs(toldOf(times))}, over its socket`)
  await postgres.end()
}

export function mb(bytes: number): string {
  return (bytes / 1e6).toFixed(0)
}
