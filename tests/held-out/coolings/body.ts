/** A pot as layers of wax by the enthalpy method, with wall, element and natural losses: another class of model than anything that forecasts. */

const layers = 4
const stefanBoltzmann = 5.670_374_419e-8
/** Of liquid wax, kg/m³ (paraffin-like; from memory, no source). */
const density = 800

export interface BodySpec {
  /** When it is full, kg. */
  fullKg: number
  liquidJPerKgK: number
  solidJPerKgK: number
  latentJPerKg: number
  /** Congeals between; `early` of the latent heat comes free in the upper half of the band. */
  congealsFromC: number
  congealsToC: number
  early: number
  heaterW: number
  elementJPerK: number
  /** Through wall and floor, W/m²K. */
  wallWPerM2K: number
  wallJPerK: number
  hysteresisC: number
}

export interface Controls {
  setPointC: number | null
  lidOn: boolean
  stirred: boolean
  airC: number
  mains: boolean
}

/** Joules above 0 °C of a kilogram at a temperature, as a rising line in pieces. */
class Enthalpy {
  readonly t: readonly number[]
  readonly h: readonly number[]
  constructor(s: BodySpec) {
    const middle = (s.congealsFromC + s.congealsToC) / 2
    const cp = (s.liquidJPerKgK + s.solidJPerKgK) / 2
    const lower = ((s.congealsToC - s.congealsFromC) / 2) * cp + (1 - s.early) * s.latentJPerKg
    const upper = ((s.congealsToC - s.congealsFromC) / 2) * cp + s.early * s.latentJPerKg
    const atFrom = s.solidJPerKgK * s.congealsFromC
    this.t = [0, s.congealsFromC, middle, s.congealsToC, 400]
    this.h = [
      0,
      atFrom,
      atFrom + lower,
      atFrom + lower + upper,
      atFrom + lower + upper + (400 - s.congealsToC) * s.liquidJPerKgK,
    ]
  }
  #along(x: readonly number[], y: readonly number[], at: number): number {
    let i = 1
    while (i < x.length - 1 && at > (x[i] as number)) i++
    const [x0, x1] = [x[i - 1] as number, x[i] as number]
    const [y0, y1] = [y[i - 1] as number, y[i] as number]
    return y0 + ((at - x0) / (x1 - x0)) * (y1 - y0)
  }
  ofTemperature(t: number): number {
    return this.#along(this.t, this.h, t)
  }
  ofEnergy(h: number): number {
    return this.#along(this.h, this.t, h)
  }
}

export class Body {
  readonly spec: BodySpec
  readonly #curve: Enthalpy
  readonly #areaM2: number
  readonly #fullHeightM: number
  /** Joules of each layer, the lowest first. */
  readonly #energy = new Float64Array(layers)
  readonly temperature = new Float64Array(layers)
  #kg: number
  #wallC: number
  #elementC: number
  heating = false
  /** W through the surface, for the skin. */
  surfaceW = 0
  /** For the balance: what went in and out, J. */
  inJ = 0
  outJ = 0

  constructor(spec: BodySpec, kg: number, atC: number) {
    this.spec = spec
    this.#curve = new Enthalpy(spec)
    const volume = spec.fullKg / density
    const diameter = (4 * volume) ** (1 / 3) / Math.PI ** (1 / 3)
    this.#areaM2 = (Math.PI * diameter ** 2) / 4
    this.#fullHeightM = volume / this.#areaM2
    this.#kg = kg
    this.#wallC = atC
    this.#elementC = atC
    this.#energy.fill((kg / layers) * this.#curve.ofTemperature(atC))
    this.#tell()
  }

  get areaM2(): number {
    return this.#areaM2
  }
  get kg(): number {
    return this.#kg
  }
  /** All the heat it holds, J above 0 °C. */
  get heldJ(): number {
    return (
      this.#energy.reduce((sum, e) => sum + e, 0) +
      this.#wallC * this.spec.wallJPerK +
      this.#elementC * this.spec.elementJPerK
    )
  }

