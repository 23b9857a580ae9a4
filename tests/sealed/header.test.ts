/** The header of a block says of its readings what a plain look at them says. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { BlockColumns, Header } from '../../gateway/store/sealed/block.ts'
import { checkBlock } from '../../gateway/store/sealed/check.ts'
import { crc32 } from '../../gateway/store/sealed/crc.ts'
import { BlockDamaged } from '../../gateway/store/sealed/damage.ts'
import { encodeBlock } from '../../gateway/store/sealed/encode.ts'
import { badQuality } from '../../shared/series/columns.ts'
import { statistics } from '../../shared/series/statistics.ts'
import { anyBlock, potHour } from './blocks.ts'

interface Good {
  t: number
  v: number
  index: number
}

function goodOf({ t, v, quality }: BlockColumns): Good[] {
  return Array.from(t, (at, index) => ({ t: at, v: (v[index] as number) + 0, index })).filter(
    ({ index }) => quality[index] !== badQuality,
  )
}

/** Written apart from the product, the slow way. */
function plainHeader(columns: BlockColumns): Partial<Header> {
  const good = goodOf(columns)
  const values = good.map(({ v }) => v)
  const lowest = good.find(({ v }) => v === Math.min(...values))
  const highest = good.find(({ v }) => v === Math.max(...values))
  const pairs = good.slice(1).map((next, i) => [good[i] as Good, next] as const)
  const gaps = pairs.map(([a, b]) => (b.index === a.index + 1 ? b.t - a.t : Number.POSITIVE_INFINITY))
  return {
    count: columns.t.length,
    bad: columns.t.length - good.length,
    from: columns.t[0] as number,
    to: columns.t.at(-1) as number,
    firstT: good[0]?.t ?? Number.NaN,
    firstV: good[0]?.v ?? Number.NaN,
    lastT: good.at(-1)?.t ?? Number.NaN,
    lastV: good.at(-1)?.v ?? Number.NaN,
    lowT: lowest?.t ?? Number.NaN,
    lowV: lowest?.v ?? Number.NaN,
    highT: highest?.t ?? Number.NaN,
    highV: highest?.v ?? Number.NaN,
    longestGapMs: good.length === 0 ? Number.NaN : Math.max(0, ...gaps),
    integral: good.length === 0 ? Number.NaN : pairs.reduce((sum, [a, b]) => sum + ((a.v + b.v) / 2) * (b.t - a.t), 0),
  }
}

describe('a header stands for its block', () => {
  it('it says what a plain look at the readings says', () => {
    fc.assert(
      fc.property(anyBlock, (columns) => {
        const { header, course, arrival } = encodeBlock(columns)
        expect(header).toEqual({
          ...plainHeader(columns),
          courseBytes: course.length,
          arrivalBytes: arrival.length,
          courseCrc: crc32(course),
          arrivalCrc: crc32(arrival),
        })
      }),
      { numRuns: 700 },
    )
  })

  it('its integral over the time of an hour is the mean that the statistics give', () => {
    const columns = potHour(21)
    const { header } = encodeBlock(columns)
    const fold = statistics(header.from, header.to, { from: null, to: null }, 30_000)
    fold.add(columns)
    expect(header.integral / (header.to - header.from)).toBe(fold.finish().mean)
  })

  it('an hour without one good reading has no lowest, no highest and no integral', () => {
    const columns = potHour(22, 5)
    columns.quality.fill(badQuality)
    const { header } = encodeBlock(columns)
    expect(header).toMatchObject({ count: 5, bad: 5, lowT: Number.NaN, highV: Number.NaN, integral: Number.NaN })
    expect(header.longestGapMs).toBe(Number.NaN)
  })
})

describe('a block that is not what its header says is found', () => {
  const { header, course, arrival } = encodeBlock(potHour(23))
  const whole = { id: 7, ...header }

  it('one that is, passes', () => {
    expect(() => checkBlock(whole, course, arrival)).not.toThrow()
    fc.assert(
      fc.property(anyBlock, (columns) => {
        const encoded = encodeBlock(columns)
        checkBlock({ id: 1, ...encoded.header }, encoded.course, encoded.arrival)
      }),
      { numRuns: 200 },
    )
  })

  it.each(Object.keys(header) as (keyof typeof header)[])('a header with another %s is told by that name', (key) => {
    const other = { ...whole, [key]: header[key] + 1 }
    let told: unknown
    try {
      checkBlock(other, course, arrival)
    } catch (error) {
      told = error
    }
    expect(told).toBeInstanceOf(BlockDamaged)
    const where = (told as BlockDamaged).where
    expect(where).toBe(key.startsWith('course') ? 'course' : key.startsWith('arrival') ? 'arrival' : `header, ${key}`)
  })

  it('the block of another hour is refused', () => {
    const other = encodeBlock(potHour(24))
    expect(() => checkBlock(whole, other.course, arrival)).toThrow(BlockDamaged)
    expect(() => checkBlock(whole, course, other.arrival)).toThrow(BlockDamaged)
  })
})
