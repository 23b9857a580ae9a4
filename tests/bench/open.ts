/** Ten series over ten years at 1 Hz: how soon a gateway is ready on it, how soon a chart of any span is there, and how large it is. Then a day of 64 series: its memory. */
import { once } from 'node:events'
import { createServer } from 'node:net'
import { setTimeout as pause } from 'node:timers/promises'
import { chance } from '../../simulators/random.ts'
import { Asker, type Window } from './kit/ask.ts'
import { makeYears, mb, quick, tellMachine } from './kit/charting.ts'
import { portOf, startChild } from './kit/child.ts'
import { type Disk, disks } from './kit/disks.ts'
import { startLed } from './kit/led.ts'
import { seed } from './kit/noisy.ts'
import type { PacedDone } from './kit/paced.ts'
import { inMs, toldOf, verdict } from './kit/percentiles.ts'
import type { Years } from './kit/years.ts'

/** `--years 0` leaves only the day of 64 series. */
const asked = process.argv.indexOf('--years')
const years = asked > 0 ? Number(process.argv[asked + 1]) : 10
const seriesCount = 10
const width = 1_000
const perSpan = quick ? 20 : 100
const starts = quick ? 1 : 5
const limits = { chartMs: 60, readyMs: 2_000, residentMb: 200 }
const hour = 3_600_000
const day = 24 * hour
/** Seconds of the clock between two handfuls of the simulated day: what arrives is always live. */
const beatS = 20
const simulatedHours = quick ? 2 : 24

const [disk] = disks()
if (disk === undefined) throw new Error('There is nowhere to write.')
console.log(`\nopen: ${seriesCount} series over ${years} years at 1 Hz`)
tellMachine()
if (years > 0) await tellYears(disk)
await tellMemory(disk)

async function tellYears(disk: Disk): Promise<void> {
  try {
    const folder = disk.folder()
    const begun = performance.now()
    const made = makeYears(folder, seriesCount, years * 365)
    const seconds = (performance.now() - begun) / 1_000
    console.log(
      `  Written within ${seconds.toFixed(0)} s; ${mb(made.bytes)} MB are ${(made.bytes / made.readings).toFixed(2)} B a reading`,
    )
    await tellReady(folder)
    await tellCharts(folder, made)
  } finally {
    disk.clear()
  }
}

/** From the start of the process until /readyz says yes. */
async function tellReady(folder: string): Promise<void> {
  const times: number[] = []
  for (let start = 0; start < starts; start++) {
    const port = await freePort()
    const begun = performance.now()
    const child = startChild('gateway/main.js', [
      '--data',
      folder,
      '--http',
      `127.0.0.1:${port}`,
      '--mqtt',
      '127.0.0.1:0',
      '--log',
      'error',
    ])
    const isReady = () =>
      fetch(`http://127.0.0.1:${port}/readyz`).then(
        ({ status }) => status === 200,
        () => false,
      )
    while (!(await isReady())) await pause(5)
    times.push(performance.now() - begun)
    await child.end()
  }
  const told = toldOf(times)
  console.log(`  start to /readyz             ${inMs(told)}`)
  console.log(`  ${verdict(told.worst, limits.readyMs, 'ms to /readyz')}`)
}

async function tellCharts(folder: string, made: Years): Promise<void> {
  const led = await startLed(folder, made.to + hour)
  const asker = new Asker(led.http)
  const random = chance(seed, 'open')
  const spans = [
    ['1 hour', hour],
    ['1 day', day],
    ['1 week', 7 * day],
    ['1 month', 30 * day],
    ['1 year', 365 * day],
    ['5 years', 1_825 * day],
    ['10 years', 3_650 * day],
  ] as const
  const all: number[] = []
  const cold = await asker.charts(made.names.slice(0, 1), { from: made.from, to: made.to, width })
  console.log(`  first chart, of everything   ${cold.ms.toFixed(1)} ms after the start`)
  for (const [name, longest] of spans) {
    if (longest > made.to - made.from) continue
    const times: number[] = []
    for (let i = 0; i < perSpan; i++) {
      const span = Math.round(longest * (1 - 0.1 * random.next()))
      const from = made.from + Math.floor(random.next() * (made.to - made.from - span))
      const series = made.names[i % made.names.length] as string
      times.push((await asker.charts([series], { from, to: from + span, width } satisfies Window)).ms)
    }
    all.push(...times)
    console.log(`  chart of about ${name.padEnd(12)}  ${inMs(toldOf(times))}`)
  }
  console.log(`  ${verdict(toldOf(all).p99, limits.chartMs, 'ms p99 over all spans')}`)
  console.log(`  resident after these charts  ${led.residentMb().toFixed(0)} MB`)
  asker.close()
  await led.child.end()
}

/** A day of 64 series at 1 Hz passes over the led clock, live, judged and sealed as it goes. */
async function tellMemory(disk: Disk): Promise<void> {
  const folder = disk.folder()
  const begin = 1_760_054_400_000
  const led = await startLed(folder, begin)
  const flood = startChild('tests/bench/kit/paced.js')
  const begun = performance.now()
  const samples: number[] = []
  try {
    for (let at = begin; at < begin + simulatedHours * hour; at += beatS * 1_000) {
      await led.lead(at + beatS * 1_000)
      const order = { port: portOf(led.mqtt), readings: 64 * beatS, perSecond: 1e9, from: at, stepMs: 1_000 }
      await flood.ask<PacedDone>(order)
      if ((at + beatS * 1_000 - begin) % (hour / 4) < beatS * 1_000) samples.push(led.residentMb())
    }
  } finally {
    await flood.end()
    await led.child.end()
    disk.clear()
  }
  const part = (from: number, to: number) =>
    toldOf(samples.slice(Math.floor(samples.length * from), Math.floor(samples.length * to))).median
  console.log(
    `\n  A simulated ${simulatedHours} hours of 64 series at 1 Hz, led, within ${((performance.now() - begun) / 1_000).toFixed(0)} s; resident memory every quarter of an hour of it:`,
  )
  console.log(
    `  highest ${Math.max(...samples).toFixed(0)} MB; medians of its quarters ${[0, 0.25, 0.5, 0.75].map((q) => part(q, q + 0.25).toFixed(0)).join(', ')} MB`,
  )
  console.log(`  ${verdict(Math.max(...samples), limits.residentMb, 'MB')}`)
}

async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1')
  await once(server, 'listening')
  const address = server.address()
  await new Promise((resolve) => server.close(resolve))
  return typeof address === 'object' ? (address?.port ?? 0) : 0
}
