/** How a pot gives its heat away, against the closed form and against the laws it stands for. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  coldWaxKg,
  coolingRate,
  coolingSeconds,
  heatBetween,
  lossExponent,
  plainWax,
} from '../../shared/physics/cooling.ts'

const wax = plainWax({ fromC: 57, toC: 66 })

describe('cooling', () => {
  it('takes as long as its own rate says, step by step', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 70, max: 130, noNaN: true }),
        fc.double({ min: 2, max: 30, noNaN: true }),
        fc.double({ min: 1e-5, max: 1e-3, noNaN: true }),
        (from, by, scale) => {
          const to = from - by
          let s = 0
          const steps = 4_000
          for (let i = 0; i < steps; i++) s += by / steps / coolingRate(from - ((i + 0.5) * by) / steps, 20, scale)
          expect(coolingSeconds(from, to, 20, scale) / s).toBeCloseTo(1, 5)
        },
      ),
    )
    expect(coolingSeconds(90, 20, 20, 1e-3)).toBe(Infinity)
    expect(coolingSeconds(80, 90, 20, 1e-3)).toBe(0)
  })

  it('bends as convection of ΔT^1.25 and grey radiation in equal parts do, within 9 % over ΔT 20 to 120 °C', () => {
    // Natural convection ∝ ΔT^1.25 (laminar, standard texts, from memory), radiation ∝ T⁴ − A⁴; equal at ΔT 60, air 20 °C.
    const air = 293.15
    const radiation = (dT: number) => ((air + dT) ** 4 - air ** 4) / ((air + 60) ** 4 - air ** 4)
    const convection = (dT: number) => (dT / 60) ** 1.25
    for (let dT = 20; dT <= 120; dT += 5) {
      const true_ = (radiation(dT) + convection(dT)) / 2
      expect(Math.abs((dT / 60) ** lossExponent / true_ - 1)).toBeLessThan(0.09)
    }
  })

  it('of cold wax needs what an energy balance written by hand needs', () => {
    // 40 kg from 86 to 76 °C give 40·2.4·10 = 960 kJ. A kilogram from 20 °C takes 2.1·37 + 2.25·9 + 180 + 2.4·10 = 301.95 kJ.
    expect(coldWaxKg(wax, 40, 86, 76, 20)).toBeCloseTo(960 / 301.95, 6)
    expect(coldWaxKg(wax, 40, 86, 64, 20)).toBeNull()
    expect(coldWaxKg(wax, 40, 76, 86, 20)).toBeNull()
  })

  it('keeps energy: what was given is what was taken, whatever the pot', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 60, noNaN: true }),
        fc.double({ min: 70, max: 90, noNaN: true }),
        fc.double({ min: 1, max: 40, noNaN: true }),
        (kg, to, above) => {
          const cold = coldWaxKg(wax, kg, to + above, to, 18) as number
          expect(cold * heatBetween(wax, 18, to)).toBeCloseTo(kg * heatBetween(wax, to, to + above), 3)
        },
      ),
    )
  })
})
