/** Kilns: each lie of a wire is named, firing by firing where it needs firings, and honest twins in different corners are left in peace. */
import { describe, expect, it } from 'vitest'
import type { DoubtKind } from '../../shared/contract/index.ts'
import { burnout, honestWire, kilnScene, shells } from './kilns.ts'
import { type KilnLie, wireLies } from './lies.ts'
import { kindsOf, play, type Played } from './workbench.ts'

const plans = { burnout: { legs: burnout, everyH: 40 }, shells: { legs: shells, everyH: 24 } }

function fired(plan: keyof typeof plans, seed: number, firings: number, lie: KilnLie = () => ({})): Played {
  const { legs, everyH } = plans[plan]
  const days = Math.ceil((firings * everyH) / 24)
  return play(
    kilnScene({
      seed: seed * 31 + 5,
      days,
      everyH,
      legs,
      device: (i, now, chance) =>
        i.id === 'b' ? { ...honestWire(i, now, chance), ...lie(now, chance, seed) } : honestWire(i, now, chance),
    }),
  )
}

const firingsFor = (kind: DoubtKind): number => (kind === 'ageing' ? 10 : kind === 'moved' ? 7 : 3)

describe('a wire that lies', () => {
  describe.each(Object.entries(wireLies) as [DoubtKind, KilnLie][])('%s', (kind, lie) => {
    const where = kind === 'ordering' ? (['burnout'] as const) : (['burnout', 'shells'] as const)
    it.each(where)('is named, and its twin is not accused (%s)', (plan) => {
      for (const seed of [1, 2]) {
        const played = fired(plan, seed, Math.max(firingsFor(kind), plan === 'shells' ? 4 : 3), lie)
        expect(kindsOf(played, 'b'), `seed ${seed}`).toContain(kind)
        expect(kindsOf(played, 'a'), `seed ${seed}`).toEqual([])
      }
    })
  })

  it('that ages is doubted with its trend, its interval and its firings, and the cause is not claimed', () => {
    const { exam } = fired('burnout', 1, 10, wireLies.ageing)
    const doubt = exam.doubts.find((d) => d.kind === 'ageing')
    expect(doubt).toMatchObject({ instrument: 'b', against: 'a' })
    const value = (what: string) => doubt?.evidence.find((e) => e.what === what)?.value ?? Number.NaN
    expect(value('each firing by')).toBeLessThan(-0.3)
    expect(value('at most')).toBeLessThan(0)
    expect(value('firings')).toBeGreaterThanOrEqual(6)
    expect(doubt?.ruledOut.map((r) => r.kind)).toEqual(['moved', 'ordering'])
  })
})

describe('honest twins', () => {
  it.each(['burnout', 'shells'] as const)(
    'in two corners of a kiln are left in peace through a dozen firings (%s)',
    (plan) => {
      for (const seed of [1, 2, 3]) expect(kindsOf(fired(plan, seed, 12)), `seed ${seed}`).toEqual([])
    },
  )

  it('have their lives written down: firings, passes, rests and hours above 800 °C', () => {
    const { exam } = fired('shells', 2, 4)
    const life = exam.lives.find((l) => l.instrument === 'a')
    expect(life?.firings).toBe(4)
    // Up and down again, four times; the last cooling is under way.
    expect(life?.passes250to550).toBeGreaterThanOrEqual(7)
    // Two hours at 870 °C each, and what lies above 800 °C on the way there and back.
    expect(life?.hoursAbove800).toBeGreaterThan(8)
    expect(life?.hoursAbove800).toBeLessThan(13)
    expect(life?.differences.length).toBeGreaterThanOrEqual(3)
    expect(life?.differences.every((d) => d.against === 'b')).toBe(true)
    const rested = fired('burnout', 2, 3).exam.lives[0]
    expect(rested?.hoursAt250to550).toBeGreaterThan(8)
    expect(rested?.hoursAbove800).toBe(0)
  })
})
