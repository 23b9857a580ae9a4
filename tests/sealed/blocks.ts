/** Blocks for the promises of sealed hours: any that can be, and such as a foundry has. All of it is invented. */
import fc from 'fast-check'
import { blockReadingsMax, qualities, qualityReasons } from '../../shared/contract/index.ts'
import type { BlockColumns } from '../../gateway/store/sealed/block.ts'

const { MAX_SAFE_INTEGER, MIN_SAFE_INTEGER } = Number

/** One reading; its time is so much after the one before, its seq another than any before. */
interface Part {
  gapMs: number
  v: number
  quality: number
  arrivedAt: number
  seq: number
  reason: number
  claimedAt: number
}

/** An instant near its reading, or any at all. */
const lag = fc.oneof(
  { weight: 4, arbitrary: fc.integer({ min: 5, max: 60 }) },
  fc.constantFrom(0, -1, 8.64e15, -8.64e15, MAX_SAFE_INTEGER, MIN_SAFE_INTEGER),
  fc.maxSafeInteger(),
)

/** Mostly regular, some holes, some that no clock makes. */
const gap = fc.oneof(
  { weight: 8, arbitrary: fc.integer({ min: 960, max: 1_040 }) },
  { weight: 2, arbitrary: fc.integer({ min: 1, max: 3 }) },
  { weight: 1, arbitrary: fc.integer({ min: 1, max: 3_600_000 }) },
  { weight: 1, arbitrary: fc.integer({ min: 1, max: MAX_SAFE_INTEGER }) },
)

export const anyDouble = fc.double({ noNaN: true, noDefaultInfinity: true })

const small = fc.integer({ min: -3_000, max: 20_000 })

/** Where values come from: instruments that count in tenths, hundredths, sixteenths, other units, single precision, or anything. */
export const families: Record<string, fc.Arbitrary<number>> = {
  whole: small,
  tenths: small.map((n) => n / 10),
  hundredths: small.map((n) => n / 100),
  millionths: fc.integer({ min: -270_000_000, max: 1_820_000_000 }).map((n) => n / 1e6),
  sixteenths: small.map((n) => n / 16),
  'parts of 128': small.map((n) => n / 128),
  'parts of 256': small.map((n) => n / 256),
  'tenths of °F': small.map((n) => ((n / 10 - 32) * 5) / 9),
  'hundredths of K': small.map((n) => n / 100 - 273.15),
  'single precision': fc.float({ noNaN: true, noDefaultInfinity: true }),
  'the largest whole numbers': fc.maxSafeInteger(),
  'whole numbers beyond all exact ones': fc.integer({ min: -1_000, max: 1_000 }).map((n) => 1e17 + 16 * n),
  'any number': anyDouble,
  'tenths and any number': fc.oneof({ weight: 30, arbitrary: small.map((n) => n / 10) }, anyDouble),
}

function partOf(value: fc.Arbitrary<number>): fc.Arbitrary<Part> {
  return fc.record({
    gapMs: gap,
    v: value,
    quality: fc.oneof({ weight: 4, arbitrary: fc.constant(0) }, fc.integer({ min: 0, max: qualities.length - 1 })),
    arrivedAt: lag,
    seq: fc.oneof({ weight: 4, arbitrary: fc.integer({ min: 1, max: 130 }) }, fc.integer({ min: 1, max: 2 ** 50 })),
    reason: fc.integer({ min: -1, max: qualityReasons.length - 1 }),
    claimedAt: fc.oneof({ weight: 3, arbitrary: fc.constant(Number.NaN) }, lag),
  })
}

const clamp = (n: number) => Math.min(MAX_SAFE_INTEGER, Math.max(MIN_SAFE_INTEGER, n))

