/** An alarm: a finding that somebody must act on, with the states of IEC 62682 / ANSI/ISA-18.2. */
import type { EpochMs } from '../time.ts'
import type { Finding, FindingKind } from './finding.ts'
import type { Answer } from './station.ts'

/** Letters A–D of the standard's state diagram: normal · unacknowledged · acknowledged · returned to normal, unacknowledged. */
export const alarmStates = ['normal', 'unacknowledged', 'acknowledged', 'returned-unacknowledged'] as const
export type AlarmState = (typeof alarmStates)[number]

export interface Alarm {
  /** Id of the finding that first raised it. */
  id: string
  kind: FindingKind
  station: string
  subject: string
  state: AlarmState
  answer: Answer
  raisedAt: EpochMs
  /** How often its condition occurred before somebody acknowledged; 1 at first. */
  times: number
  acknowledgedAt?: EpochMs
  acknowledgedBy?: string
  returnedAt?: EpochMs
  /** The finding as it was last announced. */
  finding: Finding
}
