/** Is it dry? Told from recovery and from what recovery meant on nights that were weighed; never from a clock. An estimate authorises no dip and no pour. Pure. */
import { medianOf, type Minutes } from '../causes/course.ts'
import type { DryingCourse } from './course.ts'
import { lastBelow, moistureLn, type PieceMemory, settled } from './memory.ts'
import { drivenOf, moistureAt, moistureLeast } from './moisture.ts'
import { type ProbesKnown, recoveryOf } from './recovery.ts'

export interface DryAsk {
  /** Share of the dip's water that may be left. */
  dryShare: number
  /** Below this depression, °C, nobody can tell. */
  depressionMinC: number
  /** Half of the 95 % interval of recovery beyond which nobody can tell. */
  widthMax: number
  /** How long it must have held, minutes. */
  sustainedMinutes: number
}

export type CannotTell = 'too-soon' | 'still-chilling' | 'unseen' | 'no-depression' | 'too-uncertain' | 'never-weighed'

export interface DrynessAt {
  recovery: number
  /** Half of its 95 % interval. */
  width: number
  cannotTell: CannotTell | null
  /** Share of the dip's water that is left, as the weighed nights have it; null where nobody can tell. */
  moisture: number | null
}

export interface DryForecast {
  /** Hours from that minute. */
  hours: number
  lowHours: number
  highHours: number
}

/** After a dip recovery begins near one and falls: so much of the usual drying power must have come first. */
const drivenLeast = 0.6
const tooSoonMinutes = 30
/** It is still being chilled where recovery fell by more than this within so long. */
const chillMinutes = 45
const chillDrop = 0.01
/** One night's recovery strays so much from another's at the same moisture, as ln; on seeds other than the frozen one. */
const nightSd = 0.2
/** A dip takes up more or less than the last one: share of the drying power it needs. */
const dipSd = 0.13
/** The next hours are not the last one: share of the depression. */
const airSd = 0.15
/** Of a hundred, two may be called too soon: so many standard deviations of a normal spread. Not tuned: what scenes would allow is less, and too soon is worse than too late. */
const callZ = 2.05
/** Four in five. */
const forecastZ = 1.28

/** The state of a drying, minute by minute, as it was known then. */
export class Dryness {
  readonly course: DryingCourse
  /** As it is judged: over the minutes before. */
  readonly recovery: Minutes
  readonly #raw: Minutes
  readonly #sd: Minutes
  readonly #ownSd: Minutes
  readonly #felt: Minutes
  readonly #driven: Minutes
  readonly #memory: PieceMemory
  readonly #ask: DryAsk

  constructor(course: DryingCourse, memory: PieceMemory, known: ProbesKnown, ask: DryAsk) {
    const { r, sd, ownSd, feltC } = recoveryOf(course, memory.lag, known)
    this.course = course
    this.recovery = settled(r)
    this.#raw = r
    this.#sd = sd
    this.#ownSd = ownSd
    this.#felt = feltC
    this.#driven = drivenOf(course)
    this.#memory = memory
    this.#ask = ask
  }

  /** Recovery of that minute alone. */
  raw(minute: number): number {
    return this.#raw[minute] as number
  }

