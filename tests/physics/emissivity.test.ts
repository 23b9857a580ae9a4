/** Emissivity by comparison: found again where it was put in, with an honest uncertainty, and refused where nobody could find it. */
import { describe, expect, it } from 'vitest'
import { type ComparedPair, type Comparison, emissivityByComparison } from '../../shared/physics/emissivity.ts'
import { indicationC } from '../../shared/physics/infrared.ts'
import { chance } from '../../simulators/random.ts'

const comparison: Comparison = {
  setEmissivity: 0.95,
  compensatedC: 23,
  reflectedC: 23,
  repeatUC: 0.3,
  contactUC: 0.5,
  reflectedUC: 2,
}
const hot = [55, 62, 70, 78, 85]

/** Invented comparisons: what the instrument shows over a surface whose emissivity is known, with errors in °C. */
function pairsOf(
  emissivity: number,
  contacts: readonly number[],
  errorC = (_i: number) => 0,
  how = comparison,
): ComparedPair[] {
  return contacts.map((contactC, i) => {
    const shown = indicationC({ ...how, emissivity }, contactC)
    if (typeof shown === 'string') throw new Error(shown)
    return { indicatedC: shown + errorC(i), contactC }
  })
}

describe('the emissivity of a wax, found with a contact probe', () => {
  it.each([0.55, 0.8, 0.9, 0.93, 0.97, 1])(
    'is %f again where nothing is off, whatever the instrument takes off',
    (true_) => {
      for (const compensatedC of [23, 60, null]) {
        const how = { ...comparison, compensatedC }
        const found = emissivityByComparison(pairsOf(true_, hot, undefined, how), how)
        if (typeof found === 'string') throw new Error(found)
        expect(found.emissivity).toBeCloseTo(true_, 8)
        expect(found.spread).toBeLessThan(1e-8)
        expect(found.pairs).toBe(5)
      }
    },
  )

  it('is found below the background as well as above it', () => {
    const how = { ...comparison, reflectedC: 80, compensatedC: 80 }
    const found = emissivityByComparison(pairsOf(0.9, [5, 20, 35], undefined, how), how)
    expect(found).toMatchObject({ emissivity: expect.closeTo(0.9, 8) as number })
  })

  it('lies within two of its uncertainties as often as it promises', () => {
    const random = chance(7)
    const runs = 2_000
    let inside = 0
    for (let i = 0; i < runs; i++) {
      // The probe is off by one error for all pairs, and so is what we think is mirrored; each pair scatters by itself.
      const probe = comparison.contactUC * random.gauss()
      const mirrored = comparison.reflectedC + comparison.reflectedUC * random.gauss()
      const pairs = hot.map((trueC) => {
        const shown = indicationC({ ...comparison, emissivity: 0.93, reflectedC: mirrored }, trueC) as number
        return { indicatedC: shown + comparison.repeatUC * random.gauss(), contactC: trueC + probe }
      })
      const found = emissivityByComparison(pairs, comparison)
      if (typeof found === 'string') throw new Error(found)
      if (Math.abs(found.emissivity - 0.93) <= 2 * found.u) inside++
    }
    expect(inside / runs).toBeGreaterThan(0.92)
    expect(inside / runs).toBeLessThan(0.98)
  })

  it('is less sure where the pairs scatter more than they were said to', () => {
    const how = { ...comparison, contactUC: 0, reflectedUC: 0 }
    const steady = emissivityByComparison(pairsOf(0.93, hot), how)
    const swaying = pairsOf(0.93, hot, (i) => (i % 2 === 0 ? 1 : -1))
    const loose = emissivityByComparison(swaying, how)
    if (typeof steady === 'string' || typeof loose === 'string') throw new Error(`${steady} ${loose}`)
    expect(loose.u).toBeGreaterThan(3 * steady.u)
  })

  it('carries the doubt about probe and background as far as they move it', () => {
    const how = { ...comparison, repeatUC: 1e-6, contactUC: 0, reflectedUC: 0 }
    const pairs = pairsOf(0.6, hot, undefined, how)
    const by = (moved: ComparedPair[], changed: Partial<Comparison>): number => {
      const found = emissivityByComparison(moved, { ...how, ...changed })
      if (typeof found === 'string') throw new Error(found)
      return found.emissivity
    }
    const uOf = (changed: Partial<Comparison>): number => {
      const found = emissivityByComparison(pairs, { ...how, ...changed })
      if (typeof found === 'string') throw new Error(found)
      return found.u
    }
    const byBackground = by(pairs, { reflectedC: 23.5 }) - by(pairs, { reflectedC: 22.5 })
    expect(uOf({ reflectedUC: 4 }) / Math.abs(4 * byBackground)).toBeCloseTo(1, 2)
    const probe = (offC: number) => pairs.map(({ indicatedC, contactC }) => ({ indicatedC, contactC: contactC + offC }))
    expect(uOf({ contactUC: 2 }) / Math.abs(2 * (by(probe(0.5), {}) - by(probe(-0.5), {})))).toBeCloseTo(1, 1)
  })

  it('is told as one, and no more, where only the noise lifts it above', () => {
    const found = emissivityByComparison(
      pairsOf(1, hot, () => 0.2),
      comparison,
    )
    expect(found).toMatchObject({ emissivity: 1 })
  })

  it('rests only on pairs far enough from what is mirrored', () => {
    const found = emissivityByComparison([...pairsOf(0.9, hot), ...pairsOf(0.9, [24, 30], () => 2)], comparison)
    expect(found).toMatchObject({ emissivity: expect.closeTo(0.9, 8) as number, pairs: 5 })
  })
})

describe('no emissivity', () => {
  it('comes from fewer than three pairs', () => {
    expect(emissivityByComparison([], comparison)).toBe('too-few-pairs')
    expect(emissivityByComparison(pairsOf(0.9, [60, 70]), comparison)).toBe('too-few-pairs')
  })

  it('comes from wax at room temperature', () => {
    expect(emissivityByComparison(pairsOf(0.9, [25, 30, 35, 40]), comparison)).toBe('too-close-to-background')
    expect(emissivityByComparison(pairsOf(0.9, [25, 60, 70]), comparison)).toBe('too-close-to-background')
  })

  it('comes from pairs that contradict each other', () => {
    const skin = pairsOf(0.93, hot, (i) => (i % 2 === 0 ? -6 : 0))
    expect(emissivityByComparison(skin, comparison)).toBe('scattered')
  })

  it('comes from bright metal', () => {
    expect(emissivityByComparison(pairsOf(0.1, hot), comparison)).toBe('emissivity-too-low')
  })

  it('comes from a probe that reads low', () => {
    const pairs = pairsOf(0.97, hot).map(({ indicatedC, contactC }) => ({ indicatedC, contactC: contactC - 8 }))
    expect(emissivityByComparison(pairs, comparison)).toBe('above-one')
  })

  it('comes from what is no temperature or no setting', () => {
    const pairs = pairsOf(0.9, hot)
    expect(emissivityByComparison([...pairs, { indicatedC: Number.NaN, contactC: 60 }], comparison)).toBe(
      'out-of-range',
    )
    expect(emissivityByComparison([...pairs, { indicatedC: 60, contactC: Number.NaN }], comparison)).toBe(
      'out-of-range',
    )
    expect(emissivityByComparison(pairs, { ...comparison, setEmissivity: 2 })).toBe('out-of-range')
    expect(emissivityByComparison(pairs, { ...comparison, repeatUC: 0 })).toBe('out-of-range')
    expect(emissivityByComparison(pairs, { ...comparison, reflectedC: -200 })).toBe('out-of-range')
  })
})
