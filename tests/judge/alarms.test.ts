/** The life of an alarm: states A to D of IEC 62682 (A normal, B unacknowledged, C acknowledged, D returned to normal unacknowledged). */
import { describe, expect, it } from 'vitest'
import { noon, onePot, Tale } from './tale.ts'

const p = 'p.temperature'
const pot = onePot([{ kind: 'ceiling', aboveC: 150 }])

/** A pot that is too hot at 0 s (state B). */
function hot(): Tale {
  const tale = new Tale(pot)
  tale.reads(p, 0, 151)
  return tale
}

describe('an alarm', () => {
  it('A → B: begins when its condition occurs', () => {
    expect(hot().alarms()).toEqual(['above-ceiling unacknowledged'])
  })

  it('B → C → A: seen by somebody, and gone when the condition is over', () => {
    const tale = hot()
    const { id } = tale.alarm()
    const seen = tale.acknowledges(id, 5, 'Bo')
    expect(seen.alarms).toMatchObject([{ state: 'acknowledged', acknowledgedBy: 'Bo', acknowledgedAt: noon + 5_000 }])
    const back = tale.reads(p, 10, 140)
    expect(back.alarms).toMatchObject([{ id, state: 'normal' }])
    expect(tale.alarms()).toEqual([])
  })

  it('B → D → A: over before anybody saw it, it waits to be seen', () => {
    const tale = hot()
    tale.reads(p, 10, 140)
    expect(tale.alarms()).toEqual(['above-ceiling returned-unacknowledged'])
    expect(tale.alarm().returnedAt).toBe(noon + 10_000)
    const changes = tale.acknowledges(tale.alarm().id, 20)
    expect(changes.alarms).toMatchObject([{ state: 'normal', acknowledgedBy: 'Ana' }])
    expect(tale.alarms()).toEqual([])
  })

  it('D → B: back again before anybody saw it, it is the same alarm, a second time', () => {
    const tale = hot()
    const { id } = tale.alarm()
    tale.reads(p, 10, 140)
    tale.reads(p, 20, 155)
    expect(tale.alarm()).toMatchObject({
      id,
      state: 'unacknowledged',
      times: 2,
      raisedAt: noon,
      finding: { since: noon + 20_000 },
    })
    expect(tale.alarm()).not.toHaveProperty('returnedAt')
    expect(tale.house.alarms).toHaveLength(1)
  })

  it('A → B after C → A: a new alarm, once the old one is over and seen', () => {
    const tale = hot()
    const { id } = tale.alarm()
    tale.acknowledges(id, 5)
    tale.reads(p, 10, 140)
    tale.reads(p, 20, 155)
    expect(tale.alarm().id).not.toBe(id)
    expect(tale.alarm()).toMatchObject({ state: 'unacknowledged', times: 1 })
  })

  it('acknowledged twice stays acknowledged by the first', () => {
    const tale = hot()
    tale.acknowledges(tale.alarm().id, 5, 'Ana')
    const again = tale.acknowledges(tale.alarm().id, 6, 'Bo')
    expect(again.alarms).toEqual([])
    expect(tale.alarm()).toMatchObject({ acknowledgedBy: 'Ana', acknowledgedAt: noon + 5_000 })
  })

  it('that does not stand cannot be acknowledged, and nothing happens', () => {
    const tale = new Tale(pot)
    expect(tale.acknowledges('nothing', 5)).toMatchObject({ alarms: [], findings: [] })
  })

  it('asks for what the house has written at the limit, else for what the trade would do', () => {
    const answer = { tier: 'tomorrow', consequence: 'C.', action: 'A.', respondMinutes: 7 }
    const own = new Tale(onePot([{ kind: 'ceiling', aboveC: 150, answer }]))
    own.reads(p, 0, 151)
    expect(own.alarm().answer).toEqual(answer)
    expect(hot().alarm().answer).toMatchObject({ tier: 'act-now', respondMinutes: 5 })
    expect(hot().alarm().answer.action).toContain('Never water')
  })

  it('of each cause is its own: a quiet probe and a hot pot are two', () => {
    const tale = hot()
    tale.tick(30)
    expect(tale.alarms()).toEqual(['above-ceiling unacknowledged', 'gone-quiet unacknowledged'])
    expect(tale.standing()[0]).toBe('above-ceiling p.temperature')
  })
})
