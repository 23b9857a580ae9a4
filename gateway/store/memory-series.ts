/** One series as the memory store holds it: rising by measuredAt, and findable by instant and by claim. */
import type { EpochMs } from '../../shared/time.ts'
import type { StoredReading } from './store.ts'

export class MemorySeries {
  readonly #rising: StoredReading[] = []
  readonly #byInstant = new Map<EpochMs, StoredReading>()
  readonly #byClaim = new Map<EpochMs, StoredReading>()

  get size(): number {
    return this.#rising.length
  }

  at(measuredAt: EpochMs): StoredReading | undefined {
    return this.#byInstant.get(measuredAt)
  }

  /** The reading to which its instrument gave this instant, believed or not. */
  sent(instant: EpochMs): StoredReading | undefined {
    const claimed = this.#byClaim.get(instant)
    if (claimed !== undefined) return claimed
    const stands = this.#byInstant.get(instant)
    return stands?.claimedAt === undefined ? stands : undefined
  }

  add(reading: StoredReading): void {
    this.#byInstant.set(reading.measuredAt, reading)
    if (reading.claimedAt !== undefined) this.#byClaim.set(reading.claimedAt, reading)
    // Nearly always the newest: then this is a push.
    this.#rising.splice(this.#place(reading.measuredAt), 0, reading)
  }

  /** Lets go of what was measured before this instant; returns how many. */
  letGo(before: EpochMs): number {
    const gone = this.#rising.splice(0, this.#place(before))
    for (const { measuredAt, claimedAt } of gone) {
      this.#byInstant.delete(measuredAt)
      if (claimedAt !== undefined) this.#byClaim.delete(claimedAt)
    }
    return gone.length
  }

  /** At most `limit` readings with from ≤ measuredAt < to. */
  between(from: EpochMs, to: EpochMs, limit: number): StoredReading[] {
    const begin = this.#place(from)
    return this.#rising.slice(begin, Math.min(this.#place(to), begin + limit))
  }

  ends(): { first: StoredReading; newest: StoredReading } | null {
    const first = this.#rising[0]
    const newest = this.#rising.at(-1)
    return first === undefined || newest === undefined ? null : { first, newest }
  }

  /** Index of the first reading at or after this instant. */
  #place(instant: EpochMs): number {
    const newest = this.#rising.at(-1)
    if (newest === undefined || newest.measuredAt < instant) return this.#rising.length
    let low = 0
    let high = this.#rising.length
    while (low < high) {
      const middle = (low + high) >>> 1
      if ((this.#rising[middle]?.measuredAt ?? 0) < instant) low = middle + 1
      else high = middle
    }
    return low
  }
}
