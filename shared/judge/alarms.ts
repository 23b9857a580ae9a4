/** Alarms as a small fold over findings and acts: states A–D of IEC 62682 / ANSI/ISA-18.2 (normal, unacknowledged, acknowledged, returned). */
import type { Alarm, Answer, Finding } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'

const sameCause = (alarm: Alarm, finding: Finding) =>
  alarm.kind === finding.kind && alarm.station === finding.station && alarm.subject === finding.subject

type Step = [alarms: readonly Alarm[], changed: Alarm | null]

function replace(alarms: readonly Alarm[], at: number, alarm: Alarm): Step {
  return [alarm.state === 'normal' ? alarms.toSpliced(at, 1) : alarms.with(at, alarm), alarm]
}

/** A→B; D→B when its condition comes back before anybody acknowledged. */
export function raised(alarms: readonly Alarm[], finding: Finding, answer: Answer): Step {
  const at = alarms.findIndex((alarm) => sameCause(alarm, finding))
  const before = alarms[at]
  if (before) {
    const { returnedAt: _, acknowledgedAt: __, acknowledgedBy: ___, ...rest } = before
    return replace(alarms, at, { ...rest, state: 'unacknowledged', times: before.times + 1, answer, finding })
  }
  const alarm: Alarm = {
    id: finding.id,
    kind: finding.kind,
    station: finding.station,
    subject: finding.subject,
    state: 'unacknowledged',
    answer,
    raisedAt: finding.raisedAt,
    times: 1,
    finding,
  }
  return [[...alarms, alarm], alarm]
}

/** B→D, C→A. */
export function returned(alarms: readonly Alarm[], finding: Finding, at: EpochMs): Step {
  const index = alarms.findIndex((alarm) => sameCause(alarm, finding))
  const before = alarms[index]
  if (!before) return [alarms, null]
  const state = before.state === 'acknowledged' ? 'normal' : 'returned-unacknowledged'
  return replace(alarms, index, { ...before, state, returnedAt: at, finding })
}

/** B→C, D→A. Acknowledging what is already acknowledged changes nothing. */
export function acknowledged(alarms: readonly Alarm[], id: string, by: string, at: EpochMs): Step {
  const index = alarms.findIndex((alarm) => alarm.id === id)
  const before = alarms[index]
  if (!before || before.state === 'acknowledged') return [alarms, null]
  const state = before.state === 'returned-unacknowledged' ? 'normal' : 'acknowledged'
  return replace(alarms, index, { ...before, state, acknowledgedAt: at, acknowledgedBy: by })
}
