/** The dashboard's clock: the one place with timers, and the gateway's time as it goes on between two messages. */
import type { LiveClock } from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'

/** Time that never steps, ms. */
export function steadyMs(): number {
  return performance.now()
}

export function after(delayMs: number, run: () => void): () => void {
  const timer = setTimeout(run, delayMs)
  return () => clearTimeout(timer)
}

export function every(periodMs: number, run: () => void): () => void {
  const timer = setInterval(run, periodMs)
  return () => clearInterval(timer)
}

/** Runs once with the next picture, or soon where no picture is drawn because the page is hidden. */
export function nextFrame(run: () => void): () => void {
  if (document.hidden) return after(250, run)
  const frame = requestAnimationFrame(run)
  return () => cancelAnimationFrame(frame)
}

/** The viewer's clock may be wrong: only the gateway's word counts, carried on by our steady one. */
export interface HeardClock extends LiveClock {
  heardAtMs: number
}

export function heard(clock: LiveClock): HeardClock {
  return { ...clock, heardAtMs: steadyMs() }
}

export function gatewayNow(clock: HeardClock): EpochMs {
  return Math.round(clock.now + (steadyMs() - clock.heardAtMs) * clock.pace)
}