  at(minute: number): DrynessAt {
    const recovery = this.recovery[minute] as number
    const width = 1.96 * (this.#sd[minute] as number)
    const cannotTell = this.#cannotTell(minute, recovery, width)
    return { recovery, width, cannotTell, moisture: cannotTell === null ? Math.exp(this.#moistureLn(minute).ln) : null }
  }

  /** The first minute at which it has been dry for as long as is asked, with the margin that a call needs; null where there is none. */
  dryFrom(): number | null {
    const { dryShare, sustainedMinutes } = this.#ask
    let held = 0
    for (let i = this.course.dip; i < this.recovery.length; i++) {
      held = this.#isDry(i, Math.log(dryShare)) ? held + 1 : 0
      if (held > sustainedMinutes) return i
    }
    return null
  }

  #isDry(minute: number, limit: number): boolean {
    if (this.at(minute).cannotTell !== null) return false
    const { ln, sd } = this.#moistureLn(minute)
    return ln + callZ * sd <= limit
  }

  /** When it will be dry, from this minute on; null where nobody can know. */
  forecast(minute: number): DryForecast | null {
    const { nights } = this.#memory
    if (nights.length === 0 || minute < this.course.dip + tooSoonMinutes) return null
    const now = this.#driven[minute] as number
    const air = medianOf(this.course.depressionC, minute - 59, minute + 1, 20)
    if (Number.isNaN(air) || air < this.#ask.depressionMinC) return null
    const usual = mean(nights.map((n) => n.dryDriven))
    const byPower = {
      left: usual - now,
      sd: spread(
        nights.map((n) => n.dryDriven),
        dipSd * usual,
      ),
    }
    const byRecovery = this.#leftByRecovery(minute)
    const all = byRecovery === null ? [byPower] : [byPower, byRecovery]
    const weight = all.reduce((sum, { sd }) => sum + 1 / sd ** 2, 0)
    const left = all.reduce((sum, one) => sum + one.left / one.sd ** 2, 0) / weight
    const sd = Math.hypot(Math.sqrt(1 / weight), airSd * Math.max(0, left))
    const hours = (power: number) => Math.max(0, power / air)
    return { hours: hours(left), lowHours: hours(left - forecastZ * sd), highHours: hours(left + forecastZ * sd) }
  }

  #leftByRecovery(minute: number): { left: number; sd: number } | null {
    const { nights } = this.#memory
    if (this.at(minute).cannotTell !== null) return null
    const recovery = this.recovery[minute] as number
    const left: number[] = []
    let slow = 0
    for (const night of nights) {
      const at = lastBelow(night, recovery)
      if (at === null) return null
      left.push(night.dryDriven - (night.driven[at] as number))
      slow += 1 / night.moisture.fall / nights.length
    }
    return { left: mean(left), sd: spread(left, 1.15 * nightSd * slow * Math.sqrt(1 + 1 / nights.length)) }
  }

  #cannotTell(minute: number, recovery: number, width: number): CannotTell | null {
    const { nights } = this.#memory
    if (nights.length === 0) return 'never-weighed'
    if (Number.isNaN(recovery) || Number.isNaN(width)) return 'unseen'
    if ((this.#felt[minute] as number) < this.#ask.depressionMinC) return 'no-depression'
    if (width > this.#ask.widthMax) return 'too-uncertain'
    const least = drivenLeast * Math.min(...nights.map((n) => n.dryDriven))
    if (minute < this.course.dip + tooSoonMinutes || (this.#driven[minute] as number) < least) return 'too-soon'
    // While the wax is still being chilled its recovery falls, and the same value means far more water than later on the way up.
    const before = this.recovery[minute - chillMinutes] as number
    if (before - recovery > chillDrop) return 'still-chilling'
    return null
  }

  /** ln of the moisture and its standard uncertainty: what this recovery meant on each weighed night, and what so much drying power did, each by how sure it is. */
  #moistureLn(minute: number): { ln: number; sd: number } {
    const { nights } = this.#memory
    const many = Math.sqrt(1 + 1 / Math.max(1, nights.length))
    const recovery = this.recovery[minute] as number
    const ln = this.#lnOf(recovery, minute)
    const below = this.#lnOf(recovery - (this.#ownSd[minute] as number), minute)
    const byRecovery = Math.hypot(nightSd * many, below - ln)
    const driven = this.#driven[minute] as number
    const lnPower = mean(nights.map((n) => Math.log(Math.max(moistureLeast, moistureAt(n.moisture, driven)))))
    const byPower = dipSd * many * mean(nights.map((n) => n.moisture.fall * n.dryDriven))
    const [a, b] = [1 / byRecovery ** 2, 1 / byPower ** 2]
    return { ln: (a * ln + b * lnPower) / (a + b), sd: Math.sqrt(1 / (a + b)) }
  }

  #lnOf(recovery: number, minute: number): number {
    const felt = this.#felt[minute] as number
    return mean(this.#memory.nights.map((night) => moistureLn(night, recovery, felt) ?? 0))
  }
}

const mean = (all: readonly number[]) => all.reduce((sum, one) => sum + one, 0) / all.length

/** At least what is known beforehand; more where the nights themselves lie farther apart. */
function spread(all: readonly number[], known: number): number {
  const middle = mean(all)
  const own = Math.sqrt(all.reduce((sum, one) => sum + (one - middle) ** 2, 0) / Math.max(1, all.length - 1))
  return Math.max(1e-6, Math.hypot(known, own / Math.sqrt(all.length)))
}
