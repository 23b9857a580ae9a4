/** Sparkplug payloads are understood as an independent encoder writes them, and ours as it reads them. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  decodeSparkplug,
  encodeSparkplug,
  type Metric,
  type SparkplugPayload,
} from '../../gateway/intake/formats/sparkplug/payload.ts'
import { numberOf } from '../../gateway/intake/formats/sparkplug/value.ts'
import golden from '../data/wire-golden.json' with { type: 'json' }
import { peer } from './edge.ts'
import { bytesOfHex, hexOf } from './senml.ts'

function decoded(bytes: Uint8Array): SparkplugPayload {
  const payload = decodeSparkplug(bytes)
  if (typeof payload === 'string') throw new Error(payload)
  return payload
}

const uint64 = fc.bigInt({ min: 0n, max: 2n ** 64n - 1n })
const carried = fc.oneof(
  fc.record({ as: fc.constant('int' as const), value: fc.integer({ min: 0, max: 2 ** 32 - 1 }) }),
  fc.record({ as: fc.constant('long' as const), value: uint64 }),
  fc.record({ as: fc.constant('float' as const), value: fc.float({ noNaN: true }) }),
  fc.record({ as: fc.constant('double' as const), value: fc.double({ noNaN: true }) }),
  fc.record({ as: fc.constant('boolean' as const), value: fc.boolean() }),
  fc.record({ as: fc.constant('string' as const), value: fc.string({ unit: 'grapheme' }) }),
)
const metric: fc.Arbitrary<Metric> = fc.record(
  {
    name: fc.string({ unit: 'grapheme' }),
    alias: uint64,
    timestamp: uint64,
    datatype: fc.integer({ min: 0, max: 34 }),
    isHistorical: fc.boolean(),
    isNull: fc.boolean(),
    properties: fc
      .uniqueArray(
        fc.tuple(
          fc.string({ maxLength: 8 }),
          fc.record({ type: fc.nat(20), isNull: fc.boolean(), carried }, { requiredKeys: [] }),
        ),
        { selector: ([key]) => key, maxLength: 3 },
      )
      .map((entries) => new Map(entries)),
    carried,
  },
  { requiredKeys: [] },
)
const payload: fc.Arbitrary<SparkplugPayload> = fc.record(
  { timestamp: uint64, seq: uint64, metrics: fc.array(metric, { maxLength: 6 }) },
  { requiredKeys: ['metrics'] },
)

describe('a Sparkplug payload', () => {
  it('that another encoder wrote is read: the sample birth', () => {
    const { hex, input } = golden.sparkplug_nbirth_sample
    const { timestamp, seq, metrics } = decoded(bytesOfHex(hex))
    expect([Number(timestamp), Number(seq)]).toEqual([input.timestamp, input.seq])
    expect(metrics.map(({ name, alias, carried: one }) => [name, alias, one?.value])).toEqual([
      ['bdSeq', undefined, 0n],
      ['Node Control/Rebirth', undefined, false],
      ['burnout/T1', 1n, 732.5],
      ['wax/T', 2n, 65.25],
      ['note', undefined, 'ok'],
    ])
    expect(hexOf(encodeSparkplug(decoded(bytesOfHex(hex))))).toBe(hex)
  })

  it('is the same after it was written and read', () => {
    fc.assert(
      fc.property(payload, (any) => {
        expect(decodeSparkplug(encodeSparkplug(any))).toEqual(any)
      }),
      { numRuns: 500 },
    )
  })

  it('that we wrote is read by the other one', () => {
    const bytes = encodeSparkplug({
      timestamp: 1_700_000_000_000n,
      seq: 255n,
      metrics: [
        { name: 'Node Control/Rebirth', datatype: 11, carried: { as: 'boolean', value: true } },
        { name: 'big', alias: 2n ** 63n, datatype: 8, carried: { as: 'long', value: 2n ** 64n - 1n } },
        { name: 'T', datatype: 10, timestamp: 5n, isHistorical: true, carried: { as: 'double', value: 21.5 } },
        {
          name: 'none',
          datatype: 9,
          isNull: true,
          properties: new Map([['Quality', { type: 3, carried: { as: 'int', value: 500 } }]]),
        },
      ],
    })
    const { seq, metrics = [] } = peer.decodePayload(bytes)
    expect(String(seq)).toBe('255')
    expect(metrics?.map(({ name, value, type }) => [name, String(value), type])).toEqual([
      ['Node Control/Rebirth', 'true', 'Boolean'],
      ['big', '18446744073709551615', 'UInt64'],
      ['T', '21.5', 'Double'],
      ['none', 'null', 'Float'],
    ])
    expect(String(metrics?.[1]?.alias)).toBe('9223372036854775808')
    expect(metrics?.[2]?.isHistorical).toBe(true)
    expect(metrics?.[3]?.properties?.['Quality']?.value).toBe(500)
  })

  it('carries every kind of number as the other one writes it', () => {
    const numbers = [
      ['Int8', 1, -5],
      ['Int16', 2, -30_000],
      ['Int32', 3, -2_000_000_000],
      ['Int64', 4, -5],
      ['UInt8', 5, 200],
      ['UInt16', 6, 60_000],
      ['UInt32', 7, 4_000_000_000],
      ['UInt64', 8, 9_007_199_254_740_991],
      ['Float', 9, 65.25],
      ['Double', 10, 0.1],
      ['Boolean', 11, true],
    ] as const
    for (const [type, datatype, value] of numbers) {
      const [one] = decoded(peer.encodePayload({ metrics: [{ name: 'x', type, value }] })).metrics
      expect(one?.datatype, type).toBe(datatype)
      expect(one?.carried && numberOf(datatype, one.carried), type).toBe(Number(value))
    }
  })

  it('keeps numbers of 64 bits exactly', () => {
    for (const value of [0n, 1n, 2n ** 53n + 1n, 2n ** 63n - 1n, 2n ** 63n, 2n ** 64n - 1n])
      expect(decoded(encodeSparkplug({ metrics: [{ alias: value, carried: { as: 'long', value } }] })).metrics).toEqual(
        [{ alias: value, carried: { as: 'long', value } }],
      )
    expect(numberOf(4, { as: 'long', value: 2n ** 64n - 1n })).toBe(-1)
    expect(numberOf(8, { as: 'long', value: 2n ** 64n - 1n })).toBe(18_446_744_073_709_552_000)
    // Negative bytes in their own width, as some write them.
    expect(numberOf(1, { as: 'int', value: 0xfb })).toBe(-5)
    expect(numberOf(2, { as: 'int', value: 0xfffb })).toBe(-5)
  })

  it('with a value in a field where its datatype does not travel holds no number', () => {
    expect(numberOf(10, { as: 'int', value: 1 })).toBeNull()
    expect(numberOf(3, { as: 'double', value: 1 })).toBeNull()
    expect(numberOf(11, { as: 'int', value: 1 })).toBeNull()
    expect(numberOf(10, { as: 'double', value: Number.NaN })).toBeNull()
    expect(numberOf(12, { as: 'string', value: '1' })).toBeNull()
  })

  it('with data sets, templates and bytes in it is read around them', () => {
    const bytes = peer.encodePayload({
      timestamp: 1,
      seq: 2,
      metrics: [
        { name: 'set', type: 'DataSet', value: { numOfColumns: 1, columns: ['a'], types: ['Int32'], rows: [[1]] } },
        { name: 'bytes', type: 'Bytes', value: Uint8Array.of(1, 2, 3) },
        { name: 'T', type: 'Double', value: 20 },
      ],
    })
    expect(decoded(bytes).metrics.map(({ name, carried: one }) => [name, one?.value])).toEqual([
      ['set', undefined],
      ['bytes', undefined],
      ['T', 20],
    ])
  })
})
