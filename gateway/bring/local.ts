/** From wall-clock time to instants, with the two nights a year on which a local time never is or is twice. */
import { Temporal } from 'temporal-polyfill'
import { isOffset } from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'
import { offsetOf } from './moment.ts'

const hourMs = 3_600_000

/** The instants at which a clock on the wall of this zone shows this time, rising: one, two on a clock going back, none where it leaps over it. */
export class WallClock {
  readonly #zone: string
  /** Fixed, or by local hour: the one offset of the whole hour; null where the clock changes near it. */
  readonly #fixedMs: number | null
  readonly #byHour = new Map<number, number | null>()

  constructor(zone: string) {
    this.#zone = zone
    this.#fixedMs = zone === 'UTC' ? 0 : isOffset(zone) ? offsetOf(zone) : null
  }

  instants(localMs: number): EpochMs[] {
    if (this.#fixedMs !== null) return [localMs - this.#fixedMs]
    const hour = Math.floor(localMs / hourMs)
    let offsetMs = this.#byHour.get(hour)
    if (offsetMs === undefined) {
      offsetMs = this.#offsetOfHour(hour * hourMs)
      // Bounded: a file of a year has 8,760 hours, one of nonsense has any number.
      if (this.#byHour.size > 100_000) this.#byHour.clear()
      this.#byHour.set(hour, offsetMs)
    }
    return offsetMs === null ? this.#exact(localMs) : [localMs - offsetMs]
  }

  /** Two changes within an hour are not known anywhere; so an hour whose ends agree has one offset. */
  #offsetOfHour(localMs: number): number | null {
    const [first, last] = [this.#exact(localMs), this.#exact(localMs + hourMs - 1)]
    if (first.length !== 1 || last.length !== 1) return null
    const offsetMs = localMs - (first[0] as number)
    return localMs + hourMs - 1 - (last[0] as number) === offsetMs ? offsetMs : null
  }

  #exact(localMs: number): EpochMs[] {
    const wall = Temporal.Instant.fromEpochMilliseconds(localMs).toZonedDateTimeISO('UTC').toPlainDateTime()
    const at = (disambiguation: 'earlier' | 'later') => wall.toZonedDateTime(this.#zone, { disambiguation })
    const [earlier, later] = [at('earlier'), at('later')]
    if (earlier.epochMilliseconds === later.epochMilliseconds) return [earlier.epochMilliseconds]
    return earlier.toPlainDateTime().equals(wall) ? [earlier.epochMilliseconds, later.epochMilliseconds] : []
  }
}

export type Told =
  | { at: EpochMs; twice?: 'told' | 'assumed' }
  /** The clock leapt over it. */
  | { at: null }

/** Tells the two halves of a repeated hour apart by the order of the lines: tables run forward or backward in time. */
export class LineOrder {
  readonly #wall: WallClock
  readonly #forward: boolean
  readonly #oneLineAnInstant: boolean
  #last: EpochMs | null = null
  #lastIsSure = false

  /** `oneLineAnInstant`: the same time again can only be the hour repeated, not another series of the same moment. */
  constructor(wall: WallClock, order: { forward: boolean; oneLineAnInstant: boolean }) {
    this.#wall = wall
    this.#forward = order.forward
    this.#oneLineAnInstant = order.oneLineAnInstant
  }

  tell(localMs: number, offsetMs: number | null): Told {
    const [earlier, later] = offsetMs === null ? this.#wall.instants(localMs) : [localMs - offsetMs]
    if (earlier === undefined) return { at: null }
    if (later === undefined) return { at: this.#follow(earlier, true) }
    const [near, far] = this.#forward ? [earlier, later] : [later, earlier]
    const last = this.#last
    if (last === null) return { at: this.#follow(near, false), twice: 'assumed' }
    const stepMs = (at: EpochMs) => (this.#forward ? at - last : last - at)
    const goesOn = this.#oneLineAnInstant ? stepMs(near) > 0 : stepMs(near) >= 0
    if (!goesOn) {
      const sure = stepMs(far) >= 0
      return { at: this.#follow(far, sure), twice: sure ? 'told' : 'assumed' }
    }
    // With more than the repeated hour since the line before, either could be meant.
    const sure = this.#lastIsSure && stepMs(near) <= later - earlier
    return { at: this.#follow(near, sure), twice: sure ? 'told' : 'assumed' }
  }

  #follow(at: EpochMs, sure: boolean): EpochMs {
    this.#last = at
    this.#lastIsSure = sure
    return at
  }
}
