/** The review of a night and the calendar of a year, over HTTP, from twelve series of two dry rooms at 1 Hz; beside DuckDB's sums of the same night. */
import { join } from 'node:path'
import type { NightReview, NightsBody } from '../../shared/contract/index.ts'
import { Asker } from './kit/ask.ts'
import { makeYears, quick, tellMachine } from './kit/charting.ts'
import { type Ready, setUp, startOurs } from './kit/child.ts'
import { disks } from './kit/disks.ts'
import { Duck } from './kit/duck.ts'
import { chartColumns, chartLines, writeTable } from './kit/table.ts'
import { inMs, toldOf, verdict } from './kit/percentiles.ts'
import type { Years } from './kit/years.ts'

const rooms = ['D1', 'D2']
const probes = rooms.flatMap((room) => [`${room}-a`, `${room}-b`])
const pieces = rooms.map((room) => `${room}-wax`)
const climate = [...probes, 'hall']
const names = [
  ...climate.flatMap((id) => [`${id}.temperature`, `${id}.humidity`]),
  ...pieces.map((id) => `${id}.temperature`),
]
const nights = quick ? 10 : 60
const calendars = quick ? 5 : 20
const duckNights = quick ? 3 : 15
const days = quick ? 35 : 365
const nightMsMax = 200
const calendarMsMax = 300
const day = 86_400_000
const band = { from: 20.3, to: 23.7 }

/** Rooms that leave their band now and then: a thermostat in a day. */
function course(t: number, nth: number): number {
  const swing = Math.sin((2 * Math.PI * t) / day) + 0.5 * Math.sin((2 * Math.PI * (t + nth * 7e3)) / 2.2e6)
  return (names[nth] ?? '').endsWith('humidity') ? 45 + 4 * swing : 22 + 1.1 * swing
}

const foundry = {
  site: { name: 'Bench', timeZone: 'UTC', elevationM: 0, invented: true },
  stations: [
    ...rooms.map((id) => ({
      id,
      name: id,
      kind: 'dry-room',
      limits: [
        { kind: 'window', quantity: 'temperature', ...band },
        { kind: 'window', quantity: 'humidity', from: 40, to: 50 },
      ],
      leading: `${id}-a`,
      opensTo: 'hall',
    })),
    { id: 'hall', name: 'Hall', kind: 'surroundings' },
  ],
  instruments: [
    ...climate.map((id) => ({
      id,
      name: id,
      kind: 'climate',
      station: id.split('-')[0],
      place: 'room-air',
      intervalS: 1,
    })),
    ...pieces.map((id) => ({
      id,
      name: id,
      kind: 'thermocouple',
      station: id.split('-')[0],
      place: 'test-piece',
      intervalS: 1,
    })),
  ],
  recipes: [],
}

const [disk] = disks()
if (disk === undefined) throw new Error('There is nowhere to write.')
const folder = disk.folder()
try {
  console.log(
    `\nnight: ${nights} nights of ${names.length} series at 1 Hz, one after another, and the calendar of ${days} nights`,
  )
  tellMachine()
  const years = makeYears(folder, names.length, days, { names, course })
  const cold = await askedAtOnce(years)
  console.log(
    `  ours, calendar, at once after a start  ${cold.ms.toFixed(0)} ms, ${cold.nights} nights: nothing is summed up yet`,
  )
  const ours = startOurs(folder)
  const asker = new Asker((await ours.hear<Ready>()).ready.http)
  try {
    const dateOf = (nth: number) => new Date(years.to - (nth + 2) * day).toISOString().slice(0, 10)
    const first = await asker.json<NightReview>(`/api/v1/nights/${dateOf(nights)}`)
    const seen = first.body.rooms.flatMap((r) => r.lines.map((l) => l.readings)).reduce((a, b) => a + b, 0)
    console.log(
      `  ours, first after a start        ${first.ms.toFixed(1)} ms; ${seen.toLocaleString('en-GB')} readings of climate in it, ${(first.bytes / 1_024).toFixed(0)} kB`,
    )
    const times: number[] = []
    for (let nth = 0; nth < nights; nth++) times.push((await asker.json(`/api/v1/nights/${dateOf(nth)}`)).ms)
    const told = toldOf(times)
    console.log(`  ours, each another night         ${inMs(told)}`)
    // The house sums up its last year for itself, some time after its doors opened.
    await new Promise((resolve) => setTimeout(resolve, quick ? 30_000 : 90_000))
    const year: number[] = []
    for (let nth = 0; nth < calendars; nth++) year.push((await asker.json<NightsBody>(calendarPath(years))).ms)
    const calendar = toldOf(year)
    console.log(`  ours, calendar, nights summed    ${inMs(calendar)}`)
    await tellReference(years.file, years.to, told.median)
    console.log(`  ${verdict(told.p99, nightMsMax, 'ms p99, a night')}`)
    console.log(`  ${verdict(calendar.worst, calendarMsMax, 'ms, the slowest calendar once its nights are summed up')}`)
  } finally {
    asker.close()
    await ours.end()
  }
} finally {
  disk.clear()
}

function calendarPath({ from, to }: Years): string {
  return `/api/v1/nights?from=${from}&to=${to}`
}

/** Asked before the house could sum up anything for itself. */
async function askedAtOnce(years: Years): Promise<{ ms: number; nights: number }> {
  const child = startOurs(folder)
  const asker = new Asker((await child.hear<Ready>()).ready.http)
  try {
    await setUp(asker.http, foundry)
    const { ms, body } = await asker.json<NightsBody>(calendarPath(years))
    return { ms, nights: body.items.length }
  } finally {
    asker.close()
    await child.end()
  }
}

/** Only the last weeks are loaded: a database need not hold more to sum a night. */
async function tellReference(file: string, to: number, mine: number): Promise<void> {
  const duck = await Duck.open(join(folder, 'reference.duckdb'))
  const table = join(folder, 'reference.csv')
  const since = to - (duckNights + 2) * day
  writeTable(table, chartLines(file, since))
  await duck.load(table, chartColumns)
  const ids = names.map((_, nth) => nth + 1)
  const times: number[] = []
  for (let nth = 0; nth < duckNights; nth++) {
    const from = to - (nth + 2) * day + day / 2
    times.push((await duck.inBand(ids, { from, to: from + day }, band, 15_000)).ms)
  }
  duck.close()
  const told = toldOf(times)
  console.log(`  DuckDB, sums and shares alone    ${inMs(told)}, in process; no excursions, causes, alarms or pieces`)
  console.log(`  ${(told.median / mine).toFixed(2)} times as fast as DuckDB by medians, for more that is told`)
}
