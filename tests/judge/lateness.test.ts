/** Late readings and backlog: what comes too late changes no judgement; what a backlog shows to be true now does. */
import { describe, expect, it } from 'vitest'
import { onePot, Tale } from './tale.ts'

const p = 'p.temperature'
const pot = onePot([
  { kind: 'ceiling', aboveC: 150 },
  { kind: 'window', to: 100 },
])

describe('a late reading', () => {
  it('raises nothing, and is counted', () => {
    const tale = new Tale(pot)
    tale.reads(p, 100, 90)
    tale.reads(p, 90, 160, { lateS: 15 })
    expect(tale.standing()).toEqual([])
    expect(tale.house.stations[0]?.series[0]).toMatchObject({ late: 1, value: 90 })
  })

  it('never takes an announced alarm back', () => {
    const tale = new Tale(pot)
    tale.reads(p, 100, 151)
    tale.reads(p, 99, 90, { lateS: 20 })
    expect(tale.alarms()).toEqual(['above-ceiling unacknowledged'])
  })

  it('still shows that its instrument is alive', () => {
    const tale = new Tale(pot)
    tale.reads(p, 100, 90)
    tale.tick(130)
    expect(tale.standing()).toEqual(['gone-quiet p'])
    tale.reads(p, 95, 90, { lateS: 60 })
    expect(tale.standing()).toEqual([])
  })

  it('from before a fault does not make the instrument able again', () => {
    const tale = new Tale(pot)
    tale.faults('p', 100)
    tale.reads(p, 90, 95, { lateS: 20 })
    expect(tale.standing()).toEqual(['instrument-fault p'])
    tale.reads(p, 120, 95)
    expect(tale.standing()).toEqual([])
  })
})

describe('a backlog', () => {
  it('raises nothing about the past, neither by its readings nor by the ticks between them', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 90)
    for (let s = 10; s <= 1_800; s += 10) {
      const hot = s > 600 && s < 1_200
      tale.reads(p, s, hot ? 160 : 90, { lateS: 3_600 - s + s / 100 })
      if (s % 100 === 0) tale.tick(3_600 + s / 100)
    }
    expect([...tale.findings.values()].filter((f) => f.kind !== 'gone-quiet')).toEqual([])
  })

  it('that ends in what is true now raises it with the next tick', () => {
    const tale = new Tale(pot)
    for (let s = 0; s <= 300; s += 10) tale.reads(p, s, s < 200 ? 90 : 160, { lateS: 330 - s })
    expect(tale.standing()).toEqual([])
    expect(tale.due()).toBe(330)
    tale.tick(331)
    expect(tale.told('above-ceiling')).toEqual([{ since: 200, raised: 331, cleared: null }])
  })

  it('of a device whose clock is three quarters of a minute slow blinds no ceiling', () => {
    const tale = new Tale(pot)
    for (let s = 0; s <= 60; s += 10) {
      tale.reads(p, s, 160, { lateS: 45 })
      tale.tick(s + 46)
    }
    expect(tale.standing()).toContain('above-ceiling p.temperature')
  })

  it('that ended long ago raises nothing, even when nothing follows it', () => {
    const tale = new Tale(pot)
    for (let s = 0; s <= 300; s += 10) tale.reads(p, s, 160, { lateS: 7_200 - s })
    tale.tick(7_201)
    expect(tale.standing()).toEqual([])
  })

  it('with a fault in it that is over raises no fault; one that is not over does', () => {
    const over = new Tale(pot)
    over.faults('p', 0, 'open circuit', 600)
    over.reads(p, 100, 90, { lateS: 500 })
    over.tick(601)
    expect(over.told('instrument-fault')).toEqual([])
    const overtaken = new Tale(pot)
    overtaken.reads(p, 100, 90)
    overtaken.faults('p', 50, 'open circuit', 52)
    overtaken.tick(103)
    expect(overtaken.told('instrument-fault')).toEqual([])
    const lasting = new Tale(pot)
    lasting.reads(p, 0, 90, { lateS: 600 })
    lasting.faults('p', 100, 'open circuit', 500)
    expect(lasting.standing()).toEqual([])
    lasting.tick(601)
    expect(lasting.told('instrument-fault')).toEqual([{ since: 100, raised: 601, cleared: null }])
  })
})
