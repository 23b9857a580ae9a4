/** When a reading comes late, twice, from a wrong clock or from the past: where it is put, and what is said about it. */
import { describe, expect, it } from 'vitest'
import type { Alarm, Finding, ReadingLine, StationView, Unclaimed } from '../../shared/contract/index.ts'
import { smallFoundry, startGateway, type TestGateway } from '../helpers/gateway.ts'
import { until } from '../helpers/patience.ts'

/** Noon of an invented day. */
const noon = Date.UTC(2026, 2, 1, 12)
const pot = 'pot-mid.temperature'

async function readings(gateway: TestGateway, series = pot): Promise<ReadingLine[]> {
  const text = await (await fetch(`${gateway.http}/api/v1/series/${series}/readings?to=${Date.UTC(2100, 0)}`)).text()
  return text
    .split('\n')
    .filter(Boolean)
    .map((line) => JSON.parse(line) as ReadingLine)
}

async function findings(gateway: TestGateway): Promise<Finding[]> {
  return (await gateway.ask<{ items: Finding[] }>('/api/v1/findings')).body.items
}

async function kinds(gateway: TestGateway): Promise<string[]> {
  return (await findings(gateway)).map((f) => f.kind)
}

async function alarms(gateway: TestGateway): Promise<Alarm[]> {
  return (await gateway.ask<{ items: Alarm[] }>('/api/v1/alarms')).body.items
}

const noonGateway = () => startGateway({ foundry: smallFoundry(), at: noon })

describe('a reading that comes twice', () => {
  it('is stored once, and nobody is bothered', async () => {
    const gateway = await noonGateway()
    for (let i = 0; i < 5; i++) await gateway.publish('pot-mid', { at: noon - 1_000, celsius: 93.4 })
    expect(await readings(gateway)).toHaveLength(1)
    expect(gateway.gateway.rooms.intake().duplicates).toBe(4)
    expect(await kinds(gateway)).toEqual([])
  })

  it('with another value is kept beside the first and reported', async () => {
    const gateway = await noonGateway()
    await gateway.publish('pot-mid', { at: noon - 1_000, celsius: 93.4 })
    await gateway.publish('pot-mid', { at: noon - 1_000, celsius: 81 })
    await gateway.publish('pot-mid', { at: noon - 1_000, celsius: 81 })
    expect((await readings(gateway)).map((r) => r.value)).toEqual([93.4])
    expect(await findings(gateway)).toMatchObject([
      { kind: 'conflicting-reading', station: 'pot', facts: { kept: 93.4, refused: 81, measuredAt: noon - 1_000 } },
    ])
    expect(await alarms(gateway)).toEqual([])
  })
})

describe('an instrument without a clock', () => {
  it('that sends several readings in one millisecond has each of them stored, in their order, and is accused of nothing', async () => {
    const gateway = await noonGateway()
    const client = await gateway.client()
    const values = [93.4, 93.5, 93.5, 93.3, 93.4]
    await Promise.all(
      values.map((celsius) =>
        client.publishAsync('cirewatch/pot-mid/reading', JSON.stringify({ celsius }), { qos: 1 }),
      ),
    )
    expect((await readings(gateway)).map((r) => r.value)).toEqual(values)
    expect(await kinds(gateway)).toEqual([])
  })
})

