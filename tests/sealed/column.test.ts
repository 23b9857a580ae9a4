/** A column of whole numbers comes back number by number, in whichever form and width it was packed. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { ByteReader } from '../../gateway/store/sealed/byte-reader.ts'
import { ByteWriter } from '../../gateway/store/sealed/byte-writer.ts'
import { Column, columnMax, formShift, patchedBit } from '../../gateway/store/sealed/column.ts'
import { writeColumn } from '../../gateway/store/sealed/column-write.ts'
import { BlockDamaged } from '../../gateway/store/sealed/damage.ts'
import { readQualities } from '../../gateway/store/sealed/quality.ts'
import { chance } from './blocks.ts'

/** As it lies in a block: bytes before it that do not matter, and a sum behind it. */
function opened(bytes: Uint8Array, before: number, length: number): { column: Column; reader: ByteReader } {
  const out = new ByteWriter(8)
  for (let i = 0; i < before; i++) out.byte(255)
  for (const byte of bytes) out.byte(byte)
  out.sum(before)
  const reader = new ByteReader('course', out.written())
  reader.enter(before, out.length)
  return { column: new Column(reader, length), reader }
}

/** The form byte it was given. */
function comesBack(numbers: Float64Array, origin: number, before = 0): number {
  const out = new ByteWriter(8)
  writeColumn(out, numbers, 0, numbers.length, origin)
  const { column, reader } = opened(out.written(), before, numbers.length)
  reader.finish()
  const back = new Float64Array(numbers.length + 2).fill(0.5)
  column.into(back, 1, origin)
  expect([...back]).toEqual([0.5, ...numbers, 0.5])
  if (column.isOpen) expect(Array.from(numbers, (_, i) => column.at(i, origin))).toEqual([...numbers])
  return out.bytes[0] as number
}

const widths = Array.from({ length: 32 }, (_, width) => width)

describe('numbers come back from however few bits', () => {
  it.each(widths)('%i bits each: flat, along a line, as steps, and with some told apart', (width) => {
    const next = chance(width)
    const forms = new Set<number>()
    for (const length of [1, 2, 3, 31, 127, columnMax])
      for (const [slope, isSteps, outlier] of [
        [0, false, 0],
        [1_000.4, false, 0],
        [-3.3, false, 0],
        [0, true, 0],
        [0, false, 2 ** 40],
        [2 ** width / 3, true, -(2 ** 40)],
      ] as const) {
        let sum = 0
        const numbers = Float64Array.from({ length }, (_, i) => {
          const rest = Math.floor(next() * 2 ** width)
          if (isSteps) sum += rest
          const number = Math.floor(i * slope) + (isSteps ? sum : rest)
          return i === length >> 1 ? number + outlier : number
        })
        forms.add(comesBack(numbers, Math.floor(next() * 1e6), length % 3) & (patchedBit - 1))
      }
    // Nothing is shown of a width that no column was packed in.
    expect([...forms]).toContain(width)
  })

  it('any whole numbers, from any origin', () => {
    const number = fc.oneof(fc.maxSafeInteger(), fc.integer({ min: -300, max: 300 }), fc.integer())
    fc.assert(
      fc.property(fc.array(number, { minLength: 1, maxLength: columnMax }), number, (numbers, origin) => {
        comesBack(
          Float64Array.from(numbers, (n) => n + 0),
          origin,
        )
      }),
      { numRuns: 1_000 },
    )
  })

  it('numbers of one instrument, from wherever its time begins', () => {
    const ends = [Number.MIN_SAFE_INTEGER, -(2 ** 52), -8.64e15, 0, 8.64e15, 2 ** 52, Number.MAX_SAFE_INTEGER - 200_000]
    const steps = fc.array(fc.integer({ min: 0, max: 1_100 }), { minLength: 1, maxLength: columnMax })
    fc.assert(
      fc.property(fc.constantFrom(...ends), fc.integer({ min: 0, max: 50 }), steps, (end, after, gaps) => {
        let t = end + after
        const times = gaps.map((gapMs) => {
          t += gapMs
          return t
        })
        comesBack(Float64Array.from(times), end + after)
      }),
      { numRuns: 2_000 },
    )
  })

  it('numbers that no difference can tell are kept whole', () => {
    const { MAX_SAFE_INTEGER: end, MIN_SAFE_INTEGER: begin } = Number
    expect(comesBack(Float64Array.of(begin, end, 0), 0) >> formShift).toBe(3)
    expect(comesBack(Float64Array.of(begin, begin + 1), end) >> formShift).toBe(3)
    // On the way to these lies a number that is not exact.
    expect(comesBack(Float64Array.of(begin + 1, begin + 961, begin + 1_927, begin + 2_887), begin) >> formShift).toBe(3)
  })

  it('a line is told by its slope, a jump by its step, an outlier apart', () => {
    const next = chance(5)
    const line = Float64Array.from({ length: 127 }, (_, i) => 1_000 * i + Math.floor(40 * next()))
    expect(comesBack(line, 0) >> formShift).toBe(1)
    const jump = line.map((n, i) => (i < 60 ? n : n + 600_000))
    expect(comesBack(jump, 0)).toBeGreaterThanOrEqual((2 << formShift) | patchedBit)
    const outlier = Float64Array.from({ length: 128 }, (_, i) => (i === 77 ? 32_767 : Math.floor(9 * next())))
    expect(comesBack(outlier, 0) & ~31).toBe(patchedBit)
  })
})

describe('bytes that are no column are refused', () => {
  it('a number told apart that is none of them', () => {
    // Width 0, base 0, one told apart: number 2 of two, with the rest 0.
    expect(() => opened(Uint8Array.of(patchedBit, 0, 1, 2, 0), 0, 2)).toThrow(BlockDamaged)
    expect(() => opened(Uint8Array.of(patchedBit, 0, 1, 1, 0), 0, 2)).not.toThrow()
  })

  it('a line too steep to be counted in', () => {
    const out = new ByteWriter(16)
    out.byte(1 << formShift)
    out.signed(0)
    out.signed(2 ** 24)
    expect(() => opened(out.written(), 0, 2)).toThrow(/too steep/)
  })

  it('qualities of more readings than there are, or of no known kind', () => {
    const read = (...bytes: number[]) => {
      const qualities = new Uint8Array(10)
      readQualities(new ByteReader('course', Uint8Array.from(bytes)), qualities, 0, 4)
      return [...qualities.subarray(0, 5)]
    }
    expect(read(254, 0b1001, 0b0000)).toEqual([1, 1, 1, 0, 0])
    expect(read(255, 0b00_10_01_00)).toEqual([0, 1, 2, 0, 0])
    expect(read(2)).toEqual([2, 2, 2, 2, 0])
    for (const bytes of [[254, 0b10001], [254, 0b0011, 0], [255, 0b11], [3], [254, 0], []])
      expect(() => read(...bytes), `${bytes}`).toThrow(BlockDamaged)
  })
})
