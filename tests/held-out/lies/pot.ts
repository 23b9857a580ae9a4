/** A pot of wax as layers in two columns, heart and ring, each with its own melting; side, floor, element, skin, lid
 * and the air above the wax are bodies of their own. Convection is a conductance that depends on which side is
 * hotter.
 */
import type { Chance } from './chance.ts'
import { grey, shownC } from './radiation.ts'
import type { World } from './stage.ts'

export interface PotMake {
  kg: number
  /** Depth of the wax over its width. */
  aspect: number
  layers: number
  powerW: number
  /** Share of the power that goes into the floor; the rest heats the side. */
  floorShare: number
  /** How well the liquid moves by itself: 1 thin and clean, 0.01 thick and filled. */
  vigour: number
  /** From the bulk to the surface when nobody stirs, W/(m² K). */
  skinFilm: number
  meltsFromC: number
  meltsToC: number
  /** Through side and floor, W/(m² K). */
  lossFilm: number
  control: { kind: 'switch'; bandC: number } | { kind: 'pid'; wattsPerC: number; integralS: number }
  /** Hysteresis and offset of the regulator's own feeler, °C. */
  feelerOffC: number
}

/** What is done to the pot: all of it known beforehand. */
export interface PotDay {
  startC: number
  ambientC(tS: number): number
  /** undefined: switched off. */
  setC(tS: number): number | undefined
  lid(tS: number): boolean
  /** 0 nobody, 1 thoroughly. */
  stir(tS: number): number
  /** Cold wax, kg/s. */
  topUp(tS: number): number
}

const cpJ = 2_400
const latentJ = 180_000
const density = 850

/** Of the surface of the wax. */
export const widthM = ({ kg, aspect }: PotMake): number => ((4 * kg) / (density * Math.PI * aspect)) ** (1 / 3)

/** Wax: enthalpy per kg above 0 °C and back. */
function enthalpy(celsius: number, fromC: number, toC: number): number {
  const melted = Math.max(0, Math.min(1, (celsius - fromC) / (toC - fromC)))
  return cpJ * celsius + latentJ * melted
}

function temperature(h: number, fromC: number, toC: number): number {
  if (h <= cpJ * fromC) return h / cpJ
  if (h >= cpJ * toC + latentJ) return (h - latentJ) / cpJ
  return fromC + ((h - cpJ * fromC) * (toC - fromC)) / (cpJ * (toC - fromC) + latentJ)
}

/** Towards what pulls at it: stable for any step. */
function pulled(now: number, pull: number, towards: number, capacityJ: number, dtS: number): number {
  return pull <= 0 ? now : towards / pull + (now - towards / pull) * Math.exp((-pull * dtS) / capacityJ)
}

export class Pot implements World {
  readonly make: PotMake
  readonly day: PotDay
  readonly #chance: Chance
  readonly #heart: Float64Array
  readonly #ring: Float64Array
  readonly #heartC: Float64Array
  readonly #ringC: Float64Array
  readonly #areaM2: number
  readonly #heightM: number
  readonly #radiusM: number
  #feelerC: number
  #integralC = 0
  #heating = false
  #draught = 0
  elementC: number
  floorC: number
  sideC: number
  skinC: number
  lidC: number
  airC: number
  ambientC: number
  powerW = 0
  lidOn = false

  constructor(make: PotMake, day: PotDay, chance: Chance) {
    this.make = make
    this.day = day
    this.#chance = chance
    this.#radiusM = widthM(make) / 2
    this.#heightM = make.aspect * widthM(make)
    this.#areaM2 = Math.PI * this.#radiusM ** 2
    const h = enthalpy(day.startC, make.meltsFromC, make.meltsToC)
    this.#heart = new Float64Array(make.layers).fill(h)
    this.#ring = new Float64Array(make.layers).fill(h)
    this.#heartC = new Float64Array(make.layers).fill(day.startC)
    this.#ringC = new Float64Array(make.layers).fill(day.startC)
    this.#feelerC = this.elementC = this.floorC = this.sideC = this.skinC = this.airC = day.startC
    this.ambientC = day.ambientC(0)
    this.lidC = this.ambientC
  }

