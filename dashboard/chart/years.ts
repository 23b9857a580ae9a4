/** The calendar of years: where each day stands, which is beside it, and how deep its shade is. Pure. */
import type { PeriodSums } from '../../shared/contract/index.ts'
import { localDate } from './local.ts'

export interface DaySquare {
  sums: PeriodSums
  year: number
  month: number
  day: number
  column: number
  row: number
}

/** The days of one local year, a month a row as in a ledger. A day whose noon lies in another year does not belong to it. */
export function squaresOf(year: number, days: readonly PeriodSums[], timeZone: string): DaySquare[] {
  return days.flatMap((sums) => {
    // The middle of it, so that a day of 23 or 25 hours is still that day.
    const date = localDate((sums.from + sums.to) / 2, timeZone)
    return date.year === year ? [{ sums, ...date, column: date.day - 1, row: date.month - 1 }] : []
  })
}

/** Index of the day a key leads to from this one; the same where it leads nowhere. */
export function neighbour(squares: readonly DaySquare[], index: number, key: string): number {
  const here = squares[index]
  if (!here) return 0
  if (key === 'ArrowLeft') return Math.max(0, index - 1)
  if (key === 'ArrowRight') return Math.min(squares.length - 1, index + 1)
  if (key === 'Home') return 0
  if (key === 'End') return squares.length - 1
  if (key !== 'ArrowUp' && key !== 'ArrowDown') return index
  const row = here.row + (key === 'ArrowUp' ? -1 : 1)
  const inRow = squares.findLastIndex((square) => square.row === row && square.column <= here.column)
  return inRow < 0 ? index : inRow
}

export type Shading = 'mean' | 'highest' | 'lowest' | 'outside' | 'coverage'

/** The number a day is shaded by; null where nothing was seen, which is never shaded. */
export function shadedBy(sums: PeriodSums, shading: Shading): number | null {
  if (sums.seenMs <= 0) return null
  switch (shading) {
    case 'mean':
      return sums.mean
    case 'highest':
      return sums.highest?.v ?? null
    case 'lowest':
      return sums.lowest?.v ?? null
    case 'outside':
      return sums.seenMs - sums.inBandMs
    case 'coverage':
      return sums.coverage
  }
}

export const shades = 5

export interface ShadeScale {
  low: number
  high: number
}

/** Over all days at once, so that years can be compared; a share and a time begin at nothing. */
export function shadeScale(days: readonly PeriodSums[], shading: Shading): ShadeScale | null {
  const values = days.map((sums) => shadedBy(sums, shading)).filter((value) => value !== null)
  if (values.length === 0) return null
  if (shading === 'coverage') return { low: 0, high: 1 }
  const low = shading === 'outside' ? 0 : values.reduce((a, b) => Math.min(a, b))
  return { low, high: values.reduce((a, b) => Math.max(a, b)) }
}

/** 0 … shades − 1; the middle where all days are alike. */
export function shadeOf(value: number, { low, high }: ShadeScale): number {
  if (high <= low) return value === 0 ? 0 : Math.floor(shades / 2)
  return Math.min(shades - 1, Math.max(0, Math.floor(((value - low) / (high - low)) * shades)))
}

/** Side of the filled part of a day's square, as a share: its area is the share of the day that was seen. */
export function filledSide(coverage: number): number {
  return Math.sqrt(Math.min(1, Math.max(0, coverage)))
}
