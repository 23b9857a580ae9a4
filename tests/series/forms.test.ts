/** A chart comes out the same, to the last number, in whichever form its readings were handed over. */
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { m4, type Thinned } from '../../shared/series/decimate.ts'
import { anySeries, chance, type Drawn, drawnSeries } from './chance.ts'
import { giveMixed, giveOneByOne, stretchOf } from './mixture.ts'

const noon = 1_750_000_000_000
const silenceMs = 5_000

interface Span {
  from: number
  to: number
  columns: number
}

function oneByOne(series: Drawn, { from, to, columns }: Span): Thinned {
  const fold = m4(from, to, columns, silenceMs)
  giveOneByOne(fold, series)
  return fold.finish()
}

/** First, lowest, highest and last of each column of good readings without holes, from the definition. */
function byDefinition(series: Drawn, { from, to, columns }: Span): { t: number[]; v: number[] } {
  const inColumn = new Map<number, number[]>()
  series.t.forEach((t, i) => {
    if (t < from || t >= to) return
    const column = Math.min(columns - 1, Math.floor(((t - from) / (to - from)) * columns))
    inColumn.set(column, [...(inColumn.get(column) ?? []), i])
  })
  const chosen = new Set<number>([series.t.findLastIndex((t) => t < from), series.t.findIndex((t) => t >= to)])
  for (const indices of inColumn.values()) {
    const values = indices.map((i) => series.v[i] as number)
    chosen.add(indices[0] as number).add(indices.at(-1) as number)
    chosen.add(indices[values.indexOf(Math.min(...values))] as number)
    chosen.add(indices[values.indexOf(Math.max(...values))] as number)
  }
  const rising = [...chosen].filter((i) => i >= 0).sort((a, b) => a - b)
  return { t: rising.map((i) => series.t[i] as number), v: rising.map((i) => series.v[i] as number) }
}

describe('readings, strands and stretches', () => {
  test('in any mixture draw what readings one by one draw: ties, holes, bad readings, spans that cut and edges that hit', () => {
    const taken = { pieces: 0, strands: 0, stretches: 0, refused: 0 }
    const anyCase = anySeries(noon, silenceMs).chain((series) => {
      const [first, last] = [series.t[0] as number, series.t.at(-1) as number]
      const edge = fc.oneof(fc.constantFrom(...series.t), fc.integer({ min: first - 9_000, max: last + 9_000 }))
      return fc.record({
        series: fc.constant(series),
        edges: fc.tuple(edge, edge).filter(([a, b]) => a !== b),
        columns: fc.oneof(fc.integer({ min: 1, max: 12 }), fc.integer({ min: 1, max: 4_000 })),
        seed: fc.integer({ min: 0, max: 2 ** 31 }),
        partMax: fc.integer({ min: 1, max: 12 }),
      })
    })
    fc.assert(
      fc.property(anyCase, ({ series, edges, columns, seed, partMax }) => {
        const span = { from: Math.min(...edges), to: Math.max(...edges), columns }
        const fold = m4(span.from, span.to, columns, silenceMs)
        const given = giveMixed(fold, series, chance(seed), partMax)
        for (const form of ['pieces', 'strands', 'stretches', 'refused'] as const) taken[form] += given[form]
        expect(fold.finish()).toEqual(oneByOne(series, span))
      }),
      { numRuns: 2_000 },
    )
    // A law about forms that nobody used would hold for nothing.
    for (const times of Object.values(taken)) expect(times).toBeGreaterThan(300)
  })

  test('draw of readings without holes what the definition says', () => {
    for (let seed = 1; seed <= 60; seed++) {
      const drawn = drawnSeries(seed, {
        count: 1_500,
        isRegular: seed % 3 === 0,
        hasHoles: false,
        beginsAt: noon,
        stepMs: 1_000,
      })
      // Whole degrees, so that many values tie.
      const series = seed % 2 === 0 ? drawn : { ...drawn, v: drawn.v.map(Math.round) }
      const span = {
        from: (series.t[seed] as number) + (seed % 3),
        to: series.t[1_400] as number,
        columns: 1 + seed * 9,
      }
      const fold = m4(span.from, span.to, span.columns, silenceMs)
      giveMixed(fold, series, chance(seed))
      const { t, v } = fold.finish()
      expect({ seed, t, v }).toEqual({ seed, ...byDefinition(series, span) })
    }
  })

  test('come out as columns of numbers too, a hole being no number', () => {
    const series = drawnSeries(4, { count: 2_000, isRegular: false, hasHoles: true, beginsAt: noon, stepMs: 1_000 })
    const fold = m4(noon, series.t.at(-1) as number, 50, silenceMs)
    fold.add(series)
    const { t, v, readings } = fold.finishColumns()
    const rows = fold.finish()
    expect(rows.v).toContain(null)
    expect([...t]).toEqual(rows.t)
    expect([...v]).toEqual(rows.v.map((value) => value ?? Number.NaN))
    expect(readings).toBe(rows.readings)
  })
})

describe('a stretch', () => {
  const stretch = stretchOf({ t: [noon + 10, noon + 20, noon + 30], v: [90, 92, 91], quality: [0, 0, 0] })

  test('is taken where it lies within one pixel column, and stands for all its readings', () => {
    const fold = m4(noon, noon + 1_000, 10, silenceMs)
    expect(fold.addStretch(stretch)).toBe(true)
    expect(fold.finish()).toEqual({ t: [noon + 10, noon + 20, noon + 30], v: [90, 92, 91], readings: 3 })
  })

  test('is refused across columns, across or beyond an edge of the span, and with too long a gap; then it leaves no trace', () => {
    const refusing: Span[] = [
      { from: noon, to: noon + 1_000, columns: 50 },
      { from: noon + 20, to: noon + 1_000, columns: 1 },
      { from: noon, to: noon + 30, columns: 1 },
      { from: noon + 31, to: noon + 1_000, columns: 1 },
      { from: noon - 1_000, to: noon + 10, columns: 1 },
    ]
    for (const { from, to, columns } of refusing) {
      const fold = m4(from, to, columns, silenceMs)
      expect(fold.addStretch(stretch)).toBe(false)
      expect(fold.finish()).toEqual({ t: [], v: [], readings: 0 })
    }
    const fold = m4(noon, noon + 1_000, 1, silenceMs)
    expect(fold.addStretch({ ...stretch, longestGapMs: silenceMs + 1 })).toBe(false)
    expect(fold.addStretch({ ...stretch, longestGapMs: silenceMs })).toBe(true)
  })
})
