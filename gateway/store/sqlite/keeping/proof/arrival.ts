/** Proves the order of arrival: every delivery leads to its readings, and every reading that is still a row is found by one. */
import type { Database } from 'better-sqlite3'
import { dayMs } from '../../../../../shared/time.ts'
import { DeliveryReader } from '../../delivery.ts'
import { SealedReadings } from '../../sealed-readings.ts'
import { Damage } from '../../damage.ts'
import { dayOf, Shelf } from '../../shelf.ts'
import { type Faults, instant } from './faults.ts'
import { SeqMap } from './seq-map.ts'

export interface ArrivalParts {
  faults: Faults
  nameOf: (series: number) => string
  /** Readings measured before this day may have been let go. */
  retiredBefore: number
  isSealed: boolean
  /** Open rows that were met on the walk through the series. */
  openRows: number
}

export class ArrivalProver {
  readonly #db: Database
  readonly #parts: ArrivalParts
  readonly #sealed: SealedReadings | null
  readonly #seqAt
  /** Rows that a delivery led to. */
  readonly #reached = new SeqMap()
  #reachedCount = 0
  #lastSeq = 0

  constructor(db: Database, parts: ArrivalParts) {
    this.#db = db
    this.#parts = { ...parts, retiredBefore: dayOf(parts.retiredBefore) * dayMs }
    this.#sealed = parts.isSealed ? new SealedReadings(new Shelf(db), new Damage()) : null
    this.#seqAt = db
      .prepare<[number, number], number>('SELECT seq FROM reading WHERE series = ? AND measured_at = ?')
      .pluck()
  }

  prove(progress: (deliveries: number) => void): void {
    const deliveries = new DeliveryReader(this.#db)
    let proved = 0
    const { faults } = this.#parts
    const firsts = this.#db
      .prepare<[number], number>('SELECT first_seq FROM delivery WHERE first_seq > ? ORDER BY first_seq LIMIT 1')
      .pluck()
    for (let first = firsts.get(-1); first !== undefined; ) {
      const next = firsts.get(first) ?? Number.POSITIVE_INFINITY
      const at = first
      faults.within(`The delivery that begins at ${at}`, () => {
        const delivery = deliveries.from(at)
        if (delivery === null || delivery.series.length !== delivery.instants.length)
          throw new Error('its two lists are not of one length')
        for (let i = 0; i < delivery.series.length; i++)
          this.#proveOne(at, next, delivery.series[i] as number, delivery.instants[i] as number)
      })
      progress(++proved)
      first = next === Number.POSITIVE_INFINITY ? undefined : next
    }
    if (this.#reachedCount !== this.#parts.openRows) this.#nameUnreached()
  }

  #proveOne(first: number, next: number, series: number, t: number): void {
    const { faults, nameOf, retiredBefore } = this.#parts
    const seq = this.#seqAt.get(series, t)
    if (seq !== undefined && seq > this.#lastSeq && seq >= first && seq < next) {
      this.#lastSeq = seq
      this.#reached.add(seq)
      this.#reachedCount++
      return
    }
    // A reading that was let go may have come a second time since.
    if (t < retiredBefore) return
    const place = `The delivery that begins at ${first} leads to a reading of ${nameOf(series)} at ${instant(t)}`
    if (seq !== undefined) faults.add(`${place}, which has the number ${seq} and is not in its order.`)
    else if (this.#sealed?.valueAt(series, t) === undefined) faults.add(`${place}, which is not there.`)
  }

  #nameUnreached(): void {
    const rows = this.#db.prepare('SELECT series, measured_at, seq FROM reading').raw()
    for (const [series, t, seq] of rows.iterate() as Iterable<[number, number, number]>)
      if (!this.#reached.has(seq))
        this.#parts.faults.add(
          `The reading of ${this.#parts.nameOf(series)} at ${instant(t)} (an open row) is found by no delivery: a replay would miss it.`,
        )
  }
}
