/** How far a pot's thermostat lets it come: the highest turns of the past, and where the next must come. Plain data. */
import type { EpochMs } from '../../time.ts'

export interface Tops {
  /** Highest since it last fell, and when. */
  peakC: number | null
  peakAt: EpochMs
  /** Lowest since it last rose. */
  lowC: number | null
  isRising: boolean
  /** Its turns from rising to falling, the newest last, °C. */
  turns: readonly number[]
  /** The highest of all, forgotten slowly: a dial turned down for a day is no new habit. */
  bestC: number | null
}

export const noTops: Tops = { peakC: null, peakAt: 0, lowC: null, isRising: false, turns: [], bestC: null }

/** A turn is one after so much, °C: more than noise and a brush. */
const turnC = 1
const kept = 24
const forgets = 0.003

export function topped(tops: Tops, t: EpochMs, c: number): Tops {
  const { peakC, lowC, isRising } = tops
  if (peakC === null || lowC === null) return { ...tops, peakC: c, peakAt: t, lowC: c }
  if (isRising) {
    if (c >= peakC) return { ...tops, peakC: c, peakAt: t }
    if (c >= peakC - turnC) return tops
    const bestC = tops.bestC === null || peakC > tops.bestC ? peakC : tops.bestC + forgets * (peakC - tops.bestC)
    return { ...tops, isRising: false, lowC: c, turns: [...tops.turns, peakC].slice(-kept), bestC }
  }
  if (c <= lowC) return { ...tops, lowC: c }
  return c > lowC + turnC ? { ...tops, isRising: true, peakC: c, peakAt: t } : tops
}

/** What a set-point is passed by at most where nobody has seen this pot turn, °C. Common practice, no source. */
const usualOvershootC = 6
/** Its top is known once it turned so often, and the middle ones lie so near together: a brush in a heat-up turns the trace too, but never at one place. */
const turnsMin = 6
const togetherC = 3
const togetherMin = 3

function isKnown(turns: readonly number[]): boolean {
  if (turns.length < turnsMin) return false
  const middle = [...turns].sort((a, b) => a - b)[turns.length >> 1] as number
  return turns.filter((c) => Math.abs(c - middle) <= togetherC).length >= togetherMin
}

/**
 * Where it must have turned: the set-point with what it may overshoot, or the highest of its turns, whichever is more. Null where
 * neither is known.
 */
export function usualTopC(tops: Tops, setPointC: number | null): number | null {
  const { bestC, turns } = tops
  const seen = isKnown(turns) ? bestC : null
  if (setPointC === null) return seen
  return Math.max(setPointC + usualOvershootC, seen ?? -Infinity)
}
