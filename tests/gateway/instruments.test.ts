/** Instruments over HTTP: what they sent and what it means, how sure that is, and the air that a climate probe tells of. */
import { describe, expect, it } from 'vitest'
import type { ChartBody, InstrumentNow, Problem, SumsBody } from '../../shared/contract/index.ts'
import { pressureAtPa, wetBulbC } from '../../shared/physics/humidity.ts'
import { hourMs, minuteMs } from '../../shared/time.ts'
import { startGateway } from '../helpers/gateway.ts'
import { foundryWith, house, minuteOf, noon, one } from './instrument-kit.ts'

describe('an instrument', () => {
  it('tells what it sent and what that means, how sure that is and on whose word, and since when it is known', async () => {
    const points = [
      { readsC: 0, isC: 0.5, uC: 0.1 },
      { readsC: 100, isC: 101, uC: 0.2 },
    ]
    const g = await house({
      'pot-mid': { calibrations: [{ at: noon - 90 * 24 * hourMs, points }], checkEveryDays: 100 },
      'kiln-air': { toleranceClass: 'iec-2' },
    })
    await minuteOf(g, 'pot-mid', () => 100)
    await g.publish('kiln-air', { at: noon, celsius: 800 })
    const pot = await one(g, 'pot-mid')
    expect(pot).toMatchObject({
      series: [{ quantity: 'temperature', unit: '°C', value: 100, trueValue: 101, measuredAt: noon, quality: 'good' }],
      sureness: { expandedC: 0.4, from: 'check' },
      since: noon - 85_000,
      checkedAt: noon - 90 * 24 * hourMs,
      dueAt: noon + 10 * 24 * hourMs,
      doubts: [],
    })
    // New wire of its class: ± 0.75 %, uniform, with k = 2.
    const kiln = await one(g, 'kiln-air')
    expect(kiln.sureness.from).toBe('class')
    expect(kiln.sureness.expandedC).toBeCloseTo((2 * 6) / Math.sqrt(3), 6)
    expect((await one(g, 'pot-gun')).sureness).toEqual({ expandedC: null, from: 'unknown' })
    const { body } = await g.ask<{ items: InstrumentNow[] }>('/api/v1/instruments')
    expect(body.items.find((i) => i.id === 'pot-mid')).toEqual(pot)
    expect(body.items).toHaveLength(4)
    expect((await g.ask<Problem>('/api/v1/instruments/nobody')).status).toBe(404)
  })

  it('that sent a code has no value, and a calibration of which nobody said how sure it is makes nobody sure', async () => {
    const g = await house({ 'pot-mid': { calibrations: [{ at: 0, points: [{ readsC: 0, isC: 1 }] }] } })
    await g.publish('pot-mid', { celsius: 20 })
    expect((await one(g, 'pot-mid')).sureness).toEqual({ expandedC: null, from: 'check' })
    await g.lead(noon + 5_000)
    await g.publish('pot-mid', { celsius: -127 })
    expect((await one(g, 'pot-mid')).series).toMatchObject([
      { value: -127, trueValue: null, quality: 'bad', noAnswer: expect.stringMatching(/code/) },
    ])
  })

  it('of infrared that looks at a mirror has no temperature anywhere: judged, live, charted, summed or told', async () => {
    const g = await house({ 'pot-gun': { infrared: { emissivity: 0.6, reflectedC: 190 } } })
    const live = await g.live()
    await g.publish('pot-gun', { at: noon, celsius: 80 })
    await g.lead(noon + 1_000)
    const frame = await live.next((m) => m.is === 'frame' && m.readings?.['pot-gun.temperature'] !== undefined)
    expect(frame.is === 'frame' && frame.readings?.['pot-gun.temperature']).toEqual([[noon, 80, 2, 0]])
    expect(await one(g, 'pot-gun')).toMatchObject({
      series: [{ value: 80, trueValue: null, quality: 'bad', noAnswer: expect.stringMatching(/^No temperature: /) }],
    })
    const span = `from=${noon - minuteMs}&to=${noon + minuteMs}`
    const chart = await g.ask<ChartBody>(`/api/v1/series/pot-gun.temperature/chart?${span}&width=10`)
    expect(chart.body).toMatchObject({ v: [], readings: 1 })
    const sums = await g.ask<SumsBody>(`/api/v1/series/pot-gun.temperature/sums?${span}`)
    expect(sums.body.items).toMatchObject([{ mean: null, highest: null, readings: 1 }])
    // What was sent stays what was sent.
    const raw = await (await fetch(`${g.http}/api/v1/series/pot-gun.temperature/readings`)).text()
    expect(JSON.parse(raw)).toMatchObject({ value: 80, quality: 'good' })
  })
})

