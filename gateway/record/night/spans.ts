/** Spans of time put together: how long any of them lasts, and what of one lies in another. */
import type { TimeSpan } from '../../../shared/contract/index.ts'
import type { DurationMs, EpochMs } from '../../../shared/time.ts'

/** What of them lies within from … to. */
export function clipped(spans: readonly TimeSpan[], from: EpochMs, to: EpochMs): TimeSpan[] {
  return spans.map((s) => ({ from: Math.max(s.from, from), to: Math.min(s.to, to) })).filter((s) => s.from < s.to)
}

/** All of them as one list without overlaps, in order. */
export function united(spans: readonly TimeSpan[]): TimeSpan[] {
  const sorted = [...spans].sort((a, b) => a.from - b.from)
  const all: TimeSpan[] = []
  for (const { from, to } of sorted) {
    const last = all.at(-1)
    if (last && from <= last.to) last.to = Math.max(last.to, to)
    else all.push({ from, to })
  }
  return all
}

export function lengthOf(spans: readonly TimeSpan[]): DurationMs {
  return spans.reduce((sum, s) => sum + s.to - s.from, 0)
}

/** How long none of `without` and any of `within` holds. Both must be without overlaps. */
export function lengthBut(within: readonly TimeSpan[], without: readonly TimeSpan[]): DurationMs {
  return within.reduce((sum, s) => sum + s.to - s.from - lengthOf(clipped(without, s.from, s.to)), 0)
}
