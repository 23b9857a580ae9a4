/** Temperatures as people type them: what is understood is said, and a pair that does not agree is refused with both readings. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { temperatureTyped } from '../../shared/words/index.ts'

describe('a temperature that is typed', () => {
  it('is taken in either unit, however the unit is written', () => {
    for (const text of ['150 °C', '150c', '150 C', '150 celsius', '150 deg C', '302 °F', '302F', '302 fahrenheit'])
      expect(temperatureTyped(text, 'C').celsius, text).toBeCloseTo(150, 9)
    expect(temperatureTyped('82,5 °C', 'F').celsius).toBe(82.5)
    expect(temperatureTyped('−5 °C', 'C').celsius).toBe(-5)
  })

  it('is in the unit of the listener where it names none, and says in both what was understood', () => {
    expect(temperatureTyped('150', 'C')).toEqual({ celsius: 150, says: '150 °C = 302 °F' })
    expect(temperatureTyped('302', 'F').celsius).toBeCloseTo(150, 6)
  })

  it('is taken as a pair where both mean one temperature within the digits that were written', () => {
    for (const text of ['150 °C = 302 °F', '302 °F / 150 °C', '55 °C or 131 °F', '82 °C = 180 °F', '82.2 °C = 180 °F'])
      expect(temperatureTyped(text, 'C').celsius, text).not.toBeNull()
  })

  // 180 °F is 82.2 °C and 85 °C is 185 °F: often quoted as if they were one (common practice, no source).
  it('is refused as a pair that does not agree, with both readings shown', () => {
    const refused = temperatureTyped('85 °C = 180 °F', 'C')
    expect(refused.celsius).toBeNull()
    expect(refused.says).toContain('85 °C is 185 °F')
    expect(refused.says).toContain('180 °F is 82.2 °C')
  })

  it('is refused where it is none, where both are in one unit, and where it cannot be meant', () => {
    expect(temperatureTyped('warm', 'C').says).toContain('“warm” is no temperature')
    expect(temperatureTyped('20 to 24', 'C').celsius).toBeNull()
    expect(temperatureTyped('20 °C = 21 °C', 'C').says).toContain('Both are in °C')
    expect(temperatureTyped('5000', 'C').says).toContain('cannot be meant')
    expect(temperatureTyped('1 = 2 = 3', 'C').celsius).toBeNull()
    expect(temperatureTyped('', 'C')).toEqual({ celsius: null, says: '' })
  })

  it('means the same whichever unit it is typed in, and any true pair to a tenth is taken', () => {
    fc.assert(
      fc.property(fc.integer({ min: -500, max: 17_900 }), (tenths) => {
        const c = tenths / 10
        const f = (Math.round(c * 18 + 320) / 10).toFixed(1)
        expect(temperatureTyped(`${c} °C`, 'F').celsius).toBeCloseTo(c, 6)
        expect(temperatureTyped(`${f} °F`, 'C').celsius).toBeCloseTo(c, 0)
        expect(temperatureTyped(`${c.toFixed(1)} °C = ${f} °F`, 'C').celsius).toBeCloseTo(c, 6)
      }),
    )
  })

  it('is never taken as a pair that lies a degree Fahrenheit apart', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 1_500 }), fc.constantFrom(-1, 1), (c, side) => {
        const f = (c * 1.8 + 32 + side * 1.6).toFixed(1)
        expect(temperatureTyped(`${c}.0 °C = ${f} °F`, 'C').celsius).toBeNull()
      }),
    )
  })
})
