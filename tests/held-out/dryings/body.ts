/** A piece that dries: heat through its stack, water that leaves from its surface, then from a front that recedes into the shell. */
import { airJPerM3K, latentJPerKg, saturationPa, saturationSlope, vapourPerPa, waterJPerKgK } from './air.ts'
import { edgesOf, layersOf, newCells, type PieceSpec, shellCells } from './piece.ts'
import { Stack } from './stack.ts'

/** m²/s, of vapour in free air. */
const diffusion = 2.5e-5

export interface Climate {
  airC: number
  /** What the surface sees by radiation: it follows the air slowly. */
  wallC: number
  vapourPa: number
  wetBulbC: number
}

export class Body {
  readonly piece: PieceSpec
  stack: Stack
  /** The same piece as if it had never been wet, in the same room; and the same with the wet bulb's depression for its room. */
  #dry: Stack
  #fallen: Stack
  readonly #airHeat: number
  readonly #film: number
  readonly #radiant: number
  /** Water of the dip, kg; of it still free, still bound. All for one m² of surface. */
  dipped = 0
  free = 0
  boundLeft = 0
  /** Fallen on it from air damper than itself; it is no water of the dip, and leaves first. */
  dew = 0
  /** Share of the water in each cell at the dip; the same summed up to its outside. */
  #share = new Float64Array(0)
  #before = new Float64Array(0)
  #held: Float64Array = new Float64Array(0)
  #next: Float64Array = new Float64Array(0)
  #sink: Float64Array = new Float64Array(0)
  /** The books since the last opening: what came in and left, J and kg; and what went through. */
  #heldAtOpening = 0
  #inJ = 0
  #throughJ = 0
  #leftKg = 0
  #worstHeat = 0

