/** A year at 1 Hz, 31.5 million readings, drawn into 1,000 pixel columns: ours end to end over HTTP, the references by their own SQL. */
import { makeYears, quick, tellCold, tellDuck, tellMachine, tellPostgres, tellWarm, windowsOf } from './kit/charting.ts'
import { disks } from './kit/disks.ts'
import { verdict } from './kit/percentiles.ts'

const width = 1_000
const requests = quick ? 50 : 200
const duckRequests = quick ? 5 : 30
const postgresRequests = 3
const limitMs = 30
const timesFasterMin = 5

const [disk] = disks()
if (disk === undefined) throw new Error('There is nowhere to write.')
const folder = disk.folder()
try {
  console.log(
    `\nchart-year: one series, ${requests} requests, each for another span of 300 to 365 days, as ${width} pixel columns`,
  )
  tellMachine()
  const years = makeYears(folder, 1, 365)
  const windows = windowsOf(years, requests, [300, 365], width)
  await tellCold(folder, years.names, { from: years.from, to: years.to, width })
  const { numbers, told } = await tellWarm(folder, years.names, windows)
  const reference = { folder, years, ids: [1], windows: windows.slice(0, duckRequests), ours: numbers }
  const duck = await tellDuck(reference)
  console.log(`  ${verdict(told.p99, limitMs, 'ms p99, request to decoded body')}`)
  const faster = duck / told.median
  const word = faster >= timesFasterMin ? 'kept' : 'MISSED'
  console.log(`  ${word}: ${faster.toFixed(1)} times as fast as DuckDB by medians, of at least ${timesFasterMin}`)
  await tellPostgres({ ...reference, windows: windows.slice(0, postgresRequests) })
} finally {
  disk.clear()
}
