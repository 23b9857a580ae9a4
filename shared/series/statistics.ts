/** Sums over time of what was seen: mean, time in band, excursions, degree-minutes, holes and coverage (MEANING: seen and unseen). */
import { type DurationMs, type EpochMs, minuteMs } from '../time.ts'
import { badQuality, type Sample, seenBetween, type SeriesPiece } from './columns.ts'

/** The limits of a band; null where it has none on that side. A value on the limit is within. */
export interface Band {
  from: number | null
  to: number | null
}

/** What the time between two neighbouring readings adds up to. All zero where it was not seen. */
export interface BandStep {
  seenMs: DurationMs
  inBandMs: DurationMs
  /** Integral of the distance beyond the limit, in units × minutes: degree-minutes for a temperature. */
  beyond: number
}

export type Side = 'below' | 'above'

/** A stretch beyond a limit, from crossing to crossing. */
export interface Excursion {
  side: Side
  from: EpochMs
  to: EpochMs
  /** False where it began unseen: it may be longer than can be told. */
  beginSeen: boolean
  endSeen: boolean
  peak: number
  peakAt: EpochMs
  /** Units × minutes. */
  beyond: number
}

export interface Hole {
  from: EpochMs
  to: EpochMs
}

export interface Statistics extends BandStep {
  periodMs: DurationMs
  /** Seen time / time, 0 … 1. */
  coverage: number
  /** Every stretch that was not seen, in order: with the seen time they make up the period. At its edges that may be less than the
   *  silence limit, where no reading beyond the edge was given. */
  holes: Hole[]
  /** By time, over what was seen; null where nothing was. */
  mean: number | null
  /** Of all good readings, a lone one between two holes included. */
  min: number | null
  max: number | null
  /** In order of beginning. */
  excursions: Excursion[]
}

/** The part of a straight line from a to b (distances beyond a limit) that lies beyond it: share of the time, mean × share, which end. */
function part(a: number, b: number): { share: number; area: number; begin: number; end: number } | null {
  if (a <= 0 && b <= 0) return null
  if (a >= 0 && b >= 0) return { share: 1, area: (a + b) / 2, begin: 0, end: 1 }
  const share = Math.max(a, b) / Math.abs(a - b)
  const area = (Math.max(a, b) * share) / 2
  return a > 0 ? { share, area, begin: 0, end: share } : { share, area, begin: 1 - share, end: 1 }
}

function beyondPart(side: Side, limit: number | null, previous: Sample, next: Sample) {
  if (limit === null) return null
  return side === 'below' ? part(limit - previous.v, limit - next.v) : part(previous.v - limit, next.v - limit)
}

/** What the time from one reading to the next adds: values run straight between them, and thresholds are split at the crossing. */
export function bandStep(
  previous: Sample,
  next: Sample,
  from: number | null,
  to: number | null,
  silenceMs: DurationMs,
): BandStep {
  if (!seenBetween(previous, next, silenceMs)) return { seenMs: 0, inBandMs: 0, beyond: 0 }
  const seenMs = next.t - previous.t
  const below = beyondPart('below', from, previous, next)
  const above = beyondPart('above', to, previous, next)
  const outside = (below?.share ?? 0) + (above?.share ?? 0)
  const area = (below?.area ?? 0) + (above?.area ?? 0)
  return { seenMs, inBandMs: seenMs * Math.max(0, 1 - outside), beyond: (area * seenMs) / minuteMs }
}

/**
 * Folds a series, piece by piece, into its statistics over a period. Pieces may reach beyond the period: time is counted within it only,
 * and the neighbours outside say how the line runs at its edges.
 */
export class StatisticsFold {
  readonly #from: EpochMs
  readonly #to: EpochMs
  readonly #band: Band
  readonly #silenceMs: DurationMs
  readonly #sum: BandStep = { seenMs: 0, inBandMs: 0, beyond: 0 }
  readonly #holes: Hole[] = []
  readonly #excursions: Excursion[] = []
  readonly #latest: Record<Side, Excursion | null> = { below: null, above: null }
  #integral = 0
  #min = Number.POSITIVE_INFINITY
  #max = Number.NEGATIVE_INFINITY
  #previous: Sample | null = null
  /** Everything in the period before this has been told, as seen or as a hole. */
  #toldTo: EpochMs

  constructor(from: EpochMs, to: EpochMs, band: Band, silenceMs: DurationMs) {
    if (!(from < to)) throw new RangeError(`A period must have a length; this one runs from ${from} to ${to}.`)
    this.#from = from
    this.#to = to
    this.#band = band
    this.#silenceMs = silenceMs
    this.#toldTo = from
  }

  add(piece: SeriesPiece): void {
    for (let i = 0; i < piece.t.length; i++)
      this.#addSample({ t: piece.t[i] as number, v: piece.v[i] as number, good: piece.quality[i] !== badQuality })
  }

