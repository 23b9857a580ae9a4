/** Sums over periods are those of every reading in them, in whichever form those were told, and add up to the sums of the whole. */
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { type CheckPoint, correct } from '../../shared/physics/correction.ts'
import type { Interpretation } from '../../shared/physics/interpretation.ts'
import type { Point } from '../../shared/series/columns.ts'
import { type Band, statistics } from '../../shared/series/statistics.ts'
import { type Sums, sums, type SumsWishes } from '../../shared/series/sums.ts'
import { throughMeaning } from '../../shared/series/through.ts'
import { anySeries, chance, type Drawn } from './chance.ts'
import { giveMixed, giveOneByOne, stretchOf } from './mixture.ts'

const noon = 1_750_000_000_000
const minute = 60_000
const silenceMs = 5 * minute

function read(t: readonly number[], v: readonly number[], quality = t.map(() => 0)): Drawn {
  return { t: [...t], v: [...v], quality }
}

function everyMinute(...values: number[]): Drawn {
  return read(
    values.map((_, i) => noon + i * minute),
    values,
  )
}

function sumUp(series: Drawn, edges: readonly number[], wishes: SumsWishes = {}): Sums[] {
  const fold = sums(edges, silenceMs, wishes)
  giveOneByOne(fold, series)
  return fold.finish()
}

const near = (actual: number, expected: number, scale = Math.abs(expected)) =>
  expect(Math.abs(actual - expected)).toBeLessThanOrEqual(1e-9 * Math.max(1, scale))

/** Counts, whole times and extremes exactly; what is integrated, to a billionth. */
function expectSame(actual: readonly Sums[], expected: readonly Sums[]): void {
  expect(actual.length).toBe(expected.length)
  actual.forEach((sum, i) => {
    const { mean, beyond, inBandMs, ...exact } = sum
    const {
      mean: meanExpected,
      beyond: beyondExpected,
      inBandMs: inBandExpected,
      ...exactExpected
    } = expected[i] as Sums
    expect(exact).toEqual(exactExpected)
    near(inBandMs, inBandExpected)
    near(beyond, beyondExpected)
    expect(mean === null).toBe(meanExpected === null)
    near(mean ?? 0, meanExpected ?? 0)
  })
}

/** Good readings of a period and the ends of the line that is seen in it: by looking at every pair. */
function pointsWithin(series: Drawn, from: number, to: number): Point[] {
  const points: Point[] = []
  series.t.forEach((t, i) => {
    const [v, before] = [series.v[i] as number, series.t[i - 1]]
    const isSeen =
      before !== undefined && t - before <= silenceMs && series.quality[i] !== 2 && series.quality[i - 1] !== 2
    for (const edge of [from, to])
      if (isSeen && before < edge && edge <= t) {
        const vBefore = series.v[i - 1] as number
        points.push({ t: edge, v: edge === t ? v : vBefore + (v - vBefore) * ((edge - before) / (t - before)) })
      }
    if (t >= from && t < to && series.quality[i] !== 2) points.push({ t, v })
  })
  return points
}

const earliest = (points: readonly Point[], pick: (...values: number[]) => number): Point | null => {
  const value = pick(...points.map(({ v }) => v))
  return points.find(({ v }) => v === value) ?? null
}

const anyBand = fc.oneof(
  fc.constantFrom<Band>({ from: 20, to: 25 }, { from: null, to: 22 }, { from: 21, to: null }, { from: -60, to: 160 }),
  fc.constant(undefined),
)
/** Edges on readings, between them, before the first and after the last. */
const anyCase = anySeries(noon, silenceMs, 60).chain((series) => {
  const [first, last] = [series.t[0] as number, series.t.at(-1) as number]
  const edge = fc.oneof(fc.constantFrom(...series.t), fc.integer({ min: first - 9 * minute, max: last + 9 * minute }))
  return fc.record({
    series: fc.constant(series),
    edges: fc.uniqueArray(edge, { minLength: 2, maxLength: 6 }).map((edges) => edges.sort((a, b) => a - b)),
    band: anyBand,
    seed: fc.integer({ min: 0, max: 2 ** 31 }),
    partMax: fc.integer({ min: 1, max: 12 }),
  })
})
const wishes = (band: Band | undefined): SumsWishes => ({ ...(band && { band }) })
const always = (points: readonly CheckPoint[]): Interpretation => ({
  calibrations: [{ from: -Infinity, points }],
  infrared: null,
})

