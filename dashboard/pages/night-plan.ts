/** What the pages of nights show: how one compares with those before it, which are worst, and where the ways lead. */
import type { GlanceLine, NightGlance } from '../../shared/contract/index.ts'
import type { DurationMs } from '../../shared/time.ts'

export const nightPath = (date: string): string => `/night/${date}`

/** `2026-03-28` and so many days on. */
export function dateBeside(date: string, days: number): string {
  return new Date(Date.parse(`${date}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10)
}

function outMs(line: GlanceLine | null): DurationMs {
  return line ? line.seenMs - line.inBandMs : 0
}

/** Time that any room's temperature or humidity was out of its band, the longer of the two counted for each room. */
export function outOf(night: Pick<NightGlance, 'rooms'>): DurationMs {
  return night.rooms.reduce((sum, r) => sum + Math.max(outMs(r.temperature), outMs(r.humidity)), 0)
}

/** The least that was seen of any room; null where no room was watched. */
export function coverageOf(night: Pick<NightGlance, 'rooms'>): number | null {
  const all = night.rooms.flatMap((r) => [r.temperature, r.humidity]).filter((l) => l !== null)
  return all.length === 0 ? null : Math.min(...all.map((l) => l.coverage))
}

/** Half of a night must have been seen to be compared with. */
const comparableAt = 0.5

export interface Compared {
  /** Nights before it that can be compared with. */
  nights: number
  /** Of those, how many were quieter. */
  quieter: number
  usualMs: DurationMs
  thisMs: DurationMs
}

/** This night among those before it; null where there are none, or where it was itself not seen. */
export function comparedWith(date: string, glances: readonly NightGlance[]): Compared | null {
  const mine = glances.find((g) => g.date === date)
  const others = glances.filter((g) => g.date < date && (coverageOf(g) ?? 0) >= comparableAt)
  if (!mine || others.length === 0) return null
  const times = others.map(outOf).sort((a, b) => a - b)
  const thisMs = outOf(mine)
  return {
    nights: others.length,
    quieter: times.filter((t) => t < thisMs).length,
    usualMs: times[Math.floor(times.length / 2)] ?? 0,
    thisMs,
  }
}

/** Worst first: by time out of band; where nothing was out, by what was not seen. */
export function worstFirst(glances: readonly NightGlance[]): NightGlance[] {
  return [...glances]
    .filter((g) => (coverageOf(g) ?? 0) > 0)
    .sort((a, b) => outOf(b) - outOf(a) || (coverageOf(a) ?? 0) - (coverageOf(b) ?? 0))
}
