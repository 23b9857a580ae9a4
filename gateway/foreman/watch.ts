/** The watch: notices that nothing came, and that our own clock jumped, and has both recorded. Time passes for the judge in no other way. */
import { aliveTickMs, clockStepMs, type NewEntry, watchEveryMs } from '../../shared/contract/index.ts'
import { type House, nextDue } from '../../shared/judge/index.ts'
import type { Clock } from '../../shared/time.ts'

export interface WatchParts {
  clock: Clock
  house: () => House
  record: (entries: NewEntry[]) => Promise<unknown>
}

export class Watch {
  readonly #parts: WatchParts
  #wall = 0
  #steady = 0
  #tickedAt = 0
  #recording = false
  #stop: () => void = () => {}

  constructor(parts: WatchParts) {
    this.#parts = parts
  }

  begin(): void {
    const { clock } = this.#parts
    this.#wall = clock.now()
    this.#steady = clock.elapsed()
    this.#tickedAt = clock.now()
    this.#again()
  }

  end(): void {
    this.#stop()
  }

  #again(): void {
    const { clock } = this.#parts
    this.#stop = clock.after(watchEveryMs * Math.max(1, clock.pace / 10), () => {
      void this.look()
      this.#again()
    })
  }

  /** One look. Records nothing where nothing is due. */
  async look(): Promise<void> {
    const { clock, house, record } = this.#parts
    if (this.#recording) return
    const now = clock.now()
    const entries: NewEntry[] = []
    const byMs = Math.round(now - this.#wall - (clock.elapsed() - this.#steady))
    if (Math.abs(byMs) > clockStepMs) entries.push({ at: now, kind: 'clock-step', byMs })
    this.#wall = now
    this.#steady = clock.elapsed()
    const alive = now - this.#tickedAt >= aliveTickMs && now - house().at >= aliveTickMs
    // After a step the marks are moved first; what is due is asked again a second later.
    if (entries.length === 0 && (nextDue(house()) <= now || alive)) entries.push({ at: now, kind: 'tick' })
    if (entries.length === 0) return
    this.#tickedAt = now
    this.#recording = true
    try {
      await record(entries)
    } finally {
      this.#recording = false
    }
  }
}