describe('laws', () => {
  test('readings and stretches in any mixture give what readings one by one give', () => {
    const taken = { pieces: 0, stretches: 0, refused: 0 }
    fc.assert(
      fc.property(anyCase, ({ series, edges, band, seed, partMax }) => {
        const fold = sums(edges, silenceMs, wishes(band))
        const given = giveMixed(fold, series, chance(seed), partMax)
        for (const form of ['pieces', 'stretches', 'refused'] as const) taken[form] += given[form]
        expectSame(fold.finish(), sumUp(series, edges, wishes(band)))
      }),
      { numRuns: 2_000 },
    )
    // A law about forms that nobody used would hold for nothing.
    for (const times of Object.values(taken)) expect(times).toBeGreaterThan(300)
  })

  test('each period has the statistics of that period', () => {
    fc.assert(
      fc.property(anyCase, ({ series, edges, band }) => {
        const all = sumUp(series, edges, wishes(band))
        expect(all.map(({ from, to }) => [from, to])).toEqual(edges.slice(1).map((to, i) => [edges[i], to]))
        for (const sum of all) {
          const fold = statistics(sum.from, sum.to, band ?? { from: null, to: null }, silenceMs)
          fold.add(series)
          const alone = fold.finish()
          expect([sum.seenMs, sum.coverage]).toEqual([alone.seenMs, alone.coverage])
          expect(sum.longestHoleMs).toBe(Math.max(0, ...alone.holes.map((hole) => hole.to - hole.from)))
          expect([sum.lowest?.v ?? null, sum.highest?.v ?? null]).toEqual([alone.min, alone.max])
          near(sum.mean ?? 0, alone.mean ?? 0)
          near(sum.inBandMs, band ? alone.inBandMs : 0)
          near(sum.beyond, band ? alone.beyond : 0)
        }
      }),
      { numRuns: 1_000 },
    )
  })

  test('readings are counted where they were measured, and the extremes are the earliest ones', () => {
    fc.assert(
      fc.property(anyCase, ({ series, edges }) => {
        for (const { from, to, readings, lowest, highest } of sumUp(series, edges)) {
          const points = pointsWithin(series, from, to)
          expect(readings).toBe(series.t.filter((t) => t >= from && t < to).length)
          expect({ lowest, highest }).toEqual({
            lowest: earliest(points, Math.min),
            highest: earliest(points, Math.max),
          })
        }
      }),
      { numRuns: 1_000 },
    )
  })

  test('the sums of the periods add up to the sum of the whole', () => {
    fc.assert(
      fc.property(anyCase, ({ series, edges, band }) => {
        const parts = sumUp(series, edges, wishes(band))
        const [whole] = sumUp(series, [edges[0] as number, edges.at(-1) as number], wishes(band)) as [Sums]
        const total = (of: (sum: Sums) => number) => parts.reduce((sum, one) => sum + of(one), 0)
        expect(total((sum) => sum.readings)).toBe(whole.readings)
        expect(total((sum) => sum.seenMs)).toBe(whole.seenMs)
        near(
          total((sum) => sum.inBandMs),
          whole.inBandMs,
          whole.to - whole.from,
        )
        near(
          total((sum) => sum.beyond),
          whole.beyond,
        )
        near(
          total((sum) => (sum.mean ?? 0) * sum.seenMs),
          (whole.mean ?? 0) * whole.seenMs,
          150 * (whole.to - whole.from),
        )
        expect(Math.max(0, ...parts.map((sum) => sum.longestHoleMs))).toBeLessThanOrEqual(whole.longestHoleMs)
      }),
      { numRuns: 1_000 },
    )
  })
})

