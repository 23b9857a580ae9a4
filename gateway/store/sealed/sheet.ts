/** A sheet: the headers of all blocks of one series and one day, packed in one string of bytes and read where they lie. */
import type { DurationMs, EpochMs } from '../../../shared/time.ts'
import type { Header } from './block.ts'
import { ByteReader, crcBytes } from './byte-reader.ts'
import { crc32c } from './crc.ts'

const sheetVersion = 1

/** Bytes of one header. */
export const headerBytes = 100

/** Where each lies within a header; times and the gap are ms after `from`, in 32 bits. */
const at = {
  id: 0,
  from: 8,
  firstV: 16,
  lastV: 24,
  lowV: 32,
  highV: 40,
  integral: 48,
  to: 56,
  firstT: 60,
  lastT: 64,
  lowT: 68,
  highT: 72,
  longestGap: 76,
  courseCrc: 80,
  arrivalCrc: 84,
  courseBytes: 88,
  arrivalBytes: 92,
  count: 96,
  bad: 98,
} as const

/** Says Infinity of a gap, and nothing of an instant. */
const beyond32 = 0xff_ff_ff_ff

/** Headers of blocks that follow one another. Throws RangeError where they do not, or reach over more than 49 days. */
export function packSheet(headers: readonly Header[]): Uint8Array {
  const bytes = new Uint8Array(1 + headers.length * headerBytes + crcBytes)
  const view = new DataView(bytes.buffer)
  bytes[0] = sheetVersion
  headers.forEach((header, i) => {
    const before = headers[i - 1]
    if (before !== undefined && before.to >= header.from)
      throw new RangeError(`Headers of a sheet must follow one another; ${header.from} does not follow ${before.to}.`)
    packHeader(view, 1 + i * headerBytes, header)
  })
  view.setUint32(bytes.length - crcBytes, crc32c(bytes, 0, bytes.length - crcBytes), true)
  return bytes
}

function packHeader(view: DataView, place: number, header: Header): void {
  for (const key of ['id', 'from', 'firstV', 'lastV', 'lowV', 'highV', 'integral'] as const)
    view.setFloat64(place + at[key], header[key], true)
  for (const key of ['to', 'firstT', 'lastT', 'lowT', 'highT'] as const)
    view.setUint32(place + at[key], within32(header[key] - header.from), true)
  view.setUint32(place + at.longestGap, within32(header.longestGapMs), true)
  for (const key of ['courseCrc', 'arrivalCrc', 'courseBytes', 'arrivalBytes'] as const)
    view.setUint32(place + at[key], header[key], true)
  for (const key of ['count', 'bad'] as const) view.setUint16(place + at[key], header[key], true)
}

/** Infinity, and NaN where no reading is good, are told by what nothing else can be. */
function within32(ms: DurationMs): number {
  if (!Number.isFinite(ms)) return beyond32
  if (ms >= 0 && ms < beyond32) return ms
  throw new RangeError(`A header tells of ${ms} ms after its beginning; that is no block of one day.`)
}

export class Sheet {
  /** How many headers. */
  readonly length: number
  readonly #view: DataView

  /** Throws BlockDamaged for bytes that are not a sheet. */
  constructor(bytes: Uint8Array) {
    const reader = new ByteReader('sheet', bytes)
    reader.version(sheetVersion)
    this.length = (bytes.length - 1 - crcBytes) / headerBytes
    if (!(Number.isInteger(this.length) && this.length >= 0))
      throw reader.damaged('its length is not that of whole headers', bytes.length)
    reader.enter(0, bytes.length)
    this.#view = reader.view
  }

  id(i: number): number {
    return this.#float64(i, at.id)
  }
  count(i: number): number {
    return this.#view.getUint16(this.#place(i) + at.count, true)
  }
  bad(i: number): number {
    return this.#view.getUint16(this.#place(i) + at.bad, true)
  }
  from(i: number): EpochMs {
    return this.#float64(i, at.from)
  }
  to(i: number): EpochMs {
    return this.from(i) + this.#uint32(i, at.to)
  }
  firstT(i: number): EpochMs {
    return this.#instant(i, at.firstT)
  }
  firstV(i: number): number {
    return this.#float64(i, at.firstV)
  }
  lastT(i: number): EpochMs {
    return this.#instant(i, at.lastT)
  }
  lastV(i: number): number {
    return this.#float64(i, at.lastV)
  }
  lowT(i: number): EpochMs {
    return this.#instant(i, at.lowT)
  }
  lowV(i: number): number {
    return this.#float64(i, at.lowV)
  }
  highT(i: number): EpochMs {
    return this.#instant(i, at.highT)
  }
  highV(i: number): number {
    return this.#float64(i, at.highV)
  }
  longestGapMs(i: number): DurationMs {
    const ms = this.#uint32(i, at.longestGap)
    if (ms !== beyond32) return ms
    return this.bad(i) === this.count(i) ? Number.NaN : Number.POSITIVE_INFINITY
  }
  integral(i: number): number {
    return this.#float64(i, at.integral)
  }
  courseCrc(i: number): number {
    return this.#uint32(i, at.courseCrc)
  }
  arrivalCrc(i: number): number {
    return this.#uint32(i, at.arrivalCrc)
  }
  courseBytes(i: number): number {
    return this.#uint32(i, at.courseBytes)
  }
  arrivalBytes(i: number): number {
    return this.#uint32(i, at.arrivalBytes)
  }

  header(i: number): Header {
    return {
      id: this.id(i),
      count: this.count(i),
      bad: this.bad(i),
      from: this.from(i),
      to: this.to(i),
      firstT: this.firstT(i),
      firstV: this.firstV(i),
      lastT: this.lastT(i),
      lastV: this.lastV(i),
      lowT: this.lowT(i),
      lowV: this.lowV(i),
      highT: this.highT(i),
      highV: this.highV(i),
      longestGapMs: this.longestGapMs(i),
      integral: this.integral(i),
      courseCrc: this.courseCrc(i),
      arrivalCrc: this.arrivalCrc(i),
      courseBytes: this.courseBytes(i),
      arrivalBytes: this.arrivalBytes(i),
    }
  }

  /** The last header that begins at or before this instant; −1 where there is none. */
  placeOf(t: EpochMs): number {
    let [low, high] = [0, this.length]
    while (low < high) {
      const middle = (low + high) >> 1
      if (this.from(middle) <= t) low = middle + 1
      else high = middle
    }
    return low - 1
  }

  #place(i: number): number {
    if (!(i >= 0 && i < this.length)) throw new RangeError(`There is no header ${i} of ${this.length}.`)
    return 1 + i * headerBytes
  }

  #float64(i: number, field: number): number {
    return this.#view.getFloat64(this.#place(i) + field, true)
  }

  #uint32(i: number, field: number): number {
    return this.#view.getUint32(this.#place(i) + field, true)
  }

  #instant(i: number, field: number): EpochMs {
    const ms = this.#uint32(i, field)
    return ms === beyond32 ? Number.NaN : this.from(i) + ms
  }
}
