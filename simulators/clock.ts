/** The simulators' time: the only file that asks the machine for it, or waits. */
import type { Clock, DurationMs, EpochMs } from '../shared/time.ts'

/** The present of the world. */
export function worldNow(): EpochMs {
  return Date.now()
}

/** A clock that reads `startAt` now and runs `pace` times as fast as the world. It never steps. */
export function pacedClock(startAt: EpochMs, pace: number): Clock {
  const begun = performance.now()
  return {
    pace,
    now: () => Math.floor(startAt + (performance.now() - begun) * pace),
    elapsed: () => performance.now() - begun,
    after: (delay, run) => {
      const timer = setTimeout(run, Math.min(delay / pace, 2 ** 31 - 1))
      return () => clearTimeout(timer)
    },
    soon: (run) => void setImmediate(run),
  }
}

/** Lets this much of the world's time go by. */
export function pause(duration: DurationMs): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, duration))
}
