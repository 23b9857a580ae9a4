/** Corrections from a check against a reference. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { correct } from '../../shared/physics/correction.ts'

const points = [
  { readsC: 21, isC: 20 },
  { readsC: 100, isC: 102 },
  { readsC: 150, isC: 150 },
]

describe('a corrected instrument', () => {
  it('means what the reference said at each check point', () => {
    for (const point of points) expect(correct(points, point.readsC)).toBeCloseTo(point.isC, 12)
  })

  it('runs straight between two checks', () => {
    expect(correct(points, 125)).toBeCloseTo(126, 12)
    expect(correct(points, 60.5)).toBeCloseTo(61, 12)
  })

  it('keeps the last known offset beyond the checks and invents no slope', () => {
    expect(correct(points, 0)).toBe(-1)
    expect(correct(points, 400)).toBe(400)
    expect(correct([{ readsC: 100, isC: 98.5 }], 20)).toBe(18.5)
  })

  it('stands as it is without a check', () => {
    expect(correct([], 93.4)).toBe(93.4)
  })

  it('never swaps the order of two readings', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -50, max: 1_800, noNaN: true }),
        fc.double({ min: 0, max: 100, noNaN: true }),
        (t, d) => {
          expect(correct(points, t + d)).toBeGreaterThanOrEqual(correct(points, t))
        },
      ),
    )
  })
})
