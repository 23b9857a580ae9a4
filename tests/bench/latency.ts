/** From publish to the frame on a screen at 1,000 readings a second, with a recorded night in the database and twenty screens listening. */
import { setTimeout as pause } from 'node:timers/promises'
import mqtt from 'mqtt'
import WebSocket from 'ws'
import type { LiveMessage } from '../../shared/contract/index.ts'
import { portOf, type Ready, setUp, startChild, startOurs } from './kit/child.ts'
import { disks } from './kit/disks.ts'
import { benchFoundry } from './kit/foundry.ts'
import { instrumentOf, seriesCount } from './kit/packets.ts'

const perSecond = 1_000
const seconds = 30
const warmUpSeconds = 3
const hour = 3_600_000
/** Published in handfuls, as instruments that are not in step would: one every few milliseconds. */
const handfulMs = 4

for (const disk of disks()) {
  const ours = startOurs(disk.folder())
  const { ready } = await ours.hear<Ready>()
  await setUp(ready.http, benchFoundry())
  const port = portOf(ready.mqtt)
  const night = startChild('tests/bench/kit/flood.js')
  await night.ask({ port, readings: seriesCount * 5_040, from: Date.now() - 15 * hour, stepMs: 10_000 })
  await night.end()
  const live = `${ready.http.replace('http', 'ws')}/api/v1/live`
  const audience = startChild('tests/bench/kit/audience.js')
  await audience.ask({ url: live })

  const publishedAt = new Map<string, number>()
  const toFrame: number[] = []
  const toPuback: number[] = []
  const screen = new WebSocket(live)
  await new Promise((resolve) => screen.once('open', resolve))
  screen.on('message', (data) => {
    const now = performance.now()
    const message = JSON.parse(String(data)) as LiveMessage
    if (message.is !== 'frame') return
    for (const [series, points] of Object.entries(message.readings ?? {}))
      for (const [measuredAt] of points) {
        const begun = publishedAt.get(`${series}@${measuredAt}`)
        if (begun === undefined) continue
        publishedAt.delete(`${series}@${measuredAt}`)
        toFrame.push(now - begun)
      }
  })

  const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${port}`)
  let count = 0
  const begun = performance.now()
  const base = Date.now()
  while (performance.now() - begun < (seconds + warmUpSeconds) * 1_000) {
    const due = ((performance.now() - begun) * perSecond) / 1_000
    for (; count < due; count++) {
      const instrument = instrumentOf(count % seriesCount)
      const at = base + count
      const from = performance.now()
      const counted = from - begun > warmUpSeconds * 1_000
      if (counted) publishedAt.set(`${instrument}.temperature@${at}`, from)
      client.publish(
        `cirewatch/${instrument}/reading`,
        JSON.stringify({ at, celsius: 90 + (count % 7) / 10 }),
        { qos: 1 },
        () => {
          if (counted) toPuback.push(performance.now() - from)
        },
      )
    }
    await pause(handfulMs)
  }
  await pause(500)
  console.log(
    `\nLatency on ${disk.name}: ${perSecond} readings/s for ${seconds} s, a recorded night in the database, 21 screens`,
  )
  console.log(`  publish to PUBACK  ${told(toPuback)}`)
  console.log(`  publish to frame   ${told(toFrame)}`)
  console.log(`  readings that reached no frame: ${publishedAt.size}`)
  screen.close()
  await client.endAsync()
  await audience.end()
  await ours.end()
  disk.clear()
}

function told(values: number[]): string {
  const sorted = values.sort((a, b) => a - b)
  const at = (part: number) =>
    (sorted[Math.min(sorted.length - 1, Math.floor(part * sorted.length))] ?? Number.NaN).toFixed(1)
  return `median ${at(0.5)} ms, p99 ${at(0.99)} ms, highest ${at(1)} ms (${sorted.length} readings)`
}
