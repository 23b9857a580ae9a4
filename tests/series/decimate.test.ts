/** Thinning for a chart changes no pixel of the line, keeps every hole, and costs no more rows than the chart has room for. */
import { describe, expect, test } from 'vitest'
import { exactRowsMax, m4, type Thinned } from '../../shared/series/decimate.ts'
import { chance, type Drawn, drawnSeries } from './chance.ts'
import { giveMixed } from './mixture.ts'
import { differingPixels, raster, type Scale } from './raster.ts'

const noon = 1_750_000_000_000
const stepMs = 1_000
const silenceMs = 5 * stepMs

function thin(series: Drawn, from: number, to: number, columns: number, pieceRows = 777): Thinned {
  const fold = m4(from, to, columns, silenceMs)
  for (let i = 0; i < series.t.length; i += pieceRows)
    fold.add({
      t: series.t.slice(i, i + pieceRows),
      v: series.v.slice(i, i + pieceRows),
      quality: series.quality.slice(i, i + pieceRows),
    })
  return fold.finish()
}

/** Every reading, with a null wherever nothing may be drawn across: told from the definition, not by the code under test. */
function unthinned(series: Drawn): { t: number[]; v: (number | null)[] } {
  const t: number[] = []
  const v: (number | null)[] = []
  let lastGood: number | null = null
  series.t.forEach((at, i) => {
    const isBad = series.quality[i] === 2
    if (isBad || (lastGood !== null && at - lastGood > silenceMs)) {
      t.push(at)
      v.push(null)
    }
    if (isBad) return
    t.push(at)
    v.push(series.v[i] as number)
    lastGood = at
  })
  return { t, v }
}

function thinMixed(series: Drawn, from: number, to: number, columns: number, seed: number) {
  const fold = m4(from, to, columns, silenceMs)
  const taken = giveMixed(fold, series, chance(seed), 20)
  return { taken, thinned: fold.finish() }
}

function scaleOf(series: Drawn, from: number, to: number, columns: number): Scale {
  return { from, to, columns, rows: 240, lowest: Math.min(...series.v), highest: Math.max(...series.v) + 1e-9 }
}

function risesStrictly(t: readonly number[]): boolean {
  return t.every((at, i) => i === 0 || at > (t[i - 1] as number))
}

describe('the picture', () => {
  for (const isRegular of [true, false])
    for (const hasHoles of [true, false])
      test(`of 60 series is the same, pixel by pixel: ${isRegular ? 'regular' : 'irregular'} readings, ${hasHoles ? 'holes' : 'no holes'}`, () => {
        let [stretches, strands] = [0, 0]
        for (let seed = 1; seed <= 60; seed++) {
          const count = 500 + seed * 60
          const series = drawnSeries(seed, { count, isRegular, hasHoles, beginsAt: noon, stepMs })
          const from = noon
          const to = (series.t.at(-1) as number) + 1
          const columns = 40 + ((seed * 37) % 300)
          const scale = scaleOf(series, from, to, columns)
          const full = unthinned(series)
          const picture = raster(full.t, full.v, scale)
          const mixed = thinMixed(series, from, to, columns, seed)
          stretches += mixed.taken.stretches
          strands += mixed.taken.strands
          for (const thinned of [thin(series, from, to, columns), mixed.thinned]) {
            const differing = differingPixels(picture, raster(thinned.t, thinned.v, scale))
            expect({ seed, differing }).toEqual({ seed, differing: 0 })
            expect(risesStrictly(thinned.t)).toBe(true)
            expect(thinned.readings).toBe(count)
          }
        }
        expect(Math.min(stretches, strands)).toBeGreaterThan(500)
      })

  test('also of a window that cuts the line at both edges: it enters and leaves where the whole one does', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const series = drawnSeries(seed, {
        count: 2_000,
        isRegular: false,
        hasHoles: seed % 2 === 0,
        beginsAt: noon,
        stepMs,
      })
      const from = (series.t[300] as number) + 7
      const to = (series.t[1_500] as number) + 11
      const scale = scaleOf(series, from, to, 100)
      const thinned = thin(series, from, to, 100)
      const outside = thinned.t.filter((t) => t < from || t >= to)
      expect(outside.length).toBeLessThanOrEqual(2)
      // Drawn from the nearest neighbours outside on: the rest of the series would only cross other columns.
      const begin = outside.find((t) => t < from) ?? from
      const end = outside.find((t) => t >= to) ?? to
      const near = unthinned(series)
      const keep = near.t.map((t, i) => (t >= begin && t <= end ? i : -1)).filter((i) => i >= 0)
      const full = { t: keep.map((i) => near.t[i] as number), v: keep.map((i) => near.v[i] as number | null) }
      expect({
        seed,
        differing: differingPixels(raster(full.t, full.v, scale), raster(thinned.t, thinned.v, scale)),
      }).toEqual({ seed, differing: 0 })
    }
  })

  test('would not be the same with one column less: the judge can tell', () => {
    const series = drawnSeries(3, { count: 20_000, isRegular: false, hasHoles: false, beginsAt: noon, stepMs })
    const to = (series.t.at(-1) as number) + 1
    const scale = scaleOf(series, noon, to, 400)
    const wrong = thin(series, noon, to, 399)
    expect(differingPixels(raster(series.t, series.v, scale), raster(wrong.t, wrong.v, scale))).toBeGreaterThan(100)
  })
})

