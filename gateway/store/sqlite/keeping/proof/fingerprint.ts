/** Fingerprints: SHA-256 over what is kept, in one order and one encoding, so that two copies can be compared whatever is sealed in either.
 *
 * Of a series: the letters `cirewatch readings 1`, a line feed, its name in UTF-8, a line feed; then each reading in order of measuredAt,
 * 42 bytes, all numbers little-endian:
 *   measuredAt (64-bit float, ms) · value (64-bit float) · quality (1 byte, its place in `qualities`) ·
 *   reason (1 byte, its place in `qualityReasons`; 255 for none) · arrivedAt (64-bit float, ms) · seq (64-bit float) ·
 *   claimedAt (64-bit float, ms; the eight bytes 00 00 00 00 00 00 f8 7f for none).
 *
 * Of the journal: the letters `cirewatch journal 1`, a line feed; then each entry that is no reading in order of seq: its seq (64-bit
 * float), the length of its JSON in bytes (32-bit), the JSON as it is stored, in UTF-8. Then for each kind that was pruned, in the order of
 * its letters: the line `pruned KIND ENTRIES NEWEST-SEQ` and a line feed.
 *
 * Of all: the letters `cirewatch all 1`, a line feed; for each series, in the order of the bytes of its name, the line
 * `NAME READINGS FINGERPRINT`, and last the line `journal ENTRIES FINGERPRINT`; fingerprints in small hexadecimal, each line with its feed.
 */
import { createHash, type Hash } from 'node:crypto'
import type { BlockColumns } from '../../../sealed/block.ts'

const recordBytes = 42
/** Records hashed at once. */
const recordsAtOnce = 4_096

export class SeriesFingerprint {
  readonly #hash: Hash
  readonly #bytes = new Uint8Array(recordBytes * recordsAtOnce)
  readonly #view = new DataView(this.#bytes.buffer)
  #filled = 0

  constructor(series: string) {
    this.#hash = createHash('sha256').update(`cirewatch readings 1\n${series}\n`)
  }

  add(columns: BlockColumns): void {
    for (let i = 0; i < columns.t.length; i++) this.#addOne(columns, i)
  }

  #addOne(columns: BlockColumns, i: number): void {
    const view = this.#view
    const at = this.#filled * recordBytes
    const claimedAt = columns.claimedAt[i] as number
    view.setFloat64(at, columns.t[i] as number, true)
    view.setFloat64(at + 8, columns.v[i] as number, true)
    view.setUint8(at + 16, columns.quality[i] as number)
    view.setInt8(at + 17, columns.reason[i] as number)
    view.setFloat64(at + 18, columns.arrivedAt[i] as number, true)
    view.setFloat64(at + 26, columns.seq[i] as number, true)
    view.setFloat64(at + 34, claimedAt, true)
    // A number that is none has many bit patterns; one is written.
    if (Number.isNaN(claimedAt)) this.#bytes.set(noClaim, at + 34)
    if (++this.#filled === recordsAtOnce) this.#flush()
  }

  #flush(): void {
    this.#hash.update(this.#bytes.subarray(0, this.#filled * recordBytes))
    this.#filled = 0
  }

  finish(): string {
    this.#flush()
    return this.#hash.digest('hex')
  }
}

const noClaim = Uint8Array.of(0, 0, 0, 0, 0, 0, 0xf8, 0x7f)

export class JournalFingerprint {
  readonly #hash = createHash('sha256').update('cirewatch journal 1\n')
  readonly #head = Buffer.alloc(12)

  add(seq: number, body: string): void {
    const bytes = Buffer.from(body)
    this.#head.writeDoubleLE(seq, 0)
    this.#head.writeUInt32LE(bytes.length, 8)
    this.#hash.update(this.#head).update(bytes)
  }

  addPruned(kind: string, entries: number, newestSeq: number): void {
    this.#hash.update(`pruned ${kind} ${entries} ${newestSeq}\n`)
  }

  finish(): string {
    return this.#hash.digest('hex')
  }
}

export interface Part {
  name: string
  readings: number
  fingerprint: string
}

export function fingerprintOfAll(series: readonly Part[], journal: { entries: number; fingerprint: string }): string {
  const hash = createHash('sha256').update('cirewatch all 1\n')
  const byName = [...series].sort((a, b) => Buffer.compare(Buffer.from(a.name), Buffer.from(b.name)))
  for (const { name, readings, fingerprint } of byName) hash.update(`${name} ${readings} ${fingerprint}\n`)
  return hash.update(`journal ${journal.entries} ${journal.fingerprint}\n`).digest('hex')
}
