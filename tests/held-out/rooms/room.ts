/** The room: two bodies of air, a thin and a thick wall, boards that hold water, wet racks; and the books of its heat and water. */
import { airJPerKgK, airKgPerM3, doorM3PerS, latentJPerKg, ratioOf, saturationPa, vapourOf } from './air.ts'
import type { Hall, Outside } from './hall.ts'
import type { House } from './house.ts'
import { Plant, type Powers } from './plant.ts'
import type { Body } from './scene.ts'

export const stepS = 10
/** W/m²K of radiation between a shell and the walls. */
const radiant = 5.2

export class Room {
  readonly c: [number, number]
  readonly ratio: [number, number]
  readonly pa: [number, number] = [0, 0]
  lightC: number
  heavyC: number
  readonly #house: House
  readonly #kg: [number, number]
  readonly #plant: Plant
  #bufferKg: number
  #inJ = 0
  #inKg = 0
  #throughJ = 0
  #throughKg = 0
  readonly #bodies: Body[] = []
  readonly #startJ: number
  readonly #startKg: number

  constructor(house: House, outside: Outside, hall: Hall, phase: number) {
    const h = house
    this.#house = h
    this.#plant = new Plant(h, phase)
    const startC = h.setC + 2 * (phase - 0.5)
    this.c = [startC, startC]
    const ratio = ratioOf((h.humidity / 100) * saturationPa(h.setC), h.pressurePa)
    this.ratio = [ratio, ratio]
    this.#kg = [0, 1].map((z) => h.volumes[z]! * airKgPerM3(h.setC, h.pressurePa)) as [number, number]
    this.lightC = h.setC
    const pull = h.lightHeavyW + h.outW + h.hallW
    this.heavyC = (h.lightHeavyW * h.setC + h.outW * outside.celsius + h.hallW * hall.celsius) / pull
    this.#bufferKg = (h.bufferKg * h.humidity) / 100
    this.#startJ = this.#storedJ()
    this.#startKg = this.#storedKg()
  }

  #storedJ(): number {
    let stored = this.#house.lightJ * this.lightC + this.#house.heavyJ * this.heavyC
    for (const z of [0, 1] as const) stored += this.#kg[z] * (airJPerKgK * this.c[z] + latentJPerKg * this.ratio[z])
    for (const b of this.#bodies) stored += b.skinJ * b.skinC + b.coreJ * b.coreC
    return stored
  }

  #storedKg(): number {
    let stored = this.#bufferKg + this.#kg[0] * this.ratio[0] + this.#kg[1] * this.ratio[1]
    for (const b of this.#bodies) stored += b.waterKg
    return stored
  }

