/** The cold end of a thermocouple, and voltages that mean no temperature. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { thermocoupleTypes } from '../../shared/physics/its90.ts'
import { codeOf, emfVerdict, junctionGain } from '../../shared/physics/junction.ts'
import { emfMv, hotJunctionC } from '../../shared/physics/thermocouple.ts'

const told = (value: number | null): number => value ?? Number.NaN

describe('an error of the cold end', () => {
  it('reaches the hot end as often as the two sensitivities say', () => {
    // Computed from NIST SRD 60: 40.5/39.0 and 6.0/11.5 µV/°C.
    expect(told(junctionGain('K', 1_000, 25))).toBeCloseTo(1.04, 2)
    expect(told(junctionGain('S', 1_000, 25))).toBeCloseTo(0.52, 2)
    // Type B needs no compensation worth the name.
    expect(Math.abs(told(junctionGain('B', 1_500, 25)))).toBeLessThan(0.01)
  })

  it('is what the hot end moves by when the cold end is told wrong', () => {
    for (const type of thermocoupleTypes) {
      const microvolts = (told(emfMv(type, 350)) - told(emfMv(type, 25))) * 1_000
      const moved = told(hotJunctionC(type, microvolts, 25.01)) - told(hotJunctionC(type, microvolts, 24.99))
      expect(moved / 0.02).toBeCloseTo(told(junctionGain(type, 350, 25)), 4)
    }
  })

  it('is not told where there is nothing to divide by', () => {
    expect(junctionGain('B', 15, 25)).toBeNull()
    expect(junctionGain('K', 2_000, 25)).toBeNull()
    expect(junctionGain('K', 200, Number.NaN)).toBeNull()
  })
})

describe('a voltage', () => {
  it('is true, or says why not, exactly as its temperature is told or not', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...thermocoupleTypes),
        fc.double({ min: -20_000, max: 100_000, noNaN: true }),
        fc.double({ min: -10, max: 60, noNaN: true }),
        (type, microvolts, junctionC) => {
          const verdict = emfVerdict(type, microvolts, junctionC)
          const answered = hotJunctionC(type, microvolts, junctionC) !== null
          expect(verdict === 'ok' || verdict === 'two-valued').toBe(answered)
        },
      ),
      { numRuns: 2_000 },
    )
  })

  it('of an open circuit that an amplifier pulls to one end of its scale is out of range', () => {
    expect(emfVerdict('K', 78_125, 24)).toBe('above-range')
    expect(emfVerdict('K', Number.POSITIVE_INFINITY, 24)).toBe('above-range')
    expect(emfVerdict('K', -78_125, 24)).toBe('below-range')
    expect(emfVerdict('S', -500, 24)).toBe('below-range')
  })

  it('of reversed leads falls below the cold end when the kiln is heated, and leaves the range at the end', () => {
    const at = (t: number): number => (told(emfMv('K', t)) - told(emfMv('K', 25))) * 1_000
    const readings = [50, 100, 150].map((t) => told(hotJunctionC('K', -at(t), 25)))
    expect(readings.every((t, i) => t < (readings[i - 1] ?? 25))).toBe(true)
    expect(emfVerdict('K', -at(870), 25)).toBe('below-range')
  })

  it('of type B near the room means two temperatures, and is said to', () => {
    // 10 °C and 32 °C or so give the same voltage; the turn lies at 21.02 °C and −0.002585 mV, zero again at 42.13 °C.
    const same = told(emfMv('B', 10)) * 1_000
    expect(emfVerdict('B', same, 0)).toBe('two-valued')
    expect(told(hotJunctionC('B', same, 0))).toBeGreaterThan(21.02)
    expect(told(emfMv('B', told(hotJunctionC('B', same, 0))))).toBeCloseTo(same / 1_000, 9)
    expect(emfVerdict('B', 0, 0)).toBe('two-valued')
    expect(emfVerdict('B', -2.6, 0)).toBe('below-range')
    expect(emfVerdict('B', 0.01, 0)).toBe('ok')
    expect(emfVerdict('B', 5_000, 25)).toBe('ok')
  })

  it('says nothing without a number, or without a cold end', () => {
    expect(emfVerdict('K', Number.NaN, 25)).toBe('no-value')
    expect(emfVerdict('K', 1_000, Number.NaN)).toBe('junction-out-of-range')
    expect(emfVerdict('B', 1_000, -5)).toBe('junction-out-of-range')
  })
})

describe('a number that is no measurement', () => {
  it('is known by heart', () => {
    expect(codeOf(85)).toBe('power-on')
    expect(codeOf(-127)).toBe('not-connected')
    for (const end of [32_767, -32_768, 65_535, 3_276.7, 327.67, 2_047.9375, -3_276.8])
      expect(codeOf(end)).toBe('scale-end')
  })

  it('is not seen where a wax is nearly there', () => {
    for (const value of [85.1, 84.9, -126.9, 0, 327.6, 1_372, Number.NaN]) expect(codeOf(value)).toBeNull()
  })
})
