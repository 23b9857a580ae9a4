/** However large and however twisted a message is, reading it takes little memory. By itself, for it measures the highest mark of its process. */
import { describe, expect, it } from 'vitest'
import { Formats } from '../../gateway/intake/formats/index.ts'
import { understandSenml } from '../../gateway/intake/formats/senml/senml.ts'
import { decodeSparkplug } from '../../gateway/intake/formats/sparkplug/payload.ts'
import { Mapping, payloadBytesMax } from '../../shared/contract/index.ts'
import { bytesOf } from './senml.ts'

const mib = 1024 * 1024
const grownMax = 64 * mib

/** How much higher the highest mark of resident memory has become. */
function growth(run: () => void): number {
  const before = process.resourceUsage().maxRSS
  run()
  return (process.resourceUsage().maxRSS - before) * 1_024
}

const filled = (head: number[], ...unit: number[]): Uint8Array => {
  const bytes = new Uint8Array(payloadBytesMax)
  bytes.set(head)
  for (let at = head.length; at + unit.length <= bytes.length; at += unit.length) bytes.set(unit, at)
  return bytes
}
/** A field of protobuf with its length before it. */
const field = (head: number, inner: Uint8Array): Uint8Array =>
  Uint8Array.from([head, (inner.length & 127) | 128, ((inner.length >> 7) & 127) | 128, inner.length >> 14, ...inner])

const packs: [string, Uint8Array][] = [
  ['CBOR of empty maps', filled([0x9f], 0xa0)],
  ['CBOR of maps with a list', filled([0x9f], 0xa1, 0x61, 0x78, 0x80)],
  ['CBOR of empty lists', filled([0x9f], 0x80)],
  ['CBOR of numbers', filled([0x9f], 0x00)],
  ['CBOR of one map that does not end', filled([0x9f, 0xbf], 0x61, 0x78, 0x00)],
  ['JSON of open brackets', bytesOf('['.repeat(payloadBytesMax))],
  ['JSON of lists in lists', bytesOf('['.repeat(payloadBytesMax / 2) + ']'.repeat(payloadBytesMax / 2))],
  ['JSON of empty records', bytesOf(`[${'{},'.repeat(80_000)}{}]`)],
  [
    'JSON of one record with 20,000 labels',
    bytesOf(`[{${Array.from({ length: 20_000 }, (_, i) => `"${i}":[]`).join()}}]`),
  ],
]
const metrics: [string, Uint8Array][] = [
  ['a metric with 120,000 properties', field(0x12, field(0x4a, filled([], 0x12, 0x00).subarray(0, 240_000)))],
  ['a metric with 120,000 keys', field(0x12, field(0x4a, filled([], 0x0a, 0x00).subarray(0, 240_000)))],
  ['a metric named 120,000 times', field(0x12, filled([], 0x0a, 0x00).subarray(0, 240_000))],
  ['as many metrics as are read', filled([], 0x12, 0x00).subarray(0, 10_000)],
]

describe('the largest message takes less than 64 MB', () => {
  it.each(packs)('%s', (_, pack) => {
    expect(
      growth(() => expect(understandSenml('p', pack, 1e12, false).decoded).toMatchObject([{ is: 'unreadable' }])),
    ).toBeLessThan(grownMax)
  })

  it.each(metrics)('%s', (_, payload) => {
    expect(growth(() => expect(decodeSparkplug(payload)).toBeTypeOf('object'))).toBeLessThan(grownMax)
  })

  it('JSON of lists in lists where a mapping looks for a number, or our own reading', () => {
    const deep = bytesOf(`{"t":${'['.repeat(100_000)}${']'.repeat(100_000)}}`)
    const mapping = Mapping.parse({ topic: 'a', instrument: 'a', values: [{ pointer: '/t', unit: 'celsius' }] })
    const formats = new Formats([mapping])
    const run = () => expect(formats.understand('a', deep, 1e12, false).decoded).toMatchObject([{ is: 'unreadable' }])
    expect(growth(run)).toBeLessThan(grownMax)
    const own = bytesOf(`{"celsius":${'['.repeat(100_000)}${']'.repeat(100_000)}}`)
    expect(formats.understand('cirewatch/a/reading', own, 1e12, false).decoded).toMatchObject([{ is: 'unreadable' }])
  })

  it('and what takes more would be seen', () => {
    let held: number[][] = []
    const grown = growth(() => {
      held = Array.from({ length: 400_000 }, (_, i) => Array.from({ length: 40 }, () => i + 0.5))
    })
    expect(held).toHaveLength(400_000)
    expect(grown).toBeGreaterThan(grownMax)
  })
})
