/** Sums that were asked for before: what a night adds up to stays as it is until a reading of it comes, however late. */
import type { SeriesId } from '../../../shared/contract/index.ts'
import type { Sums } from '../../../shared/series/sums.ts'
import type { DurationMs, EpochMs } from '../../../shared/time.ts'
import type { SumsAsk } from '../store.ts'

/** Periods remembered at the most. Reason: ten years of nights of six rooms, some 5 MB. */
const periodsMax = 50_000

interface Known {
  from: EpochMs
  to: EpochMs
  /** How far a reading beyond the period's edge says how the line runs within it. */
  silenceMs: DurationMs
  sums: Sums
}

/** One series: what is known of it, by what was asked; and what is being read of it just now. */
interface OfSeries {
  byAsk: Map<string, Map<EpochMs, Known>>
  asking: Set<{ from: EpochMs; to: EpochMs; isStale: boolean }>
  /** No known period reaches beyond this: what is measured later changes none of them. */
  reach: EpochMs
}

export class SumsMemory {
  readonly #series = new Map<SeriesId, OfSeries>()
  readonly #read: (ask: SumsAsk, signal?: AbortSignal) => Promise<Sums[]>
  #size = 0

  /** `read` sums up from what is stored. */
  constructor(read: (ask: SumsAsk, signal?: AbortSignal) => Promise<Sums[]>) {
    this.#read = read
  }

  /** A reading was stored, or told again. */
  note(series: SeriesId, measuredAt: EpochMs): void {
    const of = this.#series.get(series)
    if (of === undefined || measuredAt > of.reach) return
    for (const one of of.asking) if (measuredAt >= one.from && measuredAt <= one.to) one.isStale = true
    let reach = Number.NEGATIVE_INFINITY
    for (const periods of of.byAsk.values())
      for (const [key, { from, to, silenceMs }] of periods) {
        if (measuredAt >= from - silenceMs && measuredAt <= to + silenceMs) {
          periods.delete(key)
          this.#size--
        } else reach = Math.max(reach, to + silenceMs)
      }
    for (const one of of.asking) reach = Math.max(reach, one.to)
    of.reach = reach
  }

  /** Readings were let go. */
  forget(): void {
    for (const { asking } of this.#series.values()) for (const one of asking) one.isStale = true
    for (const of of this.#series.values()) of.byAsk.clear()
    this.#size = 0
  }

  async sums(ask: SumsAsk, signal?: AbortSignal): Promise<Sums[]> {
    const { series, edges, silenceMs, band, interpretation } = ask
    const of = this.#of(series)
    const key = JSON.stringify([silenceMs, band ?? null, interpretation ?? null])
    const known = of.byAsk.get(key)
    const found = edges.slice(1).map((to, i): Sums | null => {
      const one = known?.get(edges[i] as number)
      return one !== undefined && one.to === to ? one.sums : null
    })
    // What lies between two unknown periods is read along: one walk is quicker than many.
    const [first, last] = [found.indexOf(null), found.lastIndexOf(null)]
    if (first < 0) return found as Sums[]
    const some = edges.slice(first, last + 2)
    const asking = { from: (some[0] as number) - silenceMs, to: (some.at(-1) as number) + silenceMs, isStale: false }
    of.asking.add(asking)
    of.reach = Math.max(of.reach, asking.to)
    try {
      const read = await this.#read({ ...ask, edges: some }, signal)
      if (!asking.isStale) this.#remember(of, key, silenceMs, read)
      return [...(found.slice(0, first) as Sums[]), ...read, ...(found.slice(last + 1) as Sums[])]
    } finally {
      of.asking.delete(asking)
    }
  }

  #of(series: SeriesId): OfSeries {
    let of = this.#series.get(series)
    if (of === undefined) {
      of = { byAsk: new Map(), asking: new Set(), reach: Number.NEGATIVE_INFINITY }
      this.#series.set(series, of)
    }
    return of
  }

  #remember(of: OfSeries, key: string, silenceMs: DurationMs, read: readonly Sums[]): void {
    if (this.#size + read.length > periodsMax) this.forget()
    const periods = of.byAsk.get(key) ?? new Map<EpochMs, Known>()
    of.byAsk.set(key, periods)
    for (const sums of read) {
      if (!periods.has(sums.from)) this.#size++
      periods.set(sums.from, { from: sums.from, to: sums.to, silenceMs, sums })
    }
  }
}
