/** What a proof found wrong: each in one sentence that says what and where, told up to a bound, counted beyond it. */
import { BlockDamaged } from '../../../sealed/damage.ts'

/** Sentences that are kept. Reason: a broken disk breaks a million readings; a person reads some dozens. */
const toldMax = 100

export class Faults {
  readonly told: string[] = []
  count = 0

  add(sentence: string): void {
    this.count++
    if (this.told.length < toldMax) this.told.push(sentence)
  }

  /** Runs work on bytes that may be anything; what it throws is a fault at this place. */
  within<T>(place: string, work: () => T): T | null {
    try {
      return work()
    } catch (error) {
      this.add(`${place}: ${sentenceOf(error)}`)
      return null
    }
  }
}

function sentenceOf(error: unknown): string {
  const message = error instanceof Error ? error.message : String(error)
  if (error instanceof BlockDamaged) return message
  return `it cannot be read (${message.replace(/\.$/, '')}).`
}

/** An instant as people and tables write it; the bare number where it is none. */
export function instant(t: number): string {
  return Math.abs(t) <= 8.64e15 ? new Date(t).toISOString() : String(t)
}
