/** Metrics as readings of the instruments that their birth named. */
import type { EpochMs } from '../../../../shared/time.ts'
import { shown } from '../format.ts'
import { type Gathered, isInstant } from '../gathered.ts'
import { distrusted, measured } from '../units.ts'
import type { Known } from './metric.ts'
import type { Metric } from './payload.ts'
import { isMeasured, numberOf, qualityTrouble } from './value.ts'

/** The metric's own time, else the payload's; null where neither can be one. */
function instantOf(own: bigint | undefined, payloads: bigint | undefined): EpochMs | null {
  const ms = Number(own ?? payloads ?? -1n)
  return isInstant(ms) ? ms : null
}

/** Adds what one metric says; one sentence where it says nothing that could be kept. */
export function addReading(
  gathered: Gathered,
  known: Known,
  metric: Metric,
  sentAt: bigint | undefined,
): string | null {
  const { instrument, datatype, unit, name } = known
  if (!isMeasured(datatype)) return `${shown(name)} is of datatype ${datatype}, which measures nothing.`
  const at = instantOf(metric.timestamp, sentAt)
  if (metric.isHistorical === true && at === null) return `${shown(name)} is from the past and does not say from when.`
  if (metric.isNull === true || metric.carried === undefined) {
    gathered.fault(instrument, at, 'The edge node says that it has no value.')
    return null
  }
  const value = numberOf(datatype, metric.carried)
  if (value === null) return `${shown(name)} carries no number that fits its datatype ${datatype}.`
  const told = measured(value, unit)
  gathered.value(instrument, at, qualityTrouble(metric.properties) === null ? told : distrusted(told))
  return null
}