describe('a correction', () => {
  const bent: CheckPoint[] = [
    { readsC: 19, isC: 18.5 },
    { readsC: 22, isC: 22.4 },
    { readsC: 26, isC: 25.1 },
  ]
  const offset: CheckPoint[] = [{ readsC: 22, isC: 21.3 }]

  test('is applied to every value before it is summed, in whichever form it came', () => {
    let stretches = 0
    fc.assert(
      fc.property(anyCase, fc.constantFrom(bent, offset, []), ({ series, edges, band, seed, partMax }, points) => {
        const fold = sums(edges, silenceMs, wishes(band))
        stretches += giveMixed(throughMeaning(fold, always(points), 'summed'), series, chance(seed), partMax).stretches
        const corrected = { ...series, v: series.v.map((v) => correct(points, v)) }
        expectSame(fold.finish(), sumUp(corrected, edges, wishes(band)))
      }),
      { numRuns: 1_000 },
    )
    expect(stretches).toBeGreaterThan(300)
  })

  test('lets a stretch be used where it is one straight line between lowest and highest', () => {
    const isTaken = (points: readonly CheckPoint[], ...values: number[]) =>
      throughMeaning(sums([noon, noon + 60 * minute], silenceMs), always(points), 'summed').addStretch(
        stretchOf(everyMinute(...values)),
      )
    expect(isTaken(bent, 20, 21, 22)).toBe(true)
    expect(isTaken(bent, 20, 21, 22.1)).toBe(false)
    expect(isTaken(bent, 22, 26)).toBe(true)
    expect(isTaken(bent, 3, 19)).toBe(true)
    expect(isTaken(bent, 18.9, 19.1)).toBe(false)
    expect(isTaken(bent, 25.9, 26.1)).toBe(false)
    expect(isTaken(bent, 26, 90)).toBe(true)
    expect(isTaken(bent, 3, 90)).toBe(false)
    expect(isTaken(offset, 3, 90)).toBe(true)
    expect(isTaken([], 3, 90)).toBe(true)
    // Two checks that gave the same: values that differ become one, and the earliest of the lowest another one.
    const flat = [
      { readsC: 20, isC: 21 },
      { readsC: 22, isC: 21 },
    ]
    expect(isTaken(flat, 20.5, 21.5)).toBe(false)
  })
})

describe('a band', () => {
  const band: Band = { from: 20, to: 25 }
  const hour = [noon, noon + 60 * minute]
  const taken = (...values: number[]): Sums | null => {
    const fold = sums(hour, silenceMs, { band })
    return fold.addStretch(stretchOf(everyMinute(...values))) ? (fold.finish()[0] as Sums) : null
  }

  test('takes a stretch that lies all within, all above or all below', () => {
    expect(taken(20, 22, 25)).toMatchObject({ inBandMs: 2 * minute, beyond: 0 })
    const above = taken(26, 27, 26)
    expect(above?.inBandMs).toBe(0)
    near(above?.beyond ?? 0, 3)
    const below = taken(19, 18, 16)
    expect(below?.inBandMs).toBe(0)
    near(below?.beyond ?? 0, 1.5 + 3)
  })

  test('refuses one that touches a limit from beyond: a value on the limit is within, and for how long nobody can tell', () => {
    expect(taken(25, 25, 26)).toBeNull()
    expect(taken(20, 19)).toBeNull()
    expect(taken(19, 26)).toBeNull()
    expect(taken(25, 25)).toMatchObject({ inBandMs: minute, beyond: 0 })
    const [flatThenUp] = sumUp(everyMinute(25, 25, 26), hour, { band }) as [Sums]
    expect(flatThenUp).toMatchObject({ inBandMs: minute, beyond: 0.5 })
  })

  test('that was not asked for counts nothing', () => {
    expect(sumUp(everyMinute(20, 22, 25), hour)).toMatchObject([{ inBandMs: 0, beyond: 0, seenMs: 2 * minute }])
  })
})

