/** Strangers: instruments that publish and that nobody has claimed. What they say is stored like everything else. */
import { type Entry, type Instrument, splitSeriesId, type Unclaimed } from '../../shared/contract/index.ts'

interface Stranger {
  firstAt: number
  lastAt: number
  readings: number
  lastValues: Record<string, number>
}

export class Strangers {
  readonly #known = new Map<string, Stranger>()

  observe(entry: Entry & { kind: 'reading' }): void {
    const id = splitSeriesId(entry.series)
    if (id) this.meet(id.instrument, id.quantity, entry.value, entry.at, 1)
  }

  /** `readings` more, the newest of them this one. */
  meet(instrument: string, quantity: string, value: number, at: number, readings: number, firstAt = at): void {
    const stranger = this.#known.get(instrument)
    if (!stranger) {
      this.#known.set(instrument, { firstAt, lastAt: at, readings, lastValues: { [quantity]: value } })
      return
    }
    stranger.firstAt = Math.min(stranger.firstAt, firstAt)
    stranger.lastAt = Math.max(stranger.lastAt, at)
    stranger.readings += readings
    stranger.lastValues[quantity] = value
  }

  claimed(instruments: readonly Instrument[]): void {
    for (const { id } of instruments) this.#known.delete(id)
  }

  get size(): number {
    return this.#known.size
  }

  get(instrument: string): Unclaimed | null {
    const stranger = this.#known.get(instrument)
    return stranger ? { instrument, ...stranger, quantities: Object.keys(stranger.lastValues) } : null
  }

  /** Most recently heard first. */
  list(limit: number): Unclaimed[] {
    return [...this.#known.entries()]
      .sort((a, b) => b[1].lastAt - a[1].lastAt)
      .slice(0, limit)
      .map(([instrument, s]) => ({ instrument, ...s, quantities: Object.keys(s.lastValues) }))
  }
}
