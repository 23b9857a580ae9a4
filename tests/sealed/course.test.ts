/** A course opened in part says the same as one that was unpacked whole. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { BlockColumns } from '../../gateway/store/sealed/block.ts'
import { openCourse } from '../../gateway/store/sealed/course.ts'
import { encodeBlock } from '../../gateway/store/sealed/encode.ts'
import { badQuality } from '../../shared/series/columns.ts'
import { anyBlock, blockSizes, chance, potHour } from './blocks.ts'

function extremeByLoop({ v, quality }: BlockColumns, from: number, to: number, sign: 1 | -1): number {
  let found = -1
  for (let i = from; i < to; i++)
    if (quality[i] !== badQuality && (found < 0 || sign * (v[i] as number) < sign * (v[found] as number))) found = i
  return found
}

function placeByLoop(t: Float64Array, at: number): number {
  const place = t.findIndex((other) => other >= at)
  return place < 0 ? t.length : place
}

function agreesWithin(columns: BlockColumns, from: number, to: number): void {
  const { course, header } = encodeBlock(columns)
  // Opened anew for each, so that nothing is unpacked before it is asked for.
  expect(openCourse(course, header.longestGapMs).lowest(from, to)).toBe(extremeByLoop(columns, from, to, 1))
  expect(openCourse(course, header.longestGapMs).highest(from, to)).toBe(extremeByLoop(columns, from, to, -1))
}

const blockAndSpan = fc.tuple(anyBlock, fc.nat(), fc.nat()).map(([columns, a, b]) => {
  const from = a % columns.t.length
  return { columns, from, to: from + 1 + (b % (columns.t.length - from)) }
})

describe('a chart sees of a block what is in it', () => {
  it('a single reading is the same, however little of its block was unpacked', () => {
    fc.assert(
      fc.property(anyBlock, fc.infiniteStream(fc.nat()), (columns, indices) => {
        const { course } = encodeBlock(columns)
        const opened = openCourse(course)
        expect(opened.length).toBe(columns.t.length)
        for (const any of indices.take(20)) {
          const index = any % opened.length
          expect(opened.t(index)).toBe(columns.t[index])
          expect(opened.v(index)).toBe((columns.v[index] as number) + 0)
        }
        // And still so once other parts of it have been unpacked.
        opened.lowest(0, opened.length)
        for (let i = 0; i < opened.length; i++) {
          expect(opened.t(i)).toBe(columns.t[i])
          expect(opened.v(i)).toBe((columns.v[i] as number) + 0)
        }
      }),
      { numRuns: 300 },
    )
  })

  it('it does not matter in which order its parts are looked at', () => {
    const next = chance(15)
    const columns = potHour(15)
    // One far off in each chunk, so that its values are unpacked together.
    for (let i = 64; i < 3_600; i += 128) columns.v[i] = 1_800
    const { course } = encodeBlock(columns)
    for (let round = 0; round < 20; round++) {
      const opened = openCourse(course)
      for (let i = 0; i < 200; i++) {
        const [a, b] = [Math.floor(3_600 * next()), Math.floor(3_600 * next())]
        expect(opened.t(a)).toBe(columns.t[a])
        expect(opened.v(b)).toBe(columns.v[b])
      }
    }
  })

  it('the lowest and the highest of any part are the earliest of those a plain look finds, and never a bad reading', () => {
    fc.assert(
      fc.property(blockAndSpan, ({ columns, from, to }) => agreesWithin(columns, from, to)),
      { numRuns: 1_000 },
    )
  })

  it('so they are in an hour of a pot, for parts of every length', () => {
    const next = chance(11)
    const columns = potHour(11)
    columns.quality.fill(badQuality, 700, 1_300)
    columns.v.fill(-127, 700, 1_300)
    for (let i = 0; i < 500; i++) {
      const from = Math.floor(next() * 3_600)
      agreesWithin(columns, from, from + 1 + Math.floor(next() ** 3 * (3_600 - from)))
    }
  })

  it('the place of any instant is the first reading at or after it', () => {
    fc.assert(
      fc.property(
        anyBlock,
        fc.nat(),
        fc.integer({ min: -2, max: 2 }),
        fc.maxSafeInteger(),
        (columns, near, by, any) => {
          const { course } = encodeBlock(columns)
          for (const t of [(columns.t[near % columns.t.length] as number) + by, any])
            expect(openCourse(course).placeOf(t)).toBe(placeByLoop(columns.t, t))
        },
      ),
      { numRuns: 500 },
    )
  })

  it.each(blockSizes)('in a block of %i readings each is found by its own instant', (count) => {
    const { t, ...others } = potHour(12, count)
    const { course } = encodeBlock({ t, ...others })
    const opened = openCourse(course)
    t.forEach((at, i) => {
      expect(opened.placeOf(at)).toBe(i)
    })
    expect(opened.placeOf((t.at(-1) as number) + 1)).toBe(count)
    expect(opened.placeOf(Number.NEGATIVE_INFINITY)).toBe(0)
    expect(opened.placeOf(Number.POSITIVE_INFINITY)).toBe(count)
  })

  it('the longest gap is the one of the header, told or found', () => {
    fc.assert(
      fc.property(anyBlock, (columns) => {
        const { course, header } = encodeBlock(columns)
        expect(openCourse(course).longestGapMs).toBe(header.longestGapMs)
        expect(openCourse(course, 17).longestGapMs).toBe(17)
      }),
      { numRuns: 200 },
    )
  })

  it('a reading that is not there is refused', () => {
    const opened = openCourse(encodeBlock(potHour(13, 200)).course)
    for (const index of [-1, 200, Number.NaN]) {
      expect(() => opened.t(index)).toThrow(RangeError)
      expect(() => opened.v(index)).toThrow(RangeError)
    }
    for (const [from, to] of [
      [-1, 5],
      [5, 5],
      [0, 201],
    ] as const)
      expect(() => opened.lowest(from, to)).toThrow(RangeError)
  })

  it('columns are handed out for keeps: changing them changes nothing', () => {
    const columns = potHour(14)
    const opened = openCourse(encodeBlock(columns).course)
    opened.times().fill(0)
    opened.values().fill(0)
    opened.qualities().fill(2)
    expect(opened.times()).toEqual(columns.t)
    expect(opened.values()).toEqual(columns.v)
    expect(opened.qualities()).toEqual(columns.quality)
    expect(opened.lowest(0, 3_600)).toBe(extremeByLoop(columns, 0, 3_600, 1))
  })
})
