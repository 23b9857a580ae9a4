/** Melting ice and boiling water as references, on site. */
import { describe, expect, it } from 'vitest'
import { boilingPoint, boilingPointAt, icePoint } from '../../shared/physics/fixedpoints.ts'
import { pressureAtPa } from '../../shared/physics/humidity.ts'
import checks from '../data/psychrometric-checkpoints.json' with { type: 'json' }

const told = (value: number | null | undefined): number => value ?? Number.NaN

describe('boiling water', () => {
  it('is as hot as the published saturation tables say', () => {
    // IAPWS-IF97 (R7-97), table 36: 0.1 MPa, 372.755919 K.
    expect(Math.abs(told(boilingPoint(100_000)?.isC) + 273.15 - 372.755919)).toBeLessThan(0.001)
    // ASHRAE 2017 ch. 1, table 3: 101,418 Pa at 100 °C.
    expect(Math.abs(told(boilingPoint(101_418)?.isC) - 100)).toBeLessThan(0.001)
    const rows = checks.saturation_pressure.filter(({ t_C }) => t_C > 70 && t_C < 100)
    expect(rows.length).toBe(3)
    for (const row of rows)
      expect(Math.abs(told(boilingPoint(told(row.IAPWS95_coolprop_Pa))?.isC) - row.t_C)).toBeLessThan(0.003)
  })

  it('at sea level is 99.974 °C, and cooler up the hill', () => {
    expect(told(boilingPoint(101_325)?.isC)).toBeCloseTo(99.974, 3)
    // ASHRAE 2017 ch. 1, table 1, standard atmosphere.
    for (const [m, pa] of [
      [-500, 107_478],
      [0, 101_325],
      [500, 95_461],
      [1_000, 89_875],
      [4_000, 61_640],
    ] as const) {
      expect(Math.abs(told(pressureAtPa(m)) - pa)).toBeLessThan(1)
      expect(told(boilingPointAt(m)?.isC)).toBeCloseTo(told(boilingPoint(pa)?.isC), 3)
    }
    // Computed from the two, no outside publication.
    expect(told(boilingPointAt(1_000)?.isC)).toBeCloseTo(96.65, 2)
  })

  it('is known better by a barometer than by the height of the site', () => {
    const [read, guessed] = [told(boilingPoint(101_325)?.uC), told(boilingPointAt(0)?.uC)]
    // At sea level the boiling point moves 0.028 °C for each hPa.
    expect(read).toBeCloseTo(Math.hypot(0.0279, 0.1 / Math.sqrt(3)), 3)
    expect(guessed).toBeGreaterThan(0.4)
    expect(guessed).toBeLessThan(0.6)
  })

  it('is not told for a pressure that no workshop has', () => {
    for (const pa of [1_013, 101.325, 0, -1, 500_000, Number.NaN]) expect(boilingPoint(pa)).toBeNull()
    expect(boilingPoint(101_325, Number.NaN)).toBeNull()
    expect(boilingPointAt(20_000)).toBeNull()
    expect(boilingPointAt(Number.NaN)).toBeNull()
  })
})

describe('melting ice', () => {
  it('is nought, within a hundredth', () => {
    expect(icePoint.isC).toBe(0)
    expect(icePoint.uC).toBeCloseTo(0.0058, 4)
  })
})
