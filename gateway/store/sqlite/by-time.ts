/** Readings of one series by measurement: sealed blocks and open rows joined, piece by piece. */
import type { EpochMs } from '../../../shared/time.ts'
import type { BlockColumns } from '../sealed/block.ts'
import { decodeBlock } from '../sealed/decode.ts'
import { cut, merged, type OpenRows, placeOf } from './columns.ts'
import type { Shelf } from './shelf.ts'

export class ByTime {
  readonly #shelf: Shelf
  readonly #open: OpenRows

  constructor(shelf: Shelf, open: OpenRows) {
    this.#shelf = shelf
    this.#open = open
  }

  /** The next readings with from ≤ t < to: some `rowsMax` open rows, or one block with the late rows that lie within it. */
  piece(series: number, from: EpochMs, to: EpochMs, rowsMax: number): BlockColumns | null {
    const header = this.#shelf.firstReaching(series, from)
    if (header === null || header.from >= to) return this.#open.take(series, from, to, rowsMax)
    const before = this.#open.take(series, from, header.from, rowsMax)
    if (before !== null) return before
    const { course, arrival } = this.#shelf.block(header.id)
    const sealed = decodeBlock(course, arrival)
    const end = Math.min(to, header.to + 1)
    const part = cut(sealed, placeOf(sealed.t, from), placeOf(sealed.t, end))
    const beside = this.#open.take(series, from, end, Number.MAX_SAFE_INTEGER)
    if (beside !== null) return merged(part, beside)
    // A span may end or begin between two readings of a block.
    return part.t.length > 0 || end === to ? nonEmpty(part) : this.piece(series, end, to, rowsMax)
  }
}

function nonEmpty(columns: BlockColumns): BlockColumns | null {
  return columns.t.length === 0 ? null : columns
}
