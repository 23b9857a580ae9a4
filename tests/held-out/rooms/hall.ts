/** The weather outside, and the hall before the door, which has a life of its own. */
import type { Chance } from '../lies/chance.ts'
import { airJPerKgK, airKgPerM3, latentJPerKg, ratioOf, saturationPa } from './air.ts'
import type { House } from './house.ts'
import { type Doings, shareAt } from './scene.ts'

const hourOf = (t: number) => (t / 3_600_000) % 24

/** A value that wanders about zero with a memory. */
class Wander {
  value: number
  readonly #c: Chance
  readonly #keep: number
  readonly #push: number

  constructor(c: Chance, size: number, memoryS: number, stepS: number) {
    this.#c = c
    this.#keep = Math.exp(-stepS / memoryS)
    this.#push = size * Math.sqrt(1 - this.#keep ** 2)
    this.value = size * c.normal()
  }

  step(): number {
    this.value = this.#keep * this.value + this.#push * this.#c.normal()
    return this.value
  }
}

export class Outside {
  celsius = 0
  vapourPa = 0
  /** Of the sun on the outer wall, K above the air. */
  sunK = 0
  wind = 1
  readonly #house: House
  readonly #warm: Wander
  readonly #damp: Wander
  readonly #gust: Wander

  constructor(c: Chance, house: House, stepS: number) {
    this.#house = house
    this.#warm = new Wander(c, 0.7, 7_200, stepS)
    this.#damp = new Wander(c, 0.6, 9_000, stepS)
    this.#gust = new Wander(c, 0.5, 900, stepS)
  }

  step(t: number): void {
    const w = this.#house.weather
    const day = Math.cos((2 * Math.PI * (hourOf(t) - 15)) / 24)
    let celsius = w.meanC + w.swingC * (day + 0.15 * (2 * day * day - 1)) + this.#warm.step()
    let dew = w.dewC + this.#damp.step()
    for (const front of w.fronts) {
      const passed = 0.5 + 0.5 * Math.tanh((t - front.at) / (front.widthS * 1_000))
      celsius += front.warmK * passed
      dew += front.dewK * passed
    }
    this.celsius = celsius
    this.vapourPa = saturationPa(Math.min(dew, celsius - 0.2))
    this.sunK = w.sunK * Math.max(0, Math.cos((2 * Math.PI * (hourOf(t) - 15.5)) / 24) - 0.3) * 1.4
    this.wind = Math.max(0.2, w.wind * (1 + this.#gust.step()))
  }
}

export class Hall {
  celsius: number
  ratio: number
  #massC: number
  #waterKg = 0
  readonly #house: House
  readonly #doings: Doings
  readonly #stir: Wander

  constructor(c: Chance, house: House, doings: Doings, outside: Outside, stepS: number) {
    this.#house = house
    this.#doings = doings
    this.#stir = new Wander(c, house.hall.stirW, 1_500, stepS)
    this.celsius = house.hall.usualC
    this.#massC = house.hall.usualC
    this.ratio = ratioOf(Math.min(outside.vapourPa * 1.08, 0.8 * saturationPa(this.celsius)), house.pressurePa)
  }

  /** What the room gave it since the last step: W and kg/s. `mains`: whether its heating has power. */
  step(t: number, dtS: number, outside: Outside, givenW: number, givenKgPerS: number, mains: boolean): void {
    const h = this.#house.hall
    const hour = hourOf(t)
    const airKg = h.volume * airKgPerM3(this.celsius, this.#house.pressurePa)
    const gate = shareAt(this.#doings.gate, t)
    const renewals = h.renewalsPerH * (0.6 + 0.4 * outside.wind) + gate * h.gateRenewalsPerH
    const flow = (airKg * renewals) / 3_600
    const outRatio = ratioOf(outside.vapourPa, this.#house.pressurePa)
    const target = hour > h.heatsFrom && hour < h.heatsTo ? h.heatedC : h.heatedC - h.setbackK
    const heating = mains && h.heatingW > 0 ? Math.min(1, Math.max(0, (target - this.celsius) / 1.5)) * h.heatingW : 0
    const kiln = shareAt(this.#doings.kiln, t)
    const film = 3.2 * h.volume
    const watts =
      flow * airJPerKgK * (outside.celsius - this.celsius) +
      film * (this.#massC - this.celsius) +
      heating +
      kiln +
      this.#stir.step() +
      givenW
    this.#waterKg += shareAt(this.#doings.mop, t) * dtS
    const fromFloor = Math.min(this.#waterKg / dtS, this.#waterKg / 2_400)
    this.#waterKg -= fromFloor * dtS
    // Burning gas gives some 0.14 kg/h of water to each kW that stays in the hall.
    const kg = flow * (outRatio - this.ratio) + fromFloor + (h.kilnBurnsGas ? kiln * 4e-8 : 0) + givenKgPerS
    const massW =
      film * (this.celsius - this.#massC) + h.lossWPerK * (outside.celsius + 0.4 * outside.sunK - this.#massC)
    this.celsius += ((watts - latentJPerKg * fromFloor) * dtS) / (airKg * airJPerKgK)
    this.#massC += (massW * dtS) / h.massJ
    const most = ratioOf(0.97 * saturationPa(this.celsius), this.#house.pressurePa)
    this.ratio = Math.min(most, this.ratio + (kg * dtS) / airKg)
  }
}
