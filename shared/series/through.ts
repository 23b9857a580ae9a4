/** A fold that sums or draws what values mean, in whichever form they come: each form is turned into its meaning, or refused to come in another. */
import { calibrationAt, type Interpretation, interpreted } from '../physics/interpretation.ts'
import type { DurationMs, EpochMs } from '../time.ts'
import { badQuality, type Point, type SeriesPiece, type Strand, type Stretch } from './columns.ts'
import { straightBetween } from './straight.ts'

/** Takes readings in order of time. False, and nothing changed, where a form does not say enough. */
export interface Takes {
  addStretch(stretch: Stretch): boolean
  addStrand(strand: Strand, from?: number, to?: number): boolean
  add(piece: SeriesPiece): void
}

/** What the fold does with a stretch: a drawing asks for its four points, a sum for its integral as well. */
export type Use = 'drawn' | 'summed'

/** The fold itself where values mean what they say. */
export function throughMeaning(fold: Takes, of: Interpretation | undefined, use: Use): Takes {
  return of === undefined ? fold : new Through(fold, of, use)
}

class Through implements Takes {
  readonly #fold: Takes
  readonly #of: Interpretation
  readonly #use: Use

  constructor(fold: Takes, of: Interpretation, use: Use) {
    this.#fold = fold
    this.#of = of
    this.#use = use
  }

  /** What has no answer is as unseen as what is bad. */
  add({ t, v, quality }: SeriesPiece): void {
    const meant = { t, v: new Float64Array(v.length), quality: Uint8Array.from(quality) }
    for (let i = 0; i < v.length; i++) {
      const value = interpreted(this.#of, v[i] as number, t[i] as number)
      if (typeof value === 'number') meant.v[i] = value
      else meant.quality[i] = badQuality
    }
    this.#fold.add(meant)
  }

  addStretch(stretch: Stretch): boolean {
    if (calibrationAt(this.#of, stretch.first.t) !== calibrationAt(this.#of, stretch.last.t)) return false
    const integral = this.#integralOf(stretch)
    // Between the lowest and the highest that have an answer, all have.
    const [lowest, highest] = [this.#meant(stretch.lowest), this.#meant(stretch.highest)]
    const [first, last] = [this.#meant(stretch.first), this.#meant(stretch.last)]
    if (integral === null || lowest === null || highest === null || first === null || last === null) return false
    return this.#fold.addStretch({ ...stretch, first, lowest, highest, last, integral })
  }

  /** Of a sum: null where it cannot be told from that of the raw values, because their meaning is no straight line. A drawing needs none. */
  #integralOf({ first, lowest, highest, last, integral }: Stretch): number | null {
    if (this.#use === 'drawn') return integral
    if (this.#of.infrared !== null) return null
    const points = this.#of.calibrations[calibrationAt(this.#of, first.t)]?.points ?? []
    return straightBetween(points, lowest.v, highest.v)?.integral(integral, last.t - first.t) ?? null
  }

  #meant({ t, v }: Point): Point | null {
    const value = interpreted(this.#of, v, t)
    return typeof value === 'number' ? { t, v: value } : null
  }

  /** Cut where a calibration begins: within each part the lowest stays the lowest. */
  addStrand(strand: Strand, from = 0, to = strand.length): boolean {
    const parts = this.#partsOf(strand, from, to)
    return parts?.every((part) => this.#fold.addStrand(part)) ?? false
  }

  /** Null where some value of it may have no answer. */
  #partsOf(strand: Strand, from: number, to: number): MeantStrand[] | null {
    const cuts = this.#of.calibrations.map((calibration) => strand.placeOf(calibration.from))
    const edges = [...new Set([from, ...cuts.filter((cut) => cut > from && cut < to), to])]
    const parts: MeantStrand[] = []
    for (let i = 0; i + 1 < edges.length; i++) {
      const part = new MeantStrand(strand, this.#of, edges[i] as number, edges[i + 1] as number)
      if (!part.isAnswered()) return null
      parts.push(part)
    }
    return parts
  }
}

/** The readings begin ≤ index < end of a strand, within one calibration, counted from 0 again. */
class MeantStrand implements Strand {
  readonly length: number
  readonly #strand: Strand
  readonly #of: Interpretation
  readonly #begin: number
  readonly #at: EpochMs

  constructor(strand: Strand, of: Interpretation, begin: number, end: number) {
    this.length = end - begin
    this.#strand = strand
    this.#of = of
    this.#begin = begin
    this.#at = strand.t(begin)
  }

  /** Whether every value of it has an answer: the lowest and the highest have. */
  isAnswered(): boolean {
    if (this.#of.infrared === null) return true
    const { low, high } = this.#rawRange()
    return [low, high].every((value) => typeof interpreted(this.#of, value, this.#at) === 'number')
  }

  #rawRange(): { low: number; high: number } {
    const { range } = this.#strand
    if (range !== undefined) return range
    const [from, to] = [this.#begin, this.#begin + this.length]
    return { low: this.#strand.v(this.#strand.lowest(from, to)), high: this.#strand.v(this.#strand.highest(from, to)) }
  }

  get longestGapMs(): DurationMs {
    return this.#strand.longestGapMs
  }

  get range(): { low: number; high: number } {
    const { low, high } = this.#rawRange()
    return { low: this.#meant(low), high: this.#meant(high) }
  }

  t(index: number): EpochMs {
    return this.#strand.t(this.#begin + index)
  }

  v(index: number): number {
    return this.#meant(this.#strand.v(this.#begin + index))
  }

  placeOf(t: EpochMs): number {
    return Math.max(0, Math.min(this.length, this.#strand.placeOf(t) - this.#begin))
  }

  lowest(from: number, to: number): number {
    return this.#strand.lowest(this.#begin + from, this.#begin + to) - this.#begin
  }

  highest(from: number, to: number): number {
    return this.#strand.highest(this.#begin + from, this.#begin + to) - this.#begin
  }

  /** Every value of it has an answer, or it would not have been made. */
  #meant(v: number): number {
    return interpreted(this.#of, v, this.#at) as number
  }
}