  /** 0 the floor, 1 just below the surface; the ring is what lies near the side. */
  waxC(level: number, inRing = false): number {
    const column = inRing ? this.#ringC : this.#heartC
    const place = Math.max(0, Math.min(column.length - 1, level * column.length - 0.5))
    const i = Math.min(column.length - 2, Math.floor(place))
    return column[i]! + (column[i + 1]! - column[i]!) * (place - i)
  }

  advance(dtS: number, tS: number): void {
    const { day } = this
    // What is done from here on until tS: a lid that is put on at tS is not yet on.
    const atS = tS - dtS
    this.ambientC = day.ambientC(atS)
    this.lidOn = day.lid(atS)
    this.#regulate(dtS, day.setC(atS))
    const stir = day.stir(atS)
    this.#heatMetal(dtS, stir)
    this.#conduct(dtS, stir)
    this.#cover(dtS, stir)
    this.#coolBy(day.topUp(atS) * dtS)
    const mixes = stir + this.#turnsOver()
    if (mixes > 1e-4) this.#mix(1 - Math.exp((-mixes * dtS) / 15))
    this.#settle()
  }

  #regulate(dtS: number, setC: number | undefined): void {
    const { control, powerW, feelerOffC } = this.make
    const feelsC = 0.4 * this.sideC + 0.6 * this.waxC(0.4, true) + feelerOffC
    this.#feelerC += (feelsC - this.#feelerC) * (1 - Math.exp(-dtS / 45))
    if (setC === undefined) {
      this.#heating = false
      this.powerW = 0
      this.#integralC = 0
      return
    }
    const shortC = setC - this.#feelerC
    if (control.kind === 'switch') {
      if (shortC > control.bandC / 2) this.#heating = true
      else if (shortC < -control.bandC / 2) this.#heating = false
      this.powerW = this.#heating ? powerW : 0
      return
    }
    const wish = control.wattsPerC * (shortC + this.#integralC)
    if (wish > 0 && wish < powerW) this.#integralC += (shortC * dtS) / control.integralS
    this.powerW = Math.max(0, Math.min(powerW, wish))
  }

  /** Element, floor and side; what they give the wax goes straight into it. */
  #heatMetal(dtS: number, stir: number): void {
    const { make } = this
    const n = make.layers
    const ofElement = make.powerW / 70
    const [intoFloor, intoSide] = [ofElement * make.floorShare, ofElement * (1 - make.floorShare)]
    const pull = intoFloor + intoSide
    const towards = intoFloor * this.floorC + intoSide * this.sideC + this.powerW
    this.elementC = pulled(this.elementC, pull, towards, 60 + 0.5 * make.powerW, dtS)
    const sideM2 = 2 * Math.PI * this.#radiusM * this.#heightM
    const between = 0.4 + 0.1 * make.kg ** 0.5
    const wet = (150 + 60 * make.vigour) * (1 + 2 * stir)
    const floorG = wet * this.#areaM2
    const sideG = (wet * sideM2) / n
    const loss = make.lossFilm * this.ambientC
    this.floorC = pulled(
      this.floorC,
      intoFloor + between + floorG + make.lossFilm * this.#areaM2,
      intoFloor * this.elementC + between * this.sideC + floorG * this.#bottomC() + loss * this.#areaM2,
      250 + 60 * make.kg,
      dtS,
    )
    let wetC = 0
    for (let i = 0; i < n; i++) wetC += this.#ringC[i]!
    this.sideC = pulled(
      this.sideC,
      intoSide + between + sideG * n + make.lossFilm * sideM2,
      intoSide * this.elementC + between * this.floorC + sideG * wetC + loss * sideM2,
      400 + 120 * make.kg,
      dtS,
    )
    const ringKg = (0.6 * make.kg) / n
    for (let i = 0; i < n; i++) this.#ring[i]! += (sideG * (this.sideC - this.#ringC[i]!) * dtS) / ringKg
    const up = (floorG * (this.floorC - this.#bottomC()) * dtS * n) / make.kg
    this.#heart[0]! += up
    this.#ring[0]! += up
  }

  #bottomC(): number {
    return 0.4 * this.#heartC[0]! + 0.6 * this.#ringC[0]!
  }

