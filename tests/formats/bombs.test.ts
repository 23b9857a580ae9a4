/** Bytes made to hurt do not: whatever arrives, the gateway answers with a sentence, in little memory. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { fromCbor, toCbor } from '../../gateway/intake/formats/senml/cbor.ts'
import { cborDepthMax, cborTrouble } from '../../gateway/intake/formats/senml/guard.ts'
import { understandSenml } from '../../gateway/intake/formats/senml/senml.ts'
import { SparkplugHost } from '../../gateway/intake/formats/sparkplug/host.ts'
import { decodeSparkplug } from '../../gateway/intake/formats/sparkplug/payload.ts'
import { payloadBytesMax } from '../../shared/contract/index.ts'
import golden from '../data/wire-golden.json' with { type: 'json' }
import { bytesOfHex, writtenPack } from './senml.ts'

const bytes = (...parts: (number | number[])[]) => Uint8Array.from(parts.flat())
const times = (count: number, ...what: number[]) => Array.from({ length: count }, () => what).flat()

describe('a CBOR bomb', () => {
  it.each<[string, Uint8Array, RegExp]>([
    ['lists in lists, 100,000 deep', bytes(times(100_000, 0x81)), /deeper than 8/],
    ['maps in maps, 100,000 deep', bytes(times(100_000, 0xa1, 0x00)), /deeper than 8/],
    ['tags on tags, 100,000 deep', bytes(0x81, times(100_000, 0xc4)), /deeper than 8/],
    ['lists without end, 100,000 deep', bytes(times(100_000, 0x9f)), /deeper than 8/],
    ['a list of 2^60 items', bytes(0x9b, 0x10, times(7, 0)), /1152921504606847000 items where only 0 bytes follow/],
    ['a map of 2^60 pairs', bytes(0x81, 0xbb, 0x10, times(7, 0)), /items where only/],
    [
      'a text of 2^60 bytes',
      bytes(0x81, 0xa1, 0x00, 0x7b, 0x10, times(7, 0), 0x41),
      /bytes of text where only 1 follow/,
    ],
    ['bytes, 2^32 of them', bytes(0x81, 0xa1, 0x08, 0x5a, 0xff, 0xff, 0xff, 0xff), /bytes of text where only 0 follow/],
    ['text in pieces', bytes(0x81, 0xa1, 0x00, 0x7f, 0x61, 0x41, 0xff), /in pieces/],
    ['bytes in pieces', bytes(0x81, 0xa1, 0x08, 0x5f, 0x41, 0x41, 0xff), /in pieces/],
    ['100,000 empty maps', bytes(0x9a, 0x00, 0x01, 0x86, 0xa0, times(100_000, 0xa0)), /100000 records; at most 5000/],
    ['100,000 small lists', bytes(0x9a, 0x00, 0x01, 0x86, 0xa0, times(100_000, 0x81, 0x00)), /more than 25001 lists/],
    ['a list that ends too early', bytes(0x82, 0xa0), /1 items|in the middle|2 items/],
    ['a list without end that does not end', bytes(0x9f, 0xa0), /in the middle/],
    ['a stop out of place', bytes(0x81, 0xff), /nothing is to be stopped/],
    ['a number cut in two', bytes(0x81, 0x1b, 0x00), /in the middle/],
    ['a byte that begins nothing', bytes(0x81, 0x1c), /begins nothing/],
    ['a number without an end', bytes(0x81, 0x1f), /without an end/],
    ['a date for a record', bytes(0x81, 0xc1, 0x00), /the tag 1; of tags/],
    ['bytes behind the pack', bytes(0x81, 0xa2, 0x00, 0x61, 0x41, 0x02, 0x01, 0x00, 0x00), /2 bytes follow/],
    ['a label twice', bytes(0x81, 0xa2, 0x02, 0x01, 0x02, 0x02), /repeat map key/],
    ['a label twice, once as text', bytes(0x81, 0xa2, 0x02, 0x01, 0x61, 0x76, 0x02), /label "v" twice/],
    ['NaN', bytes(0x81, 0xa2, 0x00, 0x61, 0x41, 0x02, 0xf9, 0x7e, 0x00), /NaN/],
    ['an infinite number', bytes(0x81, 0xa2, 0x00, 0x61, 0x41, 0x02, 0xf9, 0x7c, 0x00), /Infinity/],
    ['undefined', bytes(0x81, 0xa1, 0x02, 0xf7), /undefined/],
    ['a text where bytes belong', bytes(0x81, 0xa1, 0x08, 0x61, 0x2b), /"vd" no bytes/],
    ['a version below nothing', bytes(0x81, 0xa1, 0x20, 0x20), /"bver" no whole number/],
    ['a decimal fraction of three', bytes(0x81, 0xa1, 0x02, 0xc4, 0x83, 0x00, 0x00, 0x00), /"v" no finite number/],
    ['no pack at all', bytes(0x80), /empty list/],
    ['a list of numbers', bytes(0x81, 0x07), /must be a map/],
  ])('%s is refused with a sentence', (_, bomb, sentence) => {
    const pack = fromCbor(bomb)
    expect(pack).toMatch(sentence)
    expect(pack).toMatch(/^(The pack|Record \d+ of the pack|\d+ bytes) [^\n]*\.$/)
  })

  it('is not what a decimal fraction is, nor a list without end, nor a field of somebody else’s', () => {
    // 27315 times ten to the minus 2 (RFC 8949, 3.4.4), as the value of "A".
    const fraction = bytes(0x81, 0xa2, 0x00, 0x61, 0x41, 0x02, 0xc4, 0x82, 0x21, 0x19, 0x6a, 0xb3)
    expect(fromCbor(fraction)).toEqual([{ n: 'A', v: 273.15 }])
    const endless = bytes(0x9f, 0xbf, 0x00, 0x61, 0x41, 0x02, 0x01, 0xff, 0xff)
    expect(fromCbor(endless)).toEqual([{ n: 'A', v: 1 }])
    const foreign = bytes(0x81, 0xa3, 0x00, 0x61, 0x41, 0x02, 0x01, 0x61, 0x78, 0x81, 0x81, 0x80)
    expect(fromCbor(foreign)).toEqual([{ n: 'A', v: 1 }])
    expect(cborDepthMax).toBeGreaterThan(5)
  })

  it('cannot be made of a sound pack by turning a bit, cutting it or adding to it', () => {
    fc.assert(
      fc.property(writtenPack, fc.nat(), fc.nat(7), fc.nat(), (pack, where, bit, cut) => {
        const sound = toCbor(pack)
        expect(cborTrouble(sound)).toBeNull()
        const turned = sound.slice()
        const at = where % turned.length
        turned[at] = (turned[at] as number) ^ (1 << bit)
        const shorter = sound.subarray(0, cut % sound.length)
        for (const one of [turned, shorter, new Uint8Array([...sound, 0])])
          expect(understandSenml('p', one, 1e12, false).decoded.length).toBeGreaterThanOrEqual(0)
        expect(typeof fromCbor(shorter)).toBe('string')
      }),
      { numRuns: 1_000 },
    )
  })

  it('is not among 20,000 strings of any bytes, of a beginning pack, and of a spoiled one', () => {
    const any = fc.uint8Array({ maxLength: 200 })
    const begun = fc
      .tuple(fc.constantFrom(0x80, 0x81, 0x82, 0x9f, 0x9a), fc.uint8Array({ maxLength: 120 }))
      .map(([head, rest]) => bytes(head, [...rest]))
    const sound = bytesOfHex(golden.senml_cbor_rfc8428_sec6.hex)
    const spoiled = fc.tuple(fc.nat(sound.length - 1), fc.nat(255)).map(([at, byte]) => sound.with(at, byte))
    let packs = 0
    fc.assert(
      fc.property(fc.oneof(any, begun, spoiled), (one) => {
        const pack = fromCbor(one)
        if (typeof pack === 'string') expect(pack).toMatch(/\.$/)
        else packs++
        for (const { is } of understandSenml('p', one, 1e12, false).decoded)
          expect(is).toMatch(/^(readings|unreadable)$/)
      }),
      { numRuns: 20_000 },
    )
    expect(packs).toBeGreaterThan(1_000)
  })
})

describe('garbage where Sparkplug is expected', () => {
  const topics = [
    'spBv1.0/g/NBIRTH/n',
    'spBv1.0/g/NDATA/n',
    'spBv1.0/g/DDATA/n/d',
    'spBv1.0/g/NDEATH/n',
    'spBv1.0/g/DBIRTH/n/d',
  ]

  it('never throws, in 20,000 strings of any bytes', () => {
    const host = new SparkplugHost()
    const sound = bytesOfHex(golden.sparkplug_nbirth_sample.hex)
    const spoiled = fc.tuple(fc.nat(sound.length - 1), fc.nat(255), fc.nat(sound.length)).map(([at, byte, cut]) => {
      const one = sound.slice(0, Math.max(cut, 1))
      one[at % one.length] = byte
      return one
    })
    let read = 0
    fc.assert(
      fc.property(fc.constantFrom(...topics), fc.oneof(fc.uint8Array({ maxLength: 200 }), spoiled), (topic, any) => {
        const payload = decodeSparkplug(any)
        if (typeof payload === 'string') expect(payload).toMatch(/^The payload .*\.$/)
        else read++
        for (const one of host.take(topic, any, 1_795_000_000_000).decoded)
          if (one.is === 'unreadable') expect(one.reason).toMatch(/\.$/)
      }),
      { numRuns: 20_000 },
    )
    expect(read).toBeGreaterThan(1_000)
    expect(host.state().nodes).toBe(1)
  })

  it.each<[string, Uint8Array]>([
    ['groups in groups, 100,000 deep', bytes(times(100_000, 0x23))],
    ['a length of 2^32', bytes(0x12, 0xff, 0xff, 0xff, 0xff, 0x0f)],
    ['a length of 2^60', bytes(0x12, times(8, 0x80), 0x10)],
    ['a number of eleven bytes', bytes(0x08, times(10, 0xff), 0x01)],
    ['130,000 empty metrics', bytes(times(130_000, 0x12, 0x00))],
    ['a metric that ends too early', bytes(0x12, 0x05, 0x0a, 0x01)],
    ['more than is read', new Uint8Array(payloadBytesMax + 1)],
  ])('%s is refused with a sentence', (_, bomb) => {
    expect(decodeSparkplug(bomb)).toMatch(/^The payload .*\.$/)
  })
})
