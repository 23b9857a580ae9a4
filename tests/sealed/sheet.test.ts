/** A sheet gives back every header of its day, finds the one of an instant, and is refused where a byte of it is not right. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Header } from '../../gateway/store/sealed/block.ts'
import { BlockDamaged } from '../../gateway/store/sealed/damage.ts'
import { encodeBlock } from '../../gateway/store/sealed/encode.ts'
import { headerBytes, packSheet, Sheet } from '../../gateway/store/sealed/sheet.ts'
import { anyDouble, potHour } from './blocks.ts'

const { NaN: nothing, POSITIVE_INFINITY: endless } = Number
const value = anyDouble.map((v) => v + 0)
const uint32 = fc.integer({ min: 0, max: 2 ** 32 - 1 })

/** Of a block that begins so long after the one before. */
const header = fc
  .record({
    id: fc.integer({ min: 1, max: Number.MAX_SAFE_INTEGER }),
    count: fc.integer({ min: 1, max: 4_096 }),
    isGood: fc.boolean(),
    gap: fc.integer({ min: 1, max: 3_600_000 }),
    spanMs: fc.integer({ min: 0, max: 3_600_000 }),
    first: fc.tuple(fc.integer({ min: 0, max: 3_600_000 }), value),
    low: fc.tuple(fc.integer({ min: 0, max: 3_600_000 }), value),
    longestGapMs: fc.oneof(fc.integer({ min: 0, max: 3_600_000 }), fc.constant(endless)),
    integral: fc.oneof(value, fc.constant(endless)),
    courseCrc: uint32,
    arrivalCrc: uint32,
    courseBytes: uint32,
    arrivalBytes: uint32,
  })
  .map(({ isGood, gap, spanMs, first, low, ...rest }) => ({ isGood, gap, spanMs, first, low, rest }))

const headers = fc
  .tuple(fc.integer({ min: -8.64e15, max: 8.64e15 }), fc.array(header, { maxLength: 40 }))
  .map(([start, parts]) => {
    let before = start
    return parts.map(({ isGood, gap, spanMs, first, low, rest }): Header => {
      const from = before + gap
      before = from + spanMs
      const good = {
        firstT: from + first[0],
        firstV: first[1],
        lastT: before,
        lastV: low[1],
        lowT: from + low[0],
        lowV: low[1],
        highT: from,
        highV: first[1],
      }
      const none = Object.fromEntries(Object.keys(good).map((key) => [key, nothing])) as typeof good
      const tail = { from, to: before, bad: isGood ? 0 : rest.count }
      if (isGood) return { ...rest, ...good, ...tail }
      return { ...rest, ...none, ...tail, longestGapMs: nothing, integral: nothing }
    })
  })

/** Headers of a day of a pot, as they are. */
const day = Array.from({ length: 24 }, (_, hour) => ({ id: hour + 1, ...encodeBlock(potHour(hour, 50)).header }))

describe('a sheet is the headers of a day', () => {
  it('every header comes back, field by field and as a whole', () => {
    fc.assert(
      fc.property(headers, (packed) => {
        const sheet = new Sheet(packSheet(packed))
        expect(sheet.length).toBe(packed.length)
        packed.forEach((one, i) => {
          expect(sheet.header(i)).toEqual(one)
          for (const key of Object.keys(one) as (keyof Header)[]) expect(sheet[key](i), key).toBe(one[key])
        })
      }),
      { numRuns: 300 },
    )
  })

  it('a real day comes back, wherever its bytes lie', () => {
    const bytes = packSheet(day)
    const elsewhere = new Uint8Array(bytes.length + 3)
    elsewhere.set(bytes, 3)
    const sheet = new Sheet(elsewhere.subarray(3))
    expect(day.map((_, i) => sheet.header(i))).toEqual(day)
    expect(bytes.length).toBe(5 + 24 * headerBytes)
  })

  it('the header of an instant is the last that begins at or before it', () => {
    fc.assert(
      fc.property(headers, fc.nat(), fc.integer({ min: -1, max: 1 }), (packed, any, by) => {
        const sheet = new Sheet(packSheet(packed))
        const t = (packed[any % Math.max(1, packed.length)]?.from ?? 0) + by
        expect(sheet.placeOf(t)).toBe(packed.findLastIndex(({ from }) => from <= t))
      }),
    )
    const sheet = new Sheet(packSheet(day))
    expect(sheet.placeOf(Number.NEGATIVE_INFINITY)).toBe(-1)
    expect(sheet.placeOf(endless)).toBe(23)
  })

  it('headers that do not follow one another are not packed, nor such as reach over months', () => {
    expect(() => packSheet([...day].reverse())).toThrow(RangeError)
    expect(() => packSheet([day[0] as Header, day[0] as Header])).toThrow(RangeError)
    const long = { ...(day[0] as Header), to: (day[0] as Header).from + 2 ** 32 }
    expect(() => packSheet([long])).toThrow(RangeError)
  })

  it('a header that is not there is refused', () => {
    const sheet = new Sheet(packSheet(day))
    for (const index of [-1, 24, nothing]) expect(() => sheet.header(index)).toThrow(RangeError)
  })
})

describe('a sheet that was damaged is refused, with where', () => {
  const bytes = packSheet(day.slice(0, 3))

  it('any one bit of it turned', () => {
    for (let bit = 0; bit < 8 * bytes.length; bit++) {
      const turned = bytes.slice()
      turned[bit >> 3] = (turned[bit >> 3] as number) ^ (1 << (bit & 7))
      expect(() => new Sheet(turned), `bit ${bit}`).toThrow(BlockDamaged)
    }
  })

  it('cut off or drawn out anywhere', () => {
    for (let length = 0; length < bytes.length; length++)
      expect(() => new Sheet(bytes.subarray(0, length)), `${length} bytes`).toThrow(BlockDamaged)
    const longer = new Uint8Array(bytes.length + headerBytes)
    longer.set(bytes)
    expect(() => new Sheet(longer)).toThrow(BlockDamaged)
  })

  it('of a later version', () => {
    const later = bytes.slice()
    later[0] = 2
    expect(() => new Sheet(later)).toThrow('The sheet is damaged at byte 0: it is of version 2, which is not known.')
  })
})
