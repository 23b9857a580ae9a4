/** What an instrument can be checked against, and which checks can stand together in one calibration. Pure. */
import type { Calibration, CheckDone, CheckReference, Instrument } from '../../shared/contract/index.ts'
import { dayMs, type EpochMs } from '../../shared/time.ts'
import { temperatureTyped } from '../../shared/words/index.ts'

export interface Candidate {
  key: string
  reference: CheckReference
  /** The reference probe, where it is one. */
  probe?: string
}

/** Reference probes that are offered: more cannot be read at a glance. */
const probesMax = 6

/** Contact probes of its own station first, then those of the rest of the house; a gun cannot look into an ice bath's middle. */
export function referencesFor(
  one: Pick<Instrument, 'id' | 'kind' | 'station'>,
  all: readonly Instrument[],
): Candidate[] {
  const away = (other: Instrument) => (other.station === one.station ? 0 : 1)
  const probes = all
    .filter(
      (other) =>
        other.id !== one.id && (other.kind === 'thermocouple' || (other.kind === 'climate' && one.kind === 'climate')),
    )
    .filter((other) => other.station === one.station || other.kind === one.kind)
    .toSorted((a, b) => away(a) - away(b))
    .slice(0, probesMax)
    .map(({ id }): Candidate => ({ key: `probe ${id}`, reference: 'probe', probe: id }))
  const fixed: Candidate[] =
    one.kind === 'thermocouple'
      ? [
          { key: 'ice-point', reference: 'ice-point' },
          { key: 'boiling-point', reference: 'boiling-point' },
        ]
      : []
  return [...fixed, ...probes]
}

const togetherMs = 30 * dayMs
/** Nearer than this two checks are of one point: the newer one stands for it. */
const samePointC = 2

/** The newest check of each point within a month, such that both columns rise, as a calibration asks; the newest first. */
export function joinable(checks: readonly CheckDone[], now: EpochMs): CheckDone[] {
  const kept: CheckDone[] = []
  for (const check of checks.toSorted((a, b) => b.at - a.at)) {
    if (now - check.at > togetherMs) break
    const fits = kept.every(
      (other) =>
        Math.abs(other.readsC - check.readsC) > samePointC &&
        Math.sign(other.readsC - check.readsC) === Math.sign(other.isC - check.isC),
    )
    if (fits) kept.push(check)
  }
  return kept
}

/** One line of a certificate: what it was, what the instrument read when it came, and after somebody set it. */
export interface CertificateLine {
  is: string
  found: string
  left: string
}
type Points = Calibration['points']
export type Certificate = { points: Points; found: Points | null; no: null } | { no: string }

const isEmpty = (line: CertificateLine) => [line.is, line.found, line.left].every((text) => text.trim() === '')

/** Where nothing was set, what was found is what is left. `expanded`: ± as certificates tell it, in degrees of the unit. */
export function certificateWritten(lines: readonly CertificateLine[], expanded: string, unit: 'C' | 'F'): Certificate {
  const sure = expanded.trim() === '' ? 0 : Number(expanded.trim().replace(',', '.').replace(/^±\s*/, ''))
  if (!Number.isFinite(sure) || sure < 0) return { no: `“${expanded.trim()}” is no uncertainty.` }
  const uC = (unit === 'F' ? (sure * 5) / 9 : sure) / 2
  const points: Points = []
  const found: Points = []
  for (const line of lines) {
    if (isEmpty(line)) continue
    const [is, before, after] = [line.is, line.found, line.left].map((text) =>
      temperatureTyped(text, unit, -273, 1_820),
    )
    const wrong = [is, before, after].find((one) => one && one.celsius === null && one.says !== '')
    if (wrong) return { no: wrong.says }
    const readsC = after?.celsius ?? before?.celsius ?? null
    if (!is || is.celsius === null || readsC === null)
      return { no: 'Each line needs what it was, and what the instrument read.' }
    points.push({ readsC, isC: is.celsius, uC })
    if (before && before.celsius !== null) found.push({ readsC: before.celsius, isC: is.celsius, uC })
  }
  if (points.length === 0) return { no: 'A calibration needs at least one line.' }
  const rising = (all: Points) => all.toSorted((a, b) => a.readsC - b.readsC)
  return { points: rising(points), found: found.length === 0 ? null : rising(found), no: null }
}
