/** Sums of a series over periods that follow one another (nights of a calendar, months of a drift), from readings or from what is told of many. */
import { type DurationMs, type EpochMs, minuteMs } from '../time.ts'
import { badQuality, type Sample, seenBetween, type SeriesPiece, type Stretch } from './columns.ts'
import { Period, type Sums } from './period.ts'
import { type Band, bandStep, between } from './statistics.ts'

export type { Sums }

export interface SumsWishes {
  band?: Band
}

/** Where a whole stretch lies: within the band, or beyond one limit of it, as the sign says. */
interface Whole {
  isWithin: boolean
  sign: 1 | 0 | -1
  limit: number
}

const unasked: Whole = { isWithin: false, sign: 0, limit: 0 }
const within: Whole = { isWithin: true, sign: 0, limit: 0 }

/** Null where it may lie on both sides of a limit. A value on the limit is within: what touches it from beyond is not all beyond. */
function wholeOf({ from, to }: Band, lowest: number, highest: number): Whole | null {
  const isAboveFloor = from === null || lowest >= from
  const isBelowCeiling = to === null || highest <= to
  if (isAboveFloor && isBelowCeiling) return within
  if (to !== null && lowest > to && isAboveFloor) return { isWithin: false, sign: 1, limit: to }
  if (from !== null && highest < from && isBelowCeiling) return { isWithin: false, sign: -1, limit: from }
  return null
}

/**
 * Folds a series into its sums over the periods from each edge to the next, with the meanings of `statistics`. Readings beyond the
 * first and the last edge may be given: they say how the line runs there.
 */
export class SumsFold {
  readonly #edges: readonly EpochMs[]
  readonly #silenceMs: DurationMs
  readonly #band: Band | null
  readonly #periods: Period[]
  /** Edges at or before the latest reading: the period after the last of them is under way. */
  #passed = 0
  #previous: Sample | null = null

  constructor(edges: readonly EpochMs[], silenceMs: DurationMs, { band }: SumsWishes = {}) {
    if (!edges.every((edge, i) => i === 0 || edge > (edges[i - 1] as number)))
      throw new RangeError('The edges of periods must rise.')
    this.#edges = edges
    this.#silenceMs = silenceMs
    this.#band = band ?? null
    this.#periods = edges.slice(1).map((to, i) => new Period(edges[i] as number, to))
  }

  add({ t, v, quality }: SeriesPiece): void {
    for (let i = 0; i < t.length; i++)
      this.#addSample({ t: t[i] as number, v: v[i] as number, good: quality[i] !== badQuality })
  }

  /** False, and nothing changed, where these few points do not say enough: across an edge, with a hole within, or astride a limit. */
  addStretch(stretch: Stretch): boolean {
    const { first, lowest, highest, last, integral } = stretch
    if (stretch.longestGapMs > this.#silenceMs || this.#passedAt(first.t) !== this.#passedAt(last.t)) return false
    const whole = this.#band === null ? unasked : wholeOf(this.#band, lowest.v, highest.v)
    if (whole === null) return false
    this.#addSample({ t: first.t, v: first.v, good: true })
    const period = this.#periodUnderWay()
    if (period !== undefined) {
      const ms = last.t - first.t
      period.readings += stretch.readings - 1
      period.widen(lowest)
      period.widen(highest)
      if (ms > 0) period.addSeen(first.t, last.t, integral)
      period.addBand(whole.isWithin ? ms : 0, Math.max(0, whole.sign * (integral - whole.limit * ms)) / minuteMs)
    }
    this.#previous = { t: last.t, v: last.v, good: true }
    return true
  }

  /** A sum has no use for a block from within: what a header does not tell, its readings must. */
  addStrand(): boolean {
    return false
  }

  finish(): Sums[] {
    return this.#periods.map((period) => period.finish())
  }

  #addSample(sample: Sample): void {
    const previous = this.#previous
    this.#previous = sample
    if (previous !== null && seenBetween(previous, sample, this.#silenceMs)) this.#addLine(previous, sample)
    else this.#passed = this.#passedAt(sample.t)
    const period = this.#periodUnderWay()
    if (period === undefined) return
    period.readings++
    if (sample.good) period.widen(sample)
  }

  /** Of the line between two readings each period gets its part. */
  #addLine(previous: Sample, next: Sample): void {
    for (let begin = previous; ; ) {
      const edge = this.#edges[this.#passed]
      const isCut = edge !== undefined && next.t > edge
      const end = isCut ? between(previous, next, edge) : next
      const period = this.#periodUnderWay()
      if (period !== undefined && begin.t < end.t) this.#addPart(period, begin, end)
      if (edge !== undefined && next.t >= edge) this.#passed++
      if (!isCut) return
      begin = end
    }
  }

  #addPart(period: Period, begin: Sample, end: Sample): void {
    period.addSeen(begin.t, end.t, ((begin.v + end.v) / 2) * (end.t - begin.t))
    period.widen(begin)
    period.widen(end)
    if (this.#band === null) return
    const { from, to } = this.#band
    const [low, high] = begin.v < end.v ? [begin.v, end.v] : [end.v, begin.v]
    if ((from === null || low >= from) && (to === null || high <= to)) return period.addBand(end.t - begin.t, 0)
    const { inBandMs, beyond } = bandStep(begin, end, from, to, Number.POSITIVE_INFINITY)
    period.addBand(inBandMs, beyond)
  }

  #passedAt(t: EpochMs): number {
    let passed = this.#passed
    while (passed < this.#edges.length && (this.#edges[passed] as number) <= t) passed++
    return passed
  }

  /** None before the first edge and from the last one on. */
  #periodUnderWay(): Period | undefined {
    return this.#periods[this.#passed - 1]
  }
}

/** Sums up a series over periods: `add` readings or stretches in order of time, then `finish`. */
export function sums(edges: readonly EpochMs[], silenceMs: DurationMs, wishes: SumsWishes = {}): SumsFold {
  return new SumsFold(edges, silenceMs, wishes)
}
