/** The promises of the store, as one suite that every body of it must pass. */
import { beforeEach, describe, expect, test } from 'vitest'
import type { NewEntry } from '../../shared/contract/index.ts'
import type { Columns, Fate, Store } from '../../gateway/store/store.ts'
import { fault, finding, noon, reading, unreadable } from './entries.ts'

export type OpenStore = (options?: { unreadableKeptMax?: number; breathe?: () => Promise<void> }) => Promise<Store>

export function promises(body: string, open: OpenStore): void {
  describe(body, () => {
    let store: Store
    beforeEach(async () => {
      store = await open()
    })

    describe('what is appended', () => {
      test('comes back in order of arrival, readings and notes together, exactly as it was handed in', async () => {
        const entries: NewEntry[] = [
          { kind: 'start', at: noon, downSince: null },
          reading(10, 93.4),
          fault(15, 'open circuit'),
          reading(5, 850, { quality: 'bad', reason: 'sensor-code' }),
          { kind: 'act', at: noon + 60, by: 'Ana', act: 'acknowledge', alarm: 'a1' },
          reading(20, 0.1 + 0.2, {
            series: 'w2.temperature',
            quality: 'uncertain',
            reason: 'clock-wrong',
            claimedAt: noon - 9_000,
          }),
          unreadable(7),
        ]
        const fates = await store.append(entries)
        const kept = await store.journal(0, 100)
        expect(kept.map(({ seq: _, ...entry }) => entry)).toEqual(entries)
        expect(fates).toEqual(kept.map((entry) => ({ is: 'stored', entry })))
        expect(rises(kept.map((entry) => entry.seq))).toBe(true)
        expect(store.head()).toBe(kept.at(-1)?.seq)
      })

      test('does not change when the one who handed it in, or one who read it, scribbles on his copy', async () => {
        const mine = reading(0, 91)
        const note = fault(1, 'open circuit')
        const [first] = await store.append([mine, note])
        mine.value = 5
        note.text = 'scribbled'
        for (const copy of [...(await store.journal(0, 9)), (first as Extract<Fate, { is: 'stored' }>).entry])
          Object.assign(copy, { value: 6, text: '' })
        expect(
          (await store.journal(0, 9)).map((e) => (e.kind === 'reading' ? e.value : e.kind === 'fault' ? e.text : null)),
        ).toEqual([91, 'open circuit'])
      })

      test('is read on from any seq, a few at a time, without gap or repeat', async () => {
        for (let n = 0; n < 10; n++)
          await store.append([reading(n * 2, n), { kind: 'tick', at: noon + n }, reading(n * 2 + 1, n)])
        const whole = await store.journal(0, 1_000)
        expect(whole).toHaveLength(30)
        for (const entry of whole)
          expect(await store.journal(entry.seq, 4)).toEqual(whole.filter((e) => e.seq > entry.seq).slice(0, 4))
      })

      test('is nothing for an empty batch', async () => {
        expect(await store.append([])).toEqual([])
        expect(store.head()).toBe(0)
        expect(await store.journal(0, 10)).toEqual([])
      })
    })

    describe('all or nothing', () => {
      for (const [name, spoilt] of [
        ['NaN', reading(3, Number.NaN)],
        ['infinite', reading(3, Number.POSITIVE_INFINITY)],
        ['timed between two milliseconds', reading(0.5, 90)],
      ] as const)
        test(`a batch with a reading that is ${name} is refused with a sentence, and none of it is kept`, async () => {
          await store.append([reading(0, 90)])
          const before = store.head()
          await expect(store.append([reading(1, 90), fault(1, 'x'), spoilt, reading(4, 90)])).rejects.toThrow(
            /cannot be stored/,
          )
          expect(store.head()).toBe(before)
          expect(await store.journal(before, 10)).toEqual([])
          expect((await store.append([reading(1, 90), fault(1, 'x')])).map((f) => f.is)).toEqual(['stored', 'stored'])
        })
    })

    describe('the same again', () => {
      test('an exact duplicate is absorbed, in one batch and in another, also with another arrival time', async () => {
        expect(kinds(await store.append([reading(0, 90), reading(0, 90)]))).toEqual(['stored', 'duplicate'])
        expect(kinds(await store.append([reading(0, 90, { at: noon + 9_999 })]))).toEqual(['duplicate'])
        expect(await store.readingsOf('w1.temperature')).toBe(1)
      })

      test('zero is zero, whatever its sign', async () => {
        expect(kinds(await store.append([reading(0, -0), reading(0, 0)]))).toEqual(['stored', 'duplicate'])
        expect(Object.is((await store.summaries())[0]?.newest.value, 0)).toBe(true)
      })

      test('another value at the same instant leaves the first in its place and is kept beside it, once', async () => {
        const fates = await store.append([
          reading(0, 90),
          reading(0, 91, { at: noon + 70 }),
          reading(0, 91),
          reading(0, 92),
        ])
        expect(kinds(fates)).toEqual(['stored', 'conflict', 'duplicate', 'conflict'])
        const beside = {
          kind: 'conflict',
          at: noon + 70,
          series: 'w1.temperature',
          measuredAt: noon,
          kept: 90,
          refused: 91,
        }
        expect(fates[1]).toMatchObject({ entry: beside })
        expect((await store.newest('conflict', 9)).map((c) => c.refused)).toEqual([92, 91])
        expect(await values(store)).toEqual([90])
      })

      test('a fault is one for each instrument and instant', async () => {
        expect(
          kinds(await store.append([fault(0, 'open circuit'), fault(0, 'open circuit'), fault(1, 'open circuit')])),
        ).toEqual(['stored', 'duplicate', 'stored'])
      })

      test('ticks and presences may come as often as they like', async () => {
        const tick: NewEntry = { kind: 'tick', at: noon }
        expect(kinds(await store.append([tick, tick]))).toEqual(['stored', 'stored'])
        expect(kinds(await store.append([tick]))).toEqual(['stored'])
      })
    })

    describe('a reading whose clock cannot be believed', () => {
      const claimed = (claim: number, value: number) =>
        reading(0, value, { quality: 'uncertain', reason: 'clock-wrong', claimedAt: claim })

      test('moves on by whole milliseconds until its instant is free', async () => {
        await store.append([reading(0, 90), reading(2, 90)])
        const fates = await store.append([claimed(1, 90), claimed(2, 91), claimed(3, 92)])
        expect(fates.map((f) => f.is === 'stored' && f.entry.kind === 'reading' && f.entry.measuredAt - noon)).toEqual([
          1, 3, 4,
        ])
        expect(await values(store)).toEqual([90, 90, 90, 91, 92])
      })

      test('is absorbed when it is delivered again, though it arrives at another time', async () => {
        await store.append([claimed(1, 90)])
        expect(kinds(await store.append([{ ...claimed(1, 90), at: noon + 500, measuredAt: noon + 500 }]))).toEqual([
          'duplicate',
        ])
      })

      test('is the same reading whether the doubt began before or after it was first delivered', async () => {
        const early = noon - 3_600_000
        const believed: NewEntry = { ...reading(0, 90), measuredAt: early }
        const doubted: NewEntry = { ...claimed(0, 90), at: noon + 900, measuredAt: noon + 900, claimedAt: early }
        expect(kinds(await store.append([believed]))).toEqual(['stored'])
        expect(kinds(await store.append([doubted]))).toEqual(['duplicate'])

        const later = early + 1_000
        expect(kinds(await store.append([{ ...doubted, claimedAt: later }]))).toEqual(['stored'])
        expect(kinds(await store.append([{ ...believed, measuredAt: later }]))).toEqual(['duplicate'])
        expect(await values(store)).toHaveLength(2)
      })

      test('is a conflict where it claims the same instant with another value', async () => {
        await store.append([reading(0, 77), claimed(1, 90)])
        const [fate] = await store.append([claimed(1, 95)])
        expect(fate).toMatchObject({ is: 'conflict', entry: { measuredAt: noon + 1, kept: 90, refused: 95 } })
      })

      test('keeps its place in a backlog of thousands that arrives in one millisecond', async () => {
        const backlog = Array.from({ length: 5_000 }, (_, n) => claimed(n, n))
        expect(new Set(kinds(await store.append(backlog)))).toEqual(new Set(['stored']))
        expect(await values(store)).toEqual(backlog.map((r) => r.value))
      })
    })

    describe('listings', () => {
      test('give the newest of a kind first, and page backwards by seq', async () => {
        await store.append([unreadable(1), reading(0, 90), unreadable(2), { kind: 'tick', at: noon }, unreadable(3)])
        const all = await store.newest('unreadable', 9)
        expect(all.map((u) => u.bytes)).toEqual([3, 2, 1])
        expect((await store.newest('unreadable', 1, all[0]?.seq)).map((u) => u.bytes)).toEqual([2])
        expect(await store.newest('presence', 9)).toEqual([])
        expect([await store.count('unreadable'), await store.count('tick'), await store.count('presence')]).toEqual([
          3, 1, 0,
        ])
      })

      test('keep only so many unreadable messages whole, and count all of them', async () => {
        const small = await open({ unreadableKeptMax: 3 })
        for (let n = 0; n < 4; n++) await small.append([unreadable(2 * n), reading(n, 90), unreadable(2 * n + 1)])
        expect((await small.newest('unreadable', 99)).map((u) => u.bytes)).toEqual([7, 6, 5])
        expect(await small.count('unreadable')).toBe(8)
        expect((await small.journal(0, 99)).filter((e) => e.kind === 'unreadable')).toHaveLength(3)
        expect(await small.readingsOf('w1.temperature')).toBe(4)
      })
    })

    describe('one series by measurement', () => {
      test('rises by measuredAt whatever the order of arrival, from the first bound up to but not at the second', async () => {
        for (const offset of [30, 10, 20, 0, 40])
          await store.append([reading(offset, offset, { at: noon + 1_000 - offset })])
        await store.append([reading(15, 1, { series: 'w2.temperature' })])
        const columns = await whole(store, 'w1.temperature', noon + 10, noon + 40)
        expect(columns.t).toEqual([10, 20, 30].map((offset) => noon + offset))
        expect(columns.v).toEqual([10, 20, 30])
        expect(columns.arrivedAt).toEqual([990, 980, 970].map((offset) => noon + offset))
        expect(columns.seq).toEqual([2, 3, 1])
      })

      test('says how good each reading is', async () => {
        await store.append([reading(0, 1), reading(1, 2, { quality: 'uncertain' }), reading(2, 3, { quality: 'bad' })])
        expect((await whole(store, 'w1.temperature', noon, noon + 9)).quality).toEqual([0, 1, 2])
      })

      test('is empty where nothing ever spoke, and outside its span', async () => {
        await store.append([reading(0, 1)])
        expect((await whole(store, 'nobody.temperature', 0, noon * 2)).t).toEqual([])
        expect((await whole(store, 'w1.temperature', noon + 1, noon * 2)).t).toEqual([])
      })

      test('comes in pieces with a breath between them, and misses none at the seams', async () => {
        let breaths = 0
        const long = await open({ breathe: async () => void breaths++ })
        const count = 45_000
        for (let from = 0; from < count; from += 5_000)
          await long.append(Array.from({ length: 5_000 }, (_, i) => reading(from + i, from + i)))
        const columns = await whole(long, 'w1.temperature', 0, noon * 2)
        expect(columns.v).toEqual(Array.from({ length: count }, (_, i) => i))
        expect(breaths).toBeGreaterThanOrEqual(2)
        expect(await long.readingsOf('w1.temperature')).toBe(count)
      })

      test('is summed up by its first instant and its newest reading by measurement', async () => {
        await store.append([reading(50, 5), reading(90, 9, { quality: 'bad', reason: 'implausible' }), reading(70, 7)])
        await store.append([reading(1, 1, { series: 'w2.temperature' })])
        const newest = {
          series: 'w1.temperature',
          measuredAt: noon + 90,
          value: 9,
          quality: 'bad',
          reason: 'implausible',
          seq: 2,
          arrivedAt: noon + 130,
        }
        expect(await store.summaries()).toEqual([
          { series: 'w1.temperature', first: noon + 50, newest },
          { series: 'w2.temperature', first: noon + 1, newest: expect.objectContaining({ value: 1, seq: 4 }) },
        ])
        expect(await store.readingsOf('w1.temperature')).toBe(3)
        expect(await store.readingsOf('nobody.temperature')).toBe(0)
      })
    })

    describe('what is derived', () => {
      test('a finding replaces the one of the same id', async () => {
        await store.keep({ findings: [finding('f1', noon)] })
        await store.keep({ findings: [finding('f1', noon, { clearedAt: noon + 60 })] })
        expect(await store.findings({ limit: 9 })).toEqual([finding('f1', noon, { clearedAt: noon + 60 })])
      })

      test('findings are found by when they stood and where, newest first', async () => {
        await store.keep({
          findings: [
            finding('early', noon, { clearedAt: noon + 10 }),
            finding('late', noon + 100, { clearedAt: noon + 200 }),
            finding('standing', noon + 50),
            finding('elsewhere', noon + 60, { station: 'kiln-1' }),
          ],
        })
        const ids = async (filter: Parameters<Store['findings']>[0]) => (await store.findings(filter)).map((f) => f.id)
        expect(await ids({ limit: 9 })).toEqual(['late', 'elsewhere', 'standing', 'early'])
        expect(await ids({ limit: 9, station: 'pot-1' })).toEqual(['late', 'standing', 'early'])
        expect(await ids({ limit: 2 })).toEqual(['late', 'elsewhere'])
        expect(await ids({ limit: 9, from: noon + 11 })).toEqual(['late', 'elsewhere', 'standing'])
        expect(await ids({ limit: 9, from: noon + 10, to: noon + 50 })).toEqual(['standing', 'early'])
        expect(await ids({ limit: 9, station: 'pot-1', from: noon + 201, to: noon + 900 })).toEqual(['standing'])
      })

      test('a snapshot replaces the one before', async () => {
        expect(await store.snapshot()).toBeNull()
        await store.keep({ snapshot: { seq: 3, state: '{"a":1}', shape: 1 } })
        await store.keep({ snapshot: { seq: 9, state: '{"a":2}', shape: 2 } })
        expect(await store.snapshot()).toEqual({ seq: 9, state: '{"a":2}', shape: 2 })
      })
    })

    test('after close every call rejects', async () => {
      await store.append([reading(0, 90)])
      await store.close()
      const calls: (() => Promise<unknown>)[] = [
        () => store.append([reading(1, 90)]),
        () => store.journal(0, 1),
        () => store.newest('tick', 1),
        () => store.count('tick'),
        () => whole(store, 'w1.temperature', 0, noon * 2),
        () => store.chart({ series: 'w1.temperature', from: 0, to: 1, columns: 1, silenceMs: 1 }),
        () => store.sums({ series: 'w1.temperature', edges: [0, 1], silenceMs: 1 }),
        () => store.seal(noon, 1),
        () => store.retire(0),
        () => store.stock(),
        () => store.summaries(),
        () => store.readingsOf('w1.temperature'),
        () => store.keep({}),
        () => store.findings({ limit: 1 }),
        () => store.snapshot(),
        () => store.close(),
      ]
      for (const call of calls) await expect(call()).rejects.toThrow('The store is closed.')
    })
  })
}

export function kinds(fates: readonly Fate[]): Fate['is'][] {
  return fates.map((fate) => fate.is)
}

/** All pieces of a scan, joined. */
export async function whole(
  store: Store,
  series: string,
  from: number,
  to: number,
): Promise<Record<keyof Columns, number[]>> {
  const joined: Record<keyof Columns, number[]> = { t: [], v: [], quality: [], arrivedAt: [], seq: [] }
  for await (const piece of store.scan(series, from, to))
    for (const column of Object.keys(joined) as (keyof Columns)[])
      for (const cell of piece[column]) joined[column].push(cell)
  return joined
}

async function values(store: Store): Promise<number[]> {
  return (await whole(store, 'w1.temperature', 0, noon * 2)).v
}

function rises(numbers: readonly number[]): boolean {
  return numbers.every((n, i) => i === 0 || n > (numbers[i - 1] ?? 0))
}
