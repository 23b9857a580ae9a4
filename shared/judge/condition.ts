/** A condition: how a breach becomes a finding and ends again, with deadband and delays (IEC 62682: on-delay, off-delay, deadband). */
import type { EpochMs } from '../time.ts'
import type { Delays } from './calm.ts'
import type { Condition } from './state.ts'

/** When a value was judged, and how it came. */
export interface Moment {
  /** Judged time of the value. */
  t: EpochMs
  /** False for backlog, which moves the condition but announces nothing. */
  fresh: boolean
  /** True after a hole: what a delay waits for was not seen to last, so it begins anew. */
  broken: boolean
}

export type Turn = 'raise' | 'clear' | null

export const untouched = (key: string): Condition => ({ key, since: null, backSince: null, finding: null })

/**
 * One more moment. `out`: beyond the limit, or, while a finding stands, not yet back past the deadband.
 * Returns the same object where nothing changed, so that calm costs nothing.
 */
export function see(condition: Condition, out: boolean, moment: Pick<Moment, 't' | 'broken'>): Condition {
  const { t, broken } = moment
  if (condition.finding === null) {
    if (!out) return condition.since === null ? condition : { ...condition, since: null }
    return condition.since === null || broken ? { ...condition, since: t } : condition
  }
  if (out) return condition.backSince === null ? condition : { ...condition, backSince: null }
  return condition.backSince === null || broken ? { ...condition, backSince: t } : condition
}

/** What the condition comes to at `now`: by a value, or because a delay has run out without one. */
export function turnAt(condition: Condition, now: EpochMs, delays: Delays): Turn {
  if (condition.finding === null)
    return condition.since !== null && now - condition.since >= delays.onMs ? 'raise' : null
  return condition.backSince !== null && now - condition.backSince >= delays.offMs ? 'clear' : null
}

/** When `turnAt` would next turn; Infinity where it never would by itself. */
export function dueAt(condition: Condition, delays: Delays): EpochMs {
  if (condition.finding === null) return condition.since === null ? Infinity : condition.since + delays.onMs
  return condition.backSince === null ? Infinity : condition.backSince + delays.offMs
}

/** After our own absence, or a step of our clock, nobody knows how long a delay has waited: it begins anew. */
export function waitAnew(condition: Condition, now: EpochMs): Condition {
  if (condition.since === null && condition.backSince === null) return condition
  return condition.finding === null
    ? { ...condition, since: now }
    : { ...condition, backSince: condition.backSince === null ? null : now }
}

/** While nobody can see whether it is so, no delay runs: what waited begins anew, what stands stays. */
export function notSeen(condition: Condition): Condition {
  if (condition.finding !== null) return condition.backSince === null ? condition : { ...condition, backSince: null }
  return condition.since === null ? condition : { ...condition, since: null }
}