  finish(): Statistics {
    if (this.#toldTo < this.#to) this.#addHole(this.#to)
    const periodMs = this.#to - this.#from
    const { seenMs } = this.#sum
    const isSeen = this.#min <= this.#max
    return {
      ...this.#sum,
      periodMs,
      coverage: seenMs / periodMs,
      holes: this.#holes,
      mean: seenMs > 0 ? this.#integral / seenMs : null,
      min: isSeen ? this.#min : null,
      max: isSeen ? this.#max : null,
      excursions: this.#excursions.sort((a, b) => a.from - b.from),
    }
  }

  #addSample(sample: Sample): void {
    const previous = this.#previous
    this.#previous = sample
    if (sample.good && sample.t >= this.#from && sample.t < this.#to) this.#widen(sample.v)
    if (previous === null || !seenBetween(previous, sample, this.#silenceMs)) return
    const begin = previous.t < this.#from ? between(previous, sample, this.#from) : previous
    const end = sample.t > this.#to ? between(previous, sample, this.#to) : sample
    if (begin.t < end.t) this.#addSeen(begin, end)
  }

  #addSeen(begin: Sample, end: Sample): void {
    if (begin.t > this.#toldTo) this.#addHole(begin.t)
    this.#toldTo = end.t
    this.#integral += ((begin.v + end.v) / 2) * (end.t - begin.t)
    this.#widen(begin.v)
    this.#widen(end.v)
    // Most of most nights: nothing lies beyond a limit, and nothing has to be split.
    if (this.#isWithin(begin.v) && this.#isWithin(end.v)) {
      this.#sum.seenMs += end.t - begin.t
      this.#sum.inBandMs += end.t - begin.t
      return
    }
    const step = bandStep(begin, end, this.#band.from, this.#band.to, Number.POSITIVE_INFINITY)
    this.#sum.seenMs += step.seenMs
    this.#sum.inBandMs += step.inBandMs
    this.#sum.beyond += step.beyond
    this.#follow('below', begin, end)
    this.#follow('above', begin, end)
  }

  #addHole(to: EpochMs): void {
    this.#holes.push({ from: this.#toldTo, to })
  }

  #widen(value: number): void {
    this.#min = Math.min(this.#min, value)
    this.#max = Math.max(this.#max, value)
  }

  /** Goes on with the latest excursion of this side, or begins one. */
  #follow(side: Side, begin: Sample, end: Sample): void {
    const beyond = beyondPart(side, this.#limit(side), begin, end)
    if (beyond === null) return
    const ms = end.t - begin.t
    const from = beyond.begin === 0 ? begin.t : begin.t + beyond.begin * ms
    const to = beyond.end === 1 ? end.t : begin.t + beyond.end * ms
    const latest = this.#latest[side]
    // Touching the limit is not crossing it: what ends where the next begins is one. Across a hole the two times differ.
    const excursion = latest !== null && latest.to === from ? latest : this.#beginExcursion(side, from, begin)
    excursion.to = to
    excursion.beyond += (beyond.area * ms) / minuteMs
    for (const sample of [begin, end])
      if (side === 'above' ? sample.v > excursion.peak : sample.v < excursion.peak) {
        excursion.peak = sample.v
        excursion.peakAt = sample.t
      }
    // Until a crossing is seen; a hole or the end of the period may come first.
    excursion.endSeen = !this.#isBeyond(side, end.v)
  }

  #beginExcursion(side: Side, from: EpochMs, begin: Sample): Excursion {
    const limit = this.#limit(side) as number
    // What is beyond its limit from the first moment on crossed it before we saw it.
    const beginSeen = !(from === begin.t && this.#isBeyond(side, begin.v))
    const excursion: Excursion = {
      side,
      from,
      to: from,
      beginSeen,
      endSeen: true,
      peak: limit,
      peakAt: from,
      beyond: 0,
    }
    this.#excursions.push(excursion)
    this.#latest[side] = excursion
    return excursion
  }

  #isWithin(value: number): boolean {
    return !this.#isBeyond('below', value) && !this.#isBeyond('above', value)
  }

  #isBeyond(side: Side, value: number): boolean {
    const limit = this.#limit(side)
    return limit !== null && (side === 'above' ? value > limit : value < limit)
  }

  #limit(side: Side): number | null {
    return side === 'above' ? this.#band.to : this.#band.from
  }
}

/** Where the straight line from one reading to the next is at `t`. */
export function between(previous: Sample, next: Sample, t: EpochMs): Sample {
  const share = (t - previous.t) / (next.t - previous.t)
  return { t, v: previous.v + (next.v - previous.v) * share, good: true }
}

/** Sums up a series that comes in pieces: `add` each, then `finish`. */
export function statistics(from: EpochMs, to: EpochMs, band: Band, silenceMs: DurationMs): StatisticsFold {
  return new StatisticsFold(from, to, band, silenceMs)
}
