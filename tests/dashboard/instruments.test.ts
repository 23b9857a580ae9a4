/** The pictures and plans of instruments: where marks hang, what can be checked against what, what a certificate says. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { plumbOf } from '../../dashboard/chart/plumb.ts'
import { certificateWritten, joinable, referencesFor } from '../../dashboard/pages/check-plan.ts'
import { Calibration, Foundry } from '../../shared/contract/index.ts'
import { fakeFoundry, fakeNow } from '../helpers/fake-foundry.ts'
import { fakeChecks } from '../helpers/fake-instruments.ts'

const day = 86_400_000

describe('the plumb line', () => {
  it('hangs what reads lower on the left, what reads higher on the right, and what agrees on the line', () => {
    const [low, none, high] = plumbOf([{ difference: -2 }, { difference: 0 }, { difference: 2 }]).at
    expect(low).toBeLessThan(50)
    expect(none).toBe(50)
    expect(high).toBe(100 - (low ?? 0))
  })

  it('keeps every mark with its bar on the paper, at one scale, with at most five rungs on a side', () => {
    const row = fc.record({
      difference: fc.double({ min: -300, max: 300, noNaN: true }),
      reach: fc.double({ min: 0, max: 20, noNaN: true }),
    })
    fc.assert(
      fc.property(fc.array(row, { minLength: 1, maxLength: 40 }), (rows) => {
        const { at, reach, rungs, step } = plumbOf(rows)
        rows.forEach((one, i) => {
          expect((at[i] ?? 0) - (reach[i] ?? 0)).toBeGreaterThanOrEqual(6 - 1e-6)
          expect((at[i] ?? 0) + (reach[i] ?? 0)).toBeLessThanOrEqual(94 + 1e-6)
          const perUnit = ((rungs[1] ?? 0) - 50) / step
          expect(at[i]).toBeCloseTo(50 + one.difference * perUnit, 6)
        })
        expect(rungs.length).toBeLessThanOrEqual(10)
      }),
    )
  })
})

describe('a check', () => {
  it('offers ice and boiling water to a contact probe only, and its own station’s probes first', () => {
    const of = (id: string) => {
      const one = fakeFoundry.instruments.find((i) => i.id === id)
      if (!one) throw new Error(id)
      return referencesFor(one, fakeFoundry.instruments).map((c) => c.probe ?? c.reference)
    }
    expect(of('w1-mid').slice(0, 3)).toEqual(['ice-point', 'boiling-point', 'w1-low'])
    expect(of('w1-mid')).not.toContain('w1-mid')
    expect(of('w1-gun')).toEqual(['w1-mid', 'w1-low'])
    expect(of('d1-a')).toEqual(['d2-a', 'store'])
  })

  it('joins the checks of a month into points that rise, the newest of each point', () => {
    const check = (readsC: number, isC: number, daysAgo: number) => ({
      ...fakeChecks[0]!,
      readsC,
      isC,
      at: fakeNow - daysAgo * day,
      seq: daysAgo,
    })
    const joined = joinable(
      [check(0.4, 0, 2), check(0.6, 0, 9), check(98.9, 99.9, 3), check(50, 120, 4), check(20, 20, 40)],
      fakeNow,
    )
    expect(joined.map((one) => one.seq)).toEqual([2, 3])
  })
})

describe('a certificate', () => {
  it('becomes points as found and as left, in either unit, with half of what is told as ±', () => {
    const written = certificateWritten(
      [
        { is: '212 °F = 100 °C', found: '97.6', left: '99.9' },
        { is: '0', found: '1.2', left: '' },
        { is: '', found: '', left: '' },
      ],
      '0,3',
      'C',
    )
    expect(written).toEqual({
      points: [
        { readsC: 1.2, isC: 0, uC: 0.15 },
        { readsC: 99.9, isC: 100, uC: 0.15 },
      ],
      found: [
        { readsC: 1.2, isC: 0, uC: 0.15 },
        { readsC: 97.6, isC: 100, uC: 0.15 },
      ],
      no: null,
    })
    if (written.no === null)
      expect(Calibration.safeParse({ at: 1, points: written.points, found: written.found }).success).toBe(true)
  })

  it('says what is missing, and refuses a pair of units that does not agree', () => {
    expect(certificateWritten([{ is: '0', found: '', left: '' }], '', 'C').no).toContain('what it was')
    expect(certificateWritten([], '', 'C').no).toContain('at least one line')
    expect(certificateWritten([{ is: '85 °C = 180 °F', found: '84', left: '' }], '', 'C').no).toContain(
      'not one temperature',
    )
    expect(certificateWritten([{ is: '0', found: '0', left: '' }], 'good', 'C').no).toContain('no uncertainty')
  })
})

it('the invented foundry that these pages are looked at with is a valid one', () => {
  expect(Foundry.safeParse(fakeFoundry).success).toBe(true)
})