/** As many of the parts as fit before time or seq runs out. */
function columnsOf(start: number, parts: readonly Part[], areAllGood: boolean): BlockColumns {
  const rows: (Part & { t: number })[] = []
  let [t, seq] = [start, 0]
  for (const part of parts) {
    if (rows.length > 0) t += part.gapMs
    seq += part.seq
    if (!Number.isSafeInteger(t) || !Number.isSafeInteger(seq)) break
    rows.push({ ...part, t, seq })
  }
  const near = (row: { t: number }, lagMs: number) => (Math.abs(lagMs) < 100 ? clamp(row.t + lagMs) : lagMs)
  return {
    t: Float64Array.from(rows, (row) => row.t),
    v: Float64Array.from(rows, (row) => row.v),
    quality: Uint8Array.from(rows, (row) => (areAllGood ? 0 : row.quality)),
    arrivedAt: Float64Array.from(rows, (row) => near(row, row.arrivedAt)),
    seq: Float64Array.from(rows, (row) => row.seq),
    reason: Int8Array.from(rows, (row) => (areAllGood ? -1 : row.reason)),
    claimedAt: Float64Array.from(rows, (row) => (areAllGood ? Number.NaN : near(row, row.claimedAt))),
  }
}

/** Late ones come among the others: their seq is greater than those of readings after them. */
function withLateOnes(columns: BlockColumns, swaps: readonly [number, number][]): BlockColumns {
  const { seq } = columns
  for (const [a, b] of swaps) {
    const [i, j] = [a % seq.length, b % seq.length]
    const one = seq[i] as number
    seq[i] = seq[j] as number
    seq[j] = one
  }
  return columns
}

const startOf = fc.oneof(
  { weight: 4, arbitrary: fc.integer({ min: 1_500_000_000_000, max: 2_000_000_000_000 }) },
  fc.constantFrom(-8.64e15, 8.64e15 - 100_000, MIN_SAFE_INTEGER, MAX_SAFE_INTEGER, 0, -1),
  fc.maxSafeInteger(),
)

/** Any block of values of this family. */
export function blockOf(value: fc.Arbitrary<number>, readingsMax = 300): fc.Arbitrary<BlockColumns> {
  return fc
    .record({
      start: startOf,
      parts: fc.array(partOf(value), { minLength: 1, maxLength: readingsMax, size: 'max' }),
      areAllGood: fc.boolean(),
      swaps: fc.array(fc.tuple(fc.nat(), fc.nat()), { maxLength: 3 }),
    })
    .map(({ start, parts, areAllGood, swaps }) => withLateOnes(columnsOf(start, parts, areAllGood), swaps))
}

export const anyBlock = fc.constantFrom(...Object.values(families)).chain((value) => blockOf(value))

/** A generator that a seed repeats (mulberry32, from memory): 0 ≤ number < 1. */
export function chance(seed: number): () => number {
  let state = seed
  return () => {
    state = (state + 0x6d_2b_79_f5) | 0
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state)
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32
  }
}

/** An hour of a wax pot at one reading a second: tenths of a degree with noise, the instrument's clock uneven by 20 ms. */
export function potHour(seed: number, count = 3_600): BlockColumns {
  const next = chance(seed)
  const noise = () => next() + next() + next() - 1.5
  const start = 1_750_000_000_000 + seed * 3_600_000
  const columns: BlockColumns = {
    t: Float64Array.from({ length: count }, (_, i) => start + 1_000 * i + Math.round(40 * next() - 20)),
    v: Float64Array.from({ length: count }, (_, i) => Math.round(10 * (93 + Math.sin(i / 900) + 0.3 * noise())) / 10),
    quality: new Uint8Array(count),
    arrivedAt: new Float64Array(count),
    seq: Float64Array.from({ length: count }, (_, i) => 1_000 + 64 * i + Math.floor(9 * next())),
    reason: new Int8Array(count).fill(-1),
    claimedAt: new Float64Array(count).fill(Number.NaN),
  }
  columns.arrivedAt = columns.t.map((t) => t + 5 + Math.floor(56 * next()))
  return columns
}

export const blockSizes = [1, 2, 127, 128, 129, 256, 257, blockReadingsMax - 1, blockReadingsMax]
