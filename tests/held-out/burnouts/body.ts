/** A kiln of layered walls with slabs in it, by finite differences: another class of model than the lags that forecast. It imports nothing of ours. */

const stefanBoltzmann = 5.670_374_419e-8
const wallLayers = 6
const slabCells = 10
/** Of evaporation at 100 °C, J/kg (steam tables; from memory). */
const latentJPerKg = 2.257e6

export interface KilnSpec {
  /** Inner surface, m², and wall thickness, m. */
  insideM2: number
  wallM: number
  /** W/mK at 20 °C, and how much more for each 100 K; J/m³K. Insulating brick, from memory. */
  wallWPerMK: number
  wallRise: number
  wallJPerM3K: number
  heaterW: number
  airJPerK: number
  /** Open door, W/K. */
  doorWPerK: number
  yardC: number
}

export interface LoadSpec {
  thicknessM: number
  /** Both sides of all slabs, m². */
  surfaceM2: number
  /** W/mK and J/m³K when dry. */
  conductivity: number
  jPerM3K: number
  /** kg of free water for each m³; of bound water, which leaves between 110 and 170 °C (gypsum; from memory). */
  waterKgPerM3: number
  boundKgPerM3: number
  filmWPerM2K: number
  emissivity: number
}

export class Kiln {
  readonly kiln: KilnSpec
  readonly load: LoadSpec
  airC: number
  readonly wall: Float64Array
  /** From the middle of a slab to its skin. */
  readonly slab: Float64Array
  readonly #water: Float64Array
  readonly #bound: Float64Array
  /** For the balance, J. */
  inJ = 0
  outJ = 0
  steamJ = 0

  constructor(kiln: KilnSpec, load: LoadSpec, wallC: number, loadC: number) {
    this.kiln = kiln
    this.load = load
    this.airC = wallC
    this.wall = new Float64Array(wallLayers).map((_, i) => wallC + ((kiln.yardC - wallC) * i) / wallLayers)
    this.slab = new Float64Array(slabCells).fill(loadC)
    this.#water = new Float64Array(slabCells).fill(load.waterKgPerM3)
    this.#bound = new Float64Array(slabCells).fill(load.boundKgPerM3)
  }

  get coreC(): number {
    return this.slab[0] as number
  }

  /** Volume of one cell of all slabs together, m³. */
  get #cellM3(): number {
    return (this.load.surfaceM2 * this.load.thicknessM) / 2 / slabCells
  }

  /** All the sensible heat it holds, J above 0 °C. */
  get heldJ(): number {
    const layerJ = (this.kiln.insideM2 * this.kiln.wallM * this.kiln.wallJPerM3K) / wallLayers
    const cellJ = this.#cellM3 * this.load.jPerM3K
    return (
      this.kiln.airJPerK * this.airC +
      layerJ * this.wall.reduce((a, b) => a + b, 0) +
      cellJ * this.slab.reduce((a, b) => a + b, 0)
    )
  }

  /** `duty` 0…1 of the heater; in parts short enough for its thinnest cell. */
  step(duty: number, doorOpen: boolean, dtS: number): void {
    const dx = this.load.thicknessM / 2 / slabCells
    const slabLimit = (0.3 * dx * dx * this.load.jPerM3K) / this.load.conductivity
    const skinLimit = (0.3 * dx * this.load.jPerM3K) / 260
    const airLimit =
      (0.3 * this.kiln.airJPerK) / (40 * this.kiln.insideM2 + 200 * this.load.surfaceM2 + this.kiln.doorWPerK)
    const parts = Math.max(1, Math.ceil(dtS / Math.min(slabLimit, skinLimit, airLimit)))
    for (let i = 0; i < parts; i++) this.#part(duty, doorOpen, dtS / parts)
  }

  #part(duty: number, doorOpen: boolean, dtS: number): void {
    const { kiln, load, wall, slab } = this
    const radiant = (a: number, b: number, e: number) => 4 * e * stefanBoltzmann * ((a + b) / 2 + 273.15) ** 3
    // Air and glow to the wall's skin and the slabs' skins.
    const wallFilm = 6 + radiant(this.airC, wall[0] as number, 0.5)
    const layerM = kiln.wallM / wallLayers
    const toWall = kiln.insideM2 * wallFilm * (this.airC - (wall[0] as number))
    const film = load.filmWPerM2K + radiant(this.airC, slab[slabCells - 1] as number, load.emissivity)
    const dx = load.thicknessM / 2 / slabCells
    const skin = 1 / (1 / film + dx / 2 / load.conductivity)
    const toLoad = load.surfaceM2 * skin * (this.airC - (slab[slabCells - 1] as number))
    const door = doorOpen ? kiln.doorWPerK * (this.airC - kiln.yardC) : 0
    const heat = duty * kiln.heaterW
    const layerJ = kiln.insideM2 * layerM * kiln.wallJPerM3K
    const flowOut: number[] = []
    for (let i = 0; i < wallLayers; i++) {
      const here = wall[i] as number
      const next = i + 1 < wallLayers ? (wall[i + 1] as number) : kiln.yardC
      const k = kiln.wallWPerMK * (1 + (kiln.wallRise * here) / 100)
      const toNext = i + 1 < wallLayers ? k / layerM : 1 / (layerM / 2 / k + 1 / 10)
      flowOut.push(kiln.insideM2 * toNext * (here - next))
    }
    const wallWas = Float64Array.from(wall)
    for (let i = 0; i < wallLayers; i++)
      wall[i] =
        (wallWas[i] as number) +
        (((i === 0 ? toWall : (flowOut[i - 1] as number)) - (flowOut[i] as number)) * dtS) / layerJ
    const was = Float64Array.from(slab)
    const side = load.surfaceM2 * (load.conductivity / dx)
    for (let i = 0; i < slabCells; i++) {
      const inner = i === 0 ? 0 : side * ((was[i - 1] as number) - (was[i] as number))
      const outer = i === slabCells - 1 ? toLoad : side * ((was[i + 1] as number) - (was[i] as number))
      this.#warm(i, (inner + outer) * dtS)
    }
    this.airC += ((heat - toWall - toLoad - door) * dtS) / kiln.airJPerK
    this.inJ += heat * dtS
    this.outJ += (door + (flowOut[wallLayers - 1] as number)) * dtS
  }

  #warm(i: number, joule: number): void {
    const cellM3 = this.#cellM3
    const cellJ = cellM3 * this.load.jPerM3K
    const here = this.slab[i] as number
    let left = joule
    const water = this.#water[i] as number
    if (left > 0 && water > 0 && here + left / cellJ > 100) {
      const excess = left - Math.max(0, 100 - here) * cellJ
      const steam = Math.min(water * cellM3, excess / latentJPerKg)
      this.#water[i] = water - steam / cellM3
      this.steamJ += steam * latentJPerKg
      left -= steam * latentJPerKg
    }
    const bound = this.#bound[i] as number
    if (left > 0 && bound > 0 && here > 110) {
      // Half of what comes goes into bound water while it is between 110 and 170 °C; all of it is gone by then.
      const steam = Math.min(bound * cellM3, (0.5 * left) / latentJPerKg)
      this.#bound[i] = bound - steam / cellM3
      this.steamJ += steam * latentJPerKg
      left -= steam * latentJPerKg
    }
    this.slab[i] = here + left / cellJ
  }
}
