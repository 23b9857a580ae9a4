/** Gathers what one message says of several instruments: for each its moments, in the order in which they were told. */
import type { Decoded, WireMoment, WireValue } from '../../../shared/contract/index.ts'
import type { EpochMs } from '../../../shared/time.ts'

/** The last instant that a Date can hold (ECMAScript, *Time Values and Time Range*). */
const instantMsMax = 8_640_000_000_000_000

/** Whether a number can be an instant at all. */
export function isInstant(ms: number): boolean {
  return Number.isSafeInteger(ms) && ms >= 0 && ms <= instantMsMax
}

export class Gathered {
  readonly #moments = new Map<string, Map<EpochMs | null, WireMoment>>()

  #moment(instrument: string, at: EpochMs | null): WireMoment {
    let mine = this.#moments.get(instrument)
    if (!mine) {
      mine = new Map()
      this.#moments.set(instrument, mine)
    }
    let moment = mine.get(at)
    if (!moment) {
      moment = { at, values: [] }
      mine.set(at, moment)
    }
    return moment
  }

  /** Values of one instrument at one instant belong together: an EMF and its cold junction mean nothing apart. */
  value(instrument: string, at: EpochMs | null, value: WireValue): void {
    this.#moment(instrument, at).values.push(value)
  }

  fault(instrument: string, at: EpochMs | null, text: string): void {
    this.#moment(instrument, at).fault = text
  }

  decoded(): Decoded[] {
    return [...this.#moments].map(([instrument, moments]) => ({
      is: 'readings',
      instrument,
      moments: [...moments.values()],
    }))
  }
}
