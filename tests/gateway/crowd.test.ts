/** Ten thousand instruments announce themselves at once: all are kept, and the gateway stays small. */
import { expect, it } from 'vitest'
import type { Unclaimed } from '../../shared/contract/index.ts'
import { smallFoundry } from '../helpers/gateway.ts'
import { startChild } from '../helpers/gateway-child.ts'
import { tempFolder } from '../helpers/temp-folder.ts'
import { residentBytes } from '../helpers/resident.ts'
import mqtt from 'mqtt'

const crowd = 10_000
/** The whole process, Node itself included, may hold this much. */
const residentBytesMax = 300 * 1024 * 1024

it('10,000 unknown instruments on one connection are kept, listed, claimable with all they said, in bounded memory', async () => {
  const gateway = await startChild({ data: await tempFolder() })
  try {
    const before = residentBytes(gateway.pid)
    const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${gateway.mqttPort}`, { reconnectPeriod: 0 })
    for (const celsius of [20, 21, 22]) {
      const at = 1_750_000_000_000 + celsius * 1_000
      const told = Array.from({ length: crowd }, (_, i) =>
        client.publishAsync(`cirewatch/probe-${i}/reading`, JSON.stringify({ at, celsius }), { qos: 1 }),
      )
      await Promise.all(told)
    }
    await client.endAsync()
    const after = residentBytes(gateway.pid)
    console.log(
      `resident: ${Math.round(before / 2 ** 20)} MB before, ${Math.round(after / 2 ** 20)} MB with ${crowd} instruments`,
    )
    expect(after).toBeLessThan(residentBytesMax)

    const get = async <T>(path: string) => (await (await fetch(gateway.http + path)).json()) as T
    const unclaimed = await get<{ total: number; items: Unclaimed[] }>('/api/v1/unclaimed?limit=1000')
    expect(unclaimed.total).toBe(crowd)
    expect(unclaimed.items).toHaveLength(1_000)
    expect(unclaimed.items.every((u) => u.readings === 3)).toBe(true)

    const send = async (path: string, method: string, body: unknown) =>
      (
        await fetch(gateway.http + path, {
          method,
          body: JSON.stringify(body),
          headers: { 'content-type': 'application/json' },
        })
      ).status
    expect(await send('/api/v1/foundry', 'PUT', smallFoundry())).toBe(200)
    expect(
      await send('/api/v1/unclaimed/probe-7777/claim', 'POST', { name: 'Probe', kind: 'thermocouple', station: 'pot' }),
    ).toBe(200)
    const lines = (await (await fetch(`${gateway.http}/api/v1/series/probe-7777.temperature/readings`)).text())
      .trim()
      .split('\n')
    expect(lines.map((line) => (JSON.parse(line) as { value: number }).value)).toEqual([20, 21, 22])
    expect((await get<{ total: number }>('/api/v1/unclaimed')).total).toBe(crowd - 1)
  } finally {
    await gateway.stop('SIGTERM')
  }
}, 120_000)
