/** A line on the screen: every point once, in measured time, and a hole where nothing was seen. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { Line } from '../../dashboard/feed/line.ts'
import type { LivePoint } from '../../shared/contract/index.ts'

const silenceMs = 30_000

/** What the store answers for these points, one column a reading: a hole after each gap beyond the silence limit. */
function body(points: readonly LivePoint[]) {
  const t: number[] = []
  const v: (number | null)[] = []
  const rising = [...points].sort((a, b) => a[0] - b[0])
  rising.forEach((p, i) => {
    t.push(p[0])
    v.push(p[1])
    const next = rising[i + 1]
    if (next && next[0] - p[0] > silenceMs) {
      t.push(p[0] + 1)
      v.push(null)
    }
  })
  return { series: 's', silenceMs, t, v }
}

const points = fc.uniqueArray(
  fc.tuple(
    fc.integer({ min: 0, max: 600_000 }).map((n) => n * 2),
    fc.integer({ min: -40, max: 1_000 }),
    fc.constant(0),
    fc.constant(0),
  ) as fc.Arbitrary<LivePoint>,
  {
    selector: (p) => p[0],
    maxLength: 80,
  },
)

describe('a line', () => {
  it('is the same whichever part the store gave and whichever came live, in any order and more than once', () => {
    fc.assert(
      fc.property(
        points,
        fc.array(fc.boolean(), { minLength: 80, maxLength: 80 }),
        fc.array(fc.nat(79)),
        (all, isStored, order) => {
          const live = all.filter((_, i) => !isStored[i])
          const stored = all.filter((_, i) => isStored[i])
          // The store has judged the holes between its own points; where live points fall between, they are judged by the gap.
          const line = new Line(body(stored))
          const shuffled = order.map((i) => live[i % Math.max(1, live.length)]).filter((p) => p !== undefined)
          for (const point of [...shuffled, ...live, ...shuffled, ...stored]) line.add([point])
          const whole = body(all)
          expect(line.columns()).toEqual({ t: whole.t, v: whole.v })
          expect(line.live).toBe(live.length)
        },
      ),
    )
  })

  it('does not draw across a silence, and not through a reading that was bad', () => {
    const line = new Line(body([[0, 20, 0, 0]]))
    line.add([
      [10_000, 85, 2, 0],
      [25_000, 21, 0, 0],
      [60_000, 22, 0, 0],
    ])
    expect(line.columns().v).toEqual([20, 21, null, 22])
  })

  it('believes the store about a hole inside its columns, though their points lie close', () => {
    const line = new Line({ series: 's', silenceMs, t: [0, 1, 10_000], v: [20, null, 21] })
    expect(line.columns().v).toEqual([20, null, 21])
  })

  it('does not invent a hole between the thinned points of a wide column', () => {
    const line = new Line({ series: 's', silenceMs, t: [0, 500_000], v: [20, 21] })
    expect(line.columns().v).toEqual([20, 21])
  })

  it('closes a hole when its readings arrive late', () => {
    const line = new Line(
      body([
        [0, 20, 0, 0],
        [60_000, 22, 0, 0],
      ]),
    )
    expect(line.columns().v).toEqual([20, null, 22])
    line.add([
      [40_000, 21.5, 0, 40_000],
      [20_000, 21, 0, 40_000],
    ])
    expect(line.columns()).toEqual({ t: [0, 20_000, 40_000, 60_000], v: [20, 21, 21.5, 22] })
  })

  it('enters the picture from the left: the point before the window comes along', () => {
    const line = new Line(
      body([
        [0, 1, 0, 0],
        [10_000, 2, 0, 0],
        [20_000, 3, 0, 0],
      ]),
    )
    expect(line.columns(15_000).t).toEqual([10_000, 20_000])
  })
})
