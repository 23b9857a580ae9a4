/** A condition: how a breach becomes a finding and ends again, with deadband and delays (IEC 62682: on-delay, off-delay, deadband). */
import type { EpochMs } from '../time.ts'
import type { Condition } from './state.ts'

/** How one moment looks to a limit. */
export interface Sight {
  /** Beyond the limit itself. */
  beyond: boolean
  /** Not yet back past the deadband. */
  held: boolean
}

export interface Delays {
  onMs: number
  offMs: number
}

export type Turn = 'raise' | 'clear' | null

export const untouched = (key: string): Condition => ({ key, since: null, backSince: null, finding: null })

/**
 * One more moment. `t` is the judged time of the value; `fresh` is false for backlog, which moves the condition but announces nothing.
 * Returns the same object where nothing changed, so that calm costs nothing.
 */
export function see(condition: Condition, sight: Sight, t: EpochMs, delays: Delays, fresh: boolean): [Condition, Turn] {
  if (condition.finding === null) {
    if (!sight.beyond) return condition.since === null ? [condition, null] : [{ ...condition, since: null }, null]
    const since = condition.since ?? t
    const next = condition.since === null ? { ...condition, since } : condition
    return [next, fresh && t - since >= delays.onMs ? 'raise' : null]
  }
  if (sight.held) return condition.backSince === null ? [condition, null] : [{ ...condition, backSince: null }, null]
  const backSince = condition.backSince ?? t
  const next = condition.backSince === null ? { ...condition, backSince } : condition
  return [next, fresh && t - backSince >= delays.offMs ? 'clear' : null]
}

/** Time passed and nothing new came: a delay may have run out. */
export function wait(condition: Condition, now: EpochMs, delays: Delays): Turn {
  if (condition.finding === null) return condition.since !== null && now - condition.since >= delays.onMs ? 'raise' : null
  return condition.backSince !== null && now - condition.backSince >= delays.offMs ? 'clear' : null
}

/** When `wait` would next turn; Infinity where it never would by itself. */
export function dueAt(condition: Condition, delays: Delays): EpochMs {
  if (condition.finding === null) return condition.since === null ? Infinity : condition.since + delays.onMs
  return condition.backSince === null ? Infinity : condition.backSince + delays.offMs
}
