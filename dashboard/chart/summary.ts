/** What a chart shows, in numbers: for the sentence under it and for those who cannot see it. */
import type { LineColumns } from '../feed/line.ts'

export interface Hole {
  from: number
  to: number
}

export interface Summary {
  min: number
  max: number
  last: number
  lastAt: number
  holes: Hole[]
  seenMs: number
}

/** The part of a line within from…to; null where nothing was seen. */
export function summarise({ t, v }: LineColumns, from: number, to: number): Summary | null {
  let summary: Summary | null = null
  let before: number | null = null
  let torn = false
  for (let i = 0; i < t.length; i++) {
    const at = t[i] as number
    const value = v[i]
    if (value === null || value === undefined) {
      torn = true
      continue
    }
    const start: number = Math.max(before ?? at, from)
    if (at >= from && at <= to) {
      summary ??= { min: value, max: value, last: value, lastAt: at, holes: [], seenMs: 0 }
      summary.min = Math.min(summary.min, value)
      summary.max = Math.max(summary.max, value)
      summary.last = value
      summary.lastAt = at
      if (torn && before !== null) summary.holes.push({ from: start, to: at })
      else summary.seenMs += at - start
    }
    before = at
    torn = false
  }
  return summary
}

/** About `rows` instants with the nearest value at or before each, for a table; a hole has no value. */
export function sampled(
  { t, v }: LineColumns,
  from: number,
  to: number,
  rows: number,
): { at: number; value: number | null }[] {
  const step = (to - from) / rows
  let i = 0
  return Array.from({ length: rows + 1 }, (_, n) => {
    const at = from + n * step
    while (i + 1 < t.length && (t[i + 1] as number) <= at) i += 1
    const here = t[i]
    const value = here === undefined || here > at || (i === t.length - 1 && at - here > step) ? null : (v[i] ?? null)
    return { at, value }
  })
}