  left(): { heat: number; water: number } {
    return {
      heat: Math.abs(this.#storedJ() - this.#startJ - this.#inJ) / this.#throughJ,
      water: Math.abs(this.#storedKg() - this.#startKg - this.#inKg) / this.#throughKg,
    }
  }

  #book(joules: number, kg: number): void {
    this.#inJ += joules
    this.#throughJ += Math.abs(joules)
    this.#inKg += kg
    this.#throughKg += Math.abs(kg)
  }

  add(body: Body): void {
    this.#bodies.push(body)
    this.#book(body.skinJ * body.skinC + body.coreJ * body.coreC, body.waterKg)
  }

  dip(body: Body, kg: number, slurryC: number): void {
    const change = 0.4 * (slurryC - body.skinC)
    body.skinC += change
    body.waterKg += kg
    body.fullKg = body.waterKg
    this.#book(body.skinJ * change, kg)
  }

  /** Gives what the hall got: W and kg/s; and how the fan goes. */
  step(
    doorShare: number,
    outside: Outside,
    hall: Hall,
    powers: Powers,
  ): { hallW: number; hallKg: number; fan: number } {
    const h = this.#house
    const [c, ratio, kg, pa, p] = [this.c, this.ratio, this.#kg, this.pa, h.pressurePa]
    for (const z of [0, 1] as const) pa[z] = vapourOf(ratio[z], p)
    const given = this.#plant.step(stepS, c, pa, this.lightC, powers)
    const watts: [number, number] = [0, 0]
    const water: [number, number] = [0, 0]

    // Air from zone to zone, through the door, and through cracks.
    const mix = h.fan.stillKgPerS * (1 + Math.sqrt(Math.abs(c[0] - c[1]))) + h.fan.mixKgPerS * given.fan
    watts[0] += mix * airJPerKgK * (c[1] - c[0])
    water[0] += mix * (ratio[1] - ratio[0])
    watts[1] -= watts[0]
    water[1] -= water[0]
    const rho = kg[0] / h.volumes[0]
    const doorM3 = doorM3PerS(doorShare, h.door.width, h.door.height, hall.celsius - c[0], h.door.draughtMS)
    const byDoor = rho * (doorM3 + h.leakHall)
    const doorW = byDoor * airJPerKgK * (hall.celsius - c[0])
    const doorKg = byDoor * (hall.ratio - ratio[0])
    watts[0] += doorW
    water[0] += doorKg
    const leak = rho * h.leakOut * (0.3 + 0.5 * outside.wind + 0.08 * Math.sqrt(Math.abs(outside.celsius - c[1])))
    const leakW = leak * airJPerKgK * (outside.celsius - c[1])
    const leakKg = leak * (ratioOf(outside.vapourPa, p) - ratio[1])
    watts[1] += leakW
    water[1] += leakKg
    this.#book((doorW + leakW + latentJPerKg * (doorKg + leakKg)) * stepS, (doorKg + leakKg) * stepS)

    // Machines. A cooler carries its water's heat away; a dehumidifier leaves it in the room.
    const dryZone = h.dehumidifier.zone
    const dryKg = Math.min(given.dryKg, (0.3 * kg[dryZone] * ratio[dryZone]) / stepS)
    watts[0] += 0.7 * (given.heatW - given.coolW) + 0.5 * given.fanW
    watts[1] += 0.3 * (given.heatW - given.coolW) + 0.5 * given.fanW
    watts[dryZone] += given.dryW + latentJPerKg * dryKg
    water[0] -= given.coolKg
    water[dryZone] -= dryKg
    const machineW = given.heatW - given.coolW + given.fanW + given.dryW
    this.#book((machineW - latentJPerKg * given.coolKg) * stepS, -(given.coolKg + dryKg) * stepS)

    // Walls.
    const film = h.wallM2 * (2.6 + 2.2 * given.fan)
    let lightW = h.lightHeavyW * (this.heavyC - this.lightC)
    const heavyBoundW = h.outW * (outside.celsius + outside.sunK - this.heavyC) + h.hallW * (hall.celsius - this.heavyC)
    const heavyW = heavyBoundW - lightW
    this.#book(heavyBoundW * stepS, 0)
    const wallPa = saturationPa(this.lightC)
    for (const z of [0, 1] as const) {
      const part = h.volumes[z] / (h.volumes[0] + h.volumes[1])
      const w = film * part * (this.lightC - c[z])
      watts[z] += w
      lightW -= w
      const soaked = (part * h.bufferKg * (pa[z] / wallPa - this.#bufferKg / h.bufferKg)) / h.bufferS
      water[z] -= soaked
      this.#bufferKg += soaked * stepS
      lightW += latentJPerKg * soaked
    }

    // Shells: heat from air and walls, water to the air.
    const blown = h.fan.still + (h.fan.blown - h.fan.still) * given.fan ** 0.6
    for (const b of this.#bodies) {
      const z = b.zone
      const airFilm = b.reach * blown
      const airW = airFilm * b.area * (c[z] - b.skinC)
      const wallW = radiant * Math.sqrt(b.reach) * b.area * (this.lightC - b.skinC)
      let dryingKg = 0
      if (b.waterKg > 0) {
        const wet = Math.min(1, b.waterKg / (b.fullKg * b.critical))
        // Lewis: what carries heat carries vapour, 0.622/(1006 p) of it for each Pa.
        const carried = (airFilm * b.area * 0.622) / (1_006 * p)
        dryingKg = Math.min(b.waterKg / stepS, carried * wet * Math.max(0, saturationPa(b.skinC) - pa[z]))
      }
      const coreW = b.between * (b.skinC - b.coreC)
      b.skinC += ((airW + wallW - coreW - latentJPerKg * dryingKg) * stepS) / b.skinJ
      b.coreC += (coreW * stepS) / b.coreJ
      b.waterKg -= dryingKg * stepS
      watts[z] -= airW
      lightW -= wallW
      water[z] += dryingKg
    }

    this.lightC += (lightW * stepS) / h.lightJ
    this.heavyC += (heavyW * stepS) / h.heavyJ
    for (const z of [0, 1] as const) {
      c[z] += (watts[z] * stepS) / (kg[z] * airJPerKgK)
      ratio[z] += (water[z] * stepS) / kg[z]
      const most = ratioOf(saturationPa(c[z]), p)
      if (ratio[z] > most) {
        // Dew on walls and floor.
        const dewKg = (ratio[z] - most) * kg[z]
        ratio[z] = most
        this.#bufferKg += dewKg
        this.lightC += (latentJPerKg * dewKg) / h.lightJ
      }
    }
    return { hallW: -doorW + h.hallW * (this.heavyC - hall.celsius), hallKg: -doorKg, fan: given.fan }
  }
}
