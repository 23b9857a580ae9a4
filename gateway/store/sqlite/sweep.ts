/** Takes deliveries away once all their readings are in blocks, the oldest first: the blocks then say themselves what arrived when. */
import type { Database } from 'better-sqlite3'
import { DeliveryReader } from './delivery.ts'

/** Readings looked up in one sweep. Reason: some ten milliseconds; the next sweep goes on. */
const lookedUpMax = 8_192

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

  sweep(): void {
    let swept = -1
    let looked = 0
    for (
      let delivery = this.#deliveries.from(0);
      delivery !== null && looked < lookedUpMax;
      delivery = this.#deliveries.from(delivery.firstSeq + 1)
    ) {
      for (let i = 0; i < delivery.series.length; i++, looked++)
        if (this.#isRow.get(delivery.series[i] as number, delivery.instants[i] as number) !== undefined) {
          if (swept >= 0) this.#take.run(swept)
          return
        }
      swept = delivery.firstSeq
    }
    if (swept >= 0) this.#take.run(swept)
  }
}
