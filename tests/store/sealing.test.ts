/** Sealing changes nothing of what a store answers: the store on disk, sealed at any moment, against the one in memory that never is. */
import { join } from 'node:path'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { memoryStore } from '../../gateway/store/memory.ts'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import type { Columns, Store } from '../../gateway/store/store.ts'
import type { NewEntry } from '../../shared/contract/index.ts'
import { hourMs, minuteMs } from '../../shared/time.ts'
import { noon, reading } from './entries.ts'
import { freshFolder } from './folder.ts'

const names = ['w1.temperature', 'w2.temperature', 'room.humidity']
const silenceMs = 10 * minuteMs

/** Some five hours with few instants in each, so that lateness, repeats and conflicts come about; some lie days back, some ahead. */
const instant = fc.oneof(
  { weight: 8, arbitrary: fc.nat(60).map((n) => noon + n * 5 * minuteMs) },
  { weight: 1, arbitrary: fc.nat(20).map((n) => noon - 3 * 24 * hourMs + n * 1_000) },
  { weight: 1, arbitrary: fc.constantFrom(noon + 400 * 24 * hourMs, -62_135_596_800_000, 7) },
)
const value = fc.oneof(
  { weight: 5, arbitrary: fc.integer({ min: 900, max: 930 }).map((n) => n / 10) },
  // Beyond this the sums themselves run out of numbers.
  { weight: 1, arbitrary: fc.double({ noNaN: true, min: -1e12, max: 1e12 }) },
)

const aReading: fc.Arbitrary<NewEntry> = fc
  .record(
    {
      series: fc.constantFrom(...names),
      measuredAt: instant,
      value,
      quality: fc.constantFrom('good' as const, 'good' as const, 'uncertain' as const, 'bad' as const),
      reason: fc.constantFrom('sensor-code' as const, 'clock-wrong' as const),
      claimedAt: instant,
      delay: fc.nat(50_000),
    },
    { requiredKeys: ['series', 'measuredAt', 'value', 'quality', 'delay'] },
  )
  .map(({ delay, ...one }) => ({ kind: 'reading' as const, at: one.measuredAt + delay, ...one }))

type Step = { do: 'append'; entries: NewEntry[] } | { do: 'seal'; now: number } | { do: 'open again' }

const steps: fc.Arbitrary<Step[]> = fc.array(
  fc.oneof(
    {
      weight: 4,
      arbitrary: fc.record({
        do: fc.constant('append' as const),
        entries: fc.array(
          fc.oneof(
            { weight: 9, arbitrary: aReading },
            { weight: 1, arbitrary: fc.record({ kind: fc.constant('tick' as const), at: instant }) },
          ),
          { maxLength: 40 },
        ),
      }),
    },
    {
      weight: 3,
      arbitrary: fc.record({ do: fc.constant('seal' as const), now: fc.nat(8).map((h) => noon + h * hourMs) }),
    },
    { weight: 1, arbitrary: fc.constant({ do: 'open again' as const }) },
  ),
  { maxLength: 10 },
)

async function whole(store: Store, series: string, from = Number.NEGATIVE_INFINITY, to = Number.POSITIVE_INFINITY) {
  const pieces: Columns[] = []
  for await (const piece of store.scan(series, from, to)) pieces.push(piece)
  const all = (of: (piece: Columns) => ArrayLike<number>) => pieces.flatMap((piece) => Array.from(of(piece)))
  return {
    t: all((p) => p.t),
    v: all((p) => p.v),
    quality: all((p) => p.quality),
    arrivedAt: all((p) => p.arrivedAt),
    seq: all((p) => p.seq),
  }
}

const spans = [
  [noon - 100, noon + 5 * hourMs + 1, 7],
  [noon + 20 * minuteMs + 1, noon + 3 * hourMs, 300],
  [noon - 4 * 24 * hourMs, noon + 500 * 24 * hourMs, 50],
] as const

/** Everything a store can be asked about readings. */
async function answers(store: Store) {
  const head = store.head()
  const journal = await store.journal(0, 10_000)
  const middle = journal[journal.length >> 1]?.seq ?? 0
  const bySeries = await Promise.all(
    names.map(async (series) => ({
      readings: await store.readingsOf(series),
      whole: await whole(store, series),
      part: await whole(store, series, noon + 7 * minuteMs, noon + 2 * hourMs),
      charts: await Promise.all(
        spans.map(([from, to, columns]) => store.chart({ series, from, to, columns, silenceMs })),
      ),
      sums: (await store.sums({ series, edges: [0, 1, 2, 3, 4, 5].map((h) => noon + h * hourMs), silenceMs })).map(
        ({ mean, ...sum }) => ({ ...sum, mean: mean === null ? null : Number(mean.toPrecision(9)) }),
      ),
    })),
  )
  return { head, journal, tail: await store.journal(middle, 11), summaries: byName(await store.summaries()), bySeries }
}

