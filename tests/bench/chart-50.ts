/** Fifty series for one day: as one request, as a wall asks, and as fifty at once, as fifty small charts would. */
import {
  makeYears,
  quick,
  tellCold,
  tellDuck,
  tellMachine,
  tellPostgres,
  tellWarm,
  windowsOf,
  withOurs,
} from './kit/charting.ts'
import { disks } from './kit/disks.ts'
import { inMs, toldOf, verdict } from './kit/percentiles.ts'

const series = 50
/** Pixel columns of each: a wall of fifty has no more. */
const width = 400
const requests = quick ? 20 : 200
const rounds = quick ? 5 : 20
const duckRequests = quick ? 3 : 20
const postgresRequests = 3
const limitMs = 60

const [disk] = disks()
if (disk === undefined) throw new Error('There is nowhere to write.')
const folder = disk.folder()
try {
  console.log(
    `\nchart-50: ${series} series, ${requests} requests for all of them, each for another day, as ${width} pixel columns each`,
  )
  tellMachine()
  const years = makeYears(folder, series, 7)
  const windows = windowsOf(years, requests, [1, 1], width)
  await tellCold(folder, years.names, windows[0] ?? { from: 0, to: 1, width })
  const { numbers, told } = await tellWarm(folder, years.names, windows)
  const singles = await withOurs(folder, async (asker) => {
    const times: number[] = []
    for (const window of windows.slice(0, rounds + 1)) {
      const begun = performance.now()
      await Promise.all(years.names.map((name) => asker.charts([name], window)))
      times.push(performance.now() - begun)
    }
    // The first round also opens fifty connections.
    return toldOf(times.slice(1))
  })
  console.log(`  ours, fifty requests at once     ${inMs(singles)} until the last is there`)
  const ids = years.names.map((_, nth) => nth + 1)
  const reference = { folder, years, ids, windows: windows.slice(0, duckRequests), ours: numbers }
  const duck = await tellDuck(reference)
  console.log(`  ${verdict(told.p99, limitMs, 'ms p99, one request to decoded body')}`)
  console.log(`  ${(duck / told.median).toFixed(1)} times as fast as DuckDB by medians`)
  await tellPostgres({ ...reference, windows: windows.slice(0, postgresRequests) })
} finally {
  disk.clear()
}
