/** A cause as it is found, before it is weighed against the others. */
import type { CauseEvidence, NamedCause, NightCauseKind } from '../../contract/index.ts'
import { type EpochMs, minuteMs } from '../../time.ts'

export const fact = (is: CauseEvidence['is'], value = 0): CauseEvidence => ({ is, value })

export interface Found {
  kind: NightCauseKind
  from: EpochMs
  to: EpochMs | null
  confidence: NamedCause['confidence']
  evidence: CauseEvidence[]
  ruledOut: NamedCause['ruledOut']
  recoveryMinutes?: number | null
}

export function named({ recoveryMinutes, ...found }: Found): NamedCause {
  return { ...found, recoveryMinutes: recoveryMinutes ?? null }
}

/** Whether two causes cover some of the same time, each with so much slack. */
export function overlaps(a: Pick<Found, 'from' | 'to'>, b: Pick<Found, 'from' | 'to'>, slackMinutes: number): boolean {
  const slack = slackMinutes * minuteMs
  return a.from <= (b.to ?? Infinity) + slack && b.from <= (a.to ?? Infinity) + slack
}
