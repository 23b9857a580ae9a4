/** Takes the readings of one series in order of time: counts them, looks at each, and takes their fingerprint. */
import type { Statement } from 'better-sqlite3'
import { qualities, qualityReasons } from '../../../../../shared/contract/index.ts'
import type { BlockColumns } from '../../../sealed/block.ts'
import { type Faults, instant } from './faults.ts'
import { SeriesFingerprint } from './fingerprint.ts'
import { type SeqMap, seqRememberedMax } from './seq-map.ts'

export interface SeriesProof {
  series: string
  readings: number
  /** Those of them that lie in blocks. */
  sealed: number
  blocks: number
  first: number | null
  last: number | null
  /** Null where it was not asked for, or where a block of it cannot be read. */
  fingerprint: string | null
}

export interface TallyParts {
  series: number
  name: string
  faults: Faults
  seqs: SeqMap
  /** The greatest seq ever given, and the greatest that was given before the last sealing. */
  head: number
  headSealed: number
  /** Where a reading stands that claimed another time than it was placed at. */
  claim: Statement<[number, number], number>
  withFingerprints: boolean
}

export class SeriesTally {
  readonly series: number
  readonly #parts: TallyParts
  readonly #fingerprint: SeriesFingerprint | null
  readonly #blocks = new Set<number>()
  #isWhole = true
  #readings = 0
  #sealed = 0
  #first: number | null = null
  #last = Number.NEGATIVE_INFINITY

  constructor(parts: TallyParts) {
    this.#parts = parts
    this.series = parts.series
    this.#fingerprint = parts.withFingerprints ? new SeriesFingerprint(parts.name) : null
  }

  /** Readings of one block, or rows (null). */
  take(columns: BlockColumns, block: number | null): void {
    const { length } = columns.t
    if (length === 0) return
    for (let i = 0; i < length; i++) this.#look(columns, i, block)
    this.#first ??= columns.t[0] as number
    this.#readings += length
    if (block !== null) {
      this.#sealed += length
      this.#blocks.add(block)
    }
    this.#fingerprint?.add(columns)
  }

  #look(columns: BlockColumns, i: number, block: number | null): void {
    const t = columns.t[i] as number
    const seq = columns.seq[i] as number
    const claimedAt = columns.claimedAt[i] as number
    const { faults, seqs, head, claim, series } = this.#parts
    if (t <= this.#last) faults.add(`${this.#place(t, block)} does not come after the one before it.`)
    this.#last = t
    if (seq < 1 || seq > head || !Number.isSafeInteger(seq))
      faults.add(`${this.#place(t, block)} has the number ${seq} in the order of arrival, which was never given.`)
    else if (seq <= seqRememberedMax && !seqs.add(seq))
      faults.add(`${this.#place(t, block)} has the number ${seq} in the order of arrival, which another entry has too.`)
    if (block !== null && seq > this.#parts.headSealed)
      faults.add(`${this.#place(t, block)} has the number ${seq}, which is newer than the last sealing.`)
    if ((columns.quality[i] as number) >= qualities.length || (columns.reason[i] as number) >= qualityReasons.length)
      faults.add(`${this.#place(t, block)} has a quality or a reason that is not known.`)
    if (!Number.isNaN(claimedAt) && claim.get(series, claimedAt) !== t)
      faults.add(`${this.#place(t, block)} claimed the instant ${instant(claimedAt)} and is not found by it.`)
  }

  #place(t: number, block: number | null): string {
    return `The reading of ${this.#parts.name} at ${instant(t)} (${block === null ? 'an open row' : `block ${block}`})`
  }

  /** A reading of this instant lies in the block and as a row. */
  twice(t: number, block: number): void {
    this.#parts.faults.add(
      `The reading of ${this.#parts.name} at ${instant(t)} is there twice: in block ${block} and as an open row.`,
    )
    this.#isWhole = false
  }

  /** Some of it cannot be read. */
  lost(): void {
    this.#isWhole = false
  }

  finish(): SeriesProof {
    return {
      series: this.#parts.name,
      readings: this.#readings,
      sealed: this.#sealed,
      blocks: this.#blocks.size,
      first: this.#first,
      last: this.#readings === 0 ? null : this.#last,
      fingerprint: this.#isWhole ? (this.#fingerprint?.finish() ?? null) : null,
    }
  }
}
