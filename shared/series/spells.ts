/** Excursions told as spells: what leaves its band again within minutes of coming back is one thing to read, though each part counts by itself. */
import { type DurationMs, type EpochMs, minuteMs } from '../time.ts'

export interface Part {
  side: 'below' | 'above'
  from: EpochMs
  to: EpochMs
  peak: number
  peakAt: EpochMs
  beyond: number
}

export interface Spelt<E extends Part> {
  side: 'below' | 'above'
  from: EpochMs
  to: EpochMs
  /** Time really outside, of all parts. */
  outMs: DurationMs
  peak: number
  peakAt: EpochMs
  beyond: number
  /** In order; one at least. */
  parts: E[]
}

/** In between it may be back for so long. */
const togetherMs = 15 * minuteMs

/** In order of beginning. Sums stay exact: only the telling is put together. */
export function spellsOf<E extends Part>(excursions: readonly E[]): Spelt<E>[] {
  const spells: Spelt<E>[] = []
  for (const e of [...excursions].sort((a, b) => a.from - b.from)) {
    const spell = spells.findLast((s) => s.side === e.side && e.from - s.to <= togetherMs)
    const isPeak = spell && (e.side === 'above' ? e.peak > spell.peak : e.peak < spell.peak)
    if (!spell) {
      const { side, from, to, peak, peakAt, beyond } = e
      spells.push({ side, from, to, outMs: to - from, peak, peakAt, beyond, parts: [e] })
      continue
    }
    spell.parts.push(e)
    spell.to = Math.max(spell.to, e.to)
    spell.outMs += e.to - e.from
    spell.beyond += e.beyond
    if (isPeak) [spell.peak, spell.peakAt] = [e.peak, e.peakAt]
  }
  return spells
}
