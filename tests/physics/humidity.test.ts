/** Moist air against the checked state points, published tables, and its own inverses. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  dewPointC,
  enthalpyKjPerKg,
  humidityRatio,
  humidityRatioOfWetBulb,
  pressureAtPa,
  relativeHumidityOf,
  specificVolumeM3PerKg,
  vapourDeficitPa,
  wetBulbC,
} from '../../shared/physics/humidity.ts'
import { saturationPressurePa, saturationTemperatureC } from '../../shared/physics/saturation.ts'
import checks from '../data/psychrometric-checkpoints.json' with { type: 'json' }

const told = (value: number | null): number => value ?? Number.NaN

describe('moist air', () => {
  it('agrees with every checked state point', () => {
    expect(checks.rows.length).toBeGreaterThan(10)
    for (const row of checks.rows) {
      const rh = row.RH * 100
      expect(told(saturationPressurePa(row.Tdry_C))).toBeCloseTo(row.pws_Pa, 2)
      expect(Math.abs(told(dewPointC(row.Tdry_C, rh)) - row.Tdew_C)).toBeLessThan(1e-3)
      expect(Math.abs(told(wetBulbC(row.Tdry_C, rh, row.P_Pa)) - row.Twet_C)).toBeLessThan(1e-3)
      expect(Math.abs(told(humidityRatio(row.Tdry_C, rh, row.P_Pa)) - row.W_kg_kg)).toBeLessThan(1e-7)
      expect(Math.abs(told(vapourDeficitPa(row.Tdry_C, rh)) - row.VPD_Pa)).toBeLessThan(1e-2)
      expect(Math.abs(told(enthalpyKjPerKg(row.Tdry_C, rh, row.P_Pa)) - row.h_J_kg / 1_000)).toBeLessThan(1e-4)
      expect(Math.abs(told(specificVolumeM3PerKg(row.Tdry_C, rh, row.P_Pa)) - row.v_m3_kg)).toBeLessThan(1e-6)
    }
  })

  it('agrees with the published saturation tables as far as the relation claims, 300 ppm', () => {
    for (const row of checks.saturation_pressure) {
      const mine = told(saturationPressurePa(row.t_C))
      if (row.ASHRAE_2017_Table3_Pa !== undefined)
        expect(Math.abs(mine / row.ASHRAE_2017_Table3_Pa - 1)).toBeLessThan(300e-6)
      if (row.IAPWS95_coolprop_Pa !== undefined)
        expect(Math.abs(mine / row.IAPWS95_coolprop_Pa - 1)).toBeLessThan(300e-6)
    }
  })

  it('meets the Handbook chart example as closely as a chart is read', () => {
    // ASHRAE 2017 ch. 1, example 1, read off a chart: air at 40 °C whose wet bulb shows 20 °C at 101.325 kPa has W 0.0065, h 56.7 kJ/kg,
    // 14 %, v 0.896 m³/kg and a dew point of 7 °C.
    const ratio = told(humidityRatioOfWetBulb(40, 20, 101_325))
    const rh = told(relativeHumidityOf(40, ratio, 101_325))
    expect(Math.abs(ratio - 0.0065)).toBeLessThan(0.0001)
    expect(Math.abs(rh - 14)).toBeLessThan(0.5)
    expect(Math.abs(told(enthalpyKjPerKg(40, rh, 101_325)) - 56.7)).toBeLessThan(0.1)
    expect(Math.abs(told(specificVolumeM3PerKg(40, rh, 101_325)) - 0.896)).toBeLessThan(0.001)
    expect(Math.abs(told(dewPointC(40, rh)) - 7)).toBeLessThan(0.5)
    expect(told(wetBulbC(40, rh, 101_325))).toBeCloseTo(20, 6)
  })

  it('tells 22 °C and 45 % from 22 °C and 63 % by dew point and wet bulb', () => {
    // The arithmetic of our own demo night.
    expect(told(dewPointC(22, 45))).toBeCloseTo(9.5, 1)
    expect(told(dewPointC(22, 63))).toBeCloseTo(14.6, 1)
    expect(told(wetBulbC(22, 63, 101_325))).toBeCloseTo(17.3, 1)
  })

  it('is saturated where dew point, wet bulb and air are one', () => {
    fc.assert(
      fc.property(fc.double({ min: 1, max: 60, noNaN: true }), (t) => {
        expect(told(dewPointC(t, 100))).toBeCloseTo(t, 6)
        expect(told(wetBulbC(t, 100, 101_325))).toBeCloseTo(t, 6)
      }),
    )
  })

  it('never puts the wet bulb outside dew point and air', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 2, max: 50, noNaN: true }),
        fc.double({ min: 20, max: 99.9, noNaN: true }),
        fc.double({ min: 70_000, max: 104_000, noNaN: true }),
        (t, rh, pressure) => {
          const wet = told(wetBulbC(t, rh, pressure))
          fc.pre(wet > 0.02 && told(dewPointC(t, rh)) > 0.02)
          expect(wet).toBeGreaterThanOrEqual(told(dewPointC(t, rh)) - 1e-6)
          expect(wet).toBeLessThanOrEqual(t + 1e-6)
        },
      ),
    )
  })

  it('comes back from the humidity ratio to the relative humidity', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -20, max: 60, noNaN: true }),
        fc.double({ min: 0, max: 100, noNaN: true }),
        (t, rh) => {
          const ratio = told(humidityRatio(t, rh, 101_325))
          expect(told(relativeHumidityOf(t, ratio, 101_325))).toBeCloseTo(rh, 8)
        },
      ),
    )
  })

  it('knows how thin the air is up a hill', () => {
    // ASHRAE 2017 ch. 1, table 1 (standard atmosphere): 1000 m 89.875 kPa, 0 m 101.325 kPa.
    expect(told(pressureAtPa(0))).toBe(101_325)
    expect(Math.abs(told(pressureAtPa(1_000)) - 89_875)).toBeLessThan(1)
  })

  it('comes back along the saturation line to the same temperature, over ice and over water', () => {
    fc.assert(
      fc.property(fc.double({ min: -100, max: 200, noNaN: true }), (t) => {
        // The two lines miss each other by 0.0009 °C where they meet.
        const near = Math.abs(t - 0.01) < 0.002 ? 1e-3 : 1e-8
        expect(Math.abs(told(saturationTemperatureC(told(saturationPressurePa(t)))) - t)).toBeLessThan(near)
      }),
      { numRuns: 2_000 },
    )
  })

  it('comes back from a wet bulb to the air it hangs in', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -20, max: 60, noNaN: true }),
        fc.double({ min: 1, max: 100, noNaN: true }),
        (t, rh) => {
          // From 0 to 0.01 °C the air is told over ice and its bulb is wet: there they miss each other by 4e-7 kg/kg.
          fc.pre(t < 0 || t > 0.01)
          const wet = told(wetBulbC(t, rh, 95_000))
          expect(told(humidityRatioOfWetBulb(t, wet, 95_000))).toBeCloseTo(told(humidityRatio(t, rh, 95_000)), 9)
        },
      ),
    )
  })

  it('gives no answer where there is none', () => {
    expect(saturationPressurePa(250)).toBeNull()
    expect(dewPointC(20, 0)).toBeNull()
    expect(dewPointC(20, 101)).toBeNull()
    expect(wetBulbC(120, 50, 101_325)).toBeNull()
    expect(wetBulbC(20, Number.NaN, 101_325)).toBeNull()
    expect(pressureAtPa(20_000)).toBeNull()
    expect(saturationTemperatureC(0)).toBeNull()
    expect(saturationTemperatureC(Number.NaN)).toBeNull()
    expect(enthalpyKjPerKg(20, -1, 101_325)).toBeNull()
    expect(specificVolumeM3PerKg(120, 100, 101_325)).toBeNull()
    expect(humidityRatioOfWetBulb(20, 21, 101_325)).toBeNull()
    expect(humidityRatioOfWetBulb(60, 0, 101_325)).toBeNull()
  })
})
