/** What went into a block comes out of it: every time, value, quality, arrival and order, bit for bit. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { BlockColumns } from '../../gateway/store/sealed/block.ts'
import { qualities, qualityReasons } from '../../shared/contract/index.ts'
import { decodeBlock } from '../../gateway/store/sealed/decode.ts'
import { encodeBlock } from '../../gateway/store/sealed/encode.ts'
import { blockOf, blockSizes, families, potHour } from './blocks.ts'

function comesBack(columns: BlockColumns): void {
  const { course, arrival } = encodeBlock(columns)
  const back = decodeBlock(course, arrival)
  for (const key of Object.keys(columns) as (keyof BlockColumns)[]) {
    expect(back[key].constructor, key).toBe(columns[key].constructor)
    expect(firstDifference(back[key], columns[key]), key).toBe(null)
  }
}

/** Bit for bit, but that a block knows no −0. */
function firstDifference(found: ArrayLike<number>, expected: ArrayLike<number>): string | null {
  if (found.length !== expected.length) return `${found.length} of ${expected.length}`
  for (let i = 0; i < expected.length; i++)
    if (!Object.is(found[i], (expected[i] as number) + 0)) return `[${i}] is ${found[i]}, was ${expected[i]}`
  return null
}

function changed(columns: BlockColumns, change: (columns: BlockColumns) => void): BlockColumns {
  change(columns)
  return columns
}

describe('a sealed hour is the hour that was measured', () => {
  it.each(Object.entries(families))('readings in %s come back bit for bit, whatever their times', (_, value) => {
    fc.assert(fc.property(blockOf(value), comesBack), { numRuns: 150 })
  })

  it.each(blockSizes)('a block of %i readings comes back', (count) => comesBack(potHour(1, count)))

  it('one reading comes back, at either end of time', () => {
    for (const t of [-8.64e15, 8.64e15, Number.MIN_SAFE_INTEGER, Number.MAX_SAFE_INTEGER])
      comesBack(changed(potHour(2, 1), (columns) => columns.t.fill(t)))
  })

  it('two readings at the two ends of time come back, whenever they arrived', () => {
    const { MAX_SAFE_INTEGER: end, MIN_SAFE_INTEGER: begin } = Number
    for (const arrivals of [
      [begin, end],
      [end, begin],
    ])
      comesBack(
        changed(potHour(3, 2), (columns) => {
          columns.t.set([begin, end])
          columns.arrivedAt.set(arrivals)
          columns.claimedAt.set(arrivals)
          columns.seq.set([end, 1])
        }),
      )
  })

  it('a sensor that never moves takes next to nothing and comes back', () => {
    const columns = changed(potHour(4), ({ t, v }) => {
      v.fill(93.4)
      t.forEach((_, i) => {
        t[i] = 1_000 * i
      })
    })
    comesBack(columns)
    expect(encodeBlock(columns).course.length).toBeLessThan(600)
  })

  it('an hour of nothing but bad readings comes back with every reason and every claimed time', () => {
    comesBack(
      changed(potHour(5), ({ quality, reason, claimedAt, t }) => {
        quality.fill(2)
        reason.forEach((_, i) => {
          reason[i] = (i >> 3) % qualityReasons.length
        })
        claimedAt.set(t.map((at) => at - 86_400_123))
      }),
    )
  })

  it('a lone sensor code among tenths costs a few bytes, not the hour', () => {
    const plain = encodeBlock(potHour(6)).course.length
    const columns = changed(potHour(6), ({ v, quality }) => {
      v[1_800] = 32_767
      quality[1_800] = 2
    })
    comesBack(columns)
    expect(encodeBlock(columns).course.length).toBeLessThan(plain + 100)
  })

  it('a hole of ten minutes costs a few bytes, not the hour', () => {
    const plain = encodeBlock(potHour(7)).course.length
    const columns = changed(potHour(7), ({ t }) => {
      for (let i = 1_850; i < t.length; i++) t[i] = (t[i] as number) + 600_000
    })
    comesBack(columns)
    expect(encodeBlock(columns).course.length).toBeLessThan(plain + 100)
  })

  it('values given in °F or K take hardly more room than those in °C', () => {
    const celsius = encodeBlock(potHour(8)).course.length
    const fahrenheit = changed(potHour(8), ({ v }) => {
      v.forEach((value, i) => {
        v[i] = ((Math.round(value * 18 + 320) / 10 - 32) * 5) / 9
      })
    })
    comesBack(fahrenheit)
    expect(encodeBlock(fahrenheit).course.length).toBeLessThan(1.3 * celsius)
    const kelvin = changed(potHour(8), ({ v }) => {
      v.forEach((value, i) => {
        v[i] = Math.round(value * 10 + 2_731.5) / 10 - 273.15
      })
    })
    comesBack(kelvin)
    expect(encodeBlock(kelvin).course.length).toBeLessThan(1.3 * celsius)
  })

  it('an hour at one reading a second takes less than 2 bytes a reading, and less than 4 with all that a replay needs', () => {
    const { course, arrival } = encodeBlock(potHour(9))
    expect(course.length / 3_600).toBeLessThan(2)
    expect((course.length + arrival.length) / 3_600).toBeLessThan(4)
  })
})

describe('what cannot be a block is refused in a sentence', () => {
  const refusals: [string, RegExp, (columns: BlockColumns) => void][] = [
    ['no reading', /holds 1 to 4096 readings, not 0/, (c) => Object.assign(c, potHour(1, 0))],
    ['too many', /holds 1 to 4096 readings, not 4097/, (c) => Object.assign(c, potHour(1, 4_097))],
    ['columns of different length', /differ in length/, (c) => Object.assign(c, { v: new Float64Array(3) })],
    ['a time twice', /not after the one before it/, ({ t }) => t.set([5, 5])],
    ['half a millisecond', /no whole millisecond/, ({ t }) => t.fill(0.5)],
    ['no value', /has the value NaN/, ({ v }) => v.fill(Number.NaN)],
    ['an endless value', /has the value Infinity/, ({ v }) => v.fill(Number.POSITIVE_INFINITY)],
    ['a quality that is none', /quality that is not known/, ({ quality }) => quality.fill(qualities.length)],
    ['a reason that is none', /reason that is not known/, ({ reason }) => reason.fill(qualityReasons.length)],
    ['no order of arrival', /has the seq 0/, ({ seq }) => seq.fill(0)],
    ['the same seq twice', /have the same seq/, ({ seq }) => seq.fill(7)],
    ['an arrival at no time', /arrived at NaN/, ({ arrivedAt }) => arrivedAt.fill(Number.NaN)],
    ['a claim of no time', /claims to be of Infinity/, ({ claimedAt }) => claimedAt.fill(Number.POSITIVE_INFINITY)],
  ]
  it.each(refusals)('%s', (_, sentence, change) => {
    const columns = changed(potHour(1, 10), change)
    expect(() => encodeBlock(columns)).toThrow(RangeError)
    expect(() => encodeBlock(columns)).toThrow(sentence)
  })
})
