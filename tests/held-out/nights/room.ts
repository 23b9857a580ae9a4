/** A dry room of two zones in steps of half a minute: walls that hold heat and damp in two depths, machines of several makes, draughts by chance. */
import { humidityOf, wetOf } from './air.ts'
import { Chance } from '../lies/chance.ts'

export const stepS = 30

/** What is switched from outside in a step. */
export interface Hand {
  /** Share of the door that stands open. */
  door: number
  mains: boolean
  dryer: boolean
  heatCool: boolean
  fan: boolean
  defrost: boolean
  /** g/s brought in with wet racks. */
  racks: number
  hallC: number
  hallGrams: number
}

export interface Wax {
  /** Outer and inner half, °C; share of the chill its coat still gives. */
  outer: number
  inner: number
  wet: number
  /** Of its own. */
  share: number
  outerS: number
  innerS: number
  dryS: number
}

type Make = 'on-off' | 'proportional' | 'none'

export class Room {
  readonly #dice: Chance
  /** Rack zone and door zone: °C and g/kg. */
  c: [number, number]
  g: [number, number]
  readonly #wallC: [number, number]
  readonly #wallG: [number, number]
  readonly #setC: number
  readonly #setHumidity: number
  readonly #heatMake: Make
  readonly #dryMake: Make
  /** /s: between the zones, to the walls near and deep, to the hall through gaps and through an open door. */
  readonly #mix: number
  readonly #near: number
  readonly #deep: number
  readonly #gap: number
  readonly #openDoor: number
  readonly #damp: number
  /** °C/s and g/kg/s at full power; of fans, people and lamps. */
  readonly #power: number
  readonly #dry: number
  readonly #load: number
  readonly #bandC: number
  readonly #bandHumidity: number
  readonly #outsidePull: number
  readonly waxes: Wax[]
  #heat = 0
  #dryer = 0
  #draught = 0
  #evaporation: number

