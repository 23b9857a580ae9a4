/** Courses lately read: whoever pans or zooms a chart asks for the same blocks again and again. */
import type { Shelf } from './shelf.ts'

/** Bytes kept at the most. Reason: the blocks at the column edges of a year of four series at 1 Hz are some 18 MB; half of a small computer's patience. */
const keptBytesMax = 12 * 1024 * 1024

interface Kept {
  bytes: Uint8Array
  /** Of the bytes. The row of a block that is gone may be another's by now. */
  crc: number
}

export class CourseCache {
  readonly #shelf: Shelf
  /** In order of use, the one that was not asked for longest first. */
  readonly #kept = new Map<number, Kept>()
  #bytes = 0

  constructor(shelf: Shelf) {
    this.#shelf = shelf
  }

  course(id: number, crc: number): Uint8Array {
    const kept = this.#kept.get(id)
    if (kept !== undefined) this.#forget(id, kept)
    const bytes = kept?.crc === crc ? kept.bytes : this.#shelf.course(id)
    this.#kept.set(id, { bytes, crc })
    this.#bytes += bytes.length
    while (this.#bytes > keptBytesMax) this.#forgetOldest()
    return bytes
  }

  #forgetOldest(): void {
    for (const [id, kept] of this.#kept) return this.#forget(id, kept)
  }

  #forget(id: number, { bytes }: Kept): void {
    this.#kept.delete(id)
    this.#bytes -= bytes.length
  }
}