  /** Between layers and between the two columns; by convection where the lower one is liquid and hotter. */
  #conduct(dtS: number, stir: number): void {
    const { make } = this
    const n = make.layers
    const layerM = this.#heightM / n
    const layerKg = make.kg / n
    const most = (0.2 * layerKg * 0.4 * cpJ) / dtS
    const rest = (0.25 * this.#areaM2) / layerM
    for (let i = 0; i + 1 < n; i++) {
      this.#exchange(this.#heart, this.#heartC, i, 0.4 * rest, 0.4 * this.#areaM2, 0.4 * layerKg, dtS, most)
      this.#exchange(this.#ring, this.#ringC, i, 0.6 * rest, 0.6 * this.#areaM2, 0.6 * layerKg, dtS, most)
    }
    const seamM2 = 2 * Math.PI * 0.63 * this.#radiusM * layerM
    for (let i = 0; i < n; i++) {
      const [a, b] = [this.#heartC[i]!, this.#ringC[i]!]
      const liquids = Number(a > make.meltsToC) + Number(b > make.meltsToC)
      const film = liquids === 2 ? 40 + 200 * make.vigour + 400 * stir : liquids === 1 ? 25 + 50 * make.vigour : 0
      const g = Math.min(most, film * seamM2 + 0.25 * 2 * Math.PI * layerM * 1.7)
      const q = g * (b - a) * dtS
      this.#heart[i]! += q / (0.4 * layerKg)
      this.#ring[i]! -= q / (0.6 * layerKg)
    }
  }

  #exchange(
    h: Float64Array,
    c: Float64Array,
    i: number,
    rest: number,
    areaM2: number,
    kg: number,
    dtS: number,
    most: number,
  ): void {
    const drop = c[i]! - c[i + 1]!
    const rises = drop > 0 && c[i]! > this.make.meltsToC
    const q =
      Math.min(most, rest + (rises ? 4_000 * this.make.vigour * Math.min(1, 4 * drop) * areaM2 : 0)) * drop * dtS
    h[i]! -= q / kg
    h[i + 1]! += q / kg
  }

  /** The skin, the lid, and the air between. */
  #cover(dtS: number, stir: number): void {
    const { make } = this
    const a = this.#areaM2
    const top = make.layers - 1
    const topC = 0.4 * this.#heartC[top]! + 0.6 * this.#ringC[top]!
    const solid = this.skinC < make.meltsFromC
    const film = solid && stir === 0 ? Math.min(70, make.skinFilm) : make.skinFilm + 700 * stir
    this.#draught +=
      -this.#draught * Math.min(1, dtS / 40) + 0.5 * Math.sqrt(Math.min(1, dtS / 40)) * this.#chance.normal()
    const outward = this.lidOn ? 9 * a : Math.max(5, 11.5 + 1.5 * this.#draught) * a
    const outC = this.lidOn ? this.lidC : this.ambientC
    this.skinC = pulled(this.skinC, film * a + outward, film * a * topC + outward * outC, 2_900 * a, dtS)
    const q = (film * a * (this.skinC - topC) * dtS * make.layers) / make.kg
    this.#heart[top]! += q
    this.#ring[top]! += q
    const lidTo = this.lidOn ? 9 * a : 0
    this.lidC = pulled(this.lidC, lidTo + 11 * a, lidTo * this.skinC + 11 * a * this.ambientC, 9_000 * a, dtS)
    const share = this.lidOn ? 0.75 : 0.22 + 0.06 * this.#draught
    const aimC = this.ambientC + share * (this.skinC - this.ambientC)
    this.airC += (aimC - this.airC) * (1 - Math.exp(-dtS / (this.lidOn ? 60 : 15)))
  }

