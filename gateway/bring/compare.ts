/** What would become of readings, without storing any: compared with what is stored and with what stood earlier in the same table. */
import { bringRememberedMax, type SeriesId } from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'
import type { Carried, Outcome } from './tally.ts'

/** Stored readings of a series with from ≤ t < to, rising. */
export type Scan = (
  series: SeriesId,
  from: EpochMs,
  to: EpochMs,
) => AsyncIterable<{ t: ArrayLike<number>; v: ArrayLike<number> }>

/** Readings of the table that were looked at before, rising. */
interface Remembered {
  from: EpochMs
  to: EpochMs
  t: Float64Array
  v: Float64Array
}

class Earlier {
  readonly #bySeries = new Map<SeriesId, { pieces: Remembered[]; from: EpochMs; to: EpochMs; forgotTo: EpochMs }>()
  #count = 0
  /** False once a table that runs to and fro was too long to remember all of. */
  exact = true

  find(series: SeriesId, at: EpochMs): number | undefined {
    const mine = this.#bySeries.get(series)
    // The usual table runs on in one direction, and asks nothing of what it remembers.
    if (!mine || at < mine.from || at > mine.to) return undefined
    if (at <= mine.forgotTo) this.exact = false
    for (const piece of mine.pieces) {
      if (at < piece.from || at > piece.to) continue
      const found = indexOf(piece.t, at)
      if (found >= 0) return piece.v[found]
    }
    return undefined
  }

  remember(series: SeriesId, fresh: Map<EpochMs, number>): void {
    if (fresh.size === 0) return
    const t = Float64Array.from(fresh.keys()).sort()
    const v = t.map((at) => fresh.get(at) as number)
    const [from, to] = [t[0] as number, t[t.length - 1] as number]
    let mine = this.#bySeries.get(series)
    if (!mine) {
      mine = { pieces: [], from, to, forgotTo: -Infinity }
      this.#bySeries.set(series, mine)
    }
    mine.from = Math.min(mine.from, from)
    mine.to = Math.max(mine.to, to)
    mine.pieces.push({ from, to, t, v })
    this.#count += t.length
    while (this.#count > bringRememberedMax && mine.pieces.length > 1) {
      const oldest = mine.pieces.shift() as Remembered
      this.#count -= oldest.t.length
      mine.forgotTo = Math.max(mine.forgotTo, oldest.to)
    }
  }
}

function indexOf(t: Float64Array, at: EpochMs): number {
  let [low, high] = [0, t.length - 1]
  while (low <= high) {
    const middle = (low + high) >> 1
    const here = t[middle] as number
    if (here === at) return middle
    if (here < at) low = middle + 1
    else high = middle - 1
  }
  return -1
}

export class Comparison {
  readonly #scan: Scan
  readonly #earlier = new Earlier()
  /** Stored readings met in the stretches of time that were looked at. */
  readonly met = new Map<SeriesId, number>()

  constructor(scan: Scan) {
    this.#scan = scan
  }

  get exact(): boolean {
    return this.#earlier.exact
  }

  async judge(batch: readonly Carried[]): Promise<Outcome[]> {
    const bySeries = new Map<SeriesId, EpochMs[]>()
    for (const { at, value } of batch) {
      const mine = bySeries.get(value.series)
      if (mine) mine.push(at)
      else bySeries.set(value.series, [at])
    }
    const stored = new Map<SeriesId, Map<EpochMs, number>>()
    for (const [series, times] of bySeries) stored.set(series, await this.#storedAt(series, times))
    const fresh = new Map<SeriesId, Map<EpochMs, number>>([...bySeries.keys()].map((series) => [series, new Map()]))
    const outcomes = batch.map(({ at, value: { series, value } }): Outcome => {
      const mine = fresh.get(series) as Map<EpochMs, number>
      const kept = stored.get(series)?.get(at) ?? mine.get(at) ?? this.#earlier.find(series, at)
      if (kept === undefined) {
        mine.set(at, value)
        return { is: 'stored' }
      }
      return kept === value ? { is: 'duplicate' } : { is: 'conflict', kept }
    })
    for (const [series, mine] of fresh) this.#earlier.remember(series, mine)
    return outcomes
  }

  /** The stored values at just these instants. */
  async #storedAt(series: SeriesId, times: readonly EpochMs[]): Promise<Map<EpochMs, number>> {
    const wanted = new Set(times)
    const found = new Map<EpochMs, number>()
    let from = Number.POSITIVE_INFINITY
    let to = Number.NEGATIVE_INFINITY
    for (const at of times) {
      from = Math.min(from, at)
      to = Math.max(to, at)
    }
    let met = this.met.get(series) ?? 0
    for await (const piece of this.#scan(series, from, to + 1)) {
      met += piece.t.length
      for (let i = 0; i < piece.t.length; i++) {
        const t = piece.t[i] as number
        if (wanted.has(t)) found.set(t, piece.v[i] as number)
      }
    }
    this.met.set(series, met)
    return found
  }
}
