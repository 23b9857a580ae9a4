/** What several series share: the time in which all of them were as wished, however their samples come in. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { lay, type Overlap, overlapOf, stretchWithin } from '../../shared/judge/overlap.ts'

const sample = (t: number, v: number, good = true) => ({ t, v, good })

describe('the part of a line within a band', () => {
  it('is all, nothing, or what lies between the crossings', () => {
    expect(stretchWithin(sample(0, 5), sample(10, 6), 0, 10)).toEqual([0, 10])
    expect(stretchWithin(sample(0, 5), sample(10, 5), 0, 10)).toEqual([0, 10])
    expect(stretchWithin(sample(0, 11), sample(10, 12), 0, 10)).toBeNull()
    expect(stretchWithin(sample(0, 11), sample(10, 11), 0, 10)).toBeNull()
    expect(stretchWithin(sample(0, -10), sample(40, 30), 0, 10)).toEqual([10, 20])
    expect(stretchWithin(sample(0, 30), sample(40, -10), 0, 10)).toEqual([20, 30])
    expect(stretchWithin(sample(0, 0), sample(10, 20), 10, Infinity)).toEqual([5, 10])
  })

  it('of no width is none: touching a limit takes no time', () => {
    expect(stretchWithin(sample(0, 10), sample(10, 20), 0, 10)).toBeNull()
  })
})

/** A saw of whole numbers for each of three series, sampled at its own instants over the same time. */
const walks = fc.array(
  fc.array(
    fc.record({ step: fc.integer({ min: 1, max: 40 }), v: fc.integer({ min: 0, max: 9 }), good: fc.boolean() }),
    { minLength: 3, maxLength: 20 },
  ),
  { minLength: 1, maxLength: 3 },
)
const silenceMs = 60

function laid(samples: { series: string; t: number; v: number; good: boolean }[], ids: string[]): number {
  let overlap: Overlap = overlapOf(ids, 5)
  let sum = 0
  for (const { series, ...one } of samples) {
    const [next, ms] = lay(overlap, series, one, silenceMs, (a, b) => stretchWithin(a, b, 3, Infinity))
    expect(ms).toBeGreaterThanOrEqual(0)
    overlap = next
    sum += ms
  }
  return sum
}

describe('the shared time', () => {
  it('is the same in every order that keeps each series in its own, and what a fine ruler would measure', () => {
    fc.assert(
      fc.property(walks, fc.infiniteStream(fc.nat(5)), (drawn, chance) => {
        const ids = drawn.map((_, i) => `s${i}`)
        const series = drawn.map((walk, i) => {
          let t = 0
          return walk.map(({ step, v, good }) => {
            t += step
            return { series: ids[i] as string, t, v, good: good || v > 4 }
          })
        })
        const inTime = series.flat().sort((a, b) => a.t - b.t)
        const queues = series.map((s) => [...s])
        const mixed: typeof inTime = []
        while (queues.some((q) => q.length > 0)) {
          const open = queues.filter((q) => q.length > 0)
          mixed.push(open[chance.next().value % open.length]?.shift() as (typeof inTime)[number])
        }
        const sum = laid(inTime, ids)
        expect(laid(mixed, ids)).toBeCloseTo(sum, 6)

        const end = Math.min(...series.map((s) => s.at(-1)?.t ?? 0))
        let ruler = 0
        const fine = 0.25
        for (let t = 5 + fine / 2; t < end; t += fine) {
          const all = series.every((s) => {
            const at = s.findIndex((one) => one.t > t)
            const [a, b] = [s[at - 1], s[at]]
            if (!a || !b || !a.good || !b.good || b.t - a.t > silenceMs) return false
            return a.v + ((b.v - a.v) * (t - a.t)) / (b.t - a.t) >= 3
          })
          if (all) ruler += fine
        }
        const crossings = series.flat().length + 2
        expect(Math.abs(sum - ruler)).toBeLessThanOrEqual(crossings * fine)
      }),
      { numRuns: 300 },
    )
  })

  it('stays small in memory while one series is silent for days', () => {
    let overlap = overlapOf(['a', 'b'], 0)
    for (let t = 0; t < 100_000; t += 10)
      overlap = lay(overlap, 'a', sample(t, t % 20 === 0 ? 0 : 9), 60, (x, y) => stretchWithin(x, y, 3, Infinity))[0]
    expect(JSON.stringify(overlap).length).toBeLessThan(5_000)
  })
})