function byName<T extends { series: string }>(list: T[]): T[] {
  return list.sort((a, b) => (a.series < b.series ? -1 : 1))
}

async function sealAll(store: Store, now: number): Promise<number> {
  let readings = 0
  for (let done = await store.seal(now, 3); done.blocks > 0; done = await store.seal(now, 3)) readings += done.readings
  return readings
}

describe('sealing', () => {
  test('changes nothing of what a store answers, whatever comes before, between, late or twice', async () => {
    await fc.assert(
      fc.asyncProperty(steps, async (plan) => {
        const file = join(freshFolder(), 'sealed.db')
        let disk = await openSqliteStore(file)
        const model = memoryStore()
        for (const step of plan) {
          if (step.do === 'seal') await sealAll(disk, step.now)
          else if (step.do === 'open again') {
            await disk.close()
            disk = await openSqliteStore(file)
          } else expect(await disk.append(step.entries)).toEqual(await model.append(step.entries))
        }
        expect(await answers(disk)).toEqual(await answers(model))
        await sealAll(disk, noon + 1_000 * 24 * hourMs)
        const stock = await disk.stock()
        expect(stock.openReadings).toBe(0)
        expect(stock.sealedReadings).toBe((await model.stock()).openReadings)
        expect(await answers(disk)).toEqual(await answers(model))
        await disk.close()
      }),
      { numRuns: 120 },
    )
  })

  test('leaves the hour that runs, and for five minutes the one before, as they are', async () => {
    const disk = await openSqliteStore(join(freshFolder(), 'sealed.db'))
    const hour = Math.floor(noon / hourMs) * hourMs
    const at = (t: number) => reading(t - noon, 91)
    await disk.append([at(hour - 1), at(hour), at(hour + hourMs - 1), at(hour + hourMs)])
    expect(await sealAll(disk, hour + 299_999)).toBe(0)
    expect(await sealAll(disk, hour + 300_000)).toBe(1)
    expect(await sealAll(disk, hour + hourMs + 299_999)).toBe(0)
    expect(await sealAll(disk, hour + hourMs + 300_000)).toBe(2)
    await disk.close()
  })

  test('puts a late reading into its block, and cuts an hour that is too full for one', async () => {
    const disk = await openSqliteStore(join(freshFolder(), 'sealed.db'))
    const hour = Math.floor(noon / hourMs) * hourMs
    const at = (t: number, v = 91) => reading(t - noon, v)
    await disk.append(Array.from({ length: 10_000 }, (_, i) => at(hour + i * 300)))
    await sealAll(disk, hour + 2 * hourMs)
    expect((await disk.stock()).blocks).toBe(3)
    await disk.append([at(hour + 150, 99), at(hour + 300, 99), at(hour + 600)])
    expect((await disk.stock()).openReadings).toBe(1)
    expect(await sealAll(disk, hour + 2 * hourMs)).toBe(1)
    expect(await disk.stock()).toMatchObject({ openReadings: 0, sealedReadings: 10_001 })
    expect((await whole(disk, 'w1.temperature')).t.slice(0, 3)).toEqual([hour, hour + 150, hour + 300])
    await disk.close()
  })

  test('lets go of whole days when told to, and of nothing else', async () => {
    for (const store of [await openSqliteStore(join(freshFolder(), 'sealed.db')), memoryStore()]) {
      const day = 24 * hourMs
      const midnight = Math.floor(noon / day) * day
      const all = Array.from({ length: 72 }, (_, h) => reading(midnight - noon + h * hourMs, h))
      await store.append([{ kind: 'tick', at: noon }, ...all])
      await sealAll(store, midnight + 2.5 * day)
      expect(await store.retire(midnight + 1.9 * day)).toBe(24)
      expect(await store.retire(midnight + 1.9 * day)).toBe(0)
      expect((await whole(store, 'w1.temperature')).v).toEqual(all.slice(24).map((one) => one.value))
      expect((await store.journal(0, 1_000)).map((e) => e.kind)).toEqual(['tick', ...new Array(48).fill('reading')])
      expect(store.head()).toBe(73)
      // What was let go may come again, and is then heard once.
      await store.append([all[3] as NewEntry])
      expect((await store.journal(0, 1_000)).map((e) => e.seq)).toEqual([
        1,
        ...Array.from({ length: 48 }, (_, i) => 26 + i),
        74,
      ])
      await store.close()
    }
  })
})
