/** The vapour pressures of FAO Irrigation and Drainage Paper 56, which irrigation and weather pages use, beside those of the Handbook. */
import { describe, expect, it } from 'vitest'
import { saturationPressurePa } from '../../shared/physics/saturation.ts'

/** Tetens' formula as FAO-56 prints it (eq. 11), kPa. It is not the relation this house uses. */
const tetensKpa = (t: number): number => 0.6108 * Math.exp((17.27 * t) / (t + 237.3))
const oursKpa = (t: number): number => (saturationPressurePa(t) ?? Number.NaN) / 1_000

describe('a vapour pressure from an irrigation page', () => {
  // FAO-56, examples 3 to 5 (chapter 3); printed answers of examples 3 and 5 in part from memory, recomputed here.
  it('follows Tetens to the printed digits', () => {
    expect(tetensKpa(24.5)).toBeCloseTo(3.075, 3)
    expect(tetensKpa(15)).toBeCloseTo(1.705, 3)
    expect((tetensKpa(24.5) + tetensKpa(15)) / 2).toBeCloseTo(2.39, 2)
    // Example 4: a ventilated psychrometer, 25.6 and 19.5 °C at 1,200 m, with 0.000662 × 87.9 kPa for each degree.
    expect(tetensKpa(19.5) - 0.000662 * 87.9 * (25.6 - 19.5)).toBeCloseTo(1.91, 2)
    const [full, actual] = [(tetensKpa(25) + tetensKpa(18)) / 2, (tetensKpa(18) * 0.82 + tetensKpa(25) * 0.54) / 2]
    expect([full, actual, full - actual].map((kpa) => kpa.toFixed(2))).toEqual(['2.62', '1.70', '0.91'])
  })

  it('differs from ours by less than one part in 500 in a room, and is not the same', () => {
    for (const t of [5, 10, 15, 20, 25, 30, 35, 40]) {
      const apart = Math.abs(tetensKpa(t) / oursKpa(t) - 1)
      expect(apart).toBeLessThan(1 / 500)
      expect(apart).toBeGreaterThan(1e-5)
    }
    expect(oursKpa(25) - tetensKpa(25)).toBeCloseTo(0.0014, 3)
  })
})
