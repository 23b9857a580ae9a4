/** Standing limits: when a ceiling, a window or a rate speaks, and when it falls silent again. */
import { describe, expect, it } from 'vitest'
import { onePot, Tale } from './tale.ts'

const p = 'p.temperature'

describe('a ceiling', () => {
  const ceiling = onePot([{ kind: 'ceiling', aboveC: 150 }])

  it('speaks with the first reading above it, and not at it', () => {
    const tale = new Tale(ceiling)
    tale.reads(p, 0, 150)
    expect(tale.standing()).toEqual([])
    tale.reads(p, 10, 150.1)
    expect(tale.told('above-ceiling')).toEqual([{ since: 10, raised: 10, cleared: null }])
    expect(tale.alarm()).toMatchObject({ state: 'unacknowledged', answer: { tier: 'act-now' } })
  })

  it('stands until the wax is half a degree below it, so that noise does not ring it twice', () => {
    const tale = new Tale(ceiling)
    tale.reads(p, 0, 151)
    tale.reads(p, 10, 149.8)
    tale.reads(p, 20, 150.2)
    expect(tale.told('above-ceiling')).toEqual([{ since: 0, raised: 0, cleared: null }])
    tale.reads(p, 30, 149.5)
    expect(tale.told('above-ceiling')).toEqual([{ since: 0, raised: 0, cleared: 30 }])
  })

  it('takes the deadband and the delays that the house has set', () => {
    const tale = new Tale(onePot([{ kind: 'ceiling', aboveC: 150, deadband: 5, onDelayS: 20, offDelayS: 30 }]))
    tale.reads(p, 0, 151)
    tale.reads(p, 10, 151)
    expect(tale.standing()).toEqual([])
    tale.reads(p, 20, 151)
    expect(tale.told('above-ceiling')).toEqual([{ since: 0, raised: 20, cleared: null }])
    tale.reads(p, 30, 146)
    tale.reads(p, 40, 145)
    tale.reads(p, 60, 145)
    expect(tale.told('above-ceiling')[0]?.cleared).toBeNull()
    tale.reads(p, 70, 145)
    expect(tale.told('above-ceiling')).toEqual([{ since: 0, raised: 20, cleared: 40 }])
  })

  it('holds for every instrument of the station, a window only for the one that stands for it', () => {
    const two = {
      stations: [
        {
          id: 'P',
          name: 'Pot',
          kind: 'pot',
          leading: 'p',
          limits: [
            { kind: 'ceiling', aboveC: 150 },
            { kind: 'window', to: 100, onDelayS: 0 },
          ],
        },
      ],
      instruments: [
        { id: 'p', name: 'Probe', kind: 'thermocouple', station: 'P' },
        { id: 'q', name: 'Second', kind: 'infrared', station: 'P' },
      ],
    } as unknown as ConstructorParameters<typeof Tale>[0]
    const tale = new Tale(two)
    tale.reads('q.temperature', 0, 151)
    expect(tale.standing()).toEqual(['above-ceiling q.temperature'])
  })

  it('is held against what the instrument truly means after its last check', () => {
    const tale = new Tale(
      onePot([{ kind: 'ceiling', aboveC: 150 }], {
        correction: [
          { readsC: 0, isC: 2 },
          { readsC: 150, isC: 152 },
        ],
      }),
    )
    tale.reads(p, 0, 148.5)
    expect(tale.alarm().finding.facts).toEqual({ valueC: 150.5, ceilingC: 150 })
  })
})

