/** Twenty kill -9 in a flood: nothing that a device was told is safe is lost, and nothing is there twice. */
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import { chance } from '../../simulators/random.ts'
import { freePort } from '../helpers/free-port.ts'
import { type GatewayChild, startChild } from '../helpers/gateway-child.ts'
import { pause, until } from '../helpers/patience.ts'
import { tempFolder } from '../helpers/temp-folder.ts'
import { Flood, valueAt } from './flood.ts'
import { seedOf } from './seed.ts'

const kills = 20
const devices = 4

async function duplicatesSeen(gateway: GatewayChild): Promise<number> {
  const text = await (await fetch(`${gateway.http}/metrics`)).text()
  return Number(/^cirewatch_duplicates_total (\d+)/m.exec(text)?.[1] ?? 0)
}

/** Reads the whole file as whoever opens it next would: every reading of the journal, by series and by the instant that its device gave it. */
async function readBack(file: string) {
  const store = await openSqliteStore(file)
  const values = new Map<string, number>()
  const found = { values, twice: 0, conflicts: await store.count('conflict') }
  for (let after = 0; ; ) {
    const entries = await store.journal(after, 20_000)
    const last = entries.at(-1)
    if (last === undefined) break
    after = last.seq
    for (const entry of entries) {
      if (entry.kind !== 'reading') continue
      const key = `${entry.series}@${entry.claimedAt ?? entry.measuredAt}`
      if (values.has(key)) found.twice++
      values.set(key, entry.value)
    }
  }
  await store.close()
  return found
}

it('0 acknowledged readings lost and 0 stored twice over twenty kill -9', async () => {
  const seed = seedOf()
  const random = chance(seed, 'kill')
  const data = await tempFolder()
  const flags = ['--mqtt', `127.0.0.1:${await freePort()}`]
  let gateway = await startChild({ data, flags })
  const flood = new Flood(devices, gateway.mqttPort)
  let floodMs = 0
  let duplicates = 0
  let pendingAtKills = 0
  for (let kill = 0; kill < kills; kill++) {
    await flood.connect()
    const before = flood.acknowledged
    await until('the first reading is acknowledged', () => flood.acknowledged > before)
    const [begun, planned] = [performance.now(), 200 + random.next() * 500]
    await pause(planned)
    duplicates += await duplicatesSeen(gateway)
    floodMs += performance.now() - begun
    pendingAtKills += flood.pending
    await gateway.stop('SIGKILL')
    await flood.disconnect()
    gateway = await startChild({ data, flags })
  }
  const inFlood = flood.acknowledged
  await flood.connect({ onlyRest: true })
  await until('everything is acknowledged', () => flood.pending === 0, 60)
  duplicates += await duplicatesSeen(gateway)
  await flood.disconnect()
  expect(await gateway.stop('SIGTERM')).toBe(0)

  const { values, twice, conflicts } = await readBack(join(data, 'cirewatch.db'))
  let lost = 0
  for (const { key, at } of flood.acknowledgedKeys()) if (values.get(key) !== valueAt(at)) lost++
  console.log(
    `seed ${seed}: ${kills} kills, ${Math.round((inFlood / floodMs) * 1_000)} readings/s, ${flood.acknowledged} acknowledged, ` +
      `${values.size} stored, ${flood.sentAgain} sent again, ${duplicates} duplicates seen and absorbed, ${lost} lost, ${twice} twice`,
  )
  expect({ lost, twice, conflicts }).toEqual({ lost: 0, twice: 0, conflicts: 0 })
  expect(values.size).toBe(flood.acknowledged)
  // The storm was one: readings were under way at the kills, and some of them had to be sent again.
  expect(pendingAtKills).toBeGreaterThan(kills)
  expect(flood.sentAgain).toBeGreaterThan(kills)
}, 150_000)
