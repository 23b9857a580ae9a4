/** Lets old readings go where the house wishes it, once a day: recorded in the journal first, never silently. */
import type { Fate } from '../store/store.ts'
import { letGoListed, type LetGo, type NewEntry, type Retention as RetentionTold } from '../../shared/contract/index.ts'
import { type Clock, dayMs, type EpochMs } from '../../shared/time.ts'
import type { Store } from '../store/store.ts'
import { sentenceOf } from './sentence.ts'

export interface RetentionParts {
  store: Pick<Store, 'summaries' | 'sums' | 'retire' | 'newest'>
  clock: Clock
  knowsTime: () => boolean
  record: (entries: NewEntry[]) => Promise<Fate[]>
  keepDays: number | null
  tell: (sentence: string, isTrouble: boolean) => void
}

/** Entries of letting go that are read to sum them up: one a day for longer than readings have been kept anywhere. */
const entriesMax = 40_000

export class Retention {
  readonly #parts: RetentionParts
  /** Everything measured before this is gone, as far as we know since we began. */
  #doneBefore: EpochMs = Number.NEGATIVE_INFINITY
  #trouble: string | null = null
  #letGo: { total: number; times: LetGo[] } | null = null

  constructor(parts: RetentionParts) {
    this.#parts = parts
  }

  /** Lets go of what has become too old; once for each UTC day. */
  async look(): Promise<void> {
    const { clock, knowsTime, keepDays, tell } = this.#parts
    if (keepDays === null || !knowsTime()) return
    const before = (Math.floor(clock.now() / dayMs) - keepDays) * dayMs
    if (before <= this.#doneBefore) return
    try {
      await this.#letGoBefore(before)
      this.#doneBefore = before
      this.#trouble = null
    } catch (error) {
      this.#trouble = sentenceOf(error)
      tell(`Old readings could not be let go: ${this.#trouble}`, true)
    }
  }

  async #letGoBefore(before: EpochMs): Promise<void> {
    const { store, clock, record, tell } = this.#parts
    const readings = await this.#readingsBefore(before)
    if (readings === 0) return
    // A gateway that died between the two has said it already.
    const [last] = await store.newest('retired', 1)
    if (last?.before !== before) {
      await record([{ kind: 'retired', at: clock.now(), before, readings }])
      this.#letGo = null
    }
    await store.retire(before)
    tell(`${readings} readings measured before ${new Date(before).toISOString()} were let go.`, false)
  }

  async #readingsBefore(before: EpochMs): Promise<number> {
    const { store } = this.#parts
    let readings = 0
    for (const { series, first } of await store.summaries()) {
      if (first >= before) continue
      const [sums] = await store.sums({ series, edges: [first, before], silenceMs: dayMs })
      readings += sums?.readings ?? 0
    }
    return readings
  }

  async told(): Promise<RetentionTold> {
    this.#letGo ??= await this.#sumUp()
    return {
      keepDays: this.#parts.keepDays,
      letGo: this.#letGo.total,
      times: this.#letGo.times,
      trouble: this.#trouble,
    }
  }

  async #sumUp(): Promise<{ total: number; times: LetGo[] }> {
    const entries = await this.#parts.store.newest('retired', entriesMax)
    return {
      total: entries.reduce((sum, { readings }) => sum + readings, 0),
      times: entries.slice(0, letGoListed).map(({ at, before, readings }) => ({ at, before, readings })),
    }
  }
}
