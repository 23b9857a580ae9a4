/** Heat through a stack of cells from a piece's outer surface to the far side of its wax: finite differences, implicit in time. */

/** Everything is for one m² of outer surface. */
export interface Layer {
  cells: number
  thicknessM: number
  conductivity: number
  jPerM3K: number
  /** Width of a cell ÷ the one before it. */
  growth: number
}

export interface Edges {
  /** Room to surface, W/m²K: by air and by radiation together. */
  outerW: number
  /** Innermost cell to the air or support behind it; what that holds; and what leaks into it from the room. */
  farFilmW: number
  farJPerK: number
  leakW: number
  /** Change of area with depth, 1/m: an edge narrows inwards, a pocket widens. */
  curve: number
}

export class Stack {
  readonly n: number
  /** J/K without water. */
  readonly capacity: Float64Array
  /** Depths of middles and widths, m. */
  readonly middle: Float64Array
  readonly width: Float64Array
  readonly celsius: Float64Array
  /** W/K from a cell to the next one. */
  readonly #link: Float64Array
  readonly #outer: number
  readonly #leak: number
  readonly #diagonal: Float64Array
  readonly #right: Float64Array
  readonly #swept: Float64Array

  constructor(layers: readonly Layer[], edges: Edges, startC: number) {
    const { widths, conductivities, heats } = cut(layers)
    const n = widths.length + 1
    this.n = n
    this.width = Float64Array.from([...widths, 0])
    this.middle = new Float64Array(n)
    this.capacity = new Float64Array(n)
    this.#link = new Float64Array(n)
    const area = (depthM: number) => Math.max(0.3, 1 + edges.curve * depthM)
    let depth = 0
    for (let i = 0; i < n - 1; i++) {
      const w = widths[i]!
      this.middle[i] = depth + w / 2
      this.capacity[i] = area(depth + w / 2) * w * heats[i]!
      depth += w
      const here = w / 2 / conductivities[i]!
      const next = i + 2 < n ? widths[i + 1]! / 2 / conductivities[i + 1]! : 1 / edges.farFilmW
      this.#link[i] = area(depth) / (here + next)
    }
    this.middle[n - 1] = depth
    this.capacity[n - 1] = edges.farJPerK * area(depth)
    this.#outer = 1 / (1 / edges.outerW + widths[0]! / 2 / conductivities[0]!)
    this.#leak = edges.leakW * area(depth)
    this.celsius = new Float64Array(n).fill(startC)
    this.#diagonal = new Float64Array(n)
    this.#right = new Float64Array(n)
    this.#swept = new Float64Array(n)
  }

  /**
   * One step: room at `outerC` before it and `farC` behind it, and heat taken out of cells.
   * `sinkW` is in W for each cell, `sinkSlope` W/K how much more of it is taken from cell `at` for each degree it ends above `aroundC`.
   * Writes what the cells become into `into`, so that a step may be tried again.
   */
  solve(
    dtS: number,
    outerC: number,
    farC: number,
    water: Float64Array | null,
    sinkW: Float64Array | null,
    at: number,
    sinkSlope: number,
    aroundC: number,
    into: Float64Array,
  ): void {
    const { n, capacity, celsius } = this
    const [link, diagonal, right, swept] = [this.#link, this.#diagonal, this.#right, this.#swept]
    for (let i = 0; i < n; i++) {
      const held = (capacity[i]! + (water === null ? 0 : water[i]!)) / dtS
      diagonal[i] = held + (i > 0 ? link[i - 1]! : this.#outer) + (i < n - 1 ? link[i]! : this.#leak)
      right[i] = held * celsius[i]! - (sinkW === null ? 0 : sinkW[i]!)
    }
    right[0]! += this.#outer * outerC
    right[n - 1]! += this.#leak * farC
    if (sinkSlope !== 0) {
      diagonal[at]! += sinkSlope
      right[at]! += sinkSlope * aroundC
    }
    swept[0] = link[0]! / diagonal[0]!
    into[0] = right[0]! / diagonal[0]!
    for (let i = 1; i < n; i++) {
      const back = link[i - 1]!
      const pivot = diagonal[i]! - back * swept[i - 1]!
      swept[i] = link[i]! / pivot
      into[i] = (right[i]! + back * into[i - 1]!) / pivot
    }
    for (let i = n - 2; i >= 0; i--) into[i]! += swept[i]! * into[i + 1]!
  }

  /** W that come in with cells at these temperatures. */
  inflowW(outerC: number, farC: number, cells: Float64Array): number {
    return this.#outer * (outerC - cells[0]!) + this.#leak * (farC - cells[this.n - 1]!)
  }

  /** Heat held without water, J above 0 °C. */
  get heldJ(): number {
    let sum = 0
    for (let i = 0; i < this.n; i++) sum += this.capacity[i]! * this.celsius[i]!
    return sum
  }
}

function cut(layers: readonly Layer[]): { widths: number[]; conductivities: number[]; heats: number[] } {
  const widths: number[] = []
  const conductivities: number[] = []
  const heats: number[] = []
  for (const { cells, thicknessM, conductivity, jPerM3K, growth } of layers) {
    let parts = 0
    for (let i = 0; i < cells; i++) parts += growth ** i
    for (let i = 0; i < cells; i++) {
      widths.push((thicknessM * growth ** i) / parts)
      conductivities.push(conductivity)
      heats.push(jPerM3K)
    }
  }
  return { widths, conductivities, heats }
}