  constructor(piece: PieceSpec, pressurePa: number, startC: number, depressionC: number) {
    this.piece = piece
    this.#airHeat = airJPerM3K(startC, pressurePa)
    const edges = edgesOf(piece, this.#airHeat)
    this.#film = edges.outerW - piece.radiantW
    this.#radiant = piece.radiantW
    this.stack = new Stack(layersOf(piece, false), edges, startC)
    this.#dry = new Stack(layersOf(piece, false), edges, startC)
    this.#fallen = new Stack(layersOf(piece, false), edges, depressionC)
    this.#allot(false)
  }

  get waxC(): number {
    return this.stack.celsius[this.#probe]!
  }

  /** Share of the dip's water still in the shell. */
  get moisture(): number {
    return this.dipped === 0 ? 0 : (this.free + this.boundLeft) / this.dipped
  }

  get isSurfaceWet(): boolean {
    return this.free > this.piece.critical * this.#freeAtDip
  }

  /**
   * The star: the lag of a piece is what its own wax does, under the probe, while the piece is dry.
   * Air* is the reading-free temperature under the probe of a twin that was never wet, in the same air, before the same walls,
   * with the same leak behind its wax and, from the dip on, with the new coat's heat capacity. It is no single exponential.
   * The wet bulb* is Air* less the room's depression (air − wet bulb, at the room) passed through the same twin.
   * So a dry piece reads R = 1 whatever its room does. A wet one answers faster than its twin, as evaporation ties it to the room:
   * for as long as the twin takes to follow a sudden change of the air, true R leaves its quiet value by 0.1 or so, downwards rarely by more, and returns.
   */
  get airStarC(): number {
    return this.#dry.celsius[this.#probe]!
  }
  get wetBulbStarC(): number {
    return this.airStarC - this.#fallen.celsius[this.#probe]!
  }
  get recovery(): number {
    return (this.waxC - this.wetBulbStarC) / (this.airStarC - this.wetBulbStarC)
  }

  /** What the books of heat and of water do not explain, relative to what went through them. */
  get heatLeft(): number {
    return Math.max(this.#worstHeat, this.#openHeatLeft())
  }
  get waterLeft(): number {
    return this.dipped === 0
      ? 0
      : Math.abs(this.dipped - this.#leftKg - this.free - this.boundLeft - this.dew) / this.dipped
  }

  /** A new coat, and water that it gives to the coats below. Books are opened anew: what a slurry brings is not the room's. */
  dip(slurryC: number): void {
    this.#worstHeat = this.#openHeatLeft()
    const edges = edgesOf(this.piece, this.#airHeat)
    const coated = (old: Stack, newC: number): Stack => {
      const stack = new Stack(layersOf(this.piece, true), edges, newC)
      stack.celsius.set(old.celsius, newCells)
      return stack
    }
    this.stack = coated(this.stack, slurryC)
    // The twins get a coat without slurry's chill: at the temperature that their surface has.
    this.#dry = coated(this.#dry, this.#dry.celsius[0]!)
    this.#fallen = coated(this.#fallen, this.#fallen.celsius[0]!)
    this.#allot(true)
    const { capacity, celsius } = this.stack
    for (let i = 0; i < this.stack.n; i++) {
      const water = this.#held[i]!
      celsius[i] = (capacity[i]! * celsius[i]! + water * slurryC) / (capacity[i]! + water)
    }
    this.#heldAtOpening = this.#heldJ()
    this.#inJ = 0
    this.#throughJ = 0
  }

  step(dtS: number, room: Climate): void {
    const outerC = (this.#film * room.airC + this.#radiant * room.wallC) / (this.#film + this.#radiant)
    this.#dry.solve(dtS, outerC, room.airC, null, null, 0, 0, 0, this.#dry.celsius)
    const depression = room.airC - room.wetBulbC
    this.#fallen.solve(dtS, depression, depression, null, null, 0, 0, 0, this.#fallen.celsius)
    const cells = this.#next
    const sink = this.#sink.fill(0)
    const leaves = this.dipped > 0 ? this.#evaporate(dtS, room, outerC) : null
    if (leaves === null) this.stack.solve(dtS, outerC, room.airC, this.#held, sink, 0, 0, 0, cells)
    const inW = this.stack.inflowW(outerC, room.airC, cells)
    this.stack.celsius.set(cells)
    this.#inJ += inW * dtS
    this.#throughJ += Math.abs(inW) * dtS
    if (leaves === null) return
    const dew = Math.max(0, this.dew - leaves.freeKg)
    this.free = Math.max(0, this.free - (leaves.freeKg - (this.dew - dew)))
    this.dew = dew
    this.boundLeft -= leaves.boundKg
    this.#leftKg += leaves.freeKg + leaves.boundKg
    // Vapour takes its latent heat, and what the dip's water held where it lay; dew is too thin to hold any.
    let carried = (leaves.freeKg + leaves.boundKg) * latentJPerKg
    for (let i = 0; i < this.#held.length; i++) carried += this.#held[i]! * cells[i]!
    this.#soak()
    for (let i = 0; i < this.#held.length; i++) carried -= this.#held[i]! * cells[i]!
    this.#inJ -= carried
    this.#throughJ += carried
  }

  /** Solves the stack with what evaporates in it, into `#next`. */
  #evaporate(dtS: number, room: Climate, outerC: number): { freeKg: number; boundKg: number } {
    const { at, depthM, passed, area } = this.#front()
    const boundKg = this.#unbind(dtS, room, passed)
    const sink = this.#sink
    sink[at]! += (boundKg * latentJPerKg) / dtS
    const cells = this.#next
    if (this.free <= 0) {
      this.stack.solve(dtS, outerC, room.airC, this.#held, sink, 0, 0, 0, cells)
      return { freeKg: 0, boundKg }
    }
    const perPa = vapourPerPa(room.airC) / this.#resistance(depthM, area)
    let around = this.stack.celsius[at]!
    let kgPerS = 0
    for (let i = 0; i < 3; i++) {
      const rate = perPa * (saturationPa(around) - room.vapourPa)
      const slope = perPa * saturationSlope(around)
      sink[at] = (boundKg * latentJPerKg) / dtS + rate * latentJPerKg
      this.stack.solve(dtS, outerC, room.airC, this.#held, sink, at, slope * latentJPerKg, around, cells)
      // The straight line of the last try is what truly evaporates, so that heat and water agree to the last digit.
      kgPerS = rate + slope * (cells[at]! - around)
      if (Math.abs(cells[at]! - around) < 0.01) break
      around = cells[at]!
    }
    // No more leaves than there is.
    const allowed = Math.min(kgPerS, (this.free + this.dew) / dtS)
    if (allowed !== kgPerS) {
      sink[at] = (boundKg * latentJPerKg) / dtS + allowed * latentJPerKg
      this.stack.solve(dtS, outerC, room.airC, this.#held, sink, 0, 0, 0, cells)
    }
    return { freeKg: allowed * dtS, boundKg }
  }

  /** s/m from the front to the room: dry shell, film, mouth of the pocket. A pocket's own air holds so little that it follows in seconds. */
  #resistance(depthM: number, wetArea: number): number {
    const { piece } = this
    const film = (this.#airHeat * piece.lewis) / piece.filmW
    const area = Math.max(0.3, 1 + (piece.curve * depthM) / 2)
    return 1 / piece.pocketMPerS + (film + depthM / (diffusion * piece.open * area)) / wetArea
  }

  /** Where water evaporates: the surface while capillaries feed it, then the depth up to which the shell is empty. */
  #front(): { at: number; depthM: number; passed: number; area: number } {
    const left = this.free / (this.piece.critical * this.#freeAtDip)
    if (left >= 1) return { at: 0, depthM: 0, passed: 0, area: 1 }
    const passed = 1 - left
    let at = this.#share.length - 1
    while (at > 0 && this.#before[at]! > passed) at--
    const within = Math.min(1, (passed - this.#before[at]!) / this.#share[at]!)
    const depthM = this.stack.middle[at]! + (within - 0.5) * this.stack.width[at]!
    // Patches of thin shell are empty before thick ones: the last water leaves through little area.
    return { at, depthM, passed, area: Math.max(left, 1e-4) ** this.piece.ragged }
  }

  /** The binder lets go of its water only behind the front, and more slowly in damp air. */
  #unbind(dtS: number, room: Climate, passed: number): number {
    const ready = this.boundLeft - this.piece.bound * this.dipped * (1 - passed)
    if (ready <= 0) return 0
    const dryness = Math.max(0, 1 - room.vapourPa / saturationPa(this.waxC))
    const part = this.piece.boundPerS * dryness * dtS
    return (ready * part) / (1 + part)
  }

  get #freeAtDip(): number {
    return this.dipped * (1 - this.piece.bound)
  }

  #probe = 0

  /** Where the dip's water goes: the new coat is full, the earlier ones the less so the deeper they lie. */
  #allot(dipped: boolean): void {
    const { piece, stack } = this
    const cells = shellCells(piece, dipped)
    this.#probe = cells
    this.#held = new Float64Array(stack.n)
    this.#next = new Float64Array(stack.n)
    this.#sink = new Float64Array(stack.n)
    if (dipped) {
      const kg = new Float64Array(cells)
      for (let i = 0; i < cells; i++) {
        const from = stack.middle[i]! - stack.width[i]! / 2 - piece.newM
        const full = i < newCells ? 1 : sucked(piece, from, from + stack.width[i]!)
        const area = Math.max(0.3, 1 + piece.curve * stack.middle[i]!)
        kg[i] = 1_000 * piece.porosity * stack.width[i]! * area * full
      }
      this.dipped = kg.reduce((a, b) => a + b, 0)
      this.#share = kg.map((w) => w / this.dipped)
      this.#before = new Float64Array(cells)
      for (let i = 1; i < cells; i++) this.#before[i] = this.#before[i - 1]! + this.#share[i - 1]!
      this.boundLeft = piece.bound * this.dipped
      this.free = this.#freeAtDip
      this.#leftKg = 0
      this.#soak()
    }
    this.#heldAtOpening = this.#heldJ()
  }

  /** Heat capacity of the water that is left, cell by cell. */
  #soak(): void {
    const left = this.free / (this.piece.critical * this.#freeAtDip)
    const passed = Math.max(0, 1 - left)
    const level = Math.max(left, 1) * this.piece.critical * this.#freeAtDip
    for (let i = 0; i < this.#share.length; i++) {
      const share = this.#share[i]!
      const wet = Math.min(1, Math.max(0, (this.#before[i]! + share - passed) / share))
      this.#held[i] = waterJPerKgK * share * (level * wet + this.boundLeft)
    }
  }

  #heldJ(): number {
    let sum = this.stack.heldJ
    for (let i = 0; i < this.#held.length; i++) sum += this.#held[i]! * this.stack.celsius[i]!
    return sum
  }

  #openHeatLeft(): number {
    return Math.abs(this.#heldJ() - this.#heldAtOpening - this.#inJ) / Math.max(1, this.#throughJ)
  }
}

/** How full the dip leaves the earlier coats between two depths: most outside, a little in all of them. */
function sucked({ suction, suctionM, seeps }: PieceSpec, fromM: number, toM: number): number {
  const near = (suctionM * (Math.exp(-fromM / suctionM) - Math.exp(-toM / suctionM))) / (toM - fromM)
  return suction * (seeps + (1 - seeps) * near)
}
