/** One raw day at 1 Hz: each of its 86,400 readings lies in some pixel column, so every block is looked into. */
import { makeYears, quick, tellCold, tellDuck, tellMachine, tellPostgres, tellWarm, windowsOf } from './kit/charting.ts'
import { disks } from './kit/disks.ts'
import { verdict } from './kit/percentiles.ts'

const width = 1_000
const requests = quick ? 50 : 200
const duckRequests = quick ? 5 : 50
const postgresRequests = 20
const limitMs = 10

const [disk] = disks()
if (disk === undefined) throw new Error('There is nowhere to write.')
const folder = disk.folder()
try {
  console.log(
    `\nchart-day: one series, ${requests} requests, each for another day of a month, as ${width} pixel columns`,
  )
  tellMachine()
  const years = makeYears(folder, 1, 30)
  const windows = windowsOf(years, requests, [1, 1], width)
  await tellCold(folder, years.names, windows[0] ?? { from: 0, to: 1, width })
  const { numbers, told } = await tellWarm(folder, years.names, windows)
  const reference = { folder, years, ids: [1], windows: windows.slice(0, duckRequests), ours: numbers }
  const duck = await tellDuck(reference)
  console.log(`  ${verdict(told.p99, limitMs, 'ms p99, request to decoded body')}`)
  console.log(`  ${(duck / told.median).toFixed(1)} times as fast as DuckDB by medians`)
  await tellPostgres({ ...reference, windows: windows.slice(0, postgresRequests) })
} finally {
  disk.clear()
}
