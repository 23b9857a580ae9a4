/** The clock watch: whether an instrument's time can be believed, and where its reading is placed if not. */
import {
  clockSuspicionCountMin,
  isInSeconds,
  measuredAheadMsMax,
  measuredBehindMsMax,
} from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'

/** Where a moment is placed; `claimedAt` is there where the instrument's own time was not believed. */
export interface Placed {
  measuredAt: EpochMs
  claimedAt?: EpochMs
}

interface Suspicion {
  at: EpochMs
  arrivedAt: EpochMs
  offsetMs: number
  count: number
}

/** Two offsets are the same clock error when they differ by no more than this, or by a tenth of the time between them. */
const steadyMs = 2_000

/** What one instrument said of its clock so far. Only instruments under suspicion are remembered. */
export class ClockWatch {
  readonly #suspects = new Map<string, Suspicion>()
  readonly #knowsTime: (now: EpochMs) => boolean
  /** Instruments remembered at once. */
  readonly #limit: number

  constructor(knowsTime: (now: EpochMs) => boolean, limit: number) {
    this.#knowsTime = knowsTime
    this.#limit = limit
  }

  /** Places the only moment of a message, as `place` does. */
  placeOne(instrument: string, at: EpochMs | null, arrivedAt: EpochMs): Placed {
    if (at === null) return { measuredAt: arrivedAt }
    if (!this.#knowsTime(arrivedAt)) return { measuredAt: at }
    const wrong =
      at > arrivedAt + measuredAheadMsMax ||
      isInSeconds(at, arrivedAt) ||
      this.#steadilyBehind(instrument, at, arrivedAt)
    return wrong ? { measuredAt: arrivedAt, claimedAt: at } : { measuredAt: at }
  }

  /** Places the moments of a backlog. A clock that is behind cannot be told from a long one. */
  place(claims: readonly (EpochMs | null)[], arrivedAt: EpochMs): Placed[] {
    // A gateway that does not know the time cannot call another's wrong: it goes by what it is told, else by arrival.
    if (!this.#knowsTime(arrivedAt)) return claims.map((at) => ({ measuredAt: at ?? arrivedAt }))
    const newest = claims.reduce<EpochMs>((max, at) => Math.max(max, at ?? -Infinity), -Infinity)
    const inSeconds = isInSeconds(newest, arrivedAt)
    const wrong = newest > arrivedAt + measuredAheadMsMax || inSeconds
    return claims.map((at) => {
      if (at === null) return { measuredAt: arrivedAt }
      // The newest is taken as measured now, the others keep their distance from it.
      const before = (newest - at) * (inSeconds ? 1_000 : 1)
      return wrong ? { measuredAt: arrivedAt - before, claimedAt: at } : { measuredAt: at }
    })
  }

  /** A backlog is drained faster than it was measured; a wrong clock keeps its distance. */
  #steadilyBehind(instrument: string, at: EpochMs, arrivedAt: EpochMs): boolean {
    const offsetMs = arrivedAt - at
    if (offsetMs <= measuredBehindMsMax || at === -Infinity) {
      this.#suspects.delete(instrument)
      return false
    }
    const before = this.#suspects.get(instrument)
    const arrivalStep = before ? arrivedAt - before.arrivedAt : 0
    const claimStep = before ? at - before.at : 0
    // The same moment again is a redelivery, which says nothing about a clock.
    if (before && claimStep === 0) return before.count >= clockSuspicionCountMin
    const steady =
      before !== undefined &&
      claimStep > 0 &&
      arrivalStep >= claimStep / 2 &&
      Math.abs(offsetMs - before.offsetMs) <= Math.max(steadyMs, arrivalStep / 10)
    const count = steady ? before.count + 1 : 1
    if (before || this.#suspects.size < this.#limit) this.#suspects.set(instrument, { at, arrivedAt, offsetMs, count })
    return count >= clockSuspicionCountMin
  }
}
