/** Moist air against psychrolib, a general-purpose library of the same relations, over the whole field a foundry may see. */
import psychrolib from 'psychrolib'
import { beforeAll, describe, expect, it } from 'vitest'
import {
  dewPointC,
  enthalpyKjPerKg,
  humidityRatio,
  humidityRatioOfWetBulb,
  specificVolumeM3PerKg,
  vapourDeficitPa,
  wetBulbC,
} from '../../shared/physics/humidity.ts'

/** Frosty store to drying cupboard, desert to fog, sea level to a valley high up. */
const temperaturesC = Array.from({ length: 35 }, (_, i) => -30 + 3 * i)
const humidities = Array.from({ length: 25 }, (_, i) => 4 + 4 * i)
const pressuresPa = [75_000, 90_000, 101_325, 104_000]
const grid = temperaturesC.flatMap((t) => humidities.flatMap((rh) => pressuresPa.map((pa) => ({ t, rh, pa }))))
const told = (value: number | null): number => value ?? Number.NaN

/** The largest difference over the grid. */
function worst(of: (t: number, rh: number, pa: number) => number): number {
  const differences = grid.map(({ t, rh, pa }) => Math.abs(of(t, rh, pa)))
  expect(differences.some(Number.isNaN)).toBe(false)
  return Math.max(...differences)
}

describe('moist air by the reference library', () => {
  beforeAll(() => psychrolib.SetUnitSystem(psychrolib.SI))

  it('is compared at more than two thousand states', () => {
    expect(grid.length).toBeGreaterThanOrEqual(2_000)
  })

  it('has the same dew point within a thousandth of a degree', () => {
    expect(worst((t, rh) => told(dewPointC(t, rh)) - psychrolib.GetTDewPointFromRelHum(t, rh / 100))).toBeLessThan(1e-3)
  })

  it('has the same wet bulb within two thousandths, or both are true where a bulb may be wet or iced', () => {
    let either = 0
    const difference = worst((t, rh, pa) => {
      const ours = told(wetBulbC(t, rh, pa))
      const theirs = psychrolib.GetTWetBulbFromRelHum(t, rh / 100, pa)
      if (ours < 0 || theirs >= 0) return ours - theirs
      // Ours is the wet one: then theirs, iced, must be just as true, and so must ours.
      either++
      expect(ours).toBeLessThan(0.5)
      const ratio = psychrolib.GetHumRatioFromRelHum(t, rh / 100, pa)
      expect(psychrolib.GetHumRatioFromTWetBulb(t, ours, pa)).toBeCloseTo(ratio, 6)
      expect(told(humidityRatioOfWetBulb(t, theirs, pa))).toBeCloseTo(ratio, 6)
      return 0
    })
    expect(difference).toBeLessThan(2e-3)
    // Few states are so close to 0 °C that both bulbs can stand.
    expect(either).toBeLessThan(grid.length / 100)
  })

  it('takes up as much more water, and holds as much', () => {
    const ratioOf = (t: number, rh: number, pa: number) => psychrolib.GetHumRatioFromRelHum(t, rh / 100, pa)
    expect(worst((t, rh, pa) => told(humidityRatio(t, rh, pa)) / ratioOf(t, rh, pa) - 1)).toBeLessThan(1e-9)
    expect(
      worst(
        (t, rh, pa) => told(vapourDeficitPa(t, rh)) - psychrolib.GetVaporPressureDeficit(t, ratioOf(t, rh, pa), pa),
      ),
    ).toBeLessThan(1e-6)
  })

  it('holds as much heat in as much room', () => {
    const ratioOf = (t: number, rh: number, pa: number) => psychrolib.GetHumRatioFromRelHum(t, rh / 100, pa)
    expect(
      worst(
        (t, rh, pa) => told(enthalpyKjPerKg(t, rh, pa)) - psychrolib.GetMoistAirEnthalpy(t, ratioOf(t, rh, pa)) / 1_000,
      ),
    ).toBeLessThan(1e-9)
    expect(
      worst(
        (t, rh, pa) =>
          told(specificVolumeM3PerKg(t, rh, pa)) / psychrolib.GetMoistAirVolume(t, ratioOf(t, rh, pa), pa) - 1,
      ),
    ).toBeLessThan(1e-12)
  })
})
