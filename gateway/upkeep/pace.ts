/** How fast the database grows, told by last week's readings; nothing where there is no whole week to tell it by. */
import { type DiskRoom, type Pace as PaceTold, paceEveryMs } from '../../shared/contract/index.ts'
import { type Clock, dayMs, type DurationMs } from '../../shared/time.ts'
import type { Store } from '../store/store.ts'

const weekMs = 7 * dayMs

export class Pace {
  readonly #store: Pick<Store, 'summaries' | 'sums' | 'stock'>
  readonly #clock: Clock
  #known: { at: DurationMs; week: Promise<number | null> } | null = null

  constructor(store: Pick<Store, 'summaries' | 'sums' | 'stock'>, clock: Clock) {
    this.#store = store
    this.#clock = clock
  }

  async told(disk: DiskRoom | null): Promise<PaceTold | null> {
    const weekReadings = await this.#weekReadings()
    const { sealedReadings, sealedBytes } = await this.#store.stock()
    if (weekReadings === null || sealedReadings === 0) return null
    const weekBytes = Math.round((weekReadings * sealedBytes) / sealedReadings)
    const lastsMs = disk === null || weekBytes === 0 ? null : (disk.freeBytes / weekBytes) * weekMs
    return { weekReadings, weekBytes, lastsMs }
  }

  #weekReadings(): Promise<number | null> {
    const at = this.#clock.elapsed()
    if (this.#known === null || at - this.#known.at >= paceEveryMs || at < this.#known.at) {
      const week = this.#count()
      this.#known = { at, week }
      // What could not be told is asked again.
      week.catch(() => {
        this.#known = null
      })
    }
    return this.#known.week
  }

  async #count(): Promise<number | null> {
    const now = this.#clock.now()
    const summaries = await this.#store.summaries()
    if (!summaries.some(({ first }) => first <= now - weekMs)) return null
    let readings = 0
    for (const { series, newest } of summaries) {
      if (newest.measuredAt < now - weekMs) continue
      const [sums] = await this.#store.sums({ series, edges: [now - weekMs, now], silenceMs: dayMs })
      readings += sums?.readings ?? 0
    }
    return readings
  }
}
