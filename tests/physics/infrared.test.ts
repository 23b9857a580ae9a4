/** Infrared thermometers: the worked cases, there and back, and the cases in which nobody could know. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  correctInfraredC,
  fillOf,
  type InfraredScene,
  indicationC,
  infraredSensitivity,
  infraredUncertaintyC,
  solveInfraredC,
} from '../../shared/physics/infrared.ts'
import { chance } from '../../simulators/random.ts'
import checks from '../data/infrared-checkpoints.json' with { type: 'json' }

const wax: InfraredScene = { setEmissivity: 0.95, compensatedC: 23, emissivity: 0.93, reflectedC: 23 }
const shell: InfraredScene = { setEmissivity: 0.95, compensatedC: 23, emissivity: 0.8, reflectedC: 23 }
const off = (value: number | string, from: number): number =>
  typeof value === 'number' ? Math.abs(value - from) : Number.NaN

describe('what an infrared thermometer shows', () => {
  it('is what every worked case says, compensated in all three ways, and leads back to the object', () => {
    expect(checks.reading_cases.length).toBe(11)
    for (const row of checks.reading_cases) {
      const scene = {
        setEmissivity: row.emissivity_setting,
        emissivity: row.true_emissivity,
        reflectedC: row.T_reflected_C,
      }
      const shown = [
        [row.T_reflected_C, row.reading_C_instrument_compensates_at_T_reflected],
        [23, row.reading_C_instrument_compensates_at_23C],
        [null, row.reading_C_no_reflected_compensation],
      ] as const
      for (const [compensatedC, reading] of shown) {
        expect(off(indicationC({ ...scene, compensatedC }, row.T_object_C), reading)).toBeLessThan(1e-4)
        const exact = indicationC({ ...scene, compensatedC }, row.T_object_C) as number
        expect(off(solveInfraredC({ ...scene, compensatedC }, exact), row.T_object_C)).toBeLessThan(1e-6)
      }
    }
  })

  it('is wrong by what the rule for small errors says, and by the exact error to the printed digits', () => {
    expect(checks.sensitivity_0p01.length).toBe(8)
    for (const row of checks.sensitivity_0p01) {
      const scene = {
        setEmissivity: row.setting,
        compensatedC: row.Trefl_C,
        emissivity: row.true_e,
        reflectedC: row.Trefl_C,
      }
      expect(off(indicationC(scene, row.T_C), row.T_C + row.exact_error_K)).toBeLessThan(1e-5)
      const to = infraredSensitivity({ ...scene, emissivity: row.setting }, row.T_C)
      if (typeof to === 'string') throw new Error(to)
      // With setting and truth alike, an error of the one is the opposite of an error of the other.
      expect(-to.toEmissivity * (row.true_e - row.setting)).toBeCloseTo(row.linear_rule_K, 4)
    }
  })

  it('reads a wax wall facing a hot kiln far too high', () => {
    // Computed from the model: wax at 60 °C with a 400 °C wall mirrored in it shows 93.3 °C.
    expect(off(indicationC({ ...wax, emissivity: 0.95, reflectedC: 400 }, 60), 93.3)).toBeLessThan(0.05)
  })
})

describe('the true temperature behind it', () => {
  it('is the one of every row of the correction table within 0.02 °C', () => {
    expect(checks.correction_table.length).toBe(27)
    for (const row of checks.correction_table) {
      const scene = {
        setEmissivity: row.setting,
        compensatedC: row.T_reflected_C,
        emissivity: row.new_emissivity,
        reflectedC: row.T_reflected_C,
      }
      expect(off(solveInfraredC(scene, row.reading_C), row.corrected_C)).toBeLessThan(0.02)
      expect(off(solveInfraredC(scene, row.reading_C), row.corrected_C)).toBeLessThan(1e-4)
      const answer = correctInfraredC(scene, row.reading_C)
      if (row.new_emissivity < 0.5) expect(answer).toBe('emissivity-too-low')
      else expect(off(answer, row.corrected_C)).toBeLessThan(1e-4)
    }
  })

  it('comes back exactly from what the instrument shows, whatever is set and mirrored', () => {
    const share = fc.double({ min: 0.5, max: 1, noNaN: true })
    const background = fc.double({ min: -40, max: 900, noNaN: true })
    fc.assert(
      fc.property(
        share,
        share,
        background,
        fc.option(background, { nil: null }),
        fc.double({ min: -40, max: 1_200, noNaN: true }),
        (setEmissivity, emissivity, reflectedC, compensatedC, t) => {
          const scene = { setEmissivity, emissivity, reflectedC, compensatedC }
          const shown = indicationC(scene, t)
          fc.pre(typeof shown === 'number')
          expect(off(correctInfraredC(scene, shown), t)).toBeLessThan(1e-6)
        },
      ),
      { numRuns: 2_000 },
    )
  })

  it('stands as shown where the setting is right', () => {
    for (const t of [5, 60, 105, 800])
      expect(off(correctInfraredC({ ...wax, emissivity: 0.95 }, t), t)).toBeLessThan(1e-9)
  })
})

describe('no answer', () => {
  it('is given for bright metal', () => {
    expect(correctInfraredC({ ...wax, emissivity: 0.09 }, 27)).toBe('emissivity-too-low')
    expect(correctInfraredC({ ...wax, emissivity: 0.499 }, 60)).toBe('emissivity-too-low')
    expect(typeof correctInfraredC({ ...wax, emissivity: 0.5 }, 60)).toBe('number')
  })

  it('is given where what is mirrored would send more than was seen', () => {
    expect(correctInfraredC({ ...wax, emissivity: 0.5, reflectedC: 400 }, 60)).toBe('background-outshines')
    expect(indicationC({ ...wax, setEmissivity: 0.2, compensatedC: 300 }, 20)).toBe('background-outshines')
  })

  it('is given where the spot takes in more than the wax', () => {
    expect(correctInfraredC({ ...wax, spotMm: 125, targetMm: 120 }, 60)).toBe('spot-too-large')
    expect(typeof correctInfraredC({ ...wax, spotMm: 50, targetMm: 120 }, 60)).toBe('number')
    expect([fillOf(50, 100), fillOf(50, 99), fillOf(50, 50), fillOf(50, 49)]).toEqual([
      'sure',
      'unsure',
      'unsure',
      'refused',
    ])
    expect([fillOf(undefined, 100), fillOf(50, undefined)]).toEqual(['unsure', 'unsure'])
  })

  it('is given outside the range and for what is no number or no setting', () => {
    expect(correctInfraredC(wax, 2_001)).toBe('out-of-range')
    expect(correctInfraredC(wax, Number.NaN)).toBe('out-of-range')
    expect(correctInfraredC({ ...wax, setEmissivity: 0 }, 60)).toBe('out-of-range')
    expect(correctInfraredC({ ...wax, emissivity: 1.2 }, 60)).toBe('out-of-range')
    expect(correctInfraredC({ ...wax, reflectedC: -150 }, 60)).toBe('out-of-range')
    expect(correctInfraredC({ ...wax, compensatedC: 3_000 }, 60)).toBe('out-of-range')
    // 1,900 °C shown would be more than 2,000 °C.
    expect(correctInfraredC({ ...wax, emissivity: 0.7 }, 1_900)).toBe('out-of-range')
    expect(infraredSensitivity({ ...wax, emissivity: 0.1 }, 60)).toBe('emissivity-too-low')
    expect(infraredUncertaintyC(wax, Number.NaN, { emissivityU: 0, reflectedUC: 0, indicatedUC: 0 })).toBe(
      'out-of-range',
    )
  })
})

describe('how sure a corrected temperature is', () => {
  it('follows small changes of everything it is made of', () => {
    for (const [scene, shown] of [
      [wax, 64],
      [{ ...wax, compensatedC: null, reflectedC: 60 }, 80],
      [shell, 700],
    ] as const) {
      const to = infraredSensitivity(scene, shown)
      if (typeof to === 'string') throw new Error(to)
      const between = (high: InfraredScene, highShown: number, low: InfraredScene, lowShown: number): number =>
        (correctInfraredC(high, highShown) as number) - (correctInfraredC(low, lowShown) as number)
      const [more, less] = [scene.emissivity + 1e-5, scene.emissivity - 1e-5]
      const byShare = between({ ...scene, emissivity: more }, shown, { ...scene, emissivity: less }, shown) / 2e-5
      expect(Math.abs(to.toEmissivity / byShare - 1)).toBeLessThan(1e-5)
      const [warmer, cooler] = [scene.reflectedC + 0.01, scene.reflectedC - 0.01]
      const byMirror = between({ ...scene, reflectedC: warmer }, shown, { ...scene, reflectedC: cooler }, shown) / 0.02
      expect(Math.abs(to.toReflected / byMirror - 1)).toBeLessThan(1e-5)
      const byShown = between(scene, shown + 0.01, scene, shown - 0.01) / 0.02
      expect(Math.abs(to.toIndicated / byShown - 1)).toBeLessThan(1e-5)
    }
  })

  it('is what twenty thousand random draws scatter, for wax and for a shell', () => {
    const doubts = { emissivityU: 0.015, reflectedUC: 3, indicatedUC: 1 }
    const random = chance(4)
    for (const [scene, shown] of [
      [wax, 64],
      [shell, 708],
    ] as const) {
      const draws = Array.from({ length: 20_000 }, () => {
        const drawn = {
          ...scene,
          emissivity: scene.emissivity + doubts.emissivityU * random.gauss(),
          reflectedC: scene.reflectedC + doubts.reflectedUC * random.gauss(),
        }
        return solveInfraredC(drawn, shown + doubts.indicatedUC * random.gauss()) as number
      })
      const mean = draws.reduce((sum, t) => sum + t, 0) / draws.length
      const deviation = Math.sqrt(draws.reduce((sum, t) => sum + (t - mean) ** 2, 0) / (draws.length - 1))
      const u = infraredUncertaintyC(scene, shown, doubts)
      if (typeof u === 'string') throw new Error(u)
      expect(Math.abs(u / deviation - 1)).toBeLessThan(0.05)
    }
  })

  it('at the lowest emissivity that is answered, 0.03 of it is worth some 2 °C on wax', () => {
    const scene = { ...wax, emissivity: 0.5 }
    const shown = indicationC(scene, 65) as number
    const u = infraredUncertaintyC(scene, shown, { emissivityU: 0.03, reflectedUC: 0, indicatedUC: 0 }) as number
    expect(u).toBeGreaterThan(2)
    expect(u).toBeLessThan(2.5)
  })
})
