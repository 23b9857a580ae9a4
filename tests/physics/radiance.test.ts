/** The radiation of a black body against a printed table, against numerical integration, and there and back. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  bandRadiance,
  bandRadianceBySeries,
  bandRadianceSlope,
  blackbodyFraction,
  localExponent,
  temperatureOfRadianceC,
} from '../../shared/physics/radiance.ts'
import checks from '../data/infrared-checkpoints.json' with { type: 'json' }

const told = (value: number | null): number => value ?? Number.NaN
const anywhere = fc.double({ min: -100, max: 2_000, noNaN: true })

/** One unit of the last digit as the table prints it: four figures in all. */
const lastDigit = (printed: number): number => 10 ** (Math.floor(Math.log10(printed)) - 3)

describe('the share of radiation below a wavelength', () => {
  it('agrees with every printed row within the rounding of the print', () => {
    const rows = checks.blackbody_fraction.rows
    expect(rows.length).toBe(64)
    for (const { lambdaT_um_K, F_handbook } of rows) {
      const ours = told(blackbodyFraction(lambdaT_um_K))
      expect(Math.abs(ours / F_handbook - 1)).toBeLessThan(5.6e-4)
      if (lambdaT_um_K >= 1_500) expect(Math.abs(ours - F_handbook)).toBeLessThan(lastDigit(F_handbook))
    }
  })

  it('agrees with our own integration to ten digits', () => {
    for (const { lambdaT_um_K, F_computed } of checks.blackbody_fraction.rows)
      expect(Math.abs(told(blackbodyFraction(lambdaT_um_K)) / F_computed - 1)).toBeLessThan(6e-10)
  })

  it('is none at all without heat and never more than the whole', () => {
    expect(blackbodyFraction(0)).toBeNull()
    expect(blackbodyFraction(-100)).toBeNull()
    expect(blackbodyFraction(Number.NaN)).toBeNull()
    expect(told(blackbodyFraction(1e6))).toBeLessThanOrEqual(1)
    expect(told(blackbodyFraction(1e6))).toBeGreaterThan(0.999999)
  })
})

describe('the radiance from 8 to 14 µm', () => {
  it('agrees with numerical integration at every checked temperature, and grows as it says', () => {
    expect(checks.band_radiance_8_14um.length).toBeGreaterThan(25)
    for (const row of checks.band_radiance_8_14um) {
      expect(Math.abs(told(bandRadiance(row.t_C)) / row.L_8_14_W_m2_sr - 1)).toBeLessThan(1e-9)
      expect(told(localExponent(row.t_C))).toBeCloseTo(row.n_eff_dlnL_dlnT, 5)
    }
  })

  it('agrees with the series it is tabled from, between its nodes too, to less than a ten-millionth of a degree', () => {
    fc.assert(
      fc.property(anywhere, (t) => {
        const [quick, exact] = [told(bandRadiance(t)), told(bandRadianceBySeries(t))]
        expect(Math.abs(quick / exact - 1)).toBeLessThan(1e-9)
        expect(Math.abs(quick - exact) / told(bandRadianceSlope(t))).toBeLessThan(1e-7)
      }),
      { numRuns: 2_000 },
    )
  })

  it('knows its own slope', () => {
    fc.assert(
      fc.property(fc.double({ min: -99, max: 1_999, noNaN: true }), (t) => {
        const step = 1e-3
        const slope = (told(bandRadianceBySeries(t + step)) - told(bandRadianceBySeries(t - step))) / (2 * step)
        expect(Math.abs(told(bandRadianceSlope(t)) / slope - 1)).toBeLessThan(1e-6)
      }),
      { numRuns: 1_000 },
    )
  })

  it('leads back to the same temperature over the whole range', () => {
    fc.assert(
      fc.property(anywhere, (t) => {
        expect(Math.abs(told(temperatureOfRadianceC(told(bandRadiance(t)))) - t)).toBeLessThan(1e-9)
      }),
      { numRuns: 5_000 },
    )
    for (const t of [-100, -99, 0, 1_999, 2_000])
      expect(temperatureOfRadianceC(told(bandRadiance(t)))).toBeCloseTo(t, 9)
  })

  it('is not told outside its range', () => {
    for (const t of [-100.1, 2_000.1, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(bandRadiance(t)).toBeNull()
      expect(bandRadianceSlope(t)).toBeNull()
      expect(localExponent(t)).toBeNull()
    }
    for (const radiance of [0, -5, 1e6, Number.NaN]) expect(temperatureOfRadianceC(radiance)).toBeNull()
    expect(bandRadianceBySeries(-273.15)).toBeNull()
  })
})
