/** The head of a course: how its values are scaled, and of each chunk where it lies, its first instant, its lowest and its highest. */
import { blockReadingsMax } from '../../../shared/contract/index.ts'
import type { EpochMs } from '../../../shared/time.ts'
import { type ByteReader, crcBytes } from './byte-reader.ts'
import { Column } from './column.ts'
import { chunksOf, courseVersion, someNotGood } from './layout.ts'
import { type Scale, scaleBy } from './scale.ts'

export class Directory {
  readonly length: number
  readonly chunks: number
  readonly scale: Scale
  readonly areAllGood: boolean
  /** Five rows in one array, which is made faster than five: offsets, firsts, origins, lows, highs. */
  readonly #rows: Float64Array
  readonly #row: number

  constructor(reader: ByteReader) {
    reader.version(courseVersion)
    const flags = reader.byte()
    const scaleCode = reader.byte()
    const headBytes = reader.view.getUint16(reader.take(2), true)
    const directoryAt = reader.at
    reader.enter(0, headBytes)
    reader.at = directoryAt
    this.areAllGood = (flags & someNotGood) === 0
    this.scale = scaleBy(scaleCode)
    this.length = reader.varint()
    if (this.length < 1 || this.length > blockReadingsMax) throw reader.damaged(`it tells of ${this.length} readings`)
    this.chunks = chunksOf(this.length)
    this.#row = this.chunks + 1
    this.#rows = new Float64Array(5 * this.#row)
    this.#read(reader)
    this.#rows[0] = headBytes
    this.#addUp(reader)
  }

  /** Where a chunk begins; that of the one after the last is where all ends. */
  offset(chunk: number): number {
    return this.#rows[chunk] as number
  }
  first(chunk: number): EpochMs {
    return this.#rows[this.#row + chunk] as number
  }
  /** In steps: what the values of the chunk are counted from. */
  origin(chunk: number): number {
    return this.#rows[2 * this.#row + chunk] as number
  }
  /** Of the readings that are not bad. */
  low(chunk: number): number {
    return this.#rows[3 * this.#row + chunk] as number
  }
  high(chunk: number): number {
    return this.#rows[4 * this.#row + chunk] as number
  }

  #read(reader: ByteReader): void {
    const [rows, row, chunks] = [this.#rows, this.#row, this.chunks]
    const from = reader.float64()
    rows[row] = from
    new Column(reader, chunks).into(rows, 1, 0)
    if (chunks > 1) new Column(reader, chunks - 1).into(rows, row + 1, from)
    const [origins, lows, highs] = [2 * row, 3 * row, 4 * row]
    new Column(reader, chunks).into(rows, lows, 0)
    new Column(reader, chunks).into(rows, highs, 0)
    reader.finish()
    if (this.scale.isWhole) for (let c = 0; c < chunks; c++) rows[origins + c] = rows[lows + c] as number
    this.scale.toValues(rows, lows, lows + chunks)
    this.scale.toValues(rows, highs, highs + chunks)
  }

  /** From lengths of chunks to where they lie. */
  #addUp(reader: ByteReader): void {
    const rows = this.#rows
    for (let c = 1; c <= this.chunks; c++) {
      const bytes = rows[c] as number
      if (!Number.isSafeInteger(bytes) || bytes <= crcBytes) throw reader.damaged('a chunk has no length')
      rows[c] = bytes + (rows[c - 1] as number)
    }
    const [end, { length }] = [this.offset(this.chunks), reader.bytes]
    if (end !== length) throw reader.damaged(`it should have ${end} bytes and has ${length}`, length)
  }
}
