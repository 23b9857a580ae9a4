/** A kiln as air in two places, a wall of four bricks and a mould of five shells, that trade heat by radiation and
 * convection; a controller that is none too well tuned; a flame that flickers; water that holds the mould at 100 °C.
 */
import type { Chance } from './chance.ts'
import type { World } from './stage.ts'

export interface KilnMake {
  gas: boolean
  wallM2: number
  powerW: number
  loadM2: number
  /** Radius of a mould, m. */
  loadM: number
  /** °C by which place A is hotter than B: at 700 °C, and more at full power. */
  standingC: number
  firingC: number
  /** Of the flame, °C, one standard deviation. */
  flickerC: number
  pid: { band: number; integralS: number; derivativeS: number }
}

export interface KilnDays {
  ambientC(tS: number): number
  /** undefined: off. */
  setC(tS: number): number | undefined
  /** 0 shut … 1 wide open. */
  door(tS: number): number
  /** A new load at the ambient temperature goes in when this number changes; its water as a share of its weight. */
  load(tS: number): { which: number; water: number }
}

/**
 * Short-range order in type K, as a wire's memory: minutes of rest that count as such, forgotten above 600 °C. The
 * size follows the three published points at 350 °C (0.9 °C after 5 min, 1.9 after 45 min, 3.7 after 7 h): 0.9 (t/5
 * min)^0.32.
 */
export class Wire {
  readonly #strength: number
  #restedMin = 0
  errorC = 0

  constructor(strength: number) {
    this.#strength = strength
  }

  advance(dtS: number, celsius: number): void {
    const rate = Math.max(0, Math.min(1, (celsius - 230) / 90, (580 - celsius) / 100))
    this.#restedMin += (rate * dtS) / 60
    if (celsius > 600) this.#restedMin *= Math.exp(-dtS / (celsius > 650 ? 240 : 1_200))
    const shows = Math.max(0, Math.min(1, (celsius - 150) / 150, (630 - celsius) / 130))
    const most = 0.017 * Math.max(0, celsius)
    this.errorC = shows * Math.min(most, this.#strength * 0.9 * (this.#restedMin / 5) ** 0.32)
  }
}

const bricksM = [0.01, 0.03, 0.05, 0.07] as const
const brickJ = 8e5
const brickW = 0.25
const mouldJ = 1.14e6
const mouldW = 0.4
const shells = 5
/** To boil water out of a m³ of mould that is all water. */
const boilJ = 2.5e9

export class Kiln implements World {
  readonly make: KilnMake
  readonly days: KilnDays
  readonly wires: readonly Wire[]
  readonly #chance: Chance
  readonly #brickC: Float64Array
  readonly #mouldC: Float64Array
  readonly #waterJ: Float64Array
  #which = -1
  #feelerC: number
  #feltC: number
  #integral = 0
  #power = 0
  #heat = 0
  #lean = 0
  #flicker = 0
  #flickerB = 0
  airC: number
  airA: number
  airB: number
  ambientC: number

  constructor(make: KilnMake, days: KilnDays, chance: Chance, wireStrengths: readonly number[] = []) {
    this.make = make
    this.days = days
    this.#chance = chance
    this.wires = wireStrengths.map((strength) => new Wire(strength))
    this.ambientC = days.ambientC(0)
    this.#feelerC = this.#feltC = this.airC = this.airA = this.airB = this.ambientC
    this.#brickC = new Float64Array(4).fill(this.ambientC)
    this.#mouldC = new Float64Array(shells).fill(this.ambientC)
    this.#waterJ = new Float64Array(shells)
  }

  /** The heart of the mould. */
  get loadC(): number {
    return this.#mouldC[shells - 1]!
  }

  get wallC(): number {
    return this.#brickC[0]!
  }

  advance(dtS: number, tS: number): void {
    this.ambientC = this.days.ambientC(tS)
    const { which, water } = this.days.load(tS)
    if (which !== this.#which) this.#fill(which, water)
    this.#control(dtS, this.days.setC(tS))
    this.#moveHeat(dtS, this.days.door(tS))
    this.#spread(dtS)
    for (const wire of this.wires) wire.advance(dtS, this.airA)
  }

  #fill(which: number, water: number): void {
    this.#which = which
    this.#mouldC.fill(this.ambientC)
    this.#waterJ.fill(water * boilJ)
  }

