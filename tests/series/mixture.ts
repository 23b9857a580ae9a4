/** A series handed over in a random mixture of forms: readings, strands that can be looked into, and stretches told by a few points. */
import type { SeriesPiece, Strand, Stretch } from '../../shared/series/columns.ts'
import type { Drawn } from './chance.ts'

interface Fold {
  add(piece: SeriesPiece): void
  addStretch(stretch: Stretch): boolean
  addStrand?(strand: Strand, from?: number, to?: number): boolean
}

/** How often each form was taken, and how often it was refused. */
export interface Taken {
  pieces: number
  strands: number
  stretches: number
  refused: number
}

/** Cuts the series wherever chance says, and offers each part in the tersest form first or, by chance, in a wordier one. */
export function giveMixed(fold: Fold, series: Drawn, next: () => number, partMax = 60): Taken {
  const taken: Taken = { pieces: 0, strands: 0, stretches: 0, refused: 0 }
  for (let i = 0; i < series.t.length; ) {
    const end = Math.min(series.t.length, i + 1 + Math.floor(next() * partMax))
    taken[give(fold, part(series, i, end), next, taken)]++
    i = end
  }
  return taken
}

export function giveOneByOne(fold: Fold, series: Drawn): void {
  for (let i = 0; i < series.t.length; i++) fold.add(part(series, i, i + 1))
}

function give(fold: Fold, series: Drawn, next: () => number, taken: Taken): 'pieces' | 'strands' | 'stretches' {
  const isGood = series.quality.every((quality) => quality !== 2)
  const will = next()
  if (isGood && will < 0.6) {
    if (fold.addStretch(stretchOf(series))) return 'stretches'
    taken.refused++
  }
  if (isGood && will < 0.9 && fold.addStrand !== undefined) {
    const strand = new ArrayStrand(series)
    const middle = Math.floor(next() * (strand.length + 1))
    const isBegun = fold.addStrand(strand, 0, middle)
    if (isBegun && fold.addStrand(strand, middle)) return 'strands'
    taken.refused++
    if (isBegun) {
      fold.add(part(series, middle, strand.length))
      return 'pieces'
    }
  }
  fold.add(next() < 0.5 ? series : typed(series))
  return 'pieces'
}

function part({ t, v, quality }: Drawn, from: number, to: number): Drawn {
  return { t: t.slice(from, to), v: v.slice(from, to), quality: quality.slice(from, to) }
}

/** As a store gives it. */
function typed({ t, v, quality }: Drawn): SeriesPiece {
  return { t: Float64Array.from(t), v: Float64Array.from(v), quality: Uint8Array.from(quality) }
}

function longestGap(t: readonly number[]): number {
  return t.reduce((longest, at, i) => Math.max(longest, at - (t[i - 1] ?? at)), 0)
}

/** From the definition, by the least clever way. */
export function stretchOf({ t, v }: Drawn): Stretch {
  const points = t.map((at, i) => ({ t: at, v: v[i] as number }))
  const pick = (value: number) => points[v.indexOf(value)] as { t: number; v: number }
  let integral = 0
  for (let i = 1; i < points.length; i++)
    integral += (((v[i] as number) + (v[i - 1] as number)) / 2) * ((t[i] as number) - (t[i - 1] as number))
  return {
    readings: points.length,
    first: points[0] as { t: number; v: number },
    lowest: pick(Math.min(...v)),
    highest: pick(Math.max(...v)),
    last: points.at(-1) as { t: number; v: number },
    longestGapMs: longestGap(t),
    integral,
  }
}

class ArrayStrand implements Strand {
  readonly #series: Drawn
  readonly length: number
  readonly longestGapMs: number

  constructor(series: Drawn) {
    this.#series = series
    this.length = series.t.length
    this.longestGapMs = longestGap(series.t)
  }

  t(index: number): number {
    return this.#series.t[index] as number
  }

  v(index: number): number {
    return this.#series.v[index] as number
  }

  placeOf(t: number): number {
    const place = this.#series.t.findIndex((at) => at >= t)
    return place < 0 ? this.length : place
  }

  lowest(from: number, to: number): number {
    return this.#series.v.indexOf(Math.min(...this.#series.v.slice(from, to)), from)
  }

  highest(from: number, to: number): number {
    return this.#series.v.indexOf(Math.max(...this.#series.v.slice(from, to)), from)
  }
}
