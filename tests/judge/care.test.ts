/** Pot care: a pot that runs away is called long before its ceiling, an ordinary week is not called at all. */
import { describe, expect, it } from 'vitest'
import { Led, lead, minute, morning, potFoundry } from './pot-kit.ts'

const fire = ['nearing-ceiling', 'no-cut-off', 'above-ceiling']
const pots = [
  { kg: 1, heaterW: 250, setPointC: 112 },
  { kg: 3, heaterW: 400, setPointC: 108 },
  { kg: 6, heaterW: 600, setPointC: 112 },
  { kg: 12, heaterW: 1_200, setPointC: 110 },
  { kg: 40, heaterW: 3_000, setPointC: 85 },
] as const

describe('an ordinary week', () => {
  it.each(pots)(
    'of a pot of $kg kg raises nothing of fire, typed set-point or not',
    (pot) => {
      for (const typed of [pot.setPointC, undefined]) {
        const led = new Led(potFoundry(typed))
        lead(led, { ...pot, seed: pot.kg * 7 + (typed ?? 0), days: 7 })
        expect(led.kinds().filter((k) => fire.includes(k))).toEqual([])
      }
    },
    120_000,
  )
})

describe('a welded relay', () => {
  /** Minutes between what was announced first and the ceiling. */
  function leadOf(
    pot: (typeof pots)[number],
    typed: boolean,
    days: number,
    weldsAt: number,
  ): { minutes: number; kinds: string[] } {
    const led = new Led(potFoundry(typed ? pot.setPointC : undefined))
    let ceilingAt = 0
    lead(led, { ...pot, seed: pot.kg + weldsAt, days: days + 1, weldsAt: days * 1_440 + weldsAt }, (at, waxC) => {
      if (waxC >= 150) ceilingAt = at
      return ceilingAt > 0
    })
    const nearing = led.found.find((f) => f.kind === 'nearing-ceiling')
    return {
      minutes: ceilingAt === 0 || !nearing ? Number.NaN : (ceilingAt - nearing.raisedAt) / minute,
      kinds: led.kinds(),
    }
  }

  it.each(pots.filter((p) => p.kg > 1))(
    'of a pot of $kg kg is told at least ten minutes before the ceiling: from its hold and from the cold morning',
    (pot) => {
      for (const weldsAt of [30, 240]) {
        const told = leadOf(pot, true, 2, weldsAt)
        expect(told.kinds).toContain('no-cut-off')
        expect(told.minutes).toBeGreaterThanOrEqual(10)
        // Nobody typed a set-point: two days have shown where it turns.
        expect(leadOf(pot, false, 2, weldsAt).minutes).toBeGreaterThanOrEqual(10)
      }
    },
    120_000,
  )

  it('ends when it was switched off and falls, and not before', () => {
    const led = new Led(potFoundry(112))
    let at = morning
    const next = () => {
      at += 10_000
      return at
    }
    const go = (from: number, to: number, perMinute: number) => {
      for (let c = from; perMinute > 0 ? c < to : c > to; c += perMinute / 6) led.reads(next(), c)
    }
    go(90, 125, 2)
    expect(led.kinds()).toEqual(expect.arrayContaining(['nearing-ceiling', 'no-cut-off']))
    go(125, 126, 0.3)
    expect(led.found.filter((f) => f.clearedAt !== undefined)).toEqual([])
    go(126, 120, -0.6)
    expect(new Set(led.found.filter((f) => f.clearedAt !== undefined).map((f) => f.kind))).toEqual(
      new Set(['nearing-ceiling', 'no-cut-off']),
    )
  })

  it('is not a probe that is put back into hot wax', () => {
    const led = new Led(potFoundry(112))
    for (let n = 0; n < 60; n++) led.reads(morning + n * 10_000, 30)
    for (let n = 60; n < 120; n++) led.reads(morning + n * 10_000, 111)
    expect(led.kinds().filter((k) => fire.includes(k))).toEqual([])
  })
})

describe('conditioning', () => {
  it('wants it melted through, held in its window for its time, and stirred', () => {
    const led = new Led(potFoundry(112))
    let at = morning
    const next = () => {
      at += 10_000
      return at
    }
    const hold = (c: number, minutes: number) => {
      for (let n = 0; n < minutes * 6; n++) led.reads(next(), c)
    }
    hold(60, 5)
    expect(led.pot?.conditioning).toEqual({ is: 'not-melted' })
    hold(95, 5)
    expect(led.pot?.conditioning).toEqual({ is: 'outside', side: 'below' })
    hold(110, 10)
    expect(led.pot?.conditioning).toMatchObject({ is: 'holding' })
    // A brush, and a breath above the window.
    hold(107, 0.2)
    hold(118.5, 1)
    hold(110, 12)
    expect(led.pot?.conditioning).toMatchObject({ is: 'stir' })
    led.act(next(), 'stirred')
    hold(110, 1)
    expect(led.pot?.conditioning).toMatchObject({ is: 'conditioned' })
    // Let down through its coats it stays so; cold it is not any more.
    hold(80, 5)
    expect(led.pot?.conditioning).toMatchObject({ is: 'conditioned' })
    hold(50, 2)
    expect(led.pot?.conditioning).toEqual({ is: 'not-melted' })
  })
})

describe('hours', () => {
  it('of a batch count while it is liquid and seen, and begin anew with new wax', () => {
    const led = new Led(potFoundry(112, { batchHours: 2, leftOnHours: 1.5 }))
    for (let n = 0; n < 6 * 60; n++) led.reads(morning + n * 10_000, 100)
    expect(led.pot?.waxHours).toBeCloseTo(1, 2)
    // Two hours unseen are nobody's hours.
    for (let n = 0; n < 6 * 70; n++) led.reads(morning + 180 * minute + n * 10_000, 100)
    expect(led.pot?.waxHours).toBeCloseTo(1 + 70 / 60, 1)
    expect(led.kinds()).toContain('wax-old')
    led.act(morning + 251 * minute, 'new-wax')
    led.reads(morning + 252 * minute, 100)
    expect(led.pot?.waxHours).toBeLessThan(0.1)
    expect(led.found.some((f) => f.kind === 'wax-old' && f.clearedAt !== undefined)).toBe(true)
  })

  it('hot without work are told once they are too many, and a stir counts as work', () => {
    const led = new Led(potFoundry(112, { leftOnHours: 1.5 }))
    for (let n = 0; n < 6 * 80; n++) led.reads(morning + n * 10_000, 100)
    led.act(morning + 80 * minute, 'stirred')
    for (let n = 6 * 80; n < 6 * 160; n++) led.reads(morning + n * 10_000, 100)
    expect(led.kinds()).not.toContain('left-on')
    for (let n = 6 * 160; n < 6 * 180; n++) led.reads(morning + n * 10_000, 100)
    expect(led.kinds()).toContain('left-on')
  })
})
