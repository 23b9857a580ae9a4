/** The checksum is the one that zlib and PNG know, so that anybody can check a block. */
import zlib from 'node:zlib'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { crc32, crc32c } from '../../gateway/store/sealed/crc.ts'
import { encodeBlock } from '../../gateway/store/sealed/encode.ts'
import { potHour } from './blocks.ts'

const ascii = (text: string) => new TextEncoder().encode(text)

describe('the checksum of a block', () => {
  it('gives the published check value of CRC-32/ISO-HDLC', () => {
    // Catalogue of parametrised CRC algorithms (G. Cook): check = 0xcbf43926 over "123456789"; from memory.
    expect(crc32(ascii('123456789'))).toBe(0xcb_f4_39_26)
  })

  it('is the one at the end of every gzip file', () => {
    // RFC 1952 2.3.1: four bytes before the last four, the lowest first.
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), (bytes) => {
        const packed = zlib.gzipSync(bytes)
        expect(crc32(bytes)).toBe(packed.readUInt32LE(packed.length - 8))
      }),
      { numRuns: 2_000 },
    )
  })

  it('closes its parts with the one that iSCSI knows', () => {
    // RFC 3720, B.4, from memory: 32 bytes of zeros, of ones, rising and falling.
    const rising = Uint8Array.from({ length: 32 }, (_, i) => i)
    expect(crc32c(new Uint8Array(32), 0, 32)).toBe(0x8a_91_36_aa)
    expect(crc32c(new Uint8Array(32).fill(255), 0, 32)).toBe(0x62_a8_ab_43)
    expect(crc32c(rising, 0, 32)).toBe(0x46_dd_79_4e)
    expect(crc32c(rising.slice().reverse(), 0, 32)).toBe(0x11_3f_db_5c)
  })

  it('is of the part that was asked for, wherever the bytes lie', () => {
    fc.assert(
      fc.property(fc.uint8Array({ minLength: 1, maxLength: 100 }), fc.nat(), fc.nat(), (bytes, a, b) => {
        const from = a % bytes.length
        const to = from + (b % (bytes.length - from + 1))
        expect(crc32(bytes.subarray(from, to))).toBe(crc32(bytes.slice(from, to)))
        expect(crc32c(bytes, from, to)).toBe(crc32c(bytes.slice(from, to), 0, to - from))
      }),
    )
  })

  it('tells one hour from another, though each part of both closes with a sum of its own', () => {
    const sums = Array.from({ length: 200 }, (_, seed) => encodeBlock(potHour(seed, 3)).header)
    expect(new Set(sums.map(({ courseCrc }) => courseCrc)).size).toBe(200)
    expect(new Set(sums.map(({ arrivalCrc }) => arrivalCrc)).size).toBe(200)
  })
})