  /** Cold pieces float awhile, then sink: they take their heat from everywhere, more below. */
  #coolBy(kg: number): void {
    if (kg <= 0) return
    const { make } = this
    const n = make.layers
    const coldJ = enthalpy(this.ambientC, make.meltsFromC, make.meltsToC)
    for (let i = 0; i < n; i++) {
      const share = ((kg / make.kg) * 2 * (n - i)) / (n + 1)
      this.#heart[i]! -= share * Math.max(0, this.#heart[i]! - coldJ)
      this.#ring[i]! -= share * Math.max(0, this.#ring[i]! - coldJ)
    }
  }

  /** Thin wax that is cooled from above or heated from below turns over by itself, as if somebody stirred a little. */
  #turnsOver(): number {
    const top = this.#heartC[this.#heartC.length - 1]!
    return top < this.#heartC[0]! + 0.5 ? 0.08 * Math.min(1, this.make.vigour ** 2) : 0
  }

  /** Only what is liquid can be stirred. */
  #mix(share: number): void {
    const { meltsToC } = this.make
    let sum = 0
    let weight = 0
    for (let i = 0; i < this.#heart.length; i++) {
      const heart = this.#heartC[i]! > meltsToC ? 0.4 : 0
      const ring = this.#ringC[i]! > meltsToC ? 0.6 : 0
      sum += heart * this.#heart[i]! + ring * this.#ring[i]!
      weight += heart + ring
    }
    if (weight === 0) return
    const mean = sum / weight
    for (let i = 0; i < this.#heart.length; i++) {
      if (this.#heartC[i]! > meltsToC) this.#heart[i]! += (mean - this.#heart[i]!) * share
      if (this.#ringC[i]! > meltsToC) this.#ring[i]! += (mean - this.#ring[i]!) * share
    }
  }

  #settle(): void {
    const { meltsFromC, meltsToC } = this.make
    for (let i = 0; i < this.#heart.length; i++) {
      this.#heartC[i] = temperature(this.#heart[i]!, meltsFromC, meltsToC)
      this.#ringC[i] = temperature(this.#ring[i]!, meltsFromC, meltsToC)
    }
  }
}

/** How an infrared thermometer is set, what it truly looks at, and what is in between. */
export interface Optics {
  setEmissivity: number
  compensatedC: number | undefined
  /** Of the wax as it is looked at. */
  emissivity: number
  lidEmissivity: number
  /** Share of the spot that lies on wax; the rest on the metal of the rim, and on the bench. */
  onWax: number
  rimShare: number
  rimEmissivity: number
  /** Share of what the wax sends that arrives; the rest is sent by what is in between, at its own temperature. */
  clear: number
  betweenC: number
}

/** What it shows over this pot, before its own noise. */
export function infraredC(pot: Pot, sight: Optics): number {
  const room = pot.ambientC
  let sent = pot.lidOn ? grey(sight.lidEmissivity, pot.lidC, room) : grey(sight.emissivity, pot.skinC, room)
  if (sight.onWax < 1) {
    const rim = grey(sight.rimEmissivity, pot.sideC, room)
    const bench = grey(0.92, room + 0.08 * (pot.sideC - room), room)
    sent = sight.onWax * sent + (1 - sight.onWax) * (sight.rimShare * rim + (1 - sight.rimShare) * bench)
  }
  if (sight.clear < 1) sent = sight.clear * sent + (1 - sight.clear) * grey(1, sight.betweenC, room)
  return shownC(sent, sight.setEmissivity, sight.compensatedC)
}
