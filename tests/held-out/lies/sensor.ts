/** What an instrument makes of what its tip feels: lag, honest error, noise, steps; and the ways in which it breaks. */
import type { Chance } from './chance.ts'

export interface SensorMake {
  /** Time constant of the tip, s. */
  lagS: number
  /** White noise, one standard deviation, in the unit of the quantity. */
  noise: number
  /** Noise that wanders, and how slowly, s. */
  wander: number
  wanderS: number
  /** The smallest step it shows; 0: none. */
  step: number
  /** Honest error: constant, as a share of the value, and growing by the month. */
  offset: number
  gain: number
  driftPerMonth: number
}

/** From … to in s of the scene. */
export type Fault = { fromS: number; toS: number } & (
  | { kind: 'stuck' }
  /** Only `left` of the usual noise, and smoothed over `smoothS`. */
  | { kind: 'noise-vanished'; left: number; smoothS: number }
  /** `times` the usual noise, a share of it as spikes of one sign. */
  | { kind: 'noise-exploded'; times: number; spikes: number; floor: number }
  /** Pinned at a value; where `contact` is above 0 it comes back for moments. */
  | { kind: 'pinned'; value: number; contact: number }
)

const monthS = 30 * 86_400

export class Sensor {
  readonly #make: SensorMake
  readonly #fault: Fault | undefined
  readonly #chance: Chance
  #feels = Number.NaN
  #smooth = Number.NaN
  #wander = 0
  #held = Number.NaN
  #loose = false
  #lastS = 0

  constructor(make: SensorMake, fault: Fault | undefined, chance: Chance) {
    this.#make = make
    this.#fault = fault
    this.#chance = chance
  }

  read(trueValue: number, tS: number): number {
    const { lagS, noise, wander, wanderS, offset, gain, driftPerMonth } = this.#make
    const dtS = Math.max(1e-3, tS - this.#lastS)
    this.#lastS = tS
    const follows = lagS > 0 ? 1 - Math.exp(-dtS / lagS) : 1
    this.#feels = Number.isNaN(this.#feels) ? trueValue : this.#feels + (trueValue - this.#feels) * follows
    if (wander > 0) {
      const keeps = Math.exp(-dtS / wanderS)
      this.#wander = this.#wander * keeps + wander * Math.sqrt(1 - keeps * keeps) * this.#chance.normal()
    }
    const honest = this.#feels * (1 + gain) + offset + (driftPerMonth * tS) / monthS
    const hiss = noise * this.#chance.normal()
    const fault = this.#fault
    if (fault === undefined || tS < fault.fromS || tS > fault.toS) {
      this.#smooth = honest
      this.#held = this.#stepped(honest + this.#wander + hiss)
      return this.#held
    }
    return this.#broken(fault, honest, hiss, dtS)
  }

  #broken(fault: Fault, honest: number, hiss: number, dtS: number): number {
    switch (fault.kind) {
      case 'stuck':
        if (Number.isNaN(this.#held)) this.#held = this.#stepped(honest + hiss)
        return this.#held
      case 'noise-vanished':
        if (Number.isNaN(this.#smooth)) this.#smooth = honest
        this.#smooth += (honest - this.#smooth) * (1 - Math.exp(-dtS / fault.smoothS))
        return this.#stepped(this.#smooth + fault.left * (hiss + this.#wander))
      case 'noise-exploded': {
        const size = Math.max(fault.floor, fault.times * Math.hypot(this.#make.noise, this.#make.wander))
        const spike = this.#chance.often(fault.spikes) ? 4 * size * this.#chance.next() : 0
        return this.#stepped(honest + size * this.#chance.normal() - spike)
      }
      case 'pinned':
        this.#loose = this.#chance.often(this.#loose ? 0.7 : fault.contact)
        return this.#loose ? this.#stepped(honest + this.#wander + hiss) : fault.value
    }
  }

  #stepped(value: number): number {
    const { step } = this.#make
    return step > 0 ? Math.round(Math.round(value / step) * step * 1e6) / 1e6 : Math.round(value * 1e3) / 1e3
  }
}

/** Steps that instruments of the trade show (common practice, no source). */
export const usualSteps = [0.01, 0.1, 0.1, 0.1, 0.25, 0.0625, 0.5, 1] as const

/** A sound instrument: errors within `offsetMost`, noise about its own step or somewhat more. */
export function soundSensor(
  chance: Chance,
  most: { lagS: number; noise: number; offset: number; gain: number; step?: number },
): SensorMake {
  return {
    lagS: chance.scaled(Math.max(0.5, most.lagS / 12), most.lagS),
    noise: chance.scaled(most.noise / 8, most.noise),
    wander: chance.often(0.6) ? chance.scaled(most.noise / 10, most.noise / 2) : 0,
    wanderS: chance.scaled(20, 400),
    step: most.step ?? chance.pick(usualSteps),
    offset: chance.near(most.offset / 2, most.offset),
    gain: chance.near(most.gain / 2, most.gain),
    driftPerMonth: 0,
  }
}
