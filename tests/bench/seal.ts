/** Whether sealing is felt by those who wait for a PUBACK: 20,000 readings a second into the running hour, and into hours that are sealed and opened again meanwhile. */
import { setTimeout as pause } from 'node:timers/promises'
import { tellMachine } from './kit/charting.ts'
import { type Child, portOf, type Ready, startChild, startOurs } from './kit/child.ts'
import { type Disk, disks } from './kit/disks.ts'
import type { PacedDone, PacedOrder } from './kit/paced.ts'
import { inMs, toldOf } from './kit/percentiles.ts'

const perSecond = 20_000
const quick = process.argv.includes('--quick')
/** Seconds on the side where nothing is sealed, in each round; and seconds during which blocks came about, on the other. */
const [calmSeconds, sealingSeconds, rounds] = quick ? [8, 4, 1] : [20, 10, 2]
/** The gateway looks once a minute whether an hour is finished. */
const secondsMax = 150
const day = 86_400_000
/** One reading in fifty comes five hours late, into an hour that is a block already. */
const late = { lateEvery: 50, lateMs: 18_000_000 }
const ratioMax = 2

interface Side {
  name: string
  child: Child
  http: string
  port: number
  latencies: number[]
  /** Where the next second of each series begins, and how far apart its readings lie. */
  from: number
  stepMs: number
}

/** Readings of one series in a second of the flood. */
const each = perSecond / 64

console.log(`\nseal: ${perSecond} readings/s over 16 connections, 64 series, ${rounds} rounds on each side by turns`)
tellMachine()
for (const disk of disks()) await measure(disk)

async function measure(disk: Disk): Promise<void> {
  const flood = startChild('tests/bench/kit/paced.js')
  const calm = await side(disk, 'into the running hour, nothing to seal', Date.now() - 600_000, 1)
  // A second a reading: each second of the flood brings five minutes of hours that ended long ago.
  const sealing = await side(
    disk,
    'while blocks are sealed and opened again',
    (Math.floor(Date.now() / day) - 60) * day,
    1_000,
  )
  const between: number[] = []
  let blocks = 0
  try {
    await second(flood, calm)
    await second(flood, sealing)
    for (let round = 0; round < rounds; round++) {
      for (let s = 0; s < calmSeconds; s++) calm.latencies.push(...(await second(flood, calm)))
      const enough = (round + 1) * sealingSeconds * perSecond
      for (let s = 0; s < secondsMax && sealing.latencies.length < enough; s++) {
        const before = await sealedBlocks(sealing)
        const latencies = await second(flood, sealing, late)
        const made = (await sealedBlocks(sealing)) - before
        blocks += made
        for (const latency of latencies) (made > 0 ? sealing.latencies : between).push(latency)
      }
      await untilCalm(sealing)
    }
  } finally {
    await flood.end()
    for (const { child } of [calm, sealing]) await child.end()
    disk.clear()
  }
  if (blocks === 0) throw new Error('Nothing was sealed: the bench measured nothing.')
  tell(disk, calm, sealing, between, blocks)
}

async function side(disk: Disk, name: string, from: number, stepMs: number): Promise<Side> {
  const child = startOurs(disk.folder())
  const { ready } = await child.hear<Ready>()
  return { name, child, http: ready.http, port: portOf(ready.mqtt), latencies: [], from, stepMs }
}

/** One second of the flood; the latency of each of its readings. */
async function second(flood: Child, to: Side, lateness: Partial<PacedOrder> = {}): Promise<number[]> {
  const { port, from, stepMs } = to
  const { latencies } = await flood.ask<PacedDone>({ port, readings: perSecond, perSecond, from, stepMs, ...lateness })
  to.from += Math.ceil(each) * stepMs
  return latencies
}

async function sealedBlocks({ http }: Side): Promise<number> {
  const text = await (await fetch(`${http}/metrics`)).text()
  return Number(/^cirewatch_sealed_blocks_total (\d+)/m.exec(text)?.[1] ?? 0)
}

/** So that one side's sealing does not run into the other's seconds. */
async function untilCalm(side: Side): Promise<void> {
  for (let before = -1, now = 0; now !== before; now = await sealedBlocks(side)) {
    before = now
    await pause(1_000)
  }
}

function tell(disk: Disk, calm: Side, sealing: Side, between: readonly number[], blocks: number): void {
  console.log(`  On ${disk.name}, PUBACK after the moment a reading was due:`)
  const line = (name: string, latencies: readonly number[]) =>
    console.log(`    ${name.padEnd(42)} ${inMs(toldOf(latencies))}`)
  line(calm.name, calm.latencies)
  line(`${sealing.name}`, sealing.latencies)
  line('between two sealings', between)
  console.log(
    `    ${blocks} blocks were sealed in ${sealing.latencies.length / perSecond} s of flood; one reading in ${late.lateEvery} was late`,
  )
  const ratio = toldOf(sealing.latencies).p99 / toldOf(calm.latencies).p99
  console.log(
    `    ${ratio <= ratioMax ? 'kept' : 'MISSED'}: p99 while sealing is ${ratio.toFixed(2)} times that without, of at most ${ratioMax}`,
  )
}
