/** Arrays that are lent out again and again. Making one costs more than filling it, and a chart over a year would make thousands. */
import { blockReadingsMax } from '../../../shared/contract/index.ts'
import { chunkReadings, chunksOf } from './layout.ts'

/** An array that may be given to somebody else at the next `lend`: whoever keeps one asks `isStill` before looking into it. */
export interface Lent {
  readonly array: Float64Array
  owner: object | null
  chunk: number
}

/** So many are out at once. Reason: what is drawn looks at the two ends of a block and at some chunks between; the rest is unpacked anew. */
const lentAtOnce = 64

/** Rows of five for each chunk of a block and one more. */
const rowsMax = 5 * (chunksOf(blockReadingsMax) + 1)

class Ring {
  readonly #lent: readonly Lent[]
  #next = 0

  constructor(length: number) {
    this.#lent = Array.from({ length: lentAtOnce }, () => ({ array: new Float64Array(length), owner: null, chunk: -1 }))
  }

  /** Takes the one that was lent out longest ago away from whoever has it. What is in it is still there. */
  lend(owner: object, chunk: number): Lent {
    const lent = this.#lent[this.#next] as Lent
    this.#next = (this.#next + 1) % lentAtOnce
    lent.owner = owner
    lent.chunk = chunk
    return lent
  }
}

export function isStill(lent: Lent | undefined, owner: object, chunk: number): lent is Lent {
  return lent !== undefined && lent.owner === owner && lent.chunk === chunk
}

export const chunkArrays = new Ring(chunkReadings)
export const directoryArrays = new Ring(rowsMax)
