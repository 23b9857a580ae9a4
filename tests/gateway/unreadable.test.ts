/** Whatever is thrown at the gateway: one clear sentence, acknowledged, kept with its reason, and nobody else is disturbed. */
import { once } from 'node:events'
import { connect } from 'node:net'
import { describe, expect, it } from 'vitest'
import type { InstrumentNow, Unreadable } from '../../shared/contract/index.ts'
import { smallFoundry, startGateway, type TestGateway } from '../helpers/gateway.ts'
import { pause } from '../helpers/patience.ts'

async function list(gateway: TestGateway) {
  await gateway.gateway.settled()
  return (await gateway.ask<{ total: number; items: Unreadable[] }>('/api/v1/unreadable')).body
}

async function send(gateway: TestGateway, topic: string, payload: string | Buffer): Promise<void> {
  const client = await gateway.client()
  await client.publishAsync(topic, payload, { qos: 1 })
}

const payloads: [what: string, payload: string | Buffer, reason: RegExp][] = [
  ['broken JSON', '{"celsius": 93', /not JSON/],
  ['a bare NaN', '{"celsius": NaN}', /not JSON.*NaN/],
  ['a bare Infinity', '{"celsius": -Infinity}', /not JSON/],
  ['a number past all numbers', '{"celsius": 1e400}', /celsius/],
  ['NaN as text', '{"celsius": "NaN"}', /celsius/],
  ['a number as text', '{"celsius": "93.4"}', /celsius/],
  ['null', '{"celsius": null}', /celsius/],
  ['no quantity', '{"at": 1750000000000}', /no quantity/],
  ['an unknown key', '{"celcius": 93.4}', /celcius/],
  ['two units at once', '{"celsius": 93.4, "fahrenheit": 200}', /more than one unit/],
  ['half a thermocouple', '{"microvolts": 4096}', /junctionCelsius/],
  ['a time without a zone', '{"celsius": 93.4, "at": "2026-03-01T12:00:00"}', /`at`/],
  ['a time that never was', '{"celsius": 93.4, "at": "2026-02-30T12:00:00Z"}', /`at`/],
  ['a list without times', '[{"celsius": 1}, {"celsius": 2}]', /no `at`/],
  ['an empty list', '[]', /empty list/],
  [
    'a list with one bad element',
    '[{"celsius": 1, "at": 1750000000000}, {"celsius": "x", "at": 1750000001000}]',
    /Element 1/,
  ],
  ['a bare number', '93.4', /must be an object/],
  ['text', 'hello', /not JSON/],
  ['nothing at all', '', /not JSON/],
  ['bytes that are no text', Buffer.from([0xff, 0xfe, 0x00, 0x80]), /UTF-8/],
  ['a hundred thousand brackets', '['.repeat(100_000), /not JSON/],
  ['deep nesting', `${'{"a":'.repeat(5_000)}1${'}'.repeat(5_000)}`, /not known/],
  ['a name that is a trap for objects', '{"__proto__": {"celsius": 1}}', /no quantity|not known/],
  ['one megabyte', `{"celsius": 93.4, "fault": "${'x'.repeat(1_000_000)}"}`, /1000\d\d\d bytes/],
]

describe('a message that cannot be read', () => {
  it.each(payloads)('%s: acknowledged, kept, and its sentence says why', async (_what, payload, reason) => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    await send(gateway, 'cirewatch/pot-mid/reading', payload)
    const { total, items } = await list(gateway)
    expect(total).toBe(1)
    expect(items[0]?.reason).toMatch(reason)
    expect(items[0]?.reason).toMatch(/[.)]$/)
    expect(items[0]).toMatchObject({ topic: 'cirewatch/pot-mid/reading', bytes: Buffer.byteLength(payload) })
    expect(items[0]?.payload.length).toBeLessThanOrEqual(2_048)
    await gateway.publish('pot-mid', { celsius: 93.4 })
    expect((await gateway.ask<InstrumentNow>('/api/v1/instruments/pot-mid')).body.series).toMatchObject([
      { value: 93.4 },
    ])
  })
})

/** Each below what is refused, with what its sentence says. */
const topics: [topic: string, reason: RegExp][] = [
  ['cirewatch', /No mapping covers the topic/],
  ['cirewatch/pot-mid', /form/],
  ['cirewatch/pot-mid/reading/more', /form/],
  ['cirewatch//reading', /no usable instrument/],
  ['cirewatch/pot mid/reading', /no usable instrument/],
  ['cirewatch/ofen-größe/reading', /no usable instrument/],
  ['cirewatch/🔥/reading', /no usable instrument/],
  ['cirewatch/-x/reading', /no usable instrument/],
  ['cirewatch/../reading', /no usable instrument/],
  [`cirewatch/${'x'.repeat(65)}/reading`, /no usable instrument/],
  [`cirewatch/${'x'.repeat(60_000)}/reading`, /no usable instrument/],
  ['cirewatch/pot-mid/Reading', /ends in "Reading"/],
  ['cirewatch/site/reading', /only the gateway speaks/],
  ['cirewatch/site/alarm/pot/above-ceiling', /only the gateway speaks/],
  ['Cirewatch/pot-mid/reading', /No mapping covers the topic/],
  ['/cirewatch/pot-mid/reading', /No mapping covers the topic/],
  ['somebody/else', /No mapping covers the topic/],
  ['$SYS/broker/clients', /No mapping covers the topic/],
  ['$refused', /No mapping covers the topic/],
  ['a/b/c/d/e/f/g/h/i/j/k/l/m/n/o/p', /No mapping covers the topic/],
]