describe('an instrument whose clock is wrong', () => {
  it('ahead: its reading is put where it arrived, called uncertain, and its clock is told', async () => {
    const gateway = await noonGateway()
    await gateway.publish('pot-mid', { at: noon + 3_600_000, celsius: 93.4 })
    expect(await readings(gateway)).toMatchObject([{ measuredAt: '2026-03-01T12:00:00.000Z', quality: 'uncertain' }])
    expect(await alarms(gateway)).toMatchObject([
      { kind: 'clock-wrong', subject: 'pot-mid', finding: { facts: { offsetMs: 3_600_000 } } },
    ])
  })

  it('ahead: the same message again is still stored once', async () => {
    const gateway = await noonGateway()
    await gateway.publish('pot-mid', { at: noon + 3_600_000, celsius: 93.4 })
    await gateway.lead(noon + 2_000)
    await gateway.publish('pot-mid', { at: noon + 3_600_000, celsius: 93.4 })
    expect(await readings(gateway)).toHaveLength(1)
  })

  it('ahead, or behind since 1970: a pot above its ceiling is an alarm all the same', async () => {
    for (const [offset, messages] of [
      [86_400_000, 1],
      [-noon + 1_000, 3],
    ] as const) {
      const gateway = await noonGateway()
      for (let i = 0; i < messages; i++) {
        await gateway.lead(noon + i * 5_000)
        await gateway.publish('pot-mid', { at: noon + i * 5_000 + offset, celsius: 163 })
      }
      const standing = await alarms(gateway)
      expect(standing.map((a) => a.kind).sort()).toEqual(['above-ceiling', 'clock-wrong'])
      expect(standing.find((a) => a.kind === 'above-ceiling')?.finding.since).toBe(noon + (messages - 1) * 5_000)
      await gateway.close()
    }
  })

  it('behind: a reading that was stored before its clock was known to be wrong, and comes again after, is stored once', async () => {
    const gateway = await noonGateway()
    const behind = (n: number) => ({ at: noon - 86_400_000 + n * 5_000, celsius: 93.4 + n })
    for (let n = 0; n < 4; n++) {
      await gateway.lead(noon + n * 5_000)
      await gateway.publish('pot-mid', behind(n))
    }
    // Nothing was acknowledged, so all of it comes again, and the clock is doubted from another reading on.
    for (let n = 1; n < 4; n++) {
      await gateway.lead(noon + 60_000 + n * 5_000)
      await gateway.publish('pot-mid', behind(n - 1))
      await gateway.publish('pot-mid', behind(n))
    }
    expect((await readings(gateway)).map((r) => r.value).sort()).toEqual([0, 1, 2, 3].map((n) => 93.4 + n))
  })

  it('set right again is believed again after a while', async () => {
    const gateway = await noonGateway()
    await gateway.publish('pot-mid', { at: noon + 3_600_000, celsius: 93.4 })
    for (let t = noon + 5_000; t <= noon + 70_000; t += 5_000) {
      await gateway.lead(t)
      await gateway.publish('pot-mid', { at: t, celsius: 93.4 })
    }
    expect((await findings(gateway)).find((f) => f.kind === 'clock-wrong')?.clearedAt).toBeGreaterThan(noon)
  })

  it('a gateway that does not know the time itself says so and goes on', async () => {
    const gateway = await startGateway({ foundry: smallFoundry(), at: noon, builtAt: noon + 86_400_000 })
    const { status, body } = await gateway.ask<{ reasons: string[] }>('/readyz')
    expect([status, body.reasons]).toEqual([503, ['Its clock is earlier than its build: it does not know the time.']])
    await gateway.publish('pot-mid', { celsius: 163 })
    expect((await alarms(gateway)).map((a) => a.kind)).toEqual(['above-ceiling'])
    const { next } = await gateway.live()
    expect(await next((m) => m.is === 'welcome')).toMatchObject({ clock: { known: false } })
  })
})