describe('a window', () => {
  const window = onePot([{ kind: 'window', from: 90, to: 100 }])

  it('waits a minute outside before it calls anybody: told by the reading that shows it', () => {
    const tale = new Tale(window)
    tale.readsOn(p, 0, 50, 10, () => 101)
    expect(tale.standing()).toEqual([])
    tale.reads(p, 60, 101)
    expect(tale.told('outside-window')).toEqual([{ since: 0, raised: 60, cleared: null }])
    expect(tale.alarm().finding.facts).toMatchObject({ side: 'above', from: 90, to: 100, value: 101 })
  })

  it('or told by the tick, at the very moment the minute is over', () => {
    const tale = new Tale(onePot([{ kind: 'window', from: 90, to: 100 }], { intervalS: 30 }))
    tale.reads(p, 0, 89)
    expect(tale.due()).toBe(60)
    tale.tick(59.999)
    expect(tale.standing()).toEqual([])
    tale.tick(60)
    expect(tale.told('outside-window')).toEqual([{ since: 0, raised: 60, cleared: null }])
    expect(tale.alarm().finding.facts).toMatchObject({ side: 'below' })
  })

  it('begins its minute anew when the value was back inside for one reading', () => {
    const tale = new Tale(window)
    tale.readsOn(p, 0, 50, 10, () => 101)
    tale.reads(p, 55, 99)
    tale.readsOn(p, 60, 110, 10, () => 101)
    expect(tale.standing()).toEqual([])
    tale.reads(p, 120, 101)
    expect(tale.told('outside-window')).toEqual([{ since: 60, raised: 120, cleared: null }])
  })

  it('falls silent a minute after the value came back past the deadband: by tick or by reading', () => {
    for (const by of ['reading', 'tick'] as const) {
      const tale = new Tale(onePot([{ kind: 'window', from: 90, to: 100 }], { intervalS: 30 }))
      tale.readsOn(p, 0, 60, 10, () => 101)
      tale.reads(p, 70, 99.8)
      tale.reads(p, 80, 99.4)
      expect(tale.due()).toBe(140)
      if (by === 'tick') tale.tick(140)
      else tale.reads(p, 140, 99)
      expect(tale.told('outside-window')).toEqual([{ since: 0, raised: 60, cleared: 80 }])
    }
  })

  it('narrower than twice its deadband can still be come back into', () => {
    const tale = new Tale(onePot([{ kind: 'window', from: 20, to: 20.8, onDelayS: 0, offDelayS: 0 }]))
    tale.reads(p, 0, 21)
    expect(tale.standing()).toHaveLength(1)
    tale.reads(p, 10, 20.4)
    expect(tale.standing()).toEqual([])
  })

  it('keeps a pair of windows apart', () => {
    const tale = new Tale(
      onePot([
        { kind: 'window', to: 100, onDelayS: 0 },
        { kind: 'window', to: 110, onDelayS: 0 },
      ]),
    )
    tale.reads(p, 0, 105)
    expect(tale.standing()).toEqual(['outside-window p.temperature'])
    tale.reads(p, 10, 111)
    expect(tale.standing()).toEqual(['outside-window p.temperature', 'outside-window p.temperature#2'])
    expect(tale.house.alarms).toHaveLength(2)
  })
})