describe('edges', () => {
  test('a reading just on an edge belongs to the period that begins there; the line up to it to the one before', () => {
    const edges = [noon, noon + 2 * minute, noon + 4 * minute]
    const [first, second] = sumUp(everyMinute(20, 21, 30, 21, 20), edges) as [Sums, Sums]
    expect(first).toMatchObject({ readings: 2, seenMs: 2 * minute, highest: { t: edges[1], v: 30 }, mean: 23 })
    expect(second).toMatchObject({ readings: 2, seenMs: 2 * minute, highest: { t: edges[1], v: 30 }, mean: 23 })
  })

  test('the line is cut where it crosses an edge, also several at once, and also with no reading in the period', () => {
    const edges = [1, 2, 3, 4].map((minutes) => noon + minutes * minute)
    const all = sumUp(read([noon, noon + 5 * minute], [20, 25]), edges)
    expect(all.map(({ readings, mean, seenMs, coverage }) => ({ readings, mean, seenMs, coverage }))).toEqual(
      [21.5, 22.5, 23.5].map((mean) => ({ readings: 0, mean, seenMs: minute, coverage: 1 })),
    )
    expect(all.map(({ lowest, highest }) => [lowest?.v, highest?.v])).toEqual([
      [21, 22],
      [22, 23],
      [23, 24],
    ])
  })

  test('what was not seen is a hole in every period that it reaches into; a lone reading does not end it', () => {
    const edges = [noon, noon + 30 * minute, noon + 60 * minute]
    const lone = read([noon, noon + minute, noon + 20 * minute], [20, 20, 99])
    expect(sumUp(lone, edges)).toMatchObject([
      { readings: 3, seenMs: minute, longestHoleMs: 29 * minute, highest: { v: 99 }, mean: 20 },
      { readings: 0, seenMs: 0, coverage: 0, longestHoleMs: 30 * minute, mean: null, lowest: null, highest: null },
    ])
  })

  test('a day on which the clocks spring forward has 23 hours, all of them seen', () => {
    // Madrid, 29 March 2026: from 23:00Z the evening before to 22:00Z.
    const [from, to, next] = [Date.UTC(2026, 2, 28, 23), Date.UTC(2026, 2, 29, 22), Date.UTC(2026, 2, 30, 22)]
    const t = Array.from({ length: 49 * 60 }, (_, i) => from - 30 * minute + i * minute)
    const days = sumUp(
      read(
        t,
        t.map(() => 20),
      ),
      [from, to, next],
    )
    expect(
      days.map(({ seenMs, coverage, readings, mean }) => [seenMs / minute / 60, coverage, readings, mean]),
    ).toEqual([
      [23, 1, 23 * 60, 20],
      [24, 1, 24 * 60, 20],
    ])
  })

  test('a stretch is refused across an edge and where it ends just on one; beyond all edges it only tells how the line comes in', () => {
    const fold = sums([noon + 2 * minute, noon + 4 * minute], silenceMs)
    expect(fold.addStretch(stretchOf(everyMinute(20, 21, 22)))).toBe(false)
    expect(fold.addStretch(stretchOf(everyMinute(20, 21)))).toBe(true)
    fold.add(read([noon + 3 * minute], [23]))
    expect(fold.finish()).toMatchObject([{ readings: 1, seenMs: minute, lowest: { t: noon + 2 * minute, v: 22 } }])
  })

  test('must rise; without two of them there is no period', () => {
    expect(() => sums([noon, noon], silenceMs)).toThrow(RangeError)
    expect(() => sums([noon, noon - 1], silenceMs)).toThrow(RangeError)
    expect(sums([], silenceMs).finish()).toEqual([])
    expect(sumUp(everyMinute(20, 21), [noon])).toEqual([])
  })
})
