/** The order of one edge node's messages, numbered 0 to 255 and round again: what is missing, and since when. */
import type { EpochMs } from '../../../../shared/time.ts'
import { reorderMs, reorderPlacesMax } from './limits.ts'

const numbers = 256

/** How far `seq` lies ahead of `from`, going round. */
export function ahead(seq: number, from: number): number {
  return (seq - from + numbers) % numbers
}

export type Place =
  /** The one that was due. */
  | 'next'
  /** One that was missing. */
  | 'late'
  /** Some before it have not come yet. */
  | 'early'
  /** The same message came before. */
  | 'again'
  /** So many are missing that waiting would not help. */
  | 'lost'

export class Sequence {
  #due = 0
  readonly #missing = new Map<number, EpochMs>()
  /** The newest numbers, each with the sum over its message: the same number with other bytes is no repetition. */
  #recent: { seq: number; sum: number }[] = []

  /** A birth begins anew, with whatever number it carries. */
  begin(seq: number, sum: number): void {
    this.#due = (seq + 1) % numbers
    this.#missing.clear()
    this.#recent = [{ seq, sum }]
  }

  wasSeen(seq: number, sum: number): boolean {
    return this.#recent.some((one) => one.seq === seq && one.sum === sum)
  }

  take(seq: number, sum: number, at: EpochMs): Place {
    if (this.wasSeen(seq, sum)) return 'again'
    this.#recent.push({ seq, sum })
    if (this.#recent.length > reorderPlacesMax) this.#recent.shift()
    if (this.#missing.delete(seq)) return 'late'
    const places = ahead(seq, this.#due)
    // A stray one from before: what is due stays due.
    if (places >= numbers - reorderPlacesMax) return 'lost'
    if (places > reorderPlacesMax) {
      this.#due = (seq + 1) % numbers
      this.#missing.clear()
      return 'lost'
    }
    for (let i = 0; i < places; i++) this.#missing.set((this.#due + i) % numbers, at)
    this.#due = (seq + 1) % numbers
    return places === 0 ? 'next' : 'early'
  }

  /** Something has not come yet, and may still. */
  get waits(): boolean {
    return this.#missing.size > 0
  }

  /** Something has been missing for so long that it will not come. */
  isOverdue(now: EpochMs): boolean {
    for (const since of this.#missing.values()) if (Math.abs(now - since) >= reorderMs) return true
    return false
  }

  /** What has not come is given up: a birth will tell how things stand. */
  giveUp(): void {
    this.#missing.clear()
  }
}