  constructor(seed: number, hallC: number) {
    const d = new Chance(seed)
    this.#dice = d
    this.#setC = d.between(20.5, 23.5)
    this.#setHumidity = d.between(38, 60)
    this.#heatMake = d.pick(['on-off', 'on-off', 'proportional'] as const)
    this.#dryMake = d.pick(['on-off', 'on-off', 'proportional'] as const)
    this.#mix = 1 / d.scaled(60, 400)
    this.#near = 1 / d.scaled(900, 3_000)
    this.#deep = 1 / d.scaled(10_000, 40_000)
    this.#gap = d.scaled(0.05, 0.35) / 3_600
    this.#openDoor = d.scaled(4, 25) / 3_600
    this.#damp = 1 / d.scaled(2_500, 12_000)
    this.#power = d.scaled(1.5, 6) / 3_600
    this.#dry = d.scaled(1.5, 6) / 3_600
    this.#load = d.between(0.3, 1.1) / 3_600
    this.#bandC = d.between(0.2, 0.9)
    this.#bandHumidity = d.between(1, 4)
    this.#outsidePull = d.between(0.03, 0.12) / 3_600
    this.#evaporation = d.scaled(0.15, 1.2) / 3_600
    const grams = (this.#setHumidity / 100) * 16.6 * Math.exp(0.062 * (this.#setC - 22))
    this.c = [this.#setC, this.#setC + 0.1 * Math.sign(hallC - this.#setC)]
    this.g = [grams, grams]
    this.#wallC = [this.#setC, this.#setC]
    this.#wallG = [grams, grams]
    this.waxes = Array.from({ length: Math.floor(d.between(0, 3.999)) }, () => ({
      outer: this.#setC,
      inner: this.#setC,
      wet: d.between(0.6, 1.6),
      share: d.between(0.45, 0.9),
      outerS: d.scaled(500, 1_500),
      innerS: d.scaled(1_200, 4_000),
      dryS: d.scaled(6, 30) * 3_600,
    }))
  }

  /** How much a machine does, 0 … 1, by its make. */
  #turn(make: Make, before: number, above: number, band: number): number {
    if (make === 'none') return 0
    if (make === 'proportional') return Math.min(1, Math.max(0, 0.5 + above / band))
    return above > band / 2 ? 1 : above < -band / 2 ? 0 : before
  }

  step(hand: Hand, outsideC: number): void {
    const d = this.#dice
    this.#draught += -this.#draught * (stepS / 600) + 0.02 * d.normal()
    const mean = this.c[0]
    const humidity = humidityOf(this.c[0], this.g[0])
    // One machine cools or heats, as the weather asks: what it fights is the load and the outside.
    const drift = this.#load * (hand.mains && hand.fan ? 1 : 0.5) + this.#outsidePull * (outsideC - mean)
    const sign = drift >= 0 ? -1 : 1
    this.#heat = this.#turn(this.#heatMake, this.#heat, -sign * (mean - this.#setC), this.#bandC)
    this.#dryer = this.#turn(this.#dryMake, this.#dryer, humidity - this.#setHumidity, this.#bandHumidity)
    const works = hand.mains && hand.heatCool && !hand.defrost
    const heat = works ? sign * this.#heat * this.#power : hand.defrost && hand.mains ? 0.4 * this.#power : 0
    const dry = hand.mains && hand.dryer ? this.#dryer * this.#dry * Math.max(0, this.g[0] / 9) : 0
    const exchange = this.#gap + hand.door * this.#openDoor
    const fan = hand.mains && hand.fan
    const mix = this.#mix * (fan ? 1 : 0.25)
    const [c0, c1] = this.c
    const [g0, g1] = this.g
    const near = this.#near
    const toWalls = (c: number) => near * (this.#wallC[0] - c) * 2
    const give = this.#evaporation * Math.max(0, 1 - humidity / 100) * 2 * (fan ? 1 : 0.45)
    this.c = [
      c0 + stepS * (mix * (c1 - c0) + toWalls(c0) + heat + drift) + 0.012 * this.#draught,
      c1 + stepS * (mix * (c0 - c1) * 2 + toWalls(c1) + 2 * exchange * (hand.hallC - c1) + drift) + 0.02 * d.normal(),
    ]
    this.g = [
      g0 +
        stepS * (mix * (g1 - g0) + this.#damp * (this.#wallG[0] - g0) - dry + give + hand.racks) +
        0.006 * d.normal(),
      g1 +
        stepS *
          (mix * (g0 - g1) * 2 +
            this.#damp * (this.#wallG[0] - g1) +
            2 * exchange * (hand.hallGrams - g1) +
            hand.racks),
    ]
    this.#wallC[0] +=
      stepS * (this.#near * 0.25 * (c0 - this.#wallC[0]) + this.#deep * (this.#wallC[1] - this.#wallC[0]))
    this.#wallC[1] += stepS * this.#deep * 0.5 * (this.#wallC[0] - this.#wallC[1])
    this.#wallG[0] +=
      stepS * (this.#damp * 0.3 * (g0 - this.#wallG[0]) + this.#deep * (this.#wallG[1] - this.#wallG[0]))
    this.#wallG[1] += stepS * this.#deep * 0.4 * (this.#wallG[0] - this.#wallG[1])
    this.#evaporation *= 1 - stepS / (9 * 3_600)
    this.#stepWaxes(fan)
  }

  #stepWaxes(fan: boolean): void {
    const [c] = this.c
    const wet = wetOf(c, Math.min(100, humidityOf(c, this.g[0])))
    for (const w of this.waxes) {
      const share = Math.min(1, Math.max(0, w.wet)) * w.share * (fan ? 1 : 0.55)
      const felt = c - share * (c - wet)
      w.outer += stepS * ((felt - w.outer) / (w.outerS * (fan ? 1 : 1.6)) + (w.inner - w.outer) / w.innerS)
      w.inner += stepS * ((w.outer - w.inner) / w.innerS)
      w.wet = Math.max(0, w.wet - (stepS / w.dryS) * ((c - wet) / 6.5) * (fan ? 1 : 0.5))
    }
  }

  humidity(zone: 0 | 1): number {
    return Math.min(100, humidityOf(this.c[zone], this.g[zone]))
  }
}