describe('a topic that plays tricks', () => {
  it.each(topics.map(([t, r]) => [t.slice(0, 60), t, r] as const))(
    '%s: acknowledged and kept with its reason',
    async (_shown, topic, reason) => {
      const gateway = await startGateway({ foundry: smallFoundry() })
      await send(gateway, topic, '{"celsius": 93.4}')
      const { total, items } = await list(gateway)
      expect(total).toBe(1)
      expect(items[0]?.reason).toMatch(reason)
      expect(topic.startsWith(items[0]?.topic ?? 'nothing')).toBe(true)
    },
  )

  it('nobody but the gateway is heard on the topics of the site, nor on those of the broker', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const lamp = await gateway.client({ clientId: 'lamp' })
    const heard: string[] = []
    lamp.on('message', (topic) => void heard.push(topic))
    await lamp.subscribeAsync(['cirewatch/#', '$SYS/#', '$refused'], { qos: 1 })
    await send(gateway, 'cirewatch/site/alarm/pot/above-ceiling', '{"state":"normal"}')
    await send(gateway, 'cirewatch/site/heartbeat', '{}')
    await send(gateway, '$SYS/forged/clients', 'lies')
    await send(gateway, 'cirewatch/pot-mid/reading', '{"celsius": 93.4}')
    await pause(200)
    const ours = heard.filter((t) => !/^\$SYS\/[^/]+\/(heartbeat|birth|new|disconnect)/.test(t))
    expect(ours).toEqual(['cirewatch/pot-mid/reading'])
  })

  it('no instrument can throw another off by speaking as a second broker', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const victim = await gateway.client({ clientId: 'pot-mid' })
    let lost = false
    victim.on('close', () => {
      lost = true
    })
    await send(gateway, '$SYS/another/new/clients', 'pot-mid')
    await pause(200)
    expect(lost).toBe(false)
  })

  it('an alarm cannot be put out from outside', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    await gateway.publish('pot-mid', { celsius: 163 })
    const forger = await gateway.client()
    await forger.publishAsync('cirewatch/site/alarm/pot/above-ceiling~pot-mid.temperature', '', {
      qos: 1,
      retain: true,
    })
    const lamp = await gateway.client()
    const heard: string[] = []
    lamp.on('message', (topic) => void heard.push(topic))
    await lamp.subscribeAsync('cirewatch/site/alarm/#')
    await pause(200)
    expect(heard).toEqual(['cirewatch/site/alarm/pot/above-ceiling~pot-mid.temperature'])
  })
})

/** A PUBLISH of MQTT 3.1.1 that announces this many bytes. */
function announced(bytes: number): Buffer {
  const digits: number[] = []
  for (let left = bytes; left > 0; left = Math.floor(left / 128)) digits.push((left % 128) | (left >= 128 ? 0x80 : 0))
  return Buffer.from([0x32, ...digits])
}

/** CONNECT of MQTT 3.1.1 with a clean session and the client id "big". */
const hello = Buffer.from([0x10, 15, 0, 4, ...Buffer.from('MQTT'), 4, 2, 0, 60, 0, 3, ...Buffer.from('big')])

describe('a packet too large to be read at all', () => {
  it('ends its own connection before it is collected; the gateway lives and the others notice nothing', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const other = await gateway.client()
    const socket = connect(gateway.mqttPort, '127.0.0.1')
    socket.on('error', () => {})
    await once(socket, 'connect')
    const closed = once(socket, 'close')
    socket.write(hello)
    await once(socket, 'data')
    socket.write(Buffer.concat([announced(4 * 1024 * 1024 + 1), Buffer.alloc(1_000, 0x20)]))
    await closed
    await other.publishAsync('cirewatch/pot-mid/reading', '{"celsius": 93.4}', { qos: 1 })
    expect((await gateway.ask('/healthz')).status).toBe(200)
    expect((await list(gateway)).total).toBe(0)
  })

  it('just under the limit is still acknowledged and told about', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    await send(gateway, 'cirewatch/pot-mid/reading', Buffer.alloc(4 * 1024 * 1024 - 100, 0x20))
    expect((await list(gateway)).items[0]?.reason).toMatch(/at most/)
  })

  it('bytes that are no MQTT end their own connection only', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    for (const bytes of [
      'GET / HTTP/1.1\r\n\r\n',
      Buffer.alloc(64, 0xff),
      Buffer.concat([hello, hello]),
      Buffer.concat([hello, Buffer.from([0x30, 0x00])]),
    ]) {
      const socket = connect(gateway.mqttPort, '127.0.0.1')
      socket.on('error', () => {})
      socket.resume()
      socket.write(bytes)
      socket.end()
      await once(socket, 'close')
    }
    await gateway.publish('pot-mid', { celsius: 93.4 })
    expect((await gateway.ask('/healthz')).status).toBe(200)
  })
})
