/** A column: up to 128 numbers as bytes. Whole numbers as what is left of them beside a line, or of their steps, in as few bits as hold it. */
import type { ByteReader } from './byte-reader.ts'

/** Numbers in one column at most: what is unpacked together. */
export const columnMax = 128

/** How the numbers are told: each from the same base; from a line; each from the one before; or whole, as 64-bit floating point. */
export const flat = 0
export const sloped = 1
export const stepped = 2
export const whole = 3

/** The form byte: width in bits (0 … 31), whether some numbers are told apart, and which of the four. */
export const widthMax = 31
export const patchedBit = 32
export const formShift = 6

/** A line rises by so many 256ths each time. Below 2^24, so that 128 of them are still a 32-bit number. */
export const slopeShift = 8
export const slopeMax = 2 ** 24 - 1

/** Four bytes read at once hold so many bits from whichever bit on. */
const bitsAtOnce = 25
/** So narrow, four or two numbers lie in them. */
const fourWidthMax = 6
const twoWidthMax = 12

export class Column {
  readonly #reader: ByteReader
  /** Where the bytes end that it lies among. */
  readonly #end: number
  readonly #length: number
  readonly #form: number
  readonly #width: number = 0
  readonly #base: number = 0
  readonly #slope: number = 0
  readonly #packedAt: number
  readonly #patches: number = 0
  readonly #patchesAt: number = 0

  /** Reads where everything lies, and moves the reader behind it. The numbers themselves are unpacked later. */
  constructor(reader: ByteReader, length: number) {
    this.#reader = reader
    this.#end = reader.end
    this.#length = length
    const form = reader.byte()
    this.#form = form >> formShift
    if (this.#form === whole) {
      this.#packedAt = reader.take(8 * length)
      return
    }
    this.#width = form & widthMax
    this.#base = reader.signed()
    if (this.#form === sloped) {
      this.#slope = reader.signed()
      if (Math.abs(this.#slope) > slopeMax) throw reader.damaged('a line is too steep')
    }
    if (form & patchedBit) this.#patches = reader.byte()
    this.#packedAt = reader.take((this.#width * length + 7) >> 3)
    if (this.#patches === 0) return
    this.#patchesAt = reader.take(this.#patches)
    for (let i = 0; i < this.#patches; i++) {
      if ((reader.bytes[this.#patchesAt + i] as number) >= length) throw reader.damaged('a number stands outside')
      reader.signed()
    }
  }

  /** True where one number can be had without the others. */
  get isOpen(): boolean {
    return this.#form <= sloped
  }

  /** One number of an open column. */
  at(index: number, origin: number): number {
    const width = this.#width
    const start = origin + this.#base + ((index * this.#slope) >> slopeShift)
    for (let i = 0; i < this.#patches; i++)
      if (this.#reader.bytes[this.#patchesAt + i] === index) return start + this.#restOf(i)
    if (width === 0) return start
    const bit = index * width
    const at = this.#packedAt + (bit >> 3)
    const shift = bit & 7
    const low = this.#reader.view.getInt32(at, true) >>> shift
    if (width <= bitsAtOnce) return start + (low & ((1 << width) - 1))
    return start + ((low | high(this.#reader.bytes[at + 4] as number, shift)) & ((2 ** width - 1) | 0))
  }

  /** What a number that is told apart has instead of its bits. */
  #restOf(patch: number): number {
    const reader = this.#reader
    const { at, end } = reader
    reader.at = this.#patchesAt + this.#patches
    reader.end = this.#end
    let rest = reader.signed()
    for (let i = 0; i < patch; i++) rest = reader.signed()
    reader.at = at
    reader.end = end
    return rest
  }

  /** Unpacks all, counted from `origin`, into out[place], out[place + 1], … */
  into(out: Float64Array, place: number, origin: number): void {
    if (this.#form === whole) return this.#wholeInto(out, place)
    const start = this.#form === stepped ? this.#base : origin + this.#base
    if (this.#width <= bitsAtOnce) this.#narrowInto(out, place, start)
    else this.#wideInto(out, place, start)
    if (this.#patches > 0) this.#patch(out, place, start)
    if (this.#form === stepped) climb(out, place, place + this.#length, origin)
  }

  #wholeInto(out: Float64Array, place: number): void {
    const { view } = this.#reader
    for (let i = 0; i < this.#length; i++) out[place + i] = view.getFloat64(this.#packedAt + 8 * i, true)
  }

  #narrowInto(out: Float64Array, place: number, start: number): void {
    const { view } = this.#reader
    const [end, width, slope, packedAt] = [place + this.#length, this.#width, this.#slope, this.#packedAt]
    const mask = (1 << width) - 1
    let [i, bit, line] = [place, 0, 0]
    if (width <= fourWidthMax)
      for (; i + 4 <= end; i += 4, bit += 4 * width, line += slope) {
        const four = view.getInt32(packedAt + (bit >> 3), true) >>> (bit & 7)
        out[i] = start + ((line >> slopeShift) + (four & mask))
        line += slope
        out[i + 1] = start + ((line >> slopeShift) + ((four >>> width) & mask))
        line += slope
        out[i + 2] = start + ((line >> slopeShift) + ((four >>> (2 * width)) & mask))
        line += slope
        out[i + 3] = start + ((line >> slopeShift) + ((four >>> (3 * width)) & mask))
      }
    else if (width <= twoWidthMax)
      for (; i + 2 <= end; i += 2, bit += 2 * width, line += slope) {
        const two = view.getInt32(packedAt + (bit >> 3), true) >>> (bit & 7)
        out[i] = start + ((line >> slopeShift) + (two & mask))
        line += slope
        out[i + 1] = start + ((line >> slopeShift) + ((two >>> width) & mask))
      }
    for (; i < end; i++, bit += width, line += slope)
      out[i] = start + ((line >> slopeShift) + ((view.getInt32(packedAt + (bit >> 3), true) >>> (bit & 7)) & mask))
  }

  #wideInto(out: Float64Array, place: number, start: number): void {
    const { view, bytes } = this.#reader
    const mask = (2 ** this.#width - 1) | 0
    for (let i = 0, bit = 0; i < this.#length; i++, bit += this.#width) {
      const at = this.#packedAt + (bit >> 3)
      const shift = bit & 7
      const low = view.getInt32(at, true) >>> shift
      out[place + i] = start + ((i * this.#slope) >> slopeShift) + ((low | high(bytes[at + 4] as number, shift)) & mask)
    }
  }

  #patch(out: Float64Array, place: number, start: number): void {
    const reader = this.#reader
    const { at, end } = reader
    reader.at = this.#patchesAt + this.#patches
    reader.end = this.#end
    for (let i = 0; i < this.#patches; i++) {
      const index = reader.bytes[this.#patchesAt + i] as number
      out[place + index] = start + ((index * this.#slope) >> slopeShift) + reader.signed()
    }
    reader.at = at
    reader.end = end
  }
}

/** The fifth byte's share. A shift by 32 would be none. */
function high(byte: number, shift: number): number {
  return shift === 0 ? 0 : byte << (32 - shift)
}

/** From steps to what they lead to. */
function climb(out: Float64Array, from: number, to: number, origin: number): void {
  let sum = origin
  for (let i = from; i < to; i++) {
    sum += out[i] as number
    out[i] = sum
  }
}
