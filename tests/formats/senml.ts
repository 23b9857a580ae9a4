/** Packs for the tests: any that is valid, and how a text becomes a payload. */
import fc from 'fast-check'
import { toBase64url } from '../../gateway/intake/formats/senml/base64url.ts'
import type { SenmlRecord } from '../../gateway/intake/formats/senml/record.ts'

export const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text)
export const bytesOfHex = (hex: string): Uint8Array =>
  Uint8Array.from(hex.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16))
export const hexOf = (bytes: Uint8Array): string => [...bytes].map((b) => b.toString(16).padStart(2, '0')).join('')

const number = fc
  .oneof(fc.double({ noNaN: true, noDefaultInfinity: true }), fc.integer(), fc.constantFrom(0.1, 23.1, 1e300, 5e-324))
  .map((n) => (n === 0 ? 0 : n))
const text = fc.string({ unit: 'grapheme', maxLength: 20 })
const data = fc.uint8Array({ maxLength: 20 }).map(toBase64url)

const fields: { [label in keyof Required<SenmlRecord>]: fc.Arbitrary<Required<SenmlRecord>[label]> } = {
  bn: text,
  bt: number,
  bu: text,
  bv: number,
  bs: number,
  bver: fc.integer({ min: 1, max: 2 ** 40 }),
  n: text,
  u: text,
  v: number,
  vs: text,
  vb: fc.boolean(),
  vd: data,
  s: number,
  t: number,
  ut: number,
}

/** Any pack as it may be written, sensible or not, its labels in any order. */
export const writtenPack = fc.array(
  fc
    .record(fields, { requiredKeys: [] })
    .chain((record) =>
      fc
        .shuffledSubarray(Object.entries(record), { minLength: Object.keys(record).length })
        .map((entries) => Object.fromEntries(entries) as SenmlRecord),
    ),
  { minLength: 1, maxLength: 8 },
)

const small = fc.double({ noNaN: true, min: -1e6, max: 1e6 }).map((n) => (n === 0 ? 0 : n))
const name = fc.stringMatching(/^[A-Za-z0-9][A-Za-z0-9\-:./_]{0,12}$/)

/** Packs that can be resolved: bases come and go, every record with one value. */
export const sensiblePack = fc
  .tuple(
    fc.constantFrom(undefined, 5, 26),
    fc.array(
      fc.record(
        {
          bn: name,
          bt: fc.constantFrom(0, 1_320_067_464, 1_276_020_076.001),
          bu: fc.constantFrom('Cel', '%RH'),
          bv: small,
          n: name,
          u: fc.constantFrom('K', 'A', 'lat'),
          v: small,
          s: small,
          t: fc.double({ noNaN: true, min: -1_000, max: 1_000 }),
          ut: fc.integer({ min: 0, max: 3_600 }),
        },
        { requiredKeys: ['n', 'v'] },
      ),
      { minLength: 1, maxLength: 12 },
    ),
  )
  .map(([bver, records]): SenmlRecord[] =>
    records.map((record, i) => (i === 0 && bver !== undefined ? { bver, ...record } : record)),
  )
