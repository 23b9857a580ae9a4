/** The dip board's plan: the morning it is asked for. */
import { dayMs, type EpochMs, hourMs } from '../../shared/time.ts'

/** When the shell room begins. Common practice, no source. */
const morningHour = 7

/** The next 07:00 of the site, whose clock is so far ahead of UTC at an instant; the moment itself is already the next one. */
export function nextMorning(now: EpochMs, offsetMs: (at: EpochMs) => number): EpochMs {
  const local = now + offsetMs(now)
  const today = Math.floor(local / dayMs) * dayMs + morningHour * hourMs
  const asClock = today > local ? today : today + dayMs
  // The clocks may change before then.
  return asClock - offsetMs(asClock - offsetMs(now))
}