describe('a backlog', () => {
  const backlog = (from: number, values: number[]) => values.map((celsius, i) => ({ at: from + i * 5_000, celsius }))

  it('is stored reading by reading and told apart from what came on time', async () => {
    const gateway = await noonGateway()
    await gateway.publish('pot-mid', { at: noon, celsius: 95 })
    await gateway.publish(
      'pot-mid',
      backlog(
        noon - 600_000,
        Array.from({ length: 100 }, (_, i) => 90 + i / 100),
      ),
    )
    const all = await readings(gateway)
    expect(all).toHaveLength(101)
    expect(all.filter((r) => r.late)).toHaveLength(100)
    expect(all.map((r) => r.measuredAt)).toEqual(all.map((r) => r.measuredAt).sort())
  })

  it('raises no alarm about the past', async () => {
    const gateway = await noonGateway()
    await gateway.publish('pot-mid', backlog(noon - 3_600_000, [100, 163, 164, 165, 100, 99, 98]))
    expect(await alarms(gateway)).toEqual([])
  })

  it('raises what it shows to be true now', async () => {
    const gateway = await noonGateway()
    await gateway.publish('pot-mid', backlog(noon - 30_000, [100, 120, 140, 155, 160, 163, 164]))
    expect(await alarms(gateway)).toMatchObject([{ kind: 'above-ceiling', finding: { since: noon - 15_000 } }])
  })

  it('does not retract an alarm that was announced', async () => {
    const gateway = await noonGateway()
    await gateway.publish('pot-mid', { at: noon, celsius: 163 })
    await gateway.publish('pot-mid', backlog(noon - 600_000, [100, 99, 98]))
    expect(await alarms(gateway)).toMatchObject([{ kind: 'above-ceiling', state: 'unacknowledged' }])
  })
})

describe('an instrument that speaks of itself', () => {
  it('says that it cannot measure, and that is a finding until it measures again', async () => {
    const gateway = await noonGateway()
    await gateway.publish('pot-mid', { fault: 'open circuit' })
    expect(await findings(gateway)).toMatchObject([
      { kind: 'instrument-fault', subject: 'pot-mid', facts: { text: 'open circuit' } },
    ])
    await gateway.lead(noon + 5_000)
    await gateway.publish('pot-mid', { celsius: 93.4 })
    expect((await findings(gateway))[0]?.clearedAt).toBe(noon + 5_000)
  })

  it('sends the number its chip sends when it cannot measure, and that is no temperature', async () => {
    const gateway = await noonGateway()
    for (const celsius of [-127, 32767, 999.9, 5_000]) await gateway.publish('pot-mid', { celsius })
    await gateway.publish('pot-gun', { celsius: 85 })
    expect((await readings(gateway)).map((r) => r.quality)).toEqual(
      ['bad', 'bad', 'bad', 'bad'].slice(0, (await readings(gateway)).length),
    )
    expect((await alarms(gateway)).filter((a) => a.kind === 'above-ceiling')).toEqual([])
  })

  it('leaves without good-bye, its last will says so, and it has gone quiet before its silence limit', async () => {
    const gateway = await noonGateway()
    const will = {
      topic: 'cirewatch/room-air/presence',
      payload: Buffer.from('{"online":false}'),
      qos: 1 as const,
      retain: true,
    }
    const device = await gateway.client({ clientId: 'room-air', will })
    await device.publishAsync('cirewatch/room-air/presence', '{"online":true}', { qos: 1, retain: true })
    await device.publishAsync('cirewatch/room-air/reading', '{"celsius": 22, "relativeHumidity": 45}', { qos: 1 })
    device.stream.destroy()
    await until('the last will has arrived', async () => {
      const entries = await gateway.gateway.rooms.store.newest('presence', 1)
      return entries[0]?.online === false
    })
    await gateway.lead(noon + 20_000)
    const quiet = (await alarms(gateway)).filter((a) => a.kind === 'gone-quiet')
    expect(quiet).toMatchObject([{ subject: 'room-air', finding: { facts: { saidOffline: true } } }])
  })

  it('that says nothing at all has gone quiet at its silence limit, not before', async () => {
    const gateway = await noonGateway()
    await gateway.publish('pot-mid', { celsius: 93.4 })
    const isQuiet = async () => (await alarms(gateway)).some((a) => a.kind === 'gone-quiet' && a.subject === 'pot-mid')
    await gateway.lead(noon + 29_000)
    expect(await isQuiet()).toBe(false)
    await gateway.lead(noon + 31_000)
    expect(await isQuiet()).toBe(true)
    expect((await gateway.ask<{ view: StationView }>('/api/v1/stations/pot')).body.view.unseen).toBe(true)
    await gateway.publish('pot-mid', { celsius: 93.4 })
    expect((await gateway.ask<{ view: StationView }>('/api/v1/stations/pot')).body.view.unseen).toBe(false)
  })
})