  #tell(): void {
    for (let i = 0; i < layers; i++)
      this.temperature[i] = this.#curve.ofEnergy(((this.#energy[i] as number) * layers) / this.#kg)
  }

  middleC(): number {
    return ((this.temperature[1] as number) + (this.temperature[2] as number)) / 2
  }
  topC(): number {
    return this.temperature[layers - 1] as number
  }

  /** Cold wax is thrown in: it lies on top and takes its heat there. */
  topUp(kg: number, atC: number): void {
    const more = kg * this.#curve.ofTemperature(atC)
    const whole = this.#energy.reduce((sum, e) => sum + e, 0)
    // The layers are of equal mass again; the two upper ones bear the cold.
    const kgAfter = this.#kg + kg
    const hot = whole / this.#kg
    for (let i = 0; i < layers; i++) this.#energy[i] = (hot * this.#kg) / layers
    this.#energy[layers - 1] = (this.#energy[layers - 1] as number) + more * 0.6
    this.#energy[layers - 2] = (this.#energy[layers - 2] as number) + more * 0.4
    this.#kg = kgAfter
    this.inJ += more
    this.#tell()
  }

  /** What a surface of so many m² loses to the air by convection over `lengthM` and by radiation, W. */
  static lossW(surfaceC: number, airC: number, areaM2: number, lengthM: number): number {
    const above = surfaceC - airC
    const convection = 1.32 * Math.sign(above) * Math.abs(above) ** 1.25 * lengthM ** -0.25
    const radiation = 0.93 * stefanBoltzmann * ((surfaceC + 273.15) ** 4 - (airC + 273.15) ** 4)
    return areaM2 * (convection + radiation)
  }

  /** In as many parts as the layers need: an explicit step longer than a thin, stirred layer's own time swings instead of settling. */
  step(c: Controls, dtS: number): void {
    const layerJPerK = (Math.min(this.spec.solidJPerKgK, this.spec.liquidJPerKgK) * this.#kg) / layers
    const dz = (this.#fullHeightM * this.#kg) / this.spec.fullKg / layers
    const parts = Math.max(1, Math.ceil((4 * this.#mixing(c, 1) * this.#areaM2 * dtS) / dz / layerJPerK))
    for (let i = 0; i < parts; i++) this.#part(c, dtS / parts)
  }

  /** How well two layers of a liquid share mix, W/mK; `turns` over by itself where the lower one is warmer. */
  #mixing(c: Controls, liquid: number, isTurning = true): number {
    return 0.25 + liquid ** 2 * (c.stirred ? 250 : isTurning ? 40 : 4)
  }

  #part(c: Controls, dtS: number): void {
    const { spec } = this
    const e = this.#energy
    const t = this.temperature
    const height = (this.#fullHeightM * this.#kg) / spec.fullKg
    const dz = height / layers
    const side = Math.sqrt(this.#areaM2) * 3.545 * dz
    // The thermostat feels the wall beside the lowest layer.
    const felt = (this.#wallC + (t[0] as number)) / 2
    if (c.setPointC === null || !c.mains) this.heating = false
    else if (felt >= c.setPointC) this.heating = false
    else if (felt <= c.setPointC - spec.hysteresisC) this.heating = true
    const heaterW = this.heating ? spec.heaterW : 0
    const flow = new Float64Array(layers)
    for (let i = 0; i < layers; i++) {
      const liquid = this.#liquid(t[i] as number)
      // The wall gives to the wax through a film that congealing wax makes thicker.
      const film = side * (40 + 160 * liquid * (c.stirred ? 3 : 1))
      const w = film * (this.#wallC - (t[i] as number))
      flow[i] = (flow[i] as number) + w
    }
    const wallIn = -flow.reduce((sum, w) => sum + w, 0)
    const elementW = (spec.heaterW / 60) * (this.#elementC - this.#wallC)
    const wallLossW =
      (Math.sqrt(this.#areaM2) * 3.545 * height + this.#areaM2) * spec.wallWPerM2K * (this.#wallC - c.airC)
    for (let i = 0; i + 1 < layers; i++) {
      const [low, up] = [t[i] as number, t[i + 1] as number]
      const liquid = Math.min(this.#liquid(low), this.#liquid(up))
      const w = (this.#mixing(c, liquid, low > up) * this.#areaM2 * (low - up)) / dz
      flow[i] = (flow[i] as number) - w
      flow[i + 1] = (flow[i + 1] as number) + w
    }
    const open = Body.lossW(this.topC(), c.airC, this.#areaM2, Math.sqrt(this.#areaM2))
    this.surfaceW = c.lidOn ? 0.38 * open : open
    flow[layers - 1] = (flow[layers - 1] as number) - this.surfaceW
    for (let i = 0; i < layers; i++) e[i] = (e[i] as number) + (flow[i] as number) * dtS
    this.#wallC += ((wallIn + elementW - wallLossW) * dtS) / spec.wallJPerK
    this.#elementC += ((heaterW - elementW) * dtS) / spec.elementJPerK
    this.inJ += heaterW * dtS
    this.outJ += (wallLossW + this.surfaceW) * dtS
    this.#tell()
  }

  #liquid(t: number): number {
    const { congealsFromC: low, congealsToC: high } = this.spec
    return Math.min(1, Math.max(0, (t - low) / (high - low)))
  }
}
