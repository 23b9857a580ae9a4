/** How long an instrument may say nothing. Apart from its schema, so that a screen can ask without carrying every schema. */
import type { Instrument } from './instrument.ts'
import { silenceIntervals, silenceMsMin } from './limits.ts'

/** The silence limit of an instrument, ms (MEANING: three expected intervals, at least 30 s). */
export function silenceMsOf(instrument: Instrument): number {
  const default_ = Math.max(silenceMsMin, silenceIntervals * instrument.intervalS * 1_000)
  return instrument.silenceS === undefined ? default_ : instrument.silenceS * 1_000
}