describe('a climate probe', () => {
  const air = { celsius: 22, relativeHumidity: 45 }

  it('has dew point and wet bulb of the same instant, from its meant temperature and the height of the site, live and charted', async () => {
    const g = await house({ 'room-air': { calibrations: [{ at: 0, points: [{ readsC: 22, isC: 23 }] }] } })
    const live = await g.live()
    await g.publish('room-air', { at: noon, ...air })
    await g.lead(noon + 1_000)
    const { series } = await one(g, 'room-air')
    expect(series.map((s) => s.quantity)).toEqual(['temperature', 'humidity', 'dew-point', 'wet-bulb'])
    const wetC = wetBulbC(23, 45, pressureAtPa(40) as number) as number
    expect(series[3]).toMatchObject({ unit: '°C', measuredAt: noon, quality: 'good' })
    expect(Math.abs((series[3]?.trueValue ?? 0) - wetC)).toBeLessThan(6e-4)
    const frame = await live.next((m) => m.is === 'frame' && m.readings?.['room-air.wet-bulb'] !== undefined)
    expect(frame.is === 'frame' && Object.keys(frame.readings ?? {}).sort()).toEqual(
      ['dew-point', 'humidity', 'temperature', 'wet-bulb'].map((q) => `room-air.${q}`),
    )
    const span = `from=${noon - minuteMs}&to=${noon + minuteMs}`
    const chart = await g.ask<ChartBody>(`/api/v1/series/room-air.dew-point/chart?${span}&width=10`)
    expect(chart.body.v).toEqual([series[2]?.value])
  })

  it('is judged by neither: a dew point outside every window of the room is no finding', async () => {
    const foundry = foundryWith({})
    const room = foundry.stations.find((s) => s.id === 'room')
    const g = await startGateway({
      at: noon,
      foundry: {
        ...foundry,
        stations: [
          ...foundry.stations.filter((s) => s !== room),
          { ...room, limits: [{ kind: 'window', from: 20, to: 24, onDelayS: 0 }] },
        ],
      },
    })
    for (let n = 0; n < 4; n++) {
      await g.publish('room-air', { at: noon + n * 30_000, ...air })
      await g.lead(noon + (n + 1) * 30_000)
    }
    expect(g.gateway.rooms.foreman.viewOf('room')?.findings).toEqual([])
    // And the same air by its dew point would have been one.
    expect((await one(g, 'room-air')).series.find((s) => s.quantity === 'dew-point')?.value).toBeLessThan(20)
  })

  it('derives nothing before it is claimed, from half a message, from a code or from more than saturated air', async () => {
    const g = await house()
    await g.publish('stranger', { at: noon, ...air })
    await g.publish('room-air', { at: noon, celsius: 22 })
    await g.publish('room-air', { at: noon + 1, relativeHumidity: 45 })
    await g.publish('room-air', { at: noon + 2, celsius: -127, relativeHumidity: 45 })
    await g.publish('room-air', { at: noon + 3, celsius: 22, relativeHumidity: 103 })
    const all = (await g.gateway.rooms.store.summaries()).map((s) => s.series)
    expect(all.filter((s) => s.endsWith('dew-point') || s.endsWith('wet-bulb'))).toEqual([])
  })

  it('that sends its backlog twice stores what follows once, bit for bit', async () => {
    const g = await house()
    const backlog = [0, 1, 2].map((n) => ({ at: noon - n * 30_000, celsius: 22 + n / 7, relativeHumidity: 45 }))
    await g.publish('room-air', backlog)
    await g.publish('room-air', backlog)
    expect(await g.gateway.rooms.store.readingsOf('room-air.dew-point')).toBe(3)
    expect(await g.gateway.rooms.store.count('conflict')).toBe(0)
  })
})
