/** What the whole path adds to a bare broker that commits as safely: parse, validate, correct, judge, commit FULL, push to twenty screens. */
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import { type Child, portOf, type Ready, setUp, startChild, startOurs } from './kit/child.ts'
import { disks } from './kit/disks.ts'
import type { FloodOrder } from './kit/flood.ts'
import { benchFoundry } from './kit/foundry.ts'
import { median } from './kit/race.ts'

const readingsPerRound = 128_000
const rounds = 7
/** Fourteen hours at ten seconds for each of 64 series: what lies in the database already. */
const night = { readings: 64 * 5_040, stepMs: 10_000 }
const hour = 3_600_000

interface Done {
  count: number
  seconds: number
}

interface Side {
  name: string
  server: Child
  port: number
  rates: number[]
}

async function flood(order: FloodOrder): Promise<Done> {
  const child = startChild('tests/bench/kit/flood.js')
  const done = await child.ask<Done>(order)
  await child.end()
  return done
}

for (const disk of disks()) {
  const ours = startOurs(disk.folder())
  const { ready } = await ours.hear<Ready>()
  await setUp(ready.http, benchFoundry())
  const audience = startChild('tests/bench/kit/audience.js')
  await audience.ask({ url: `${ready.http.replace('http', 'ws')}/api/v1/live` })
  const bare = startChild('tests/bench/kit/bare.js', [join(disk.folder(), 'bare.db')])
  const bareReady = await bare.hear<{ ready: { mqtt: string } }>()
  const sides: Side[] = [
    { name: 'the whole path, 20 screens', server: ours, port: portOf(ready.mqtt), rates: [] },
    { name: 'bare broker, same group commit', server: bare, port: portOf(bareReady.ready.mqtt), rates: [] },
  ]
  const now = Date.now()
  for (const { port } of sides)
    await flood({ port, readings: night.readings, from: now - 15 * hour, stepMs: night.stepMs })

  for (let round = 0; round <= rounds; round++) {
    for (const side of round % 2 === 0 ? sides : [...sides].reverse()) {
      // One millisecond apart and just past: live, on time, and never the same instant twice.
      const from = Date.now() - readingsPerRound / 64 - 500
      const { count, seconds } = await flood({ port: side.port, readings: readingsPerRound, from, stepMs: 1 })
      if (round > 0) side.rates.push(count / seconds)
      await pause(300)
    }
  }
  tell(disk.name, sides)
  await audience.end()
  for (const { server } of sides) await server.end()
  disk.clear()
}

function tell(disk: string, sides: Side[]): void {
  const [mine, theirs] = sides.map((s) => median(s.rates)) as [number, number]
  const ratios = (sides[0]?.rates ?? []).map((rate, i) => rate / (sides[1]?.rates[i] ?? Number.NaN))
  console.log(
    `\nIntake on ${disk}: 64 series, 16 connections, QoS 1, a recorded night in the database (${rounds} rounds of ${readingsPerRound}, medians)`,
  )
  for (const { name, rates } of sides) {
    const rate = median(rates)
    const spread = `${Math.round(Math.min(...rates)).toLocaleString('en-GB')} to ${Math.round(Math.max(...rates)).toLocaleString('en-GB')}`
    console.log(
      `  ${name.padEnd(34)} ${Math.round(rate).toLocaleString('en-GB').padStart(9)} readings/s (${spread}), ${(1e6 / rate).toFixed(2)} µs each`,
    )
  }
  console.log(
    `  ratio ${median(ratios).toFixed(2)} (median of pairs), ${(1e6 / mine - 1e6 / theirs).toFixed(2)} µs added to each reading`,
  )
}
