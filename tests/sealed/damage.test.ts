/** Bytes that are not what was written are refused in a sentence: never a crash, never a wait without end, never a wrong value. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { BlockColumns } from '../../gateway/store/sealed/block.ts'
import { ByteReader } from '../../gateway/store/sealed/byte-reader.ts'
import { checkBlock } from '../../gateway/store/sealed/check.ts'
import { Column } from '../../gateway/store/sealed/column.ts'
import { breachOf } from '../../gateway/store/sealed/breach.ts'
import { openCourse } from '../../gateway/store/sealed/course.ts'
import { crc32c } from '../../gateway/store/sealed/crc.ts'
import { BlockDamaged } from '../../gateway/store/sealed/damage.ts'
import { decodeBlock } from '../../gateway/store/sealed/decode.ts'
import { type Encoded, encodeBlock } from '../../gateway/store/sealed/encode.ts'
import { anyBlock, potHour } from './blocks.ts'

/** Blocks of every make: those of all families, and a pot's. */
const written = [
  ...fc.sample(anyBlock, { seed: 3, numRuns: 60 }),
  potHour(31, 400),
  potHour(32, 5),
  potHour(33, 1),
].map((columns) => ({ columns, ...encodeBlock(columns) }))
type Written = (typeof written)[number]

type Change = (bytes: Uint8Array) => Uint8Array

const flip = fc.tuple(fc.nat(), fc.integer({ min: 1, max: 255 })).map(
  ([at, by]): Change =>
    (bytes) => {
      const changed = bytes.slice()
      changed[at % bytes.length] = (changed[at % bytes.length] as number) ^ by
      return changed
    },
)
const cutOff = fc.nat().map(
  (at): Change =>
    (bytes) =>
      bytes.slice(0, at % bytes.length),
)
const drawnOut = fc.uint8Array({ minLength: 1, maxLength: 20 }).map(
  (more): Change =>
    (bytes) =>
      Uint8Array.from([...bytes, ...more]),
)
const overwritten = fc.tuple(fc.nat(), fc.uint8Array({ minLength: 1, maxLength: 40 })).map(
  ([at, other]): Change =>
    (bytes) => {
      const changed = bytes.slice()
      changed.set(other.subarray(0, bytes.length - (at % bytes.length)), at % bytes.length)
      return changed
    },
)
const change = fc.oneof(
  { weight: 4, arbitrary: flip },
  { weight: 1, arbitrary: cutOff },
  { weight: 1, arbitrary: drawnOut },
  { weight: 2, arbitrary: overwritten },
)
const changes = fc.array(change, { minLength: 1, maxLength: 4 })
const anyWritten = fc.constantFrom(...written)

function applied(bytes: Uint8Array, all: readonly Change[]): Uint8Array {
  return all.reduce((before, one) => (before.length === 0 ? before : one(before)), bytes)
}

function areSame(a: Uint8Array, b: Uint8Array): boolean {
  return a.length === b.length && a.every((byte, i) => byte === b[i])
}

/** What it gives; null where it refuses as it should. Anything else goes through. */
function orRefused<T>(work: () => T): T | null {
  try {
    return work()
  } catch (error) {
    if (!(error instanceof BlockDamaged)) throw error
    expect(error.message).toMatch(/^[A-Z].*\.$/)
    expect(error.where).not.toBe('')
    return null
  }
}

/** Everything a chart asks of a course. */
function askEverything(bytes: Uint8Array): { t: Float64Array; v: Float64Array; quality: Uint8Array } {
  const opened = openCourse(bytes)
  const last = opened.length - 1
  for (const index of [0, last >> 1, last]) {
    opened.placeOf(opened.t(index))
    opened.v(index)
  }
  opened.lowest(last >> 2, last + 1)
  opened.highest(0, (last >> 1) + 1)
  return { t: opened.times(), v: opened.values(), quality: opened.qualities() }
}

/** Sets a checksum over the bytes before it. */
function sumAt(bytes: Uint8Array, from: number, at: number): void {
  new DataView(bytes.buffer, bytes.byteOffset).setUint32(at, crc32c(bytes, from, at), true)
}

/** Gives changed bytes checksums that fit, so that the reader must find out by itself. False where there is no room for them. */
function resealed(course: Uint8Array, original: Encoded): void {
  const reader = new ByteReader('course', original.course)
  const headBytes = reader.view.getUint16(3, true)
  reader.enter(0, headBytes)
  reader.take(5)
  const chunks = Math.ceil(reader.varint() / 128)
  reader.float64()
  const lengths = new Float64Array(chunks)
  new Column(reader, chunks).into(lengths, 0, 0)
  let from = 0
  for (const length of [headBytes, ...lengths]) {
    if (from + length <= course.length) sumAt(course, from, from + length - 4)
    from += length
  }
}

