/** Reads bytes one after another and never beyond their end: what is not there is damage, told with its place. */
import { crc32c } from './crc.ts'
import { BlockDamaged } from './damage.ts'

/** A CRC-32C closes whatever is checked for itself. Its four bytes also let four be read at once from any byte before them. */
export const crcBytes = 4

export class ByteReader {
  readonly bytes: Uint8Array
  readonly view: DataView
  /** The next byte, and where they end. */
  at: number
  end: number
  readonly #part: string

  /** `part` is what a person calls these bytes. */
  constructor(part: string, bytes: Uint8Array) {
    this.#part = part
    this.bytes = bytes
    this.view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length)
    this.at = 0
    this.end = bytes.length
  }

  damaged(sentence: string, at = this.at): BlockDamaged {
    return new BlockDamaged(`${this.#part}, byte ${at}`, `The ${this.#part} is damaged at byte ${at}: ${sentence}.`)
  }

  /** The first byte says by which rules the others were written. */
  version(known: number): void {
    const found = this.byte()
    if (found !== known) throw this.damaged(`it is of version ${found}, which is not known`, 0)
  }

  /** Goes to a stretch that ends with its own CRC-32C, once that fits; from there on only the bytes before the sum are read. */
  enter(from: number, to: number): void {
    this.at = from
    const sumAt = to - crcBytes
    if (sumAt < from || to > this.bytes.length) throw this.damaged(`it should reach to byte ${to} and does not`)
    this.end = sumAt
    if (crc32c(this.bytes, from, sumAt, this.view) !== this.view.getUint32(sumAt, true))
      throw this.damaged(`the checksum of its bytes up to ${sumAt} does not fit`)
  }

  /** Passes over so many bytes, which may then be read; where they began. */
  take(count: number): number {
    const from = this.at
    if (count > this.end - from) throw this.damaged('it breaks off here')
    this.at = from + count
    return from
  }

  byte(): number {
    return this.bytes[this.take(1)] as number
  }

  float64(): number {
    return this.view.getFloat64(this.take(8), true)
  }

  /** A whole number from 0 on: seven bits a byte, the lowest first, the eighth bit says that more follow. */
  varint(): number {
    let factor = 1
    let number = 0
    for (let i = 0; i < 8; i++) {
      const byte = this.byte()
      number += (byte & 127) * factor
      if (byte < 128) {
        if (number > Number.MAX_SAFE_INTEGER) break
        return number
      }
      factor *= 128
    }
    throw this.damaged('a number is too long')
  }

  /** A whole number of either sign: 0, −1, 1, −2, … as 0, 1, 2, 3, … */
  signed(): number {
    const number = this.varint()
    return number % 2 === 0 ? number / 2 : -(number + 1) / 2
  }

  /** All has been read. */
  finish(): void {
    if (this.at !== this.end) throw this.damaged(`${this.end - this.at} bytes are left over`)
  }
}
