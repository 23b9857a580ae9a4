/** A disk that takes nothing: nobody is told that anything is safe, the gateway says why, and goes on by itself when it can. */
import { describe, expect, it } from 'vitest'
import { memoryStore } from '../../gateway/store/memory.ts'
import type { Problem } from '../../shared/contract/index.ts'
import { smallFoundry, startGateway } from '../helpers/gateway.ts'
import { pause, until } from '../helpers/patience.ts'
import { refusingStore } from '../helpers/refusing-store.ts'

interface Ready {
  ready: boolean
  reasons: string[]
}

async function fullDisk() {
  const store = refusingStore(memoryStore())
  const gateway = await startGateway({ store, foundry: smallFoundry() })
  const client = await gateway.client()
  const told: number[] = []
  const publish = (n: number) =>
    client
      .publishAsync(
        'cirewatch/pot-mid/reading',
        JSON.stringify({ at: 1_750_000_000_000 + n * 1_000, celsius: 90 + n / 100 }),
        { qos: 1 },
      )
      .then(() => void told.push(n))
  return { store, gateway, told, publish }
}

describe('while the disk is full', () => {
  it('there is no PUBACK, /readyz says why in a sentence, and when it takes again everything is there once and told', async () => {
    const { store, gateway, told, publish } = await fullDisk()
    await publish(0)
    store.full = true
    const waiting = Array.from({ length: 50 }, (_, i) => publish(i + 1))
    await until('an append was refused', () => store.refusals > 0)
    await pause(200)
    expect(told).toEqual([0])
    const trouble = await gateway.ask<Ready>('/readyz')
    expect(trouble.status).toBe(503)
    expect(trouble.body.reasons[0]).toMatch(
      /^The disk does not take what came: no space left on the disk\. Nothing is acknowledged until it does\.$/,
    )
    expect((await gateway.ask('/healthz')).status).toBe(200)
    store.full = false
    await Promise.all(waiting)
    await until('it is ready', async () => (await gateway.ask<Ready>('/readyz')).body.ready)
    const lines = (await (await fetch(`${gateway.http}/api/v1/series/pot-mid.temperature/readings`)).text())
      .trim()
      .split('\n')
    expect(lines.map((line) => (JSON.parse(line) as { value: number }).value)).toEqual(
      Array.from({ length: 51 }, (_, n) => 90 + n / 100),
    )
    expect(told).toHaveLength(51)
  })

  it('what a person does is not done, and the person is told at once', async () => {
    const { store, gateway, publish } = await fullDisk()
    store.full = true
    const asked = await gateway.ask<Problem>('/api/v1/runs', {
      kind: 'coating',
      station: 'pot',
      recipe: 'figure',
      by: 'Ada',
    })
    expect(asked).toMatchObject({ status: 503, body: { code: 'not-on-disk' } })
    const put = await gateway.ask<Problem>('/api/v1/foundry', { ...smallFoundry(), recipes: [] }, 'PUT')
    expect(put).toMatchObject({ status: 503, body: { code: 'not-on-disk' } })
    store.full = false
    await publish(1)
    expect((await gateway.ask<Ready>('/readyz')).body.ready).toBe(true)
    expect((await gateway.ask<{ items: unknown[] }>('/api/v1/runs')).body.items).toEqual([])
    expect((await gateway.ask<{ recipes: unknown[] }>('/api/v1/foundry')).body.recipes).toHaveLength(3)
  })

  it('a fault inside is told as one, without its insides', async () => {
    const store = refusingStore(memoryStore())
    store.summaries = async () => []
    const gateway = await startGateway({ store })
    store.summaries = () => Promise.reject(new Error('the secret insides of the store'))
    const response = await fetch(`${gateway.http}/api/v1/series`)
    expect(response.status).toBe(500)
    const text = await response.text()
    expect(JSON.parse(text)).toMatchObject({ code: 'internal' })
    expect(text).not.toContain('insides of the store')
  })

  it('a gateway that is stopped meanwhile stops all the same', async () => {
    const { store, gateway, told, publish } = await fullDisk()
    store.full = true
    void publish(1).catch(() => {})
    await until('an append was refused', () => store.refusals > 0)
    await gateway.close()
    expect(told).toEqual([])
  })
})
