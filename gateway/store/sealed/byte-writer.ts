/** Writes bytes one after another, growing as needed: the counterpart of the byte reader. */
import { crc32c } from './crc.ts'

export class ByteWriter {
  bytes: Uint8Array
  #view: DataView
  /** How many are written. */
  length = 0

  constructor(bytesExpected: number) {
    this.bytes = new Uint8Array(bytesExpected)
    this.#view = new DataView(this.bytes.buffer)
  }

  /** Makes room for so many bytes; they are counted as written and are zero. Where they begin. */
  room(count: number): number {
    const from = this.length
    this.length = from + count
    if (this.length > this.bytes.length) {
      const grown = new Uint8Array(Math.max(this.length, 2 * this.bytes.length))
      grown.set(this.bytes)
      this.bytes = grown
      this.#view = new DataView(grown.buffer)
    }
    return from
  }

  byte(value: number): void {
    const at = this.room(1)
    this.bytes[at] = value
  }

  uint16At(at: number, value: number): void {
    this.#view.setUint16(at, value, true)
  }

  int32At(at: number, value: number): void {
    this.#view.setInt32(at, value, true)
  }

  uint32(value: number): void {
    const at = this.room(4)
    this.#view.setUint32(at, value, true)
  }

  float64(value: number): void {
    const at = this.room(8)
    this.#view.setFloat64(at, value, true)
  }

  varint(value: number): void {
    let rest = value
    for (; rest >= 128; rest = Math.floor(rest / 128)) this.byte((rest % 128) + 128)
    this.byte(rest)
  }

  signed(value: number): void {
    this.varint(value < 0 ? -2 * value - 1 : 2 * value)
  }

  /** Closes what was written since `from` with its CRC-32C. */
  sum(from: number): void {
    this.uint32(crc32c(this.bytes, from, this.length))
  }

  /** Appends what another one wrote. */
  append(other: ByteWriter): void {
    const at = this.room(other.length)
    this.bytes.set(other.bytes.subarray(0, other.length), at)
  }

  /** A copy of what was written, of just its length. */
  written(): Uint8Array {
    return this.bytes.slice(0, this.length)
  }
}
