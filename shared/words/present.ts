/** What is known right now of the series that a finding is about: so that its sentence need not speak of its first value as if it were the present one. */
import type { Finding, Quantity } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import { freshness, type StationNow } from './standing.ts'

export interface Present {
  now: EpochMs
  /** The newest value; null where none can be told, because nothing came or the instrument cannot measure. */
  value: number | null
  at: EpochMs | null
  freshness: 'fresh' | 'waiting' | 'old'
}

function quantityOf(finding: Finding): Quantity {
  return finding.kind === 'outside-window' || finding.kind === 'outside-recipe-band'
    ? (finding.facts.quantity as Quantity)
    : 'temperature'
}

/** The present of a finding: without an instrument of its own, only the time is known. */
export function presentOf(finding: Finding, latest: StationNow | null, now: EpochMs): Present {
  const series = latest?.all.find((s) => s.instrument === finding.instrument && s.quantity === quantityOf(finding))
  if (!series) return { now, value: null, at: null, freshness: 'old' }
  const value = series.quality === 'bad' ? null : series.value
  return { now, value, at: series.measuredAt, freshness: freshness(series, now) }
}
