/** Instruments: who is quiet, who cannot measure, whose clock is wrong, and what is nobody's fault but ours. */
import { describe, expect, it } from 'vitest'
import { stationView } from '../../shared/judge/index.ts'
import { noon, onePot, type Setting, Tale } from './tale.ts'

const p = 'p.temperature'
const pot = onePot([{ kind: 'ceiling', aboveC: 150 }])

describe('silence', () => {
  it('is found by the tick at the silence limit, never by anything else', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 90)
    expect(tale.due()).toBe(30)
    tale.tick(29.999)
    expect(tale.standing()).toEqual([])
    tale.tick(30)
    expect(tale.told('gone-quiet')).toEqual([{ since: 30, raised: 30, cleared: null }])
    expect(tale.alarm().finding.facts).toEqual({ lastAt: noon, silenceMs: 30_000, saidOffline: false })
    tale.tick(40)
    expect(tale.told('gone-quiet')).toHaveLength(1)
  })

  it('ends with the next reading, even after a night in which nobody ticked', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 90)
    tale.tick(30)
    tale.reads(p, 900, 90)
    expect(tale.told('gone-quiet')).toEqual([{ since: 30, raised: 30, cleared: 900 }])
    tale.reads(p, 5_000, 90)
    expect(tale.told('gone-quiet')).toHaveLength(1)
  })

  it('goes on where a person brings in what the instrument noted earlier: the instrument has not spoken', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 90)
    tale.tick(30)
    tale.reads(p, 20, 160, { lateS: 900, reason: 'brought-in' })
    tale.reads(p, 890, 91, { lateS: 12, reason: 'brought-in' })
    expect(tale.told('gone-quiet')).toEqual([{ since: 30, raised: 30, cleared: null }])
    expect(tale.told('above-ceiling')).toEqual([])
    tale.reads(p, 910, 90)
    expect(tale.told('gone-quiet')).toEqual([{ since: 30, raised: 30, cleared: 910 }])
  })

  it('is found of an instrument that has never spoken at all', () => {
    const tale = new Tale(pot)
    tale.tick(30)
    expect(tale.alarm().finding.facts).toMatchObject({ lastAt: null })
  })

  it('takes the limit that the house has set, or three intervals, or half a minute', () => {
    const dueOf = (more: Record<string, unknown>) => new Tale(onePot([], more)).due()
    expect(dueOf({ intervalS: 10, silenceS: 12 })).toBe(12)
    expect(dueOf({ intervalS: 60 })).toBe(180)
    expect(dueOf({ intervalS: 1 })).toBe(30)
  })

  it('after a good-bye comes within fifteen seconds, and never later than it would have come without', () => {
    const early = new Tale(pot)
    early.reads(p, 0, 90)
    early.presence('p', 5, false)
    expect(early.due()).toBe(20)
    early.presence('p', 15, false)
    expect(early.due()).toBe(20)
    early.tick(20)
    expect(early.alarm().finding.facts).toMatchObject({ saidOffline: true })
    const late = new Tale(pot)
    late.reads(p, 0, 90)
    late.presence('p', 28, false)
    expect(late.due()).toBe(30)
  })

  it('does not follow a good-bye that was taken back', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 90)
    tale.presence('p', 5, false)
    tale.presence('p', 10, true)
    tale.tick(25)
    expect(tale.standing()).toEqual([])
    expect(tale.due()).toBe(40)
  })

  it('ends when anything comes, also a quantity that nobody judges', () => {
    const tale = new Tale(pot)
    tale.tick(30)
    tale.reads('p.humidity', 40, 50)
    expect(tale.standing()).not.toContain('gone-quiet p')
  })

  it('of the only instrument leaves the station unseen', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 90)
    expect(stationView(tale.house, 0).unseen).toBe(false)
    tale.tick(30)
    expect(stationView(tale.house, 0).unseen).toBe(true)
  })

  it('lets no delay run out on a value that nobody sees any more', () => {
    const tale = new Tale(onePot([{ kind: 'window', to: 100, onDelayS: 60 }]))
    tale.reads(p, 0, 101)
    tale.tick(30)
    tale.tick(61)
    expect(tale.standing()).toEqual(['gone-quiet p'])
  })
})

describe('an instrument that cannot measure', () => {
  it('says so once, with its own words, and ends it with the next good reading', () => {
    const tale = new Tale(pot)
    tale.faults('p', 10)
    tale.faults('p', 20, 'still open')
    expect(tale.told('instrument-fault')).toEqual([{ since: 10, raised: 10, cleared: null }])
    expect(tale.alarm().finding.facts).toEqual({ text: 'open circuit' })
    tale.bad(p, 25)
    expect(tale.standing()).toEqual(['instrument-fault p'])
    tale.reads(p, 30, 90)
    expect(tale.told('instrument-fault')).toEqual([{ since: 10, raised: 10, cleared: 30 }])
  })

  it('is heard meanwhile: it is not quiet', () => {
    const tale = new Tale(pot)
    for (let s = 0; s <= 100; s += 10) tale.faults('p', s)
    tale.tick(105)
    expect(tale.standing()).toEqual(['instrument-fault p'])
  })

  it('and sends nothing but sensor codes is found after its silence limit; a single code is not', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 90)
    tale.bad(p, 10)
    tale.reads(p, 20, 90)
    for (let s = 30; s <= 40; s += 10) {
      tale.bad(p, s)
      tale.tick(s + 5)
      expect(tale.standing()).toEqual([])
    }
    expect(tale.due()).toBe(50)
    tale.tick(50)
    expect(tale.told('instrument-fault')).toEqual([{ since: 50, raised: 50, cleared: null }])
    expect(tale.alarm().finding.facts).toEqual({ text: 'what it sends as temperature cannot be true' })
    tale.bad(p, 60)
    expect(tale.standing()).toEqual(['instrument-fault p.temperature'])
    tale.reads(p, 70, 90)
    expect(tale.standing()).toEqual([])
  })
})

