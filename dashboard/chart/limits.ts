/** The standing limits that can be drawn beside a quantity: windows as bands, ceilings as lines. */
import type { Quantity, Station } from '../../shared/contract/index.ts'

export interface DrawnLimits {
  /** null on a side that is free. */
  band: { from: number | null; to: number | null } | null
  ceiling: number | null
}

export function limitsFor(station: Station, quantity: Quantity): DrawnLimits {
  const windows = station.limits.filter((l) => l.kind === 'window' && l.quantity === quantity)
  const first = windows.find((l) => l.instrument === undefined || l.instrument === station.leading) ?? windows[0]
  const band = first?.kind === 'window' ? { from: first.from ?? null, to: first.to ?? null } : null
  const ceilings =
    quantity === 'temperature' ? station.limits.flatMap((l) => (l.kind === 'ceiling' ? [l.aboveC] : [])) : []
  return { band, ceiling: ceilings.length > 0 ? Math.min(...ceilings) : null }
}

/** A stretch of values that shows the data and, where they are near, the limits; a quiet line is not blown up into drama. */
export function stretch(min: number, max: number, limits: DrawnLimits, spanMin: number): [number, number] {
  let low = min
  let high = max
  const near = Math.max(spanMin, (max - min) * 1.5)
  for (const edge of [limits.band?.from, limits.band?.to, limits.ceiling]) {
    if (edge === null || edge === undefined) continue
    if (edge < low && low - edge <= near) low = edge
    if (edge > high && edge - high <= near) high = edge
  }
  const middle = (low + high) / 2
  const half = Math.max((high - low) / 2, spanMin / 2) * 1.12
  return [middle - half, middle + half]
}