  /** A controller sets the share of time for elements, or the flame's height. */
  #control(dtS: number, setC: number | undefined): void {
    const { pid, gas } = this.make
    this.#feelerC += (this.airA - this.#feelerC) * (1 - Math.exp(-dtS / 50))
    const slope = (this.#feelerC - this.#feltC) / dtS
    this.#feltC = this.#feelerC
    if (setC === undefined) {
      this.#power = 0
      this.#integral = 0
    } else {
      const short = (setC - this.#feelerC - pid.derivativeS * slope) / pid.band
      const wish = short + this.#integral
      if (wish > 0 && wish < 1) this.#integral += (short * dtS) / pid.integralS
      else this.#integral *= Math.exp(-dtS / (4 * pid.integralS))
      const lowest = gas ? 0.05 : 0
      this.#power = setC < this.#feelerC - 60 ? 0 : Math.max(lowest, Math.min(1, wish))
    }
    this.#heat += (this.#power - this.#heat) * (1 - Math.exp(-dtS / (gas ? 8 : 90)))
  }

  #moveHeat(dtS: number, door: number): void {
    const { make } = this
    const [wall, mould] = [this.#brickC, this.#mouldC]
    const heatW = this.#heat * make.powerW
    const toAir = make.gas ? 0.5 : 0.3
    const airWall = 14 * make.wallM2
    const airLoad = 18 * make.loadM2
    const draught = (make.gas ? 2 + 3 * this.#heat : 0.4) * make.wallM2 * 0.5 + 60 * door * make.wallM2
    const pull = airWall + airLoad + draught
    const airC = (toAir * heatW + airWall * wall[0]! + airLoad * mould[0]! + draught * this.ambientC) / pull
    this.airC += (airC - this.airC) * (1 - Math.exp(-dtS / 12))
    const meanK = (wall[0]! + mould[0]!) / 2 + 273.15
    const glow = 0.75 * 4 * 5.67e-8 * meanK ** 3 * make.loadM2
    const mouthC = 0.5 * door * 0.3 * 4 * 5.67e-8 * meanK ** 3
    const shine = (1 - toAir) * heatW
    const brickG = (i: number): number => (brickW * make.wallM2) / ((bricksM[i]! + (bricksM[i + 1] ?? 0)) / 2)
    const flowIn = airWall + glow + mouthC * make.wallM2
    wall[0] = this.#pulled(
      wall[0]!,
      flowIn + brickG(0),
      airWall * this.airC +
        glow * mould[0]! +
        mouthC * make.wallM2 * this.ambientC +
        brickG(0) * wall[1]! +
        0.5 * shine,
      brickJ * bricksM[0] * make.wallM2,
      dtS,
    )
    for (let i = 1; i < 4; i++) {
      const outer = i === 3 ? 9 * make.wallM2 : brickG(i)
      const outerC = i === 3 ? this.ambientC : wall[i + 1]!
      const inner = brickG(i - 1)
      wall[i] = this.#pulled(
        wall[i]!,
        inner + outer,
        inner * wall[i - 1]! + outer * outerC,
        brickJ * bricksM[i]! * make.wallM2,
        dtS,
      )
    }
    this.#soak(dtS, airLoad, glow, 0.5 * shine)
  }

  /** Into the mould, shell by shell; water takes what would heat it beyond 100 °C. */
  #soak(dtS: number, airLoad: number, glow: number, shineW: number): void {
    const { make } = this
    const mould = this.#mouldC
    const thickM = make.loadM / shells
    for (let i = 0; i < shells; i++) {
      const outerM2 = make.loadM2 * (1 - i / shells)
      const innerM2 = make.loadM2 * (1 - (i + 1) / shells)
      const outer = i === 0 ? airLoad + glow : (mouldW * outerM2) / thickM
      const inner = i === shells - 1 ? 0 : (mouldW * innerM2) / thickM
      const from = i === 0 ? airLoad * this.airC + glow * this.#brickC[0]! + shineW : outer * mould[i - 1]!
      const capacity = mouldJ * thickM * ((outerM2 + innerM2) / 2)
      let next = this.#pulled(mould[i]!, outer + inner, from + (inner > 0 ? inner * mould[i + 1]! : 0), capacity, dtS)
      if (next > 100 && this.#waterJ[i]! > 0) {
        const volume = thickM * ((outerM2 + innerM2) / 2)
        this.#waterJ[i]! -= ((next - 100) * capacity) / volume
        next = 100
      }
      mould[i] = next
    }
  }

  #spread(dtS: number): void {
    const { make } = this
    const aim = (make.standingC * (this.airC - this.ambientC)) / 680 + make.firingC * this.#heat
    this.#lean += (aim - this.#lean) * (1 - Math.exp(-dtS / 300))
    const keeps = Math.exp(-dtS / 35)
    const push = make.flickerC * Math.sqrt(1 - keeps * keeps) * (make.gas ? 0.2 + this.#heat : 1)
    this.#flicker = this.#flicker * keeps + push * this.#chance.normal()
    this.#flickerB = this.#flickerB * keeps + push * this.#chance.normal()
    this.airA = this.airC + 0.5 * this.#lean + this.#flicker
    this.airB = this.airC - 0.5 * this.#lean + 0.6 * this.#flicker + 0.8 * this.#flickerB
  }

  #pulled(now: number, pull: number, towards: number, capacityJ: number, dtS: number): number {
    return towards / pull + (now - towards / pull) * Math.exp((-pull * dtS) / capacityJ)
  }
}
