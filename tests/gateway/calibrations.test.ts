/** Calibrations and emissivities over HTTP: from now on or of the past, drawn and summed on either side of their day, set only where asked. */
import { describe, expect, it } from 'vitest'
import type { ChartBody, EmissivityTried, Finding, Problem, SumsBody } from '../../shared/contract/index.ts'
import { indicationC } from '../../shared/physics/infrared.ts'
import { hourMs, minuteMs } from '../../shared/time.ts'
import { startGateway, type TestGateway } from '../helpers/gateway.ts'
import { foundryWith, house, life, noon, one } from './instrument-kit.ts'

describe('a calibration', () => {
  const address = '/api/v1/instruments/pot-mid/calibrations'
  type Made = { calibration: { at: number; by: string }; sentence: string } & Problem

  it('holds from now on, in a new revision, with who made it; what was stored stays as it was sent', async () => {
    const g = await house()
    await g.publish('pot-mid', { at: noon, celsius: 100 })
    await g.lead(noon + 10_000)
    const revision = g.gateway.rooms.foreman.house.rules.revision
    const points = [{ readsC: 100, isC: 102, uC: 0.3 }]
    const made = await g.ask<Made>(address, { points, found: [{ readsC: 100, isC: 101 }], note: 'new wire', by: 'Ada' })
    expect(made.status).toBe(201)
    expect(made.body.calibration).toMatchObject({ at: noon + 10_000, by: 'Ada', note: 'new wire' })
    expect(made.body.sentence).toMatch(/^From now on Pot, middle is read by these points/)
    expect(g.gateway.rooms.foreman.house.rules.revision).toBe(revision + 1)
    expect((await one(g, 'pot-mid')).series[0]).toMatchObject({ value: 100, trueValue: 100 })
    await g.publish('pot-mid', { at: noon + 10_000, celsius: 100 })
    expect((await one(g, 'pot-mid')).series[0]).toMatchObject({ value: 100, trueValue: 102 })
    expect((await life(g, 'pot-mid')).calibrations).toHaveLength(1)
    const [entry] = await g.gateway.rooms.store.newest('foundry', 1)
    expect(entry?.foundry.instruments.find((i) => i.id === 'pot-mid')?.calibrations).toMatchObject([{ by: 'Ada' }])
  })

  it('of the past is an amendment: charts and records are told by it, announced alarms are not', async () => {
    const g = await startGateway({ at: noon, foundry: foundryWith({}), store: 'sqlite' })
    const started = await g.ask<{ id: string }>('/api/v1/runs', {
      kind: 'coating',
      station: 'pot',
      recipe: 'figure',
      by: 'Ada',
    })
    await g.lead(noon + 5_000)
    await g.publish('pot-mid', { celsius: 151 })
    const alarms = g.gateway.rooms.foreman.alarms()
    expect(alarms.map((a) => a.kind)).toEqual(['above-ceiling'])
    await g.lead(noon + 10 * minuteMs)
    const standing = g.gateway.rooms.foreman.alarms()
    const points = [{ readsC: 150, isC: 145 }]
    const made = await g.ask<Made>(address, { points, at: noon - hourMs, by: 'Ada' })
    expect(made.body.sentence).toMatch(
      /^This is an amendment: what Pot, middle has measured since 11:00 means something else/,
    )
    expect(g.gateway.rooms.foreman.alarms()).toEqual(standing)
    const span = `from=${noon}&to=${noon + minuteMs}`
    const chart = await g.ask<ChartBody>(`/api/v1/series/pot-mid.temperature/chart?${span}&width=10`)
    expect(chart.body.v).toEqual([146])
    const record = await g.ask<{ findings: Finding[] }>(`/api/v1/runs/${started.body.id}/record`)
    expect(record.body.findings.filter((f) => f.kind === 'above-ceiling')).toEqual([])
  })

  it('that begins within a chart is drawn and summed on either side of its day, sealed or not', async () => {
    const turn = noon - 90 * minuteMs
    const calibrations = [
      { at: noon - 100 * hourMs, points: [{ readsC: 90, isC: 80 }] },
      { at: turn, points: [{ readsC: 90, isC: 110 }] },
    ]
    const g = await startGateway({
      at: noon,
      store: 'sqlite',
      foundry: foundryWith({ 'pot-mid': { calibrations } }),
    })
    // Raw it falls from 95 to 92 with the turn: the true highest is where the raw one is not.
    const readings = Array.from({ length: 540 }, (_, n) => noon - 3 * hourMs + n * 20_000)
    await g.publish(
      'pot-mid',
      readings.map((at) => ({ at, celsius: at < turn ? 95 : 92 })),
    )
    const span = `from=${noon - 3 * hourMs}&to=${noon}`
    const ask = async () => ({
      chart: (await g.ask<ChartBody>(`/api/v1/series/pot-mid.temperature/chart?${span}&width=1`)).body.v,
      sums: (await g.ask<SumsBody>(`/api/v1/series/pot-mid.temperature/sums?${span}`)).body.items[0],
    })
    const open = await ask()
    expect([Math.min(...(open.chart as number[])), Math.max(...(open.chart as number[]))]).toEqual([85, 112])
    expect(open.sums).toMatchObject({ lowest: { v: 85 }, highest: { v: 112, t: turn } })
    expect(open.sums?.mean).toBeCloseTo((85 + 112) / 2, 1)
    await g.lead(noon + hourMs)
    expect((await g.gateway.rooms.store.stock()).sealedReadings).toBe(540)
    const sealed = await ask()
    expect(sealed.chart).toEqual(open.chart)
    expect(sealed.sums?.mean).toBeCloseTo(open.sums?.mean as number, 9)
    expect(sealed.sums).toMatchObject({ lowest: { v: 85 }, highest: { v: 112, t: turn }, readings: 540 })
  })

  it('is refused as a whole where it cannot be', async () => {
    const g = await house()
    const points = [{ readsC: 0, isC: 1 }]
    const before = g.gateway.rooms.foreman.house.rules
    for (const [body, status] of [
      [{ points: [] }, 400],
      [{ points: [...points, { readsC: -1, isC: 2 }] }, 400],
      [{ points, at: noon + hourMs }, 422],
      [{}, 400],
    ] as const)
      expect((await g.ask<Problem>(address, body)).status).toBe(status)
    expect(g.gateway.rooms.foreman.house.rules).toBe(before)
    expect((await g.ask(address, { points, at: noon })).status).toBe(201)
    const twice = await g.ask<Problem>(address, { points, at: noon })
    expect(twice).toMatchObject({ status: 422, body: { detail: expect.stringMatching(/very moment/) } })
  })
})

