/** From an ordinary MQTT client to everybody who must know: the page, the listener, the lamp. */
import { describe, expect, it } from 'vitest'
import type { Alarm, Frame, LiveMessage } from '../../shared/contract/index.ts'
import { mosquittoPub, mosquittoSub } from '../helpers/broker.ts'
import { smallFoundry, startGateway } from '../helpers/gateway.ts'
import { without } from '../helpers/outside.ts'
import { pause } from '../helpers/patience.ts'

interface Instrument {
  series: { series: string; value: number; quality: string }[]
}

const pub = (port: number, instrument: string, payload: string) =>
  mosquittoPub(port, ['-q', '1', '-t', `cirewatch/${instrument}/reading`, '-m', payload])

const framesWith = (messages: LiveMessage[], series: string) =>
  messages.filter((m): m is Frame => m.is === 'frame' && m.readings?.[series] !== undefined)

describe.skipIf(without('broker'))('a reading from an ordinary MQTT client', () => {
  it('is on the page at once when the client was told that it is safe', async () => {
    const { http, mqttPort, ask } = await startGateway({ foundry: smallFoundry() })
    const said = await pub(mqttPort, 'pot-mid', '{"celsius": 93.4}')
    expect(said).toMatchObject({ code: 0, err: '' })
    const { body } = await ask<Instrument>('/api/v1/instruments/pot-mid')
    expect(body.series).toMatchObject([{ series: 'pot-mid.temperature', value: 93.4, quality: 'good' }])
    const lines = await (await fetch(`${http}/api/v1/series/pot-mid.temperature/readings`)).text()
    expect(
      lines
        .trim()
        .split('\n')
        .map((line) => JSON.parse(line) as unknown),
    ).toMatchObject([{ value: 93.4, unit: '°C', late: false }])
  })

  it('reaches a listener in one frame that joins the one before', async () => {
    const { mqttPort, live } = await startGateway({ foundry: smallFoundry() })
    const { messages, next } = await live()
    await pub(mqttPort, 'pot-mid', '{"celsius": 93.4}')
    await next((m) => m.is === 'frame' && m.readings?.['pot-mid.temperature'] !== undefined)
    const [frame] = framesWith(messages, 'pot-mid.temperature')
    expect(frame?.readings?.['pot-mid.temperature']?.[0]?.[1]).toBe(93.4)
    expect(messages[0]).toMatchObject({ is: 'welcome', resumed: false })
  })

  it('raises its alarm on the page, in the frame and on the lamp, which goes out when the alarm is normal', async () => {
    const { mqttPort, live, ask } = await startGateway({ foundry: smallFoundry() })
    const { next } = await live()
    const topic = 'cirewatch/site/alarm/pot/above-ceiling~pot-mid.temperature'
    await pub(mqttPort, 'pot-mid', '{"celsius": 163}')
    const frame = (await next((m) => m.is === 'frame' && (m.alarms?.length ?? 0) > 0)) as Frame
    expect(frame.alarms).toMatchObject([{ kind: 'above-ceiling', station: 'pot', state: 'unacknowledged' }])

    const lamp = await mosquittoSub(mqttPort, 'cirewatch/site/alarm/#')
    expect(lamp).toHaveLength(1)
    expect(lamp[0]?.startsWith(`${topic} `)).toBe(true)
    const notice = JSON.parse(lamp[0]?.slice(topic.length + 1) ?? '') as Record<string, unknown>
    expect(notice).toMatchObject({
      state: 'unacknowledged',
      priority: 'act-now',
      finding: 'above-ceiling',
      station: 'pot',
    })
    expect(notice['sentence']).toContain('150')

    const { body } = await ask<{ items: Alarm[] }>('/api/v1/alarms')
    const id = body.items[0]?.id ?? ''
    const seen = await ask<Alarm>(`/api/v1/alarms/${encodeURIComponent(id)}/acknowledge`, { by: 'Ada' })
    expect(seen.body).toMatchObject({ state: 'acknowledged', acknowledgedBy: 'Ada' })
    await pub(mqttPort, 'pot-mid', '{"celsius": 100}')
    expect((await ask<{ items: Alarm[] }>('/api/v1/alarms')).body.items).toEqual([])
    expect(await mosquittoSub(mqttPort, 'cirewatch/site/alarm/#', { seconds: 1 })).toEqual([])
  })

  it('leaves the lamp of an alarm that went away by itself alight until somebody has seen it', async () => {
    const { mqttPort, ask } = await startGateway({ foundry: smallFoundry() })
    await pub(mqttPort, 'pot-mid', '{"celsius": 163}')
    await pub(mqttPort, 'pot-mid', '{"celsius": 100}')
    const [lamp] = await mosquittoSub(mqttPort, 'cirewatch/site/alarm/#')
    expect(lamp).toContain('"returned-unacknowledged"')
    const { body } = await ask<{ items: Alarm[] }>('/api/v1/alarms')
    const path = `/api/v1/alarms/${encodeURIComponent(body.items[0]?.id ?? '')}/acknowledge`
    expect((await ask<Alarm>(path, { by: 'Ada' })).body.state).toBe('normal')
    expect((await ask<{ code: string }>(path, { by: 'Ada' })).body.code).toBe('alarm-normal')
    expect(await mosquittoSub(mqttPort, 'cirewatch/site/alarm/#', { seconds: 1 })).toEqual([])
  })
})

describe.skipIf(without('broker'))('the heartbeat', () => {
  it('is heard by whoever listens, so that a dead gateway can be told', async () => {
    const { mqttPort } = await startGateway()
    const [beat] = await mosquittoSub(mqttPort, 'cirewatch/site/heartbeat', { seconds: 12 })
    expect(beat).toMatch(/^cirewatch\/site\/heartbeat \{"at":"\d{4}-\d\d-\d\dT/)
  })

  it('comes every ten seconds of the gateway’s own time', async () => {
    const at = Date.UTC(2026, 2, 1, 12)
    const { client, lead } = await startGateway({ at })
    const lamp = await client()
    const beats: string[] = []
    lamp.on('message', (_topic, payload) => void beats.push((JSON.parse(String(payload)) as { at: string }).at))
    await lamp.subscribeAsync('cirewatch/site/heartbeat', { qos: 0 })
    await lead(at + 30_000)
    await pause(100)
    expect(beats).toEqual(['2026-03-01T12:00:10.000Z', '2026-03-01T12:00:20.000Z', '2026-03-01T12:00:30.000Z'])
  })
})
