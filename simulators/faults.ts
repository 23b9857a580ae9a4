/** What can go wrong with an instrument, its clock, its link or a heater: named, and each between two instants. */
import type { EpochMs } from '../shared/time.ts'

interface Span {
  from: EpochMs
  to: EpochMs
}

export type Fault = Span &
  (
    | { fault: 'open-circuit'; instrument: string }
    /** Reads more and more wrong, °C per hour since it began. */
    | { fault: 'drift'; instrument: string; cPerHour: number }
    /** Reads wrong by a share of the temperature, as a decalibrated wire does. */
    | { fault: 'decalibrated'; instrument: string; share: number }
    | { fault: 'stuck'; instrument: string }
    /** Hangs in the air above the wax, or lies on the bench. */
    | { fault: 'out-of-wax'; instrument: string }
    | { fault: 'skewed-clock'; instrument: string; byMs: number }
    /** `keeps`: measures on, on a battery, and tells it all when the link is back. Otherwise the gap stays a gap. */
    | { fault: 'lost-link'; instrument: string; keeps: boolean }
    /** Sends this share of its messages a second time. */
    | { fault: 'duplicates'; instrument: string; share: number }
    | { fault: 'welded-relay'; station: string }
  )

export type FaultName = Fault['fault']

/** The fault of this name that stands now for an instrument or a station, if any. */
export function standing<N extends FaultName>(
  faults: readonly Fault[],
  name: N,
  subject: string,
  at: EpochMs,
): Extract<Fault, { fault: N }> | undefined {
  return faults.find(
    (fault): fault is Extract<Fault, { fault: N }> =>
      fault.fault === name && at >= fault.from && at < fault.to && subjectOf(fault) === subject,
  )
}

function subjectOf(fault: Fault): string {
  return 'station' in fault ? fault.station : fault.instrument
}
