/** The machines of a room and what switches them. */
import { ratioOf, saturationPa } from './air.ts'
import type { House, Switched } from './house.ts'
import type { Machine } from './scene.ts'

/** How much of each machine's power is there. */
export type Powers = Record<Machine, number>

/** What the machines give to a zone: W, and kg/s of water taken from its air, with and without giving back its heat. */
export interface Given {
  fan: number
  fanW: number
  heatW: number
  coolW: number
  coolKg: number
  dryKg: number
  dryW: number
}

class Switch {
  isOn = false
  #sinceS = 1e9

  /** `want` above 1: too much; below 0: enough. */
  turn(want: number, leastS: number, dtS: number): boolean {
    this.#sinceS += dtS
    const turns = this.isOn ? want <= 0 : want >= 1
    if (turns && this.#sinceS >= leastS) {
      this.isOn = !this.isOn
      this.#sinceS = 0
    }
    return this.isOn
  }

  off(): void {
    if (this.isOn) this.#sinceS = 0
    this.isOn = false
  }
}

/** A thermostat's machine: in steps with a band, or by as much as is wanted. */
class Thermal {
  #output = 0
  readonly #switch = new Switch()

  step(machine: Switched, missK: number, power: number, dtS: number): number {
    if (machine.watts === 0) return 0
    const want = missK / machine.bandK + 0.5
    let target = 0
    if (power <= 0.02) this.#switch.off()
    else if (machine.proportional) target = want < 0.12 ? 0 : Math.min(1, want)
    else target = this.#switch.turn(want, machine.leastS, dtS) ? 1 : 0
    this.#output += (target * power - this.#output) * (1 - Math.exp(-dtS / machine.lagS))
    return this.#output
  }
}

export class Plant {
  readonly #house: House
  readonly #cooling = new Thermal()
  readonly #heating = new Thermal()
  readonly #humidistat = new Switch()
  #feltC: number
  #feltPercent: number
  #ranS = 0
  #thawS = 0
  #clockS: number

  constructor(house: House, phase: number) {
    this.#house = house
    this.#feltC = house.setC + 2 * (phase - 0.5)
    this.#feltPercent = house.humidity + 6 * (((phase * 7) % 1) - 0.5)
    this.#clockS = phase * (house.fan.onS + house.fan.offS)
    this.#ranS = phase * 1_200
  }

  step(dtS: number, airC: readonly number[], pa: readonly number[], wallC: number, powers: Powers): Given {
    const h = this.#house
    const { thermostat, dehumidifier: d } = h
    const metC = (1 - thermostat.wall) * airC[thermostat.zone]! + thermostat.wall * wallC
    this.#feltC += (metC - this.#feltC) * (1 - Math.exp(-dtS / thermostat.lagS))
    const cool = this.#cooling.step(h.cooling, this.#feltC - h.cooling.setC, powers.cooling, dtS)
    const heat = this.#heating.step(h.heating, h.heating.setC - this.#feltC, powers.heating, dtS)
    const doorRatio = ratioOf(pa[0]!, h.pressurePa)
    const coolKg =
      cool * h.cooling.flowKgPerS * Math.max(0, doorRatio - ratioOf(saturationPa(h.cooling.coilC), h.pressurePa))

    this.#clockS += dtS
    const fan = h.fan.timed && this.#clockS % (h.fan.onS + h.fan.offS) > h.fan.onS ? 0 : powers.fan

    const percent = (100 * pa[d.zone]!) / saturationPa(airC[d.zone]!)
    this.#feltPercent += (percent - this.#feltPercent) * (1 - Math.exp(-dtS / d.lagS))
    let [dryKg, dryW] = [0, 0]
    if (d.has && powers.dehumidifier > 0.02) {
      const runs = this.#humidistat.turn((this.#feltPercent - h.humidity) / d.bandPercent + 0.5, d.leastS, dtS)
      if (this.#thawS > 0) {
        this.#thawS -= dtS
        dryW = 0.15 * d.watts
      } else if (runs) {
        this.#ranS += dtS
        const ratio = ratioOf(pa[d.zone]!, h.pressurePa)
        const cold = ratioOf(saturationPa(airC[d.zone]! - d.dropK), h.pressurePa)
        dryKg = powers.dehumidifier * d.flowKgPerS * (d.dry ? ratio : Math.max(0, ratio - cold))
        dryW = d.watts * (0.3 + 0.7 * powers.dehumidifier)
        if (this.#ranS > d.runsS) [this.#ranS, this.#thawS] = [0, d.thawsS]
      }
    } else this.#humidistat.off()
    return {
      fan,
      fanW: fan * h.fan.watts,
      heatW: heat * h.heating.watts,
      coolW: cool * h.cooling.watts,
      coolKg,
      dryKg,
      dryW,
    }
  }
}