describe('rows', () => {
  test('are at most four for each column, however many readings there are, and every one is a reading', () => {
    const series = drawnSeries(9, { count: 50_000, isRegular: true, hasHoles: false, beginsAt: noon, stepMs })
    const thinned = thin(series, noon, noon + 50_000 * stepMs, 100)
    expect(thinned.t.length).toBeLessThanOrEqual(400)
    expect(thinned.t.length).toBeGreaterThan(300)
    thinned.t.forEach((t, i) => expect(thinned.v[i]).toBe(series.v[(t - noon) / stepMs]))
  })

  test('are the same however the series is cut into pieces', () => {
    const series = drawnSeries(5, { count: 3_000, isRegular: false, hasHoles: true, beginsAt: noon, stepMs })
    const to = series.t.at(-1) as number
    const inOne = thin(series, noon, to, 90, 3_000)
    for (const pieceRows of [1, 2, 500]) expect(thin(series, noon, to, 90, pieceRows)).toEqual(inOne)
  })

  test('stay few where every reading stands alone between two holes, and no hole between columns is lost', () => {
    const count = 20_000
    const t = Array.from({ length: count }, (_, i) => noon + i * 10 * silenceMs)
    const lonely = { t, v: t.map((_, i) => i % 7), quality: t.map(() => 0) }
    const columns = 50
    const to = noon + count * 10 * silenceMs
    const thinned = thin(lonely, noon, to, columns)
    // A dot for each of the seven values, with a null after each; and the first and the last of the column.
    expect(thinned.t.length).toBeLessThanOrEqual(columns * 2 * (7 + 2))
    const columnOf = (at: number) => Math.floor(((at - noon) / (to - noon)) * columns)
    thinned.t.forEach((at, i) => {
      const [value, next] = [thinned.v[i], thinned.v[i + 1]]
      if (value !== null && next !== null && next !== undefined)
        expect(columnOf(thinned.t[i + 1] as number)).toBe(columnOf(at))
    })
  })

  test('show a hole for a silence just over the limit and none for one just at it', () => {
    const at = (gapMs: number) =>
      thin({ t: [noon, noon + gapMs], v: [90, 91], quality: [0, 0] }, noon, noon + 60_000, 600)
    expect(at(silenceMs).v).toEqual([90, 91])
    expect(at(silenceMs + 1).v).toEqual([90, null, 91])
  })

  test('are broken at a bad reading, whose value is never drawn', () => {
    const thinned = thin(
      { t: [0, 1, 2, 3].map((s) => noon + s * 1_000), v: [90, 850, 850, 91], quality: [0, 2, 2, 1] },
      noon,
      noon + 9_000,
      90,
    )
    expect(thinned).toEqual({ t: [noon, noon + 1_000, noon + 3_000], v: [90, null, 91], readings: 4 })
  })

  test('leave out within a column what the first, the last or others cover, and keep a dot that stands out', () => {
    const rows = (...v: number[]) => {
      const t = v.map((_, i) => noon + i * 2 * silenceMs)
      return thin({ t, v, quality: v.map(() => 0) }, noon, noon + 1_000 * silenceMs, 1).v.filter(
        (value) => value !== null,
      )
    }
    expect(rows(90, 95, 90)).toEqual([90, 95, 90])
    expect(rows(90, 90, 95)).toEqual([90, 95])
    expect(rows(90, 95, 95)).toEqual([90, 95])
    expect(rows(90, 92, 95, 92, 93)).toEqual([90, 92, 95, 93])
    // Two readings in sight of each other cover what lies between them.
    const t = [0, 10, 20, 21, 30].map((silences) => noon + silences * silenceMs)
    const covered = thin({ t, v: [80, 92, 90, 95, 81], quality: t.map(() => 0) }, noon, noon + 1_000 * silenceMs, 1)
    expect(covered.v).toEqual([80, null, 90, 95, null, 81])
  })

  test('stay bounded, and the picture is the same, where each of thousands in a column stands alone at a height of its own', () => {
    const [count, columns] = [60_000, 3]
    const heights = {
      dots: chance(11),
      slow: (i: number) => Math.sin(i / 9_000),
      nested: (i: number) => (i % 2 ? i : -i),
    }
    for (const [name, height] of Object.entries(heights)) {
      const t = Array.from({ length: count }, (_, i) => noon + i * 2 * silenceMs)
      const lonely = { t, v: t.map((_, i) => height(i)), quality: t.map(() => 0) }
      const to = noon + count * 2 * silenceMs
      const thinned = thin(lonely, noon, to, columns)
      expect(thinned.t.length).toBeLessThanOrEqual(columns * 2 * 2 * (exactRowsMax + 2))
      const full = unthinned(lonely)
      for (const rows of [37, 240, exactRowsMax]) {
        const scale = { ...scaleOf(lonely, noon, to, columns), rows }
        const differing = differingPixels(raster(full.t, full.v, scale), raster(thinned.t, thinned.v, scale))
        expect({ name, rows, differing }).toEqual({ name, rows, differing: 0 })
      }
    }
  })

  test('are none where there are no readings', () => {
    expect(m4(noon, noon + 1, 10, silenceMs).finish()).toEqual({ t: [], v: [], readings: 0 })
    const beside = { t: [noon - 9_000, noon + 9_000], v: [1, 2], quality: [0, 0] }
    expect(thin(beside, noon, noon + 1_000, 10)).toEqual({ t: [], v: [], readings: 0 })
    expect(() => m4(noon, noon, 10, silenceMs)).toThrow(RangeError)
  })
})
