/** Deliveries: which readings came in with which commit, in order, so that replay by arrival needs no second index over every reading. */
import type { Database } from 'better-sqlite3'

export interface Delivery {
  firstSeq: number
  series: Uint32Array
  instants: Float64Array
}

/** Gathers the readings of one commit. */
export class DeliveryWriter {
  readonly #insert
  #series = new Uint32Array(0)
  #instants = new Float64Array(0)
  #length = 0
  #firstSeq = 0

  constructor(db: Database) {
    this.#insert = db.prepare<[number, Uint8Array, Uint8Array]>(
      'INSERT INTO delivery (first_seq, series, instants) VALUES (?, ?, ?)',
    )
  }

  begin(readingsMax: number): void {
    this.#length = 0
    if (this.#series.length >= readingsMax) return
    this.#series = new Uint32Array(readingsMax)
    this.#instants = new Float64Array(readingsMax)
  }

  add(seq: number, series: number, measuredAt: number): void {
    if (this.#length === 0) this.#firstSeq = seq
    this.#series[this.#length] = series
    this.#instants[this.#length] = measuredAt
    this.#length++
  }

  write(): void {
    if (this.#length === 0) return
    const { buffer: series } = this.#series
    const { buffer: instants } = this.#instants
    this.#insert.run(
      this.#firstSeq,
      Buffer.from(series, 0, this.#length * 4),
      Buffer.from(instants, 0, this.#length * 8),
    )
  }
}

export class DeliveryReader {
  readonly #holding
  readonly #from

  constructor(db: Database) {
    this.#holding = db
      .prepare<[number], number | null>('SELECT max(first_seq) FROM delivery WHERE first_seq <= ?')
      .pluck()
    this.#from = db
      .prepare<[number]>(
        'SELECT first_seq, series, instants FROM delivery WHERE first_seq >= ? ORDER BY first_seq LIMIT 1',
      )
      .raw()
  }

  /** The delivery that holds this seq or, where none does, may begin before it. */
  holding(seq: number): Delivery | null {
    return this.from(this.#holding.get(seq) ?? 0)
  }

  /** The first delivery that begins at this seq or later. */
  from(seq: number): Delivery | null {
    const row = this.#from.get(seq) as [number, Buffer, Buffer] | undefined
    if (row === undefined) return null
    const [firstSeq, series, instants] = row
    // Copied, for a row's bytes may lie at an address where no array of numbers can begin.
    return {
      firstSeq,
      series: new Uint32Array(Uint8Array.from(series).buffer),
      instants: new Float64Array(Uint8Array.from(instants).buffer),
    }
  }
}