describe('a climate probe of which one half has died', () => {
  const room: Setting = {
    stations: [
      { id: 'R', name: 'Room', kind: 'dry-room', limits: [{ kind: 'window', quantity: 'humidity', to: 60 }] },
    ] as unknown as Setting['stations'],
    instruments: [{ id: 'c', name: 'Climate', kind: 'climate', station: 'R', intervalS: 10 }],
  }

  it('is found, though the other half still speaks', () => {
    const tale = new Tale(room)
    tale.reads('c.temperature', 0, 22)
    tale.reads('c.humidity', 0, 50)
    tale.readsOn('c.temperature', 10, 29, 10, () => 22)
    tale.tick(30)
    expect(tale.standing()).toEqual(['instrument-fault c.humidity'])
    expect(tale.alarm().finding.facts).toEqual({ text: 'it sends no humidity any more' })
    tale.reads('c.humidity', 40, 50)
    expect(tale.told('instrument-fault')).toEqual([{ since: 30, raised: 30, cleared: 40 }])
  })

  it('is told once when the whole of it is quiet, and each half has its time to come back', () => {
    const tale = new Tale(room)
    tale.reads('c.temperature', 0, 22)
    tale.reads('c.humidity', 0, 50)
    tale.tick(30)
    tale.tick(100)
    expect(tale.standing()).toEqual(['gone-quiet c'])
    tale.reads('c.temperature', 110, 22)
    tale.tick(112)
    expect(tale.standing()).toEqual([])
  })
})

describe('a clock', () => {
  const wrong = { quality: 'uncertain', reason: 'clock-wrong', claimedAt: noon + 7_200_000 } as const

  it('that is wrong is told once, and the ceiling is judged all the same', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 90, wrong)
    tale.reads(p, 10, 160, { ...wrong, claimedAt: wrong.claimedAt + 10_000 })
    expect(tale.standing()).toEqual(['above-ceiling p.temperature', 'clock-wrong p'])
    expect([...tale.findings.values()][0]?.facts).toEqual({ offsetMs: 7_200_000 })
  })

  it('is believed again only after it has been right for a whole minute', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 90, wrong)
    tale.reads(p, 600, 90)
    expect(tale.standing()).toEqual(['clock-wrong p'])
    tale.reads(p, 630, 90, { ...wrong, claimedAt: wrong.claimedAt + 630_000 })
    tale.readsOn(p, 640, 699, 10, () => 90)
    expect(tale.standing()).toEqual(['clock-wrong p'])
    tale.reads(p, 700, 90)
    expect(tale.told('clock-wrong')).toEqual([{ since: 0, raised: 0, cleared: 700 }])
  })
})

describe('a clock that ran ahead and is set right', () => {
  it('does not make the next readings late: a ceiling is judged at once', () => {
    const tale = new Tale(pot)
    tale.readsOn(p, 0, 60, 10, () => 90)
    for (let s = 70; s <= 100; s += 10) tale.reads(p, s + 50, 90, { lateS: -50 })
    tale.reads(p, 110, 160)
    expect(tale.standing()).toEqual(['above-ceiling p.temperature'])
  })

  it('makes no climb out of values that lie on both sides of it', () => {
    const tale = new Tale(onePot([{ kind: 'rise', cPerMinuteMax: 4 }]))
    tale.readsOn(p, 0, 120, 10, (s) => 60 + s / 60)
    for (let s = 130; s <= 250; s += 10) tale.reads(p, s + 50, 60 + s / 60, { lateS: -50 })
    tale.readsOn(p, 260, 500, 10, (s) => 60 + s / 60)
    expect(tale.told('rising-too-fast')).toEqual([])
  })

  it('a reading that merely overtook another on its way is still late', () => {
    const tale = new Tale(pot)
    tale.reads(p, 12, 90, { lateS: -2 })
    tale.reads(p, 11, 160, { lateS: 0 })
    expect(tale.standing()).toEqual([])
  })
})

describe('two values for one instant', () => {
  it('are a notice and no alarm: nobody is called, both values are told', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 90)
    const changes = tale.tell({ kind: 'conflict', at: noon + 50, series: p, measuredAt: noon, kept: 90, refused: 97 })
    expect(changes.findings).toMatchObject([
      { kind: 'conflicting-reading', since: noon, clearedAt: noon, facts: { kept: 90, refused: 97 } },
    ])
    expect(tale.alarms()).toEqual([])
    expect(tale.standing()).toEqual([])
  })
})