function expectOriginal({ columns }: Written, found: Partial<BlockColumns>): void {
  for (const key of Object.keys(found) as (keyof BlockColumns)[])
    expect(
      (found[key] as Float64Array).every((n, i) => Object.is(n, (columns[key][i] as number) + 0)),
      key,
    ).toBe(true)
}

describe('a block that was damaged', () => {
  it('is refused wherever a byte of it is another, is missing or is one too many', () => {
    fc.assert(
      fc.property(anyWritten, changes, changes, fc.nat(2), (block, some, others, which) => {
        const course = which === 1 ? block.course : applied(block.course, some)
        const arrival = which === 0 ? block.arrival : applied(block.arrival, others)
        const found = orRefused(() => decodeBlock(course, arrival))
        if (found !== null) expect(areSame(course, block.course) && areSame(arrival, block.arrival)).toBe(true)
        const { course: _, arrival: __, columns: ___, ...rest } = block
        const isRight = orRefused(() => checkBlock({ id: 1, ...rest.header }, course, arrival) ?? true)
        expect(isRight !== null).toBe(found !== null)
      }),
      { numRuns: 20_000, seed: 41 },
    )
  })

  it('tells a chart nothing that was not measured, however little of it is looked at', () => {
    fc.assert(
      fc.property(anyWritten, changes, (block, some) => {
        const course = applied(block.course, some)
        const found = orRefused(() => askEverything(course))
        if (found !== null) expectOriginal(block, found)
        // Even where the damage lies in another part than the one that is looked at.
        const part = orRefused(() => {
          const opened = openCourse(course)
          return { length: opened.length, t: opened.t(0), v: opened.v(0) }
        })
        if (part !== null)
          expect(part).toEqual({
            length: block.columns.t.length,
            t: block.columns.t[0],
            v: (block.columns.v[0] as number) + 0,
          })
      }),
      { numRuns: 20_000, seed: 42 },
    )
  })

  it('by one who set its checksums anew, is refused or still a block, and is never believed beside its header', () => {
    fc.assert(
      fc.property(anyWritten, changes, changes, (block, some, others) => {
        const course = applied(block.course, some)
        const arrival = applied(block.arrival, others)
        resealed(course, block)
        if (arrival.length >= 4) sumAt(arrival, 0, arrival.length - 4)
        orRefused(() => askEverything(course))
        const found = orRefused(() => decodeBlock(course, arrival))
        if (found !== null) expect(breachOf(found)).toBe(null)
        const isSame = areSame(course, block.course) && areSame(arrival, block.arrival)
        expect(orRefused(() => checkBlock({ id: 1, ...block.header }, course, arrival) ?? true) !== null).toBe(isSame)
      }),
      { numRuns: 20_000, seed: 43 },
    )
  })

  it('and made of any bytes at all, is refused', () => {
    const bytes = fc.uint8Array({ maxLength: 400, size: 'max' })
    fc.assert(
      fc.property(bytes, fc.boolean(), (any, isVersioned) => {
        const course = any.slice()
        if (isVersioned && course.length > 9) {
          course[0] = 1
          const headBytes = Math.min(course.length, 9 + (course[3] as number))
          new DataView(course.buffer).setUint16(3, headBytes, true)
          sumAt(course, 0, headBytes - 4)
        }
        expect(orRefused(() => askEverything(course))).toBe(null)
        expect(orRefused(() => decodeBlock((written[0] as Written).course, any))).toBe(null)
      }),
      { numRuns: 20_000, seed: 44 },
    )
  })

  it('says where and why', () => {
    const { course, arrival } = encodeBlock(potHour(34, 300))
    const turned = course.slice()
    turned[200] = (turned[200] as number) ^ 1
    const refusal = (work: () => unknown): string => {
      try {
        work()
      } catch (error) {
        return `${(error as BlockDamaged).where} – ${(error as Error).message}`
      }
      return 'nothing'
    }
    expect(refusal(() => openCourse(turned).times())).toMatch(
      /^course, byte \d+ – The course is damaged at byte \d+: the checksum of its bytes up to \d+ does not fit\.$/,
    )
    expect(refusal(() => decodeBlock(course, arrival.subarray(0, 1)))).toBe(
      'arrival, byte 0 – The arrival is damaged at byte 0: it should reach to byte 1 and does not.',
    )
    expect(refusal(() => openCourse(Uint8Array.of(9)))).toBe(
      'course, byte 0 – The course is damaged at byte 0: it is of version 9, which is not known.',
    )
    expect(refusal(() => openCourse(new Uint8Array()))).toBe(
      'course, byte 0 – The course is damaged at byte 0: it breaks off here.',
    )
  })
})
