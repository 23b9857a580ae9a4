/** What keeps an alarm calm: delays and deadband (IEC 62682: on-delay, off-delay, deadband). They belong to alarms, never to statistics. */
import type { DurationMs } from '../time.ts'

export interface Delays {
  onMs: DurationMs
  offMs: DurationMs
}

/** A deadband that leaves room to come back into: at most a quarter of the span it lies in. */
export function roomyDeadband(wanted: number, span: number): number {
  return Math.min(wanted, span / 4)
}