describe('an emissivity by comparison', () => {
  const scene = { setEmissivity: 0.95, compensatedC: null, emissivity: 0.9, reflectedC: 23 }
  const address = '/api/v1/instruments/pot-gun/emissivity'

  async function compared(g: TestGateway, emissivity = 0.9) {
    for (let n = 0; n < 12; n++) {
      const at = noon - (11 - n) * 10_000
      const trueC = 85 - n
      await g.publish('pot-gun', { at, celsius: indicationC({ ...scene, emissivity }, trueC) })
      // The probe speaks between: its value is taken on the line between two of its readings.
      await g.publish('pot-mid', { at: at - 5_000, celsius: trueC + 0.5 })
    }
    await g.publish('pot-mid', { at: noon + 5_000, celsius: 73.5 })
    await g.lead(noon + 5_000)
  }

  it('finds what the pairs of the last minutes say, and sets it only where asked', async () => {
    const g = await house()
    await compared(g)
    const tried = await g.ask<EmissivityTried>(address, { contact: 'pot-mid', minutes: 5 })
    expect(tried.body.emissivity).toBeCloseTo(0.9, 3)
    expect(tried.body).toMatchObject({
      pairs: 12,
      sentence: expect.stringMatching(/^What it looks at has an emissivity of 0\.90 ± /),
    })
    expect((await one(g, 'pot-gun')).infrared).toBeUndefined()
    const set = await g.ask<EmissivityTried>(address, { contact: 'pot-mid', minutes: 5, apply: true })
    expect(set.body.sentence).toMatch(/It is set now\.$/)
    const gun = await one(g, 'pot-gun')
    expect(gun.infrared).toMatchObject({ setEmissivity: 0.95, emissivity: 0.9 })
    expect(gun.sureness.from).toBe('infrared')
    expect(gun.series[0]?.trueValue).toBeCloseTo(74, 1)
    expect(gun.sureness.expandedC).toBeGreaterThan(0.5)
  })

  it('says why nothing follows: no pairs, bright metal, or instruments that are no such pair', async () => {
    const g = await house()
    const none = await g.ask<EmissivityTried>(address, { contact: 'pot-mid', apply: true })
    expect(none.body).toMatchObject({ emissivity: null, sentence: expect.stringMatching(/fewer than three moments/) })
    await compared(g, 0.3)
    const metal = await g.ask<EmissivityTried>(address, { contact: 'pot-mid', apply: true })
    expect(metal.body).toMatchObject({ emissivity: null, sentence: expect.stringMatching(/bright metal/) })
    expect((await one(g, 'pot-gun')).infrared).toBeUndefined()
    for (const [at, contact, status] of [
      [address, 'pot-gun', 422],
      [address, 'nobody', 404],
      ['/api/v1/instruments/pot-mid/emissivity', 'pot-mid', 422],
    ] as const)
      expect((await g.ask<Problem>(at, { contact })).status).toBe(status)
  })
})
