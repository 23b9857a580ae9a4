/** The ground of the long chart: its grid, the pieces in hand and the pen, worked out apart from any browser. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  covers,
  endOf,
  heldBy,
  panned,
  sameGrid,
  surroundings,
  type View,
  viewOf,
  zoomed,
} from '../../dashboard/chart/grid.ts'
import { Held, type Piece } from '../../dashboard/chart/held.ts'
import { unseenIn } from '../../dashboard/chart/longPaper.ts'
import { columnsOf, extremesOf, isWeak, valueAt } from '../../dashboard/chart/pen.ts'
import { m4 } from '../../shared/series/decimate.ts'

const views = fc.record({
  from: fc.integer({ min: 1e12, max: 2e12 }),
  step: fc.integer({ min: 1, max: 1e8 }),
  width: fc.integer({ min: 100, max: 4_000 }),
})

describe('the grid', () => {
  it('holds the whole span that was asked for, and less than a column more', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1e12, max: 2e12 }),
        fc.integer({ min: 1, max: 1e12 }),
        fc.integer({ min: 50, max: 4_000 }),
        (from, length, width) => {
          const view = viewOf({ from, to: from + length }, width)
          expect(view.from).toBe(from)
          expect(endOf(view)).toBeGreaterThanOrEqual(from + length)
          expect(view.step).toBeLessThan(length / width + 1)
        },
      ),
    )
  })
  it('stays the same while one pans, so that what was read fits where it is drawn', () => {
    fc.assert(
      fc.property(
        views,
        fc.array(fc.double({ min: -5_000, max: 5_000, noNaN: true }), { maxLength: 20 }),
        (view, moves) => {
          const there = moves.reduce(panned, view)
          expect(sameGrid(there, view)).toBe(true)
          expect(sameGrid(surroundings(there, 8_192), view)).toBe(true)
          expect(covers(surroundings(there, 8_192), there)).toBe(true)
        },
      ),
    )
  })
  it('keeps what lies under the finger there while one zooms, to within a column', () => {
    fc.assert(
      fc.property(
        views,
        fc.double({ min: 0.2, max: 5, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (view, factor, part) => {
          const column = part * view.width
          const closer = zoomed(view, factor, column)
          expect(Math.abs(closer.from + column * closer.step - (view.from + column * view.step))).toBeLessThanOrEqual(
            closer.step,
          )
          if (factor < 1 && view.step > 1) expect(closer.step).toBeLessThan(view.step)
          if (factor > 1 && closer.step * view.width < 3e12) expect(closer.step).toBeGreaterThan(view.step)
        },
      ),
    )
  })
  it('never asks for more columns than one request may, nor for a time before 1970', () => {
    fc.assert(
      fc.property(views, (view) => {
        const wide = surroundings({ ...view, from: view.from % 1e10 }, 8_192)
        expect(wide.width).toBeLessThanOrEqual(8_192)
        expect(wide.from).toBeGreaterThanOrEqual(0)
      }),
    )
  })
  it('does not let one wander off into years without readings', () => {
    const limits = { from: 1_000_000, to: 2_000_000 }
    fc.assert(
      fc.property(fc.integer({ min: -1e9, max: 1e9 }), (from) => {
        const view = heldBy({ from, step: 100, width: 1_000 }, limits)
        const middle = (view.from + endOf(view)) / 2
        expect(middle).toBeGreaterThanOrEqual(limits.from - view.step)
        expect(middle).toBeLessThanOrEqual(limits.to + view.step)
      }),
    )
  })
})

const piece = (from: number, step: number, width: number, asOf = Number.MAX_SAFE_INTEGER): Piece => ({
  from,
  step,
  width,
  asOf,
  rows: new Map(),
})

describe('the pieces in hand', () => {
  const view: View = { from: 1_000, step: 10, width: 100 }
  it('are drawn each where it is nearest to the columns of the view, and nowhere twice', () => {
    const held = new Held()
    held.add(piece(0, 100, 100))
    held.add(piece(1_000, 10, 50))
    expect(held.layers(view).map((layer) => [layer.from, layer.to, layer.piece.step])).toEqual([
      [1_000, 1_500, 10],
      [1_500, 2_000, 100],
    ])
    expect(held.unread(view)).toEqual([])
  })
  it('cover, with what is still to be read, every instant of the view exactly once', () => {
    const some = fc.array(
      fc.record({
        from: fc.integer({ min: 0, max: 3_000 }),
        step: fc.integer({ min: 1, max: 40 }),
        width: fc.integer({ min: 1, max: 100 }),
      }),
      { maxLength: 6 },
    )
    fc.assert(
      fc.property(some, (pieces) => {
        const held = new Held()
        for (const { from, step, width } of pieces) held.add(piece(from, step, width))
        const spans = [...held.layers(view), ...held.unread(view)].sort((a, b) => a.from - b.from)
        let at = view.from
        for (const span of spans) {
          expect(span.from).toBe(at)
          at = span.to
        }
        expect(at).toBe(endOf(view))
      }),
    )
  })
  it('lack the view on another grid, then its surroundings, then nothing', () => {
    const held = new Held()
    const all = { from: 0, to: 1e9 }
    held.add(piece(0, 20, 200))
    expect(held.lacks(view, 5_000, all)).toBe('view')
    held.add(piece(1_000, 10, 100))
    expect(held.lacks(view, 5_000, all)).toBe('surroundings')
    held.add(piece(0, 10, 300))
    expect(held.lacks(view, 5_000, all)).toBe(null)
  })
  it('grow old where the view reaches to the present', () => {
    const held = new Held()
    held.add(piece(0, 10, 300, 1_900))
    expect(held.lacks(view, 1_950, { from: 0, to: 1_950 })).toBe(null)
    const later: View = { from: 0, step: 10_000, width: 100 }
    held.add(piece(0, 10_000, 300, 500_000))
    expect(held.lacks(later, 600_000, { from: 0, to: 600_000 })).toBe('view')
  })
})

describe('the pen', () => {
  /** Brute force: every column's least and greatest value of the straight line, looked at very often. */
  function traced(t: readonly number[], v: readonly number[], columns: number): { least: number[]; most: number[] } {
    const least: number[] = Array(columns).fill(Number.NaN)
    const most: number[] = Array(columns).fill(Number.NaN)
    const reach = (x: number, y: number) => {
      const column = Math.floor(x)
      if (column < 0 || column >= columns) return
      if (!(y >= (least[column] as number))) least[column] = y
      if (!(y <= (most[column] as number))) most[column] = y
    }
    t.forEach((x, i) => {
      const y = v[i] as number
      if (Number.isNaN(y)) return
      reach(x, y)
      const [x0, y0] = [t[i - 1], v[i - 1]]
      if (x0 === undefined || y0 === undefined || Number.isNaN(y0)) return
      for (let k = 0; k <= 400; k++) reach(x0 + ((x - x0) * k) / 400, y0 + ((y - y0) * k) / 400)
    })
    return { least, most }
  }
  const rows = fc.array(
    fc.tuple(
      fc.double({ min: 0.01, max: 3, noNaN: true }),
      fc.oneof(
        { weight: 9, arbitrary: fc.double({ min: 0, max: 100, noNaN: true }) },
        { weight: 1, arbitrary: fc.constant(Number.NaN) },
      ),
    ),
    { maxLength: 40 },
  )

  it('reaches in every column exactly as far as the straight line does, and never across a hole', () => {
    fc.assert(
      fc.property(rows, (steps) => {
        let x = -2
        const t = steps.map(([step]) => (x += step))
        const v = steps.map(([, value]) => value)
        const { least, most } = columnsOf({ t, v }, { from: 0, to: 30, startMs: 0, stepMs: 1, y: (value) => value })
        const exact = traced(t, v, 30)
        for (let column = 0; column < 30; column++) {
          const [low, high] = [exact.least[column] as number, exact.most[column] as number]
          // Two looks of the brute force are up to a quarter of a unit apart.
          if (Number.isNaN(low)) expect((most[column] as number) - (least[column] as number) || 0).toBeLessThan(1)
          else {
            expect(least[column]).toBeLessThanOrEqual(low + 1e-3)
            expect(most[column]).toBeGreaterThanOrEqual(high - 1e-3)
            expect(least[column]).toBeGreaterThan(low - 0.3)
            expect(most[column]).toBeLessThan(high + 0.3)
          }
        }
      }),
    )
  })
  it('draws the same columns from the thinned rows as from every reading', () => {
    const one = fc.array(fc.tuple(fc.integer({ min: 1, max: 400 }), fc.integer({ min: 0, max: 1_000 })), {
      minLength: 1,
      maxLength: 300,
    })
    fc.assert(
      fc.property(one, fc.integer({ min: 5, max: 60 }), (steps, width) => {
        let at = 0
        const t = Float64Array.from(steps, ([step]) => (at += step))
        const v = Float64Array.from(steps, ([, value]) => value)
        const view = viewOf({ from: 0, to: at + 1 }, width)
        const thin = m4(view.from, endOf(view), width, 300)
        thin.add({ t, v, quality: new Uint8Array(t.length) })
        const few = thin.finishColumns()
        const drawn = (of: { t: ArrayLike<number>; v: ArrayLike<number> }) =>
          columnsOf(of, { from: 0, to: width, startMs: 0, stepMs: view.step, y: (value) => value })
        const full: { t: number[]; v: number[] } = { t: [], v: [] }
        t.forEach((now, i) => {
          if (i > 0 && now - (t[i - 1] as number) > 300) {
            full.t.push((now + (t[i - 1] as number)) / 2)
            full.v.push(Number.NaN)
          }
          full.t.push(now)
          full.v.push(v[i] as number)
        })
        expect([...drawn(few).least]).toEqual([...drawn(full).least])
        expect([...drawn(few).most]).toEqual([...drawn(full).most])
      }),
      { numRuns: 200 },
    )
  })
  it('binds its dashes to time: they move with the line and do not crawl along it', () => {
    const dash = [9, 5]
    for (let column = -40; column < 40; column++) expect(isWeak(column + 14, dash)).toBe(isWeak(column, dash))
    expect(Array.from({ length: 14 }, (_, k) => isWeak(k, dash)).filter(Boolean)).toHaveLength(5)
    expect(isWeak(3, [])).toBe(false)
  })
  it('finds the extremes of a span and the value at an instant, and none in a hole', () => {
    const line = { t: [0, 10, 11, 20, 30], v: [1, 5, Number.NaN, 3, 2] }
    expect(extremesOf(line, 0, 25)).toEqual([1, 5])
    expect(extremesOf(line, 11, 20)).toBeNull()
    expect(valueAt(line, 12)).toBeNull()
    expect(valueAt(line, 25)).toEqual({ t: 20, v: 3 })
    expect(valueAt(line, 31)).toBeNull()
    expect(unseenIn(line, 0, 40)).toEqual([
      { from: 10, to: 20 },
      { from: 30, to: 40 },
    ])
  })
})
