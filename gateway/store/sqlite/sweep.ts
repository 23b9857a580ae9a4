/** Takes deliveries away once all their readings are in blocks, the oldest first: the blocks then say themselves what arrived when. */
import type { Database } from 'better-sqlite3'
import { type Delivery, DeliveryReader } from './delivery.ts'

/** Readings looked up in one portion. Reason: a third of a millisecond; what arrives then waits no longer. */
const lookedUpMax = 256

export class Sweeper {
  readonly #deliveries: DeliveryReader
  readonly #isRow
  readonly #take

  constructor(db: Database) {
    this.#deliveries = new DeliveryReader(db)
    this.#isRow = db
      .prepare<[number, number], number>('SELECT 1 FROM reading WHERE series = ? AND measured_at = ?')
      .pluck()
    this.#take = db.prepare<[number]>('DELETE FROM delivery WHERE first_seq <= ?')
  }

  /** One portion. True where the next one may find more. */
  sweep(): boolean {
    let swept = -1
    let looked = 0
    let more = false
    for (let delivery = this.#deliveries.from(0); delivery !== null; ) {
      if (this.#hasRow(delivery)) break
      swept = delivery.firstSeq
      looked += delivery.series.length
      more = looked >= lookedUpMax
      if (more) break
      delivery = this.#deliveries.from(delivery.firstSeq + 1)
    }
    if (swept >= 0) this.#take.run(swept)
    return more
  }

  #hasRow({ series, instants }: Delivery): boolean {
    return series.some((id, i) => this.#isRow.get(id, instants[i] as number) !== undefined)
  }
}
