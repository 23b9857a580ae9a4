/** The night as a ribbon: what swelled out of the band, when, how far, and for how many degree-minutes. */
import type { LineColumns } from '../feed/line.ts'

export interface Swelling {
  from: number
  to: number
  side: 'above' | 'below'
  peak: number
  peakAt: number
  /** Integral of the distance beyond the limit, in units of the quantity times minutes. */
  degreeMinutes: number
  /** The outline, beyond the limit, for drawing. */
  outline: { at: number; beyond: number }[]
}

interface Corner {
  at: number
  value: number
}

/** Where the straight line between two neighbours crosses the limit. */
function crossing(a: Corner, b: Corner, limit: number): number {
  return a.at + ((limit - a.value) / (b.value - a.value)) * (b.at - a.at)
}

/** Excursions beyond one limit: begun and ended at the crossing itself, never carried across a hole. */
export function swellings({ t, v }: LineColumns, limit: number, side: 'above' | 'below'): Swelling[] {
  const sign = side === 'above' ? 1 : -1
  const found: Swelling[] = []
  let open: Swelling | null = null
  let before: Corner | null = null

  const begin = (at: number): Swelling => ({
    from: at,
    to: at,
    side,
    peak: limit,
    peakAt: at,
    degreeMinutes: 0,
    outline: [{ at, beyond: 0 }],
  })
  const extend = (swelling: Swelling, at: number, value: number) => {
    const beyond = sign * (value - limit)
    const last = swelling.outline[swelling.outline.length - 1]
    if (last) swelling.degreeMinutes += ((last.beyond + beyond) / 2) * ((at - last.at) / 60_000)
    swelling.outline.push({ at, beyond })
    swelling.to = at
    if (beyond > sign * (swelling.peak - limit)) {
      swelling.peak = value
      swelling.peakAt = at
    }
  }
  const end = () => {
    if (open && open.to > open.from) found.push(open)
    open = null
  }

  for (let i = 0; i < t.length; i++) {
    const value = v[i]
    if (value === null || value === undefined) {
      end()
      before = null
      continue
    }
    const here: Corner = { at: t[i] as number, value }
    const out = sign * (value - limit) > 0
    if (out && open === null) {
      open = begin(before ? crossing(before, here, limit) : here.at)
      if (!before) open.outline = [{ at: here.at, beyond: sign * (value - limit) }]
    }
    if (open !== null) {
      if (out) extend(open, here.at, value)
      else {
        if (before) extend(open, crossing(before, here, limit), limit)
        end()
      }
    }
    before = here
  }
  end()
  return found
}

/** Everything beyond either side of a band, in time. */
export function excursions(columns: LineColumns, band: { from: number | null; to: number | null }): Swelling[] {
  const above = band.to === null ? [] : swellings(columns, band.to, 'above')
  const below = band.from === null ? [] : swellings(columns, band.from, 'below')
  return [...above, ...below].sort((a, b) => a.from - b.from)
}
