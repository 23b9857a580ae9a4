/** The head of a course: how its values are scaled, and of each chunk where it lies, its first instant, its lowest and its highest. */
import { blockReadingsMax } from '../../../shared/contract/index.ts'
import type { EpochMs } from '../../../shared/time.ts'
import { type ByteReader, crcBytes } from './byte-reader.ts'
import { Column } from './column.ts'
import { chunksOf, courseVersion, someNotGood } from './layout.ts'
import { type Scale, scaleBy } from './scale.ts'
import { directoryArrays, isStill, type Lent } from './scratch.ts'

export class Directory {
  readonly length: number
  readonly chunks: number
  readonly scale: Scale
  readonly areAllGood: boolean
  readonly #reader: ByteReader
  readonly #columnsAt: number
  readonly #headBytes: number
  /** Five rows in one lent array: offsets, firsts, origins, lows, highs. */
  #lent: Lent
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
    this.#reader = reader
    this.#columnsAt = reader.at
    this.#headBytes = headBytes
    this.#lent = directoryArrays.lend(this, 0)
    this.#read()
  }

  /** Where a chunk begins; that of the one after the last is where all ends. */
  offset(chunk: number): number {
    return this.#rows()[chunk] as number
  }
  first(chunk: number): EpochMs {
    return this.#rows()[this.#row + chunk] as number
  }
  /** In steps: what the values of the chunk are counted from. */
  origin(chunk: number): number {
    return this.#rows()[2 * this.#row + chunk] as number
  }
  /** Of the readings that are not bad. */
  low(chunk: number): number {
    return this.#rows()[3 * this.#row + chunk] as number
  }
  high(chunk: number): number {
    return this.#rows()[4 * this.#row + chunk] as number
  }

  /** Reads them anew where the array has gone to somebody else. */
  #rows(): Float64Array {
    if (isStill(this.#lent, this, 0)) return this.#lent.array
    const { at, end } = this.#reader
    this.#lent = directoryArrays.lend(this, 0)
    this.#reader.at = this.#columnsAt
    this.#reader.end = this.#headBytes - crcBytes
    this.#read()
    this.#reader.at = at
    this.#reader.end = end
    return this.#lent.array
  }

  #read(): void {
    const reader = this.#reader
    const [rows, row, chunks] = [this.#lent.array, this.#row, this.chunks]
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
    this.#addUp(rows)
  }

  /** From lengths of chunks to where they lie. */
  #addUp(rows: Float64Array): void {
    const reader = this.#reader
    rows[0] = this.#headBytes
    for (let c = 1; c <= this.chunks; c++) {
      const bytes = rows[c] as number
      if (!Number.isSafeInteger(bytes) || bytes <= crcBytes) throw reader.damaged('a chunk has no length')
      rows[c] = bytes + (rows[c - 1] as number)
    }
    const [end, { length }] = [rows[this.chunks] as number, reader.bytes]
    if (end !== length) throw reader.damaged(`it should have ${end} bytes and has ${length}`, length)
  }
}
