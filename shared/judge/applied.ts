/** A standing limit as it is applied to one series, with everything filled in that the house left open. */
import type { StandingLimit } from '../contract/index.ts'
import { type DurationMs, secondMs } from '../time.ts'
import { type Delays, roomyDeadband } from './calm.ts'

/** Delays where the house names none. Reason: a ceiling waits for nobody; a minute is the standard's starting point for temperature
 *  (ISA-18.2, delay starts, seen second-hand: from memory of the standard). */
const delayOf: Record<StandingLimit['kind'], Delays> = {
  ceiling: { onMs: 0, offMs: 0 },
  window: { onMs: 60_000, offMs: 60_000 },
  rise: { onMs: 0, offMs: 60_000 },
}

/** Deadband where the house names none: 0.5 of the unit, or a tenth of the rate. Common practice, no source. */
const deadbandUsual = 0.5

/** A slope needs so many readings in its stretch, whatever the house wrote. Reason: with fewer it would never be told at all. */
const readingsInStretchMin = 4

export interface AppliedLimit {
  /** Stays the same while the document is edited around it. */
  key: string
  subject: string
  limit: StandingLimit
  delays: Delays
  deadband: number
  /** How far back a rate looks; 0 for other limits. */
  overMs: DurationMs
  /** Which of the trails of its series it looks at; −1 for other limits. */
  trail: number
}

function delaysOf(limit: StandingLimit): Delays {
  const usual = delayOf[limit.kind]
  return {
    onMs: limit.onDelayS === undefined ? usual.onMs : limit.onDelayS * secondMs,
    offMs: limit.offDelayS === undefined ? usual.offMs : limit.offDelayS * secondMs,
  }
}

function deadbandOf(limit: StandingLimit): number {
  switch (limit.kind) {
    case 'ceiling':
      return limit.deadband ?? deadbandUsual
    case 'window':
      return roomyDeadband(limit.deadband ?? deadbandUsual, (limit.to ?? Infinity) - (limit.from ?? -Infinity))
    case 'rise':
      // No more than half: a value that no longer rises must be able to end it.
      return Math.min(limit.deadband ?? limit.cPerMinuteMax / 10, limit.cPerMinuteMax / 2)
  }
}

export function applied(
  limit: StandingLimit,
  key: string,
  subject: string,
  intervalS: number,
  trail: number,
): AppliedLimit {
  const overMs = limit.kind === 'rise' ? Math.max(limit.overS, readingsInStretchMin * intervalS) * secondMs : 0
  return {
    key,
    subject,
    limit,
    delays: delaysOf(limit),
    deadband: deadbandOf(limit),
    overMs,
    trail: overMs > 0 ? trail : -1,
  }
}
