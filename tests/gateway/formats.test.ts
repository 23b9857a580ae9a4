/** Devices that do not speak our words: what they say is read, asked for again, or kept until somebody says how to read it. */
import mqtt from 'mqtt'
import { describe, expect, it } from 'vitest'
import type { UnclaimedBody } from '../../shared/contract/index.ts'
import { Edge, peer, type Sent } from '../formats/edge.ts'
import { smallFoundry, startGateway, type TestGateway } from '../helpers/gateway.ts'
import { pause } from '../helpers/patience.ts'

interface ReadingLine {
  value: number
  quality: string
  reason?: string
}

async function readings(gateway: TestGateway, series: string): Promise<ReadingLine[]> {
  const text = await (await fetch(`${gateway.http}/api/v1/series/${series}/readings`)).text()
  return text
    .trim()
    .split('\n')
    .filter((line) => line !== '')
    .map((line) => JSON.parse(line) as ReadingLine)
}

async function say(gateway: TestGateway, topic: string, payload: string | Buffer, qos: 0 | 1 = 1): Promise<void> {
  const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${gateway.mqttPort}`)
  await client.publishAsync(topic, payload, { qos })
  await client.endAsync()
  await gateway.gateway.settled()
}

describe('a device that speaks SenML', () => {
  it('is read like one that speaks our words, in JSON', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    await say(gateway, 'cirewatch/pot-mid/senml', '[{"n":"wax","u":"Cel","v":93.4}]')
    expect(await readings(gateway, 'pot-mid.temperature')).toMatchObject([{ value: 93.4, quality: 'good' }])
  })

  it('is told where its pack breaks the rules', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    await say(gateway, 'cirewatch/pot-mid/senml', '[{"n":"wax","u":"Cel","v":93.4,"must_":1}]')
    const { body } = await gateway.ask<{ items: { reason: string }[] }>('/api/v1/unreadable')
    expect(body.items[0]?.reason).toContain('must_')
    expect(await readings(gateway, 'pot-mid.temperature')).toEqual([])
  })
})

describe('a Sparkplug node', () => {
  const send = (gateway: TestGateway, { topic, payload }: Sent) => say(gateway, topic, Buffer.from(payload))
  const celsius = { engUnit: { type: 'String', value: 'Cel' } } as const
  const kiln = { name: 'kiln/air', type: 'Double', value: 732.5, alias: 7, properties: celsius } as const

  it('is heard from its birth on', async () => {
    const gateway = await startGateway()
    const edge = new Edge('foundry', 'edge', Date.now() - 5_000)
    await send(gateway, edge.birth([kiln]))
    edge.now += 1_000
    await send(gateway, edge.data(null, [{ is: 7, type: 'Double', value: 734.5 }]))
    const { body } = await gateway.ask<UnclaimedBody>('/api/v1/unclaimed')
    const [stranger] = body.items
    expect(stranger?.quantities).toEqual(['temperature'])
    const heard = await readings(gateway, `${stranger?.instrument ?? ''}.temperature`)
    expect(heard.map(({ value }) => value)).toEqual([732.5, 734.5])
  })

  it('that was never born is asked for its birth, and what it said is kept', async () => {
    const gateway = await startGateway()
    const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${gateway.mqttPort}`)
    await client.subscribeAsync('spBv1.0/foundry/NCMD/edge')
    const asked = new Promise<Buffer>((resolve) => client.once('message', (_topic, payload) => resolve(payload)))
    const lost = new Edge('foundry', 'edge', Date.now()).data(null, [{ is: 7, type: 'Double', value: 734.5 }])
    await client.publishAsync(lost.topic, Buffer.from(lost.payload), { qos: 1 })
    expect(peer.decodePayload(await asked).metrics?.map(({ name }) => name)).toEqual(['Node Control/Rebirth'])
    await client.endAsync()
    const { body } = await gateway.ask<{ items: { topic: string }[] }>('/api/v1/unreadable')
    expect(body.items[0]?.topic).toBe('spBv1.0/foundry/NDATA/edge')
  })
})

describe('a device with topics of its own', () => {
  it('is offered with a way to read it, and adopting that brings in what was kept', async () => {
    const gateway = await startGateway()
    for (const celsius of [21.5, 21.6, 21.7]) {
      await say(gateway, 'shop/oven-2/state', JSON.stringify({ temp_c: celsius, battery: 3.1 }))
      await pause(5)
    }
    const { body } = await gateway.ask<UnclaimedBody>('/api/v1/unclaimed')
    const topic = body.topics?.find((one) => one.topic === 'shop/oven-2/state')
    expect(topic).toMatchObject({ messages: 3 })
    const mapping = topic?.guesses[0]?.mapping
    expect(mapping?.values[0]).toMatchObject({ pointer: '/temp_c', unit: 'celsius' })

    const adopted = await gateway.ask<{ broughtIn: number }>('/api/v1/mappings', { mapping })
    expect(adopted).toMatchObject({ status: 200, body: { broughtIn: 3 } })
    await say(gateway, 'shop/oven-2/state', JSON.stringify({ temp_c: 21.8, battery: 3.1 }))
    const after = await gateway.ask<UnclaimedBody>('/api/v1/unclaimed')
    const instrument = after.body.items[0]?.instrument ?? ''
    expect(after.body.items[0]?.lastPayload).toMatchObject({ topic: 'shop/oven-2/state' })
    const kept = await readings(gateway, `${instrument}.temperature`)
    expect(kept.map(({ value }) => value)).toEqual([21.5, 21.6, 21.7, 21.8])
  })

  it('that sends numbers without a unit keeps them, and a claim says what they count, also of those that came before', async () => {
    const gateway = await startGateway()
    const mapping = { topic: 'shop/+/x', instrument: 'x-{1}', values: [{ pointer: '/v', unit: 'number' }] }
    expect((await gateway.ask('/api/v1/mappings', { mapping })).status).toBe(200)
    await say(gateway, 'shop/7/x', '{"v": 200}')
    const claim = {
      name: 'X',
      kind: 'thermocouple',
      unit: 'fahrenheit',
      newStation: { id: 'p', name: 'P', kind: 'pot' },
    }
    const claimed = await gateway.ask<{ broughtIn: number }>('/api/v1/unclaimed/x-7/claim', claim)
    expect(claimed.body.broughtIn).toBe(1)
    await pause(5)
    await say(gateway, 'shop/7/x', '{"v": 212}')
    expect((await readings(gateway, 'x-7.number')).map(({ value }) => value)).toEqual([200, 212])
    const meant = (await readings(gateway, 'x-7.temperature')).map(({ value }) => value)
    expect(meant[0]).toBeCloseTo(93.333, 3)
    expect(meant[1]).toBe(100)
  })
})
