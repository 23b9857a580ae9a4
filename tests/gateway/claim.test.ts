/** Claiming an instrument: what it said before counts, and a station that is taken out takes its alarms along. */
import { describe, expect, it } from 'vitest'
import type { Alarm, LiveMessage, SeriesView, Welcome } from '../../shared/contract/index.ts'
import { smallFoundry, startGateway } from '../helpers/gateway.ts'

const noon = Date.parse('2026-03-03T12:00:00Z')
const claim = { name: 'My probe', kind: 'thermocouple', newStation: { id: 'bench', name: 'Bench', kind: 'pot' } }

describe('an instrument that spoke before it was claimed', () => {
  it('is shown with what it said, and is not accused of never having spoken', async () => {
    const g = await startGateway({ at: noon })
    await g.publish('my-probe', { celsius: 21.5 })
    await g.lead(noon + 20_000)
    expect((await g.ask('/api/v1/unclaimed/my-probe/claim', claim)).status).toBe(200)

    const { next } = await g.live()
    const welcome = (await next((m: LiveMessage) => m.is === 'welcome')) as Welcome
    const mine = welcome.latest.find((l: SeriesView) => l.series === 'my-probe.temperature')
    expect(mine).toMatchObject({ value: 21.5, measuredAt: noon, quality: 'good' })

    // Its silence counts from the claim, and then it says since when.
    await g.lead(noon + 45_000)
    expect(g.gateway.rooms.foreman.alarms()).toEqual([])
    await g.lead(noon + 60_000)
    expect(g.gateway.rooms.foreman.alarms().map((a) => a.finding.facts)).toEqual([
      { lastAt: noon, silenceMs: 30_000, saidOffline: false },
    ])
  })

  it('is judged by a ceiling from its next reading on', async () => {
    const g = await startGateway({ at: noon })
    await g.publish('my-probe', { celsius: 21.5 })
    await g.ask('/api/v1/unclaimed/my-probe/claim', claim)
    const { body } = await g.ask<{ stations: { limits: unknown[] }[] }>('/api/v1/foundry')
    body.stations[0]?.limits.push({ kind: 'ceiling', aboveC: 100 })
    expect((await g.ask('/api/v1/foundry', body, 'PUT')).status).toBe(200)
    await g.lead(noon + 10_000)
    await g.publish('my-probe', { celsius: 140 })
    await g.lead(noon + 20_000)
    await g.publish('my-probe', { celsius: 163 })
    await g.lead(noon + 30_000)
    await g.publish('my-probe', { celsius: 90 })
    const [alarm] = g.gateway.rooms.foreman.alarms()
    expect(alarm).toMatchObject({ kind: 'above-ceiling', state: 'returned-unacknowledged' })
    // What was announced was only the beginning.
    expect(alarm?.finding.facts).toEqual({ valueC: 140, ceilingC: 100, peakC: 163 })
  })
})

describe('a station that is taken out of the foundry', () => {
  it('takes its alarms along, for nobody could answer for them', async () => {
    const g = await startGateway({ at: noon, foundry: smallFoundry() })
    await g.publish('pot-mid', { celsius: 95 })
    await g.lead(noon + 60_000)
    expect(g.gateway.rooms.foreman.alarms().some((a) => a.station === 'pot')).toBe(true)
    const foundry = smallFoundry()
    foundry.stations = foundry.stations.filter((s) => s.id !== 'pot')
    foundry.instruments = foundry.instruments.filter((i) => i.station !== 'pot')
    const { messages, next } = await g.live()
    await g.ask('/api/v1/foundry', foundry, 'PUT')
    await g.lead(noon + 61_000)
    await next((m) => m.is === 'frame' && (m.alarms ?? []).some((a: Alarm) => a.state === 'normal'))
    expect(messages.length).toBeGreaterThan(1)
    expect(g.gateway.rooms.foreman.alarms().filter((a) => a.station === 'pot')).toEqual([])
  })
})

describe('an instrument that sends its time in seconds', () => {
  it('is placed when it arrives, from the first reading on, and told what is wrong', async () => {
    const g = await startGateway({ at: noon, foundry: smallFoundry() })
    await g.publish('pot-mid', { at: noon / 1_000, celsius: 155 })
    const alarms = g.gateway.rooms.foreman.alarms()
    expect(alarms.map((a) => a.kind).sort()).toEqual(['above-ceiling', 'clock-wrong'])
    expect(alarms.find((a) => a.kind === 'clock-wrong')?.finding.facts).toMatchObject({ inSeconds: true })
    expect(g.gateway.rooms.foreman.latest()).toMatchObject([{ measuredAt: noon, quality: 'uncertain' }])
  })
})
