/** Remembered sums are the sums: whatever comes late, and whoever asks meanwhile. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { SumsMemory } from '../../gateway/store/sqlite/sums-memory.ts'
import type { SumsAsk } from '../../gateway/store/store.ts'
import { sums } from '../../shared/series/sums.ts'

const silenceMs = 5

/** A series that is summed up a turn later than it is asked for, as a worker would. */
function shop() {
  const readings = new Map<number, number>()
  let reads = 0
  const now = ({ edges, band }: SumsAsk) => {
    const t = [...readings.keys()].sort((a, b) => a - b)
    const fold = sums(edges, silenceMs, band && { band })
    fold.add({ t, v: t.map((at) => readings.get(at) as number), quality: t.map(() => 0) })
    return fold.finish()
  }
  const memory = new SumsMemory(async (ask) => {
    reads++
    const told = now(ask)
    await new Promise((resolve) => setImmediate(resolve))
    return told
  })
  return {
    memory,
    now,
    reads: () => reads,
    put(t: number, v: number) {
      readings.set(t, v)
      memory.note('a.temperature', t)
    },
  }
}

const ask = (edges: readonly number[], to: number | null): SumsAsk => ({
  series: 'a.temperature',
  edges,
  silenceMs,
  ...(to !== null && { band: { from: null, to } }),
})

describe('remembered sums', () => {
  it('are what is stored now, after any order of readings and questions', async () => {
    const Step = fc.oneof(
      { weight: 3, arbitrary: fc.record({ put: fc.nat(60), v: fc.integer({ min: 0, max: 9 }) }) },
      {
        weight: 2,
        arbitrary: fc.record({
          edges: fc.uniqueArray(fc.constantFrom(0, 10, 20, 30, 40, 50, 60), { minLength: 2 }),
          band: fc.constantFrom(null, 4),
          waits: fc.boolean(),
        }),
      },
    )
    await fc.assert(
      fc.asyncProperty(fc.array(Step, { maxLength: 30 }), async (steps) => {
        const { memory, now, put } = shop()
        const open: Promise<unknown>[] = []
        const questions = [ask([0, 10, 20, 30, 40, 50, 60], 4)]
        for (const step of steps) {
          if ('put' in step) {
            put(step.put, step.v)
            continue
          }
          const question = ask(
            [...step.edges].sort((a, b) => a - b),
            step.band,
          )
          questions.push(question)
          const told = memory.sums(question)
          if (step.waits) expect(await told).toEqual(now(question))
          else open.push(told)
        }
        await Promise.all(open)
        for (const question of questions) expect(await memory.sums(question)).toEqual(now(question))
      }),
      { numRuns: 300 },
    )
  })

  it('are read once, and again only where a reading came', async () => {
    const { memory, put, reads, now } = shop()
    for (let t = 0; t <= 60; t++) put(t, 1)
    const question = ask([0, 20, 40, 60], null)
    await memory.sums(question)
    await memory.sums(question)
    expect(reads()).toBe(1)
    put(100, 1)
    await memory.sums(question)
    expect(reads()).toBe(1)
    put(30, 5)
    expect(await memory.sums(question)).toEqual(now(question))
    expect(reads()).toBe(2)
  })

  it('are read again when readings were let go', async () => {
    const { memory, put, reads } = shop()
    put(1, 1)
    await memory.sums(ask([0, 20], null))
    memory.forget()
    await memory.sums(ask([0, 20], null))
    expect(reads()).toBe(2)
  })
})