describe('a rate', () => {
  const rise = onePot([{ kind: 'rise', cPerMinuteMax: 4 }])
  /** Seconds after noon → °C at a steady rate. */
  const climbing = (cPerMinute: number) => (s: number) => 60 + (cPerMinute * s) / 60

  it('lets a normal heat-up of 2 °C a minute pass', () => {
    const tale = new Tale(rise)
    tale.readsOn(p, 0, 1_800, 10, climbing(2))
    expect(tale.told('rising-too-fast')).toEqual([])
  })

  it('speaks when it has seen enough of a climb of 6 °C a minute, and says how fast', () => {
    const tale = new Tale(rise)
    tale.readsOn(p, 0, 60, 10, climbing(6))
    expect(tale.standing()).toEqual([])
    tale.readsOn(p, 70, 120, 10, climbing(6))
    expect(tale.alarm().finding.facts).toEqual({
      cPerMinute: expect.closeTo(6, 6),
      cPerMinuteMax: 4,
      valueC: expect.any(Number),
    })
    expect(tale.told('rising-too-fast')[0]?.raised).toBeLessThanOrEqual(90)
  })

  it('is not rung by noise: ±0.5 °C from reading to reading is no climb', () => {
    const tale = new Tale(rise)
    tale.readsOn(p, 0, 3_600, 10, (s) => 95 + 0.5 * Math.sin(s * 1.7) * Math.cos(s * 0.9))
    expect(tale.told('rising-too-fast')).toEqual([])
  })

  it('is not rung by one wrong value in the middle', () => {
    const tale = new Tale(onePot([{ kind: 'rise', cPerMinuteMax: 4, overS: 600 }], { intervalS: 10 }))
    tale.readsOn(p, 0, 1_200, 10, (s) => (s === 600 ? 97 : 95))
    expect(tale.told('rising-too-fast')).toEqual([])
  })

  it('draws no slope across a hole, whether of silence or of bad values', () => {
    for (const hole of ['silent', 'bad'] as const) {
      const tale = new Tale(rise)
      tale.readsOn(p, 0, 120, 10, () => 60)
      if (hole === 'bad') for (let s = 130; s < 190; s += 10) tale.bad(p, s)
      tale.readsOn(p, 190, 310, 10, () => 90)
      expect(tale.told('rising-too-fast')).toEqual([])
    }
  })

  it('still stands after a hole, until it is known again how fast it climbs', () => {
    const tale = new Tale(rise)
    tale.readsOn(p, 0, 120, 10, climbing(6))
    expect(tale.standing()).toHaveLength(1)
    tale.readsOn(p, 200, 260, 10, () => 75)
    expect(tale.standing()).toHaveLength(1)
    tale.readsOn(p, 270, 400, 10, () => 75)
    expect(tale.standing()).toEqual([])
  })

  it('is told also for an instrument that speaks too seldom for the stretch that the house wrote', () => {
    const tale = new Tale(onePot([{ kind: 'rise', cPerMinuteMax: 4, overS: 60 }], { intervalS: 60 }))
    tale.readsOn(p, 0, 600, 61, climbing(6))
    expect(tale.standing()).toEqual(['rising-too-fast p.temperature'])
  })

  it('of a short stretch is not hidden by one of a long stretch beside it', () => {
    const tale = new Tale(
      onePot([
        { kind: 'rise', cPerMinuteMax: 4, overS: 60 },
        { kind: 'rise', cPerMinuteMax: 8, overS: 3_600 },
      ]),
    )
    tale.readsOn(p, 0, 3_600, 10, () => 60)
    tale.readsOn(p, 3_610, 3_690, 10, (s) => 60 + (5 * (s - 3_600)) / 60)
    expect(tale.standing()).toEqual(['rising-too-fast p.temperature'])
  })
})

describe('what was not seen', () => {
  const window = onePot([
    { kind: 'ceiling', aboveC: 150 },
    { kind: 'window', to: 100 },
  ])

  it('a bad value breaks no limit, and does not let a broken one recover', () => {
    const tale = new Tale(window)
    tale.reads(p, 0, 999.9, { quality: 'bad', reason: 'sensor-code' })
    expect(tale.standing()).toEqual([])
    tale.reads(p, 10, 151)
    tale.reads(p, 20, -127, { quality: 'bad', reason: 'sensor-code' })
    expect(tale.standing()).toEqual(['above-ceiling p.temperature'])
  })

  it('a delay does not run on through a hole: outside before and after is not outside all the while', () => {
    const tale = new Tale(window)
    tale.reads(p, 0, 101)
    tale.reads(p, 50, 101)
    expect(tale.standing()).toEqual([])
    tale.readsOn(p, 60, 100, 10, () => 101)
    expect(tale.standing()).toEqual([])
    tale.reads(p, 110, 101)
    expect(tale.told('outside-window')).toEqual([{ since: 50, raised: 110, cleared: null }])
  })

  it('a standing finding outlives a hole, and its way back is not counted through one', () => {
    const tale = new Tale(window)
    tale.readsOn(p, 0, 60, 10, () => 101)
    tale.reads(p, 70, 99)
    tale.reads(p, 140, 99)
    expect(tale.told('outside-window')[0]?.cleared).toBeNull()
    tale.readsOn(p, 150, 200, 10, () => 99)
    expect(tale.told('outside-window')[0]?.cleared).toBe(140)
  })

  it('an uncertain value is judged like any other', () => {
    const tale = new Tale(window)
    tale.reads(p, 0, 151, { quality: 'uncertain', reason: 'clock-wrong' })
    expect(tale.standing()).toEqual(['above-ceiling p.temperature'])
  })

  it('a silence limit shorter than the interval does not blind a delayed ceiling', () => {
    const tale = new Tale(onePot([{ kind: 'ceiling', aboveC: 150, onDelayS: 15 }], { silenceS: 1 }))
    tale.readsOn(p, 0, 20, 10, () => 151)
    expect(tale.standing()).toContain('above-ceiling p.temperature')
  })
})
