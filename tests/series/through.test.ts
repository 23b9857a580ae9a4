/** Charts and sums of what values mean are those of every meant value, in whichever form they came and across new calibrations. */
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import type { InfraredScene } from '../../shared/physics/infrared.ts'
import { type Interpretation, interpreted } from '../../shared/physics/interpretation.ts'
import { m4 } from '../../shared/series/decimate.ts'
import { sums } from '../../shared/series/sums.ts'
import { throughMeaning } from '../../shared/series/through.ts'
import { anySeries, chance, type Drawn } from './chance.ts'
import { giveMixed, giveOneByOne } from './mixture.ts'

const noon = 1_750_000_000_000
const minute = 60_000
const silenceMs = 5 * minute

/** What lies below some 22 °C has no answer. */
const mirror: InfraredScene = { setEmissivity: 0.95, compensatedC: null, emissivity: 0.6, reflectedC: 95 }
const wax: InfraredScene = { setEmissivity: 0.95, compensatedC: null, emissivity: 0.9, reflectedC: 23 }

const anyCase = anySeries(noon, silenceMs, 60).chain((series) => {
  const [begin, end] = [series.t[0] as number, series.t.at(-1) as number]
  const day = fc.oneof(fc.constantFrom(...series.t), fc.integer({ min: begin - minute, max: end + minute }))
  return fc.record({
    series: fc.constant(series),
    days: fc.uniqueArray(day, { maxLength: 3 }).map((days) => days.sort((a, b) => a - b)),
    infrared: fc.constantFrom(null, null, mirror, wax),
    columns: fc.integer({ min: 1, max: 12 }),
    seed: fc.integer({ min: 0, max: 2 ** 31 }),
    partMax: fc.integer({ min: 1, max: 12 }),
  })
})

function interpretationOf(days: readonly number[], infrared: InfraredScene | null): Interpretation {
  const offsets = [4, -3, 7]
  const calibrations = days.map((from, i) => ({ from, points: [{ readsC: 20, isC: 20 + (offsets[i] as number) }] }))
  return { calibrations, infrared }
}

/** Each value by itself, from the definition. */
function meant({ t, v, quality }: Drawn, of: Interpretation): Drawn {
  const all = v.map((value, i) => interpreted(of, value, t[i] as number))
  return {
    t,
    v: all.map((value) => (typeof value === 'number' ? value : 0)),
    quality: quality.map((q, i) => (typeof all[i] === 'number' ? q : 2)),
  }
}

describe('what values mean', () => {
  test('is drawn the same in whichever form they came: new calibrations within a column, and values without an answer', () => {
    const taken = { pieces: 0, strands: 0, stretches: 0, refused: 0 }
    fc.assert(
      fc.property(anyCase, ({ series, days, infrared, columns, seed, partMax }) => {
        const of = interpretationOf(days, infrared)
        const [from, to] = [series.t[0] as number, (series.t.at(-1) as number) + 1]
        const fold = m4(from, to, columns, silenceMs)
        const given = giveMixed(throughMeaning(fold, of, 'drawn'), series, chance(seed), partMax)
        for (const form of ['pieces', 'strands', 'stretches', 'refused'] as const) taken[form] += given[form]
        const plain = m4(from, to, columns, silenceMs)
        giveOneByOne(plain, meant(series, of))
        expect(fold.finish()).toEqual(plain.finish())
      }),
      { numRuns: 2_000 },
    )
    for (const times of Object.values(taken)) expect(times).toBeGreaterThan(300)
  })

  test('is summed the same', () => {
    let stretches = 0
    fc.assert(
      fc.property(anyCase, ({ series, days, infrared, seed, partMax }) => {
        const of = interpretationOf(days, infrared)
        const edges = [series.t[0] as number, (series.t.at(-1) as number) + 1]
        const fold = sums(edges, silenceMs, { band: { from: 20, to: 25 } })
        stretches += giveMixed(throughMeaning(fold, of, 'summed'), series, chance(seed), partMax).stretches
        const plain = sums(edges, silenceMs, { band: { from: 20, to: 25 } })
        giveOneByOne(plain, meant(series, of))
        const [sum, expected] = [fold.finish()[0], plain.finish()[0]]
        for (const exact of ['readings', 'seenMs', 'coverage', 'longestHoleMs', 'lowest', 'highest'] as const)
          expect(sum?.[exact]).toEqual(expected?.[exact])
        for (const near of ['mean', 'beyond', 'inBandMs'] as const)
          expect(sum?.[near] ?? 0).toBeCloseTo(expected?.[near] ?? 0, 5)
      }),
      { numRuns: 1_000 },
    )
    expect(stretches).toBeGreaterThan(300)
  })

  test('in a column where a calibration begins shows the true lowest and highest, though the raw ones are others', () => {
    // Raw, the highest is 30 at the beginning; meant, it is 29 + 7 after the second calibration began.
    const series: Drawn = {
      t: [0, 1, 2, 3].map((i) => noon + i * minute),
      v: [30, 21, 29, 22],
      quality: [0, 0, 0, 0],
    }
    const of: Interpretation = {
      calibrations: [
        { from: noon, points: [{ readsC: 20, isC: 15 }] },
        { from: noon + 2 * minute, points: [{ readsC: 20, isC: 27 }] },
      ],
      infrared: null,
    }
    const fold = m4(noon, noon + 4 * minute, 1, silenceMs)
    throughMeaning(fold, of, 'drawn').add(series)
    const { v } = fold.finish()
    expect([Math.min(...(v as number[])), Math.max(...(v as number[]))]).toEqual([16, 36])
  })

  test('is the fold itself where values mean what they say', () => {
    const fold = m4(noon, noon + minute, 1, silenceMs)
    expect(throughMeaning(fold, undefined, 'drawn')).toBe(fold)
  })
})