describe('the broker’s memory', () => {
  it('gives no old reading to a new listener, whatever flag the instrument set', async () => {
    const gateway = await noonGateway()
    const device = await gateway.client()
    await device.publishAsync('cirewatch/pot-mid/reading', '{"celsius": 93.4}', { qos: 1, retain: true })
    await device.publishAsync('cirewatch/pot-mid/presence', '{"online":true}', { qos: 1, retain: true })
    await device.publishAsync('cirewatch/big/presence', 'x'.repeat(100_000), { qos: 1, retain: true })
    const listener = await gateway.client()
    const heard: string[] = []
    listener.on('message', (topic) => void heard.push(topic))
    await listener.subscribeAsync('cirewatch/+/+', { qos: 1 })
    await until('the presence is heard', () => heard.length > 0)
    expect(heard).toEqual(['cirewatch/pot-mid/presence'])
  })
})

describe('a bare thermocouple', () => {
  it('of type K at 4096 µV with its cold end at 25 °C is at the published temperature', async () => {
    const gateway = await noonGateway()
    await gateway.publish('kiln-air', { microvolts: 4096, junctionCelsius: 25 })
    // NIST ITS-90 tables, type K: E(25 °C) = 1.000 mV, so the hot end stands at 5.096 mV, between 5.083 (124 °C) and 5.124 mV (125 °C).
    const [reading] = await readings(gateway, 'kiln-air.temperature')
    expect(reading?.value).toBeCloseTo(124 + (5.096 - 5.083) / (5.124 - 5.083), 1)
    expect(reading).toMatchObject({ unit: '°C', quality: 'good' })
    expect((await readings(gateway, 'kiln-air.emf'))[0]).toMatchObject({ value: 4096, unit: 'µV' })
    expect((await readings(gateway, 'kiln-air.junction'))[0]).toMatchObject({ value: 25, unit: '°C' })
  })

  it('raises the ceiling alarm of its kiln by what it means, not by what it sends', async () => {
    const gateway = await noonGateway()
    await gateway.publish('kiln-air', { microvolts: 38_000, junctionCelsius: 25 })
    expect(await alarms(gateway)).toMatchObject([{ kind: 'above-ceiling', station: 'kiln' }])
  })
})

describe('an instrument that nobody has claimed', () => {
  it('is listed with what it says, and claiming it keeps what came before', async () => {
    const gateway = await noonGateway()
    await gateway.publish('new-probe', { fahrenheit: 212 })
    await gateway.lead(noon + 5_000)
    await gateway.publish('new-probe', { kelvin: 373.15 })
    const { body } = await gateway.ask<{ total: number; items: Unclaimed[] }>('/api/v1/unclaimed')
    expect(body).toMatchObject({
      total: 1,
      items: [{ instrument: 'new-probe', readings: 2, lastValues: { temperature: 100 } }],
    })
    const claim = { name: 'New probe', kind: 'thermocouple', station: 'kiln' }
    expect((await gateway.ask('/api/v1/unclaimed/new-probe/claim', claim)).status).toBe(200)
    expect((await gateway.ask<{ total: number }>('/api/v1/unclaimed')).body.total).toBe(0)
    expect((await readings(gateway, 'new-probe.temperature')).map((r) => r.value)).toEqual([100, 100])
    expect((await gateway.ask('/api/v1/unclaimed/new-probe/claim', claim)).status).toBe(404)
  })
})
