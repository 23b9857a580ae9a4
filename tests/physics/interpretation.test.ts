/** What a value means: by the calibration of its day, then by what an infrared instrument looks at. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { derivedAir } from '../../shared/physics/climate.ts'
import { dewPointC, pressureAtPa, wetBulbC } from '../../shared/physics/humidity.ts'
import { correctInfraredC, type InfraredScene } from '../../shared/physics/infrared.ts'
import { calibrationAt, type Interpretation, interpreted } from '../../shared/physics/interpretation.ts'

const first = 1_000_000
const second = 2_000_000
const twice: Interpretation = {
  calibrations: [
    { from: first, points: [{ readsC: 100, isC: 101 }] },
    { from: second, points: [{ readsC: 100, isC: 98 }] },
  ],
  infrared: null,
}
const mirror: InfraredScene = { setEmissivity: 0.95, compensatedC: null, emissivity: 0.6, reflectedC: 190 }

describe('a value', () => {
  it('means what the calibration says that held when it was measured, from its very instant on', () => {
    const at = (t: number) => interpreted(twice, 100, t)
    expect([at(0), at(first - 1)]).toEqual([100, 100])
    expect([at(first), at(second - 1)]).toEqual([101, 101])
    expect([at(second), at(10 * second)]).toEqual([98, 98])
    expect([0, first, second - 1, second].map((t) => calibrationAt(twice, t))).toEqual([-1, 0, 0, 1])
  })

  it('of an infrared instrument is calibrated first and corrected then', () => {
    const scene = { ...mirror, emissivity: 0.9, reflectedC: 23 }
    const both = { ...twice, infrared: scene }
    expect(interpreted(both, 65, second)).toBe(correctInfraredC(scene, 63))
    expect(interpreted(both, 65, 0)).toBe(correctInfraredC(scene, 65))
  })

  it('rises with what was sent, and what has no answer lies outside what has one', () => {
    const scene = fc.constantFrom(null, mirror, { ...mirror, emissivity: 0.4 }, { ...mirror, compensatedC: 400 })
    const value = fc.double({ min: -300, max: 2_500, noNaN: true })
    fc.assert(
      fc.property(scene, fc.tuple(value, value, value), fc.nat(3 * second), (infrared, values, t) => {
        const [low, middle, high] = values
          .toSorted((a, b) => a - b)
          .map((v) => interpreted({ ...twice, infrared }, v, t))
        if (typeof low === 'number' && typeof high === 'number') {
          expect(typeof middle).toBe('number')
          expect(low).toBeLessThanOrEqual(middle as number)
          expect(middle).toBeLessThanOrEqual(high)
        }
      }),
      { numRuns: 2_000 },
    )
  })
})

describe('dew point and wet bulb as they are stored', () => {
  it('are those of the physics to a thousandth, the same each time, and nothing where there is none', () => {
    const pressurePa = pressureAtPa(40) as number
    fc.assert(
      fc.property(
        fc.double({ min: -40, max: 60, noNaN: true }),
        fc.double({ min: 1, max: 100, noNaN: true }),
        (temperatureC, humidity) => {
          const air = derivedAir(temperatureC, humidity, pressurePa)
          expect(Math.abs((air.dewPointC as number) - (dewPointC(temperatureC, humidity) as number))).toBeLessThan(6e-4)
          expect(
            Math.abs((air.wetBulbC as number) - (wetBulbC(temperatureC, humidity, pressurePa) as number)),
          ).toBeLessThan(6e-4)
          expect(derivedAir(temperatureC, humidity, pressurePa)).toEqual(air)
          for (const value of [air.dewPointC, air.wetBulbC]) expect(Object.is(value, -0)).toBe(false)
        },
      ),
    )
    expect(derivedAir(22, 104, pressurePa)).toEqual({ dewPointC: null, wetBulbC: null })
    expect(derivedAir(22, 0, pressurePa).dewPointC).toBeNull()
  })
})
